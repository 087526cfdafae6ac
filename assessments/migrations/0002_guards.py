"""The event log and the recorded decisions are append-only."""

from django.db import migrations

from training.guards import keep_rows


class Migration(migrations.Migration):
    dependencies = [("assessments", "0001_practice")]

    operations = [
        keep_rows("assessments_event"),
        keep_rows("assessments_observation"),
        keep_rows("assessments_review"),
        keep_rows("assessments_signoff"),
        keep_rows("assessments_withdrawal"),
    ]
