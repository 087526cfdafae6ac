"""The list of modules as the root of the site, and the groups of editors and owners."""

from django.db import migrations

from training.groups import create_groups, create_index_page


class Migration(migrations.Migration):
    dependencies = [
        ("training", "0003_guards"),
        ("assessments", "0002_guards"),
        ("auth", "0012_alter_user_first_name_max_length"),
        ("contenttypes", "0002_remove_content_type_name"),
        ("wagtailadmin", "0001_create_admin_access_permissions"),
        ("wagtailcore", "0098_apitoken"),
        ("wagtaildocs", "0014_alter_document_file_size"),
        ("wagtailimages", "0027_image_description"),
    ]

    operations = [
        migrations.RunPython(create_index_page, migrations.RunPython.noop),
        migrations.RunPython(create_groups, migrations.RunPython.noop),
    ]
