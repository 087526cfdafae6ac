"""The invented house of ``manage.py demo``: its people, its recipes, and how they practised."""
