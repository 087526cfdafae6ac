"""What was rated blind stays as it was rated."""

from django.db import migrations

from training.guards import keep_rows


class Migration(migrations.Migration):
    dependencies = [("assessments", "0005_coaching")]

    operations = [
        keep_rows("assessments_blindlook"),
        keep_rows("assessments_calibrationrating"),
    ]
