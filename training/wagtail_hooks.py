"""The editor: its menu, its first page, its look, and what is registered with it."""

from django.shortcuts import redirect
from django.templatetags.static import static
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext_lazy as _
from wagtail import hooks
from wagtail.admin import messages
from wagtail.admin.menu import MenuItem
from wagtail.admin.ui.components import Component
from wagtail.models import Page
from wagtail.permissions import policy_registry, register_permission_policy
from wagtail.snippets.models import register_snippet

from training.clips_admin import ClipViewSet
from training.house_admin import BranchViewSet, StationViewSet, StyleViewSet, WordViewSet
from training.models import HousePolicy, ModulePage, ModuleProgress, StandardVersion
from training.people_admin import PersonChooserViewSet
from training.standards_admin import StandardPolicy, StandardViewSet, ToPublishing

register_permission_policy(StandardVersion, StandardPolicy(StandardVersion))
register_snippet(StandardViewSet)
register_snippet(ClipViewSet)
register_snippet(WordViewSet)

PLACES = [
    "modules",
    "words",
    "standards",
    "styles",
    "images",
    "clips",
    "people",
    "practices",
    "branches",
    "stations",
    "instruments",
    "house-rules",
]


@hooks.register("register_admin_viewset")
def register_viewsets():
    return [
        StyleViewSet("styles"),
        BranchViewSet("branches"),
        StationViewSet("stations"),
        PersonChooserViewSet("person_chooser"),
    ]


class PolicyMenuItem(MenuItem):
    """The house rules, for those who may change them."""

    def is_shown(self, request):
        return policy_registry.get_by_type(HousePolicy).user_has_permission(request.user, "change")


@hooks.register("register_admin_menu_item")
def register_modules_item():
    address = reverse("wagtailadmin_explore_root")
    return MenuItem(_("Modules"), address, name="modules", icon_name="folder", order=100)


@hooks.register("register_admin_menu_item")
def register_rules_item():
    address = reverse("wagtailsettings:edit", args=["training", "housepolicy"])
    return PolicyMenuItem(_("House rules"), address, name="house-rules", icon_name="cog", order=540)


@hooks.register("construct_main_menu", order=1000)
def keep_places(request, menu_items):
    """Show what an editor needs, in the order of work.

    Whoever keeps the machine running has the settings too.
    """
    places = [*PLACES, "settings"] if request.user.is_superuser else PLACES
    wanted = sorted(
        (item for item in menu_items if item.name in places),
        key=lambda item: places.index(item.name),
    )
    for order, item in enumerate(wanted):
        item.order = order
        if item.name == "images":
            item.label = _("Pictures")
    menu_items[:] = wanted


@hooks.register("register_snippet_action_menu_item")
def register_publishing(model):
    return ToPublishing() if model is StandardVersion else None


class WorkPanel(Component):
    """The first page: drafts that wait, and where to begin."""

    order = 10
    template_name = "training/admin/_work.html"

    def get_context_data(self, parent_context):
        drafts = StandardVersion.objects.filter(published_at=None).select_related("style")
        pages = ModulePage.objects.filter(has_unpublished_changes=True).order_by("title")
        return {"drafts": drafts, "pages": pages, "request": parent_context["request"]}


@hooks.register("construct_homepage_panels", order=1000)
def replace_panels(request, panels):
    panels[:] = [WorkPanel()]


@hooks.register("construct_homepage_summary_items", order=1000)
def drop_counts(request, items):
    items.clear()


@hooks.register("insert_global_admin_css")
def add_look():
    return format_html('<link rel="stylesheet" href="{}">', static("training/admin.css"))


@hooks.register("before_delete_page")
def keep_evidence(request, page):
    """Refuse to delete what a sign-off may rest on; unpublishing takes a module away as well."""
    if isinstance(page.specific, ModulePage) and not is_read(page):
        return None
    messages.error(
        request,
        _(
            "“%(page)s” is kept: people have read it, and their record rests on it. "
            "Unpublish it instead."
        )
        % {"page": page.title},
    )
    return redirect("wagtailadmin_explore_root")


@hooks.register("before_bulk_action")
def keep_evidence_of_many(request, action_type, objects, action_class_instance):
    if action_type != "delete":
        return None
    pages = [one for one in objects if isinstance(one, Page)]
    refusals = (keep_evidence(request, page) for page in pages)
    return next((refusal for refusal in refusals if refusal), None)


def is_read(page):
    """Return whether somebody has a record in this module."""
    return ModuleProgress.objects.filter(module=page.pk).exists()
