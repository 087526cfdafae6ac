"""The measurements of ``manage.py benchmark``: each beside a floor taken in the same run."""
