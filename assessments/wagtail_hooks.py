"""What this app adds to the editor: publishing a standard, instruments, who practises what."""

from django.db import transaction
from django.urls import path
from django.utils.translation import gettext_lazy as _
from wagtail import hooks
from wagtail.admin.forms import WagtailAdminModelForm
from wagtail.admin.panels import FieldPanel, FieldRowPanel, ObjectList
from wagtail.admin.views.generic import IndexView
from wagtail.admin.viewsets.model import ModelViewSet

from assessments.actions.evidence import refresh_practices
from assessments.actions.modules import recount_modules
from assessments.models import Event, Instrument, Practice
from assessments.pages import standard_change


@hooks.register("register_admin_urls")
def register_publishing():
    address = "publish-standard/<int:pk>/"
    return [path(address, standard_change.publish, name="publish_standard")]


@hooks.register("after_publish_page")
@hooks.register("after_unpublish_page")
@hooks.register("after_delete_page")
def recount(request, page):
    """A module more or less changes what is missing before a sign-off."""
    recount_modules()


@hooks.register("after_edit_user")
def follow_person(request, person):
    """A cook who changes branch takes their practices along."""
    refresh_practices(person)


class PracticeForm(WagtailAdminModelForm):
    """Who practises what where; whom and what it concerns is fixed once it is there."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name in ("person", "style", "station") if self.instance.pk else ():
            self.fields[name].disabled = True

    @transaction.atomic
    def save(self, commit=True):
        is_new = self.instance.pk is None
        practice = super().save(commit)
        refresh_practices(practice.person, practice.style)
        if is_new or "ended_on" in self.changed_data:
            verb = Event.Verb.PRACTICE_ENDED if practice.ended_on else Event.Verb.PRACTICE_ENTERED
            Event.record(
                verb,
                actor=self.for_user,
                subject=practice.person,
                about=practice,
                style=practice.style.name,
                station=practice.station.name,
            )
        return practice


class PracticeIndex(IndexView):
    """Practices with what they point to, in one query."""

    def get_base_queryset(self):
        return super().get_base_queryset().select_related("person", "style", "station", "branch")


class PracticeViewSet(ModelViewSet):
    """Which cook practises which style at which station."""

    model = Practice
    icon = "tasks"
    menu_label = _("Practices")
    menu_name = "practices"
    menu_order = 550
    add_to_admin_menu = True
    copy_view_enabled = False
    index_view_class = PracticeIndex
    ordering = ["person__first_name", "person__last_name", "pk"]
    list_display = ["person", "style", "station", "branch", "started_on", "ended_on"]
    list_filter = ["branch", "style", "station"]
    search_fields = ["person__first_name", "person__last_name", "person__username"]
    edit_handler = ObjectList(
        [
            FieldPanel("person"),
            FieldPanel("style"),
            FieldPanel("station"),
            FieldPanel("branch"),
            FieldRowPanel([FieldPanel("started_on"), FieldPanel("ended_on")]),
        ],
        base_form_class=PracticeForm,
    )


class InstrumentViewSet(ModelViewSet):
    """Calipers, scales and thermometers, with what is known of their repeatability."""

    model = Instrument
    icon = "crosshairs"
    menu_order = 530
    menu_name = "instruments"
    add_to_admin_menu = True
    copy_view_enabled = False
    ordering = ["name"]
    list_display = ["name", "kind", "repeatability_mm", "is_active"]
    search_fields = ["name"]
    panels = [
        FieldPanel("name"),
        FieldPanel("kind"),
        FieldPanel("repeatability_mm"),
        FieldPanel("is_active"),
    ]


@hooks.register("register_admin_viewset")
def register_viewsets():
    return [PracticeViewSet("practices"), InstrumentViewSet("instruments")]
