"""A published version of a house standard is never changed, nor what hangs on it."""

from django.db import migrations

from training.guards import keep_children, keep_rows

PARTS = ["flour", "otheringredient", "season", "round"]


class Migration(migrations.Migration):
    dependencies = [("training", "0002_house")]

    operations = [
        keep_rows("training_standardversion", when="OLD.published_at IS NOT NULL"),
        *(
            keep_children(
                f"training_{part}",
                parent="training_standardversion",
                foreign_key="standard_id",
                when="p.published_at IS NOT NULL",
            )
            for part in PARTS
        ),
    ]
