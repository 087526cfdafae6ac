"""Who may edit: two groups with their permissions, kept in step with the roles.

``create_index_page`` and ``create_groups`` take the registry of a migration, or the real one:
what they make is the same.
"""

from django.apps import apps as real_apps
from django.utils.translation import gettext as _

EDITORS, OWNERS = "Editors", "Owners"
GROUP_OF_KIND = {"editor": EDITORS, "owner": OWNERS}

EDITOR_MODELS = {
    ("training", "standardversion"): ("add", "change", "delete", "view"),
    ("training", "style"): ("add", "change", "view"),
    ("training", "word"): ("add", "change", "delete", "view"),
    ("training", "clip"): ("add", "change", "delete", "view"),
}
OWNER_MODELS = EDITOR_MODELS | {
    # Nobody is deleted: a person who has left is no longer active, and the record stays.
    ("training", "user"): ("add", "change", "view"),
    ("training", "branch"): ("add", "change", "view"),
    ("training", "station"): ("add", "change", "view"),
    ("training", "housepolicy"): ("change",),
    ("assessments", "instrument"): ("add", "change", "view"),
    ("assessments", "practice"): ("add", "change", "view"),
}
PAGE_PERMISSIONS = ("add", "change", "publish")
IMAGE_PERMISSIONS = ("add", "change", "choose")


def create_index_page(apps=real_apps, schema_editor=None):
    """Make the list of modules the root of the site, in place of Wagtail's welcome page."""
    index_model = apps.get_model("training", "ModuleIndexPage")
    index = index_model.objects.first()
    if index is not None:
        return index
    page_model, site_model = (apps.get_model("wagtailcore", name) for name in ("Page", "Site"))
    root = page_model.objects.get(depth=1)
    site_model.objects.all().delete()
    page_model.objects.filter(depth=2, slug="home", content_type__model="page").delete()
    taken = page_model.objects.filter(depth=2).order_by("path").values_list("path", flat=True)
    place = int(taken.last()[-4:], 36) + 1 if taken else 1
    content_type, _created = apps.get_model("contenttypes", "ContentType").objects.get_or_create(
        app_label="training", model="moduleindexpage"
    )
    title = _("Modules")
    index = index_model.objects.create(
        title=title,
        draft_title=title,
        slug="modules",
        content_type=content_type,
        locale=apps.get_model("wagtailcore", "Locale").objects.first(),
        path=f"{root.path}{_base36(place)}",
        depth=2,
        numchild=0,
        url_path="/modules/",
    )
    page_model.objects.filter(pk=root.pk).update(
        numchild=page_model.objects.filter(depth=2).count()
    )
    site_model.objects.create(
        hostname="localhost", site_name="Evenhand", root_page_id=index.pk, is_default_site=True
    )
    return index


def _base36(number):
    """Return one step of a page's path: four digits to the base of 36."""
    digits = ""
    while number:
        number, digit = divmod(number, 36)
        digits = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"[digit] + digits
    return digits.rjust(4, "0")


def create_groups(apps=real_apps, schema_editor=None):
    """Make both groups with exactly the permissions above, and drop Wagtail's own third one."""
    group_model = apps.get_model("auth", "Group")
    group_model.objects.filter(name="Moderators").delete()
    for name, models in ((EDITORS, EDITOR_MODELS), (OWNERS, OWNER_MODELS)):
        group, _created = group_model.objects.get_or_create(name=name)
        permissions = [_permission(apps, "wagtailadmin", "admin", "access_admin")]
        for (app, model), verbs in models.items():
            permissions += [_permission(apps, app, model, f"{verb}_{model}") for verb in verbs]
        permissions.append(
            _permission(apps, "simple_translation", "simpletranslation", "submit_translation")
        )
        group.permissions.set(permissions)
        _allow_pages(apps, group)
        _allow_images(apps, group)


def _permission(apps, app_label, model, codename):
    """Return a permission; Django itself makes it only after the last migration."""
    content_type, _created = apps.get_model("contenttypes", "ContentType").objects.get_or_create(
        app_label=app_label, model=model
    )
    permission, _created = apps.get_model("auth", "Permission").objects.get_or_create(
        content_type=content_type,
        codename=codename,
        defaults={"name": f"Can {codename.replace('_', ' ')}"},
    )
    return permission


def allow_translated(sender, *, source_obj, target_obj, **kwargs):
    """Let whoever may write in a list of modules write in its translation as well.

    A receiver of Wagtail's ``copy_for_translation_done``.
    """
    allowed = real_apps.get_model("wagtailcore", "GroupPagePermission").objects
    if not isinstance(target_obj, real_apps.get_model("training", "ModuleIndexPage")):
        return
    for row in allowed.filter(page=source_obj.pk):
        allowed.get_or_create(
            group_id=row.group_id, page_id=target_obj.pk, permission_id=row.permission_id
        )


def _allow_pages(apps, group):
    create_index_page(apps)
    allowed = apps.get_model("wagtailcore", "GroupPagePermission").objects
    allowed.filter(group=group).delete()
    # One list of modules for each language.
    for index in apps.get_model("training", "ModuleIndexPage").objects.all():
        for verb in PAGE_PERMISSIONS:
            permission = _permission(apps, "wagtailcore", "page", f"{verb}_page")
            allowed.create(group=group, page_id=index.pk, permission=permission)


def _allow_images(apps, group):
    root = apps.get_model("wagtailcore", "Collection").objects.get(depth=1)
    allowed = apps.get_model("wagtailcore", "GroupCollectionPermission").objects
    allowed.filter(group=group).delete()
    for verb in IMAGE_PERMISSIONS:
        permission = _permission(apps, "wagtailimages", "image", f"{verb}_image")
        allowed.create(group=group, collection=root, permission=permission)


def sync_groups(person_ids):
    """Put these people into the groups of their roles and take them out of the others.

    Saving or deleting one ``Role`` does it by itself; call this after ``bulk_create`` or
    ``update`` on roles.
    """
    membership = real_apps.get_model("training", "User").groups.through.objects
    roles = real_apps.get_model("training", "Role").objects
    groups = dict(
        real_apps.get_model("auth", "Group")
        .objects.filter(name__in=GROUP_OF_KIND.values())
        .values_list("name", "pk")
    )
    people = set(person_ids)
    held = roles.filter(person__in=people, kind__in=GROUP_OF_KIND).values_list("person_id", "kind")
    wanted = {
        (person, groups[GROUP_OF_KIND[kind]])
        for person, kind in held
        if GROUP_OF_KIND[kind] in groups
    }
    rows = {
        (row.user_id, row.group_id): row.pk
        for row in membership.filter(user__in=people, group__in=groups.values())
    }
    membership.filter(pk__in=[pk for pair, pk in rows.items() if pair not in wanted]).delete()
    membership.bulk_create(
        [membership.model(user_id=user, group_id=group) for user, group in wanted - set(rows)],
        ignore_conflicts=True,
    )
