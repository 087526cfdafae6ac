"""Editors and owners look after the words of the trade."""

from django.db import migrations

from training.groups import create_groups


class Migration(migrations.Migration):
    dependencies = [("training", "0010_words")]

    operations = [migrations.RunPython(create_groups, migrations.RunPython.noop)]
