"""House standards in the editor: drafts are changed, published versions only read."""

from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect
from django.urls import path, reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.functional import cached_property
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST
from modelcluster.forms import BaseChildFormSet
from wagtail.admin import messages
from wagtail.admin.auth import require_admin_access
from wagtail.admin.forms import WagtailAdminModelForm
from wagtail.admin.panels import FieldPanel, FieldRowPanel, InlinePanel, MultiFieldPanel, ObjectList
from wagtail.admin.ui.tables import Column
from wagtail.permission_policies import ModelPermissionPolicy
from wagtail.permissions import policy_registry
from wagtail.snippets.action_menu import ActionMenuItem
from wagtail.snippets.views.snippets import (
    CreateView,
    DeleteView,
    EditView,
    IndexView,
    InspectView,
    SnippetViewSet,
)

from training.models import StandardVersion
from training.models.standards import check_flours, check_seasons, draft_from
from training.numbers import LABELS, numbers_of

TO_PUBLISHING = "action-to-publishing"


class StandardPolicy(ModelPermissionPolicy):
    """Whoever may edit standards may change and delete drafts; nobody a published version."""

    def user_has_permission_for_instance(self, user, action, instance):
        if action in ("change", "delete") and instance.is_published:
            return False
        return super().user_has_permission_for_instance(user, action, instance)


def kept_forms(formset):
    """Return what the rows of a formset say, without those taken away or wrong."""
    return [
        form
        for form in formset.forms
        if hasattr(form, "cleaned_data") and form.cleaned_data and form not in formset.deleted_forms
    ]


class FlourFormSet(BaseChildFormSet):
    """Flours and starches that add up to 100 percent."""

    def clean(self):
        super().clean()
        if not any(self.errors):
            check_flours([form.cleaned_data["percent"] for form in kept_forms(self)])


class SeasonFormSet(BaseChildFormSet):
    """Seasons that cover every month once."""

    def clean(self):
        super().clean()
        if not any(self.errors):
            check_seasons([form.instance for form in kept_forms(self)])


class CheckedInlinePanel(InlinePanel):
    """Rows whose sum is checked; the message stands above them."""

    def __init__(self, *args, formset, **kwargs):
        super().__init__(*args, **kwargs)
        self.formset = formset

    def clone_kwargs(self):
        return super().clone_kwargs() | {"formset": self.formset}

    def get_form_options(self):
        options = super().get_form_options()
        options["formsets"][self.relation_name]["formset"] = self.formset
        return options


class StandardForm(WagtailAdminModelForm):
    """A draft; what cannot be weighed or met is refused at the field."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            self.fields["style"].disabled = True

    def clean_style(self):
        style = self.cleaned_data["style"]
        drafts = StandardVersion.objects.filter(style=style, published_at=None)
        if drafts.exclude(pk=self.instance.pk).exists():
            raise ValidationError(
                _("This style has a draft already: change that one, or delete it."), code="draft"
            )
        return style

    def clean(self):
        cleaned = super().clean()
        for quantity in ("width", "thickness"):
            target = cleaned.get(f"{quantity}_target_mm")
            minus = cleaned.get(f"{quantity}_tolerance_minus_mm")
            if target and minus and minus >= target:
                self.add_error(
                    f"{quantity}_tolerance_minus_mm",
                    _("This must be smaller than the target itself: a strand has some size."),
                )
        ready, not_ready = cleaned.get("ready_share"), cleaned.get("not_ready_share")
        if ready and not_ready and not_ready >= ready:
            self.add_error(
                "not_ready_share", _("This must be smaller than the share of a ready cook.")
            )
        return cleaned


def fields(heading, *rows, help_text=""):
    """Return a group of fields; a tuple stands side by side."""
    panels = [
        FieldRowPanel([FieldPanel(name) for name in row])
        if isinstance(row, tuple)
        else FieldPanel(row)
        for row in rows
    ]
    return MultiFieldPanel(panels, heading=heading, help_text=help_text)


PANELS = [
    FieldPanel("style", help_text=gettext_lazy("Chosen once: a draft stays with its style.")),
    CheckedInlinePanel(
        "flours",
        heading=gettext_lazy("Flours and starches"),
        label=gettext_lazy("Flour or starch"),
        help_text=gettext_lazy("Together they make 100 percent. Name the allergens of each."),
        min_num=1,
        max_num=8,
        formset=FlourFormSet,
        panels=[
            FieldPanel("name"),
            FieldRowPanel([FieldPanel("kind"), FieldPanel("percent")]),
            FieldPanel("allergens"),
        ],
    ),
    InlinePanel(
        "others",
        heading=gettext_lazy("Other ingredients"),
        label=gettext_lazy("Ingredient"),
        help_text=gettext_lazy("Alkali, egg and the like. Water and salt stand with the seasons."),
        max_num=8,
        panels=[FieldPanel("name"), FieldPanel("percent"), FieldPanel("allergens")],
    ),
    CheckedInlinePanel(
        "seasons",
        heading=gettext_lazy("Water and salt by season"),
        label=gettext_lazy("Season"),
        help_text=gettext_lazy(
            "Each month belongs to exactly one season. A house that does not change its water "
            "has one season from January to December."
        ),
        min_num=1,
        max_num=12,
        formset=SeasonFormSet,
        panels=[
            FieldPanel("name"),
            FieldRowPanel([FieldPanel("from_month"), FieldPanel("to_month")]),
            FieldPanel("room_from_c"),
            FieldRowPanel([FieldPanel("hydration_percent"), FieldPanel("salt_percent")]),
        ],
    ),
    fields(
        gettext_lazy("How exactly the water must be met"),
        ("hydration_tolerance_minus_pp", "hydration_tolerance_plus_pp"),
    ),
    fields(
        gettext_lazy("Dough temperature"),
        ("dough_temperature_c", "friction_c"),
        help_text=gettext_lazy("The bench sheet works out the temperature of the water from both."),
    ),
    InlinePanel(
        "rounds",
        heading=gettext_lazy("Treading and rests"),
        label=gettext_lazy("Round"),
        help_text=gettext_lazy("In order. Each round is a treading or kneading, then a rest."),
        min_num=1,
        max_num=12,
        panels=[FieldRowPanel([FieldPanel("tread_min"), FieldPanel("rest_min")])],
    ),
    fields(
        gettext_lazy("Sheet"),
        "thickness_target_mm",
        ("thickness_tolerance_minus_mm", "thickness_tolerance_plus_mm"),
        ("thickness_rows", "thickness_columns"),
        help_text=gettext_lazy(
            "A little unevenness is the charm of the hand: the tolerance says how much."
        ),
    ),
    fields(
        gettext_lazy("Strands"),
        "width_target_mm",
        ("width_tolerance_minus_mm", "width_tolerance_plus_mm"),
        "strands_to_measure",
    ),
    fields(gettext_lazy("Portion"), ("portion_g", "allowance_percent")),
    fields(gettext_lazy("Boiling"), "boil_time_min"),
    fields(
        gettext_lazy("Sign-off"),
        ("ready_share", "not_ready_share"),
        help_text=gettext_lazy(
            "How the evidence for a sign-off is weighed. The error rates stated in the README "
            "hold for 0.95 and 0.80 only."
        ),
    ),
    FieldPanel("change_note"),
]


class StandardIndex(IndexView):
    """All versions, those of one style together, the newest first."""

    @cached_property
    def columns(self):
        # Without the ticks for many at once: a published version cannot be deleted.
        return super().columns[1:]

    def get_base_queryset(self):
        versions = super().get_base_queryset().select_related("style")
        return versions.with_state(timezone.localdate())

    def get_edit_url(self, instance):
        return None if instance.is_published else super().get_edit_url(instance)

    def get_delete_url(self, instance):
        return None if instance.is_published else super().get_delete_url(instance)


class StandardCreate(CreateView):
    """A first version of a style; later ones begin as a copy."""

    def get_success_url(self):
        return publish_url(self) or reverse(self.edit_url_name, args=[self.object.pk])


class StandardEdit(EditView):
    """A draft. A published version is shown instead, with the way to a new one."""

    def dispatch(self, request, *args, **kwargs):
        version = get_object_or_404(StandardVersion, pk=self.kwargs["pk"])
        if version.is_published:
            messages.warning(
                request,
                _(
                    "This version is published and is never changed: batches were made under it. "
                    "Make a new version from it."
                ),
            )
            return redirect(self.inspect_url_name, version.pk)
        return super().dispatch(request, *args, **kwargs)

    def get_success_url(self):
        return publish_url(self) or self.get_edit_url()


class StandardDelete(DeleteView):
    """Takes a draft away; a published version stays."""

    def dispatch(self, request, *args, **kwargs):
        if self.object.is_published:
            messages.error(request, _("A published version is kept for the batches made under it."))
            return redirect(self.index_url_name)
        return super().dispatch(request, *args, **kwargs)


class StandardInspect(InspectView):
    """A version as cooks read it."""

    page_title = gettext_lazy("House standard")

    def get_edit_url(self):
        return None if self.object.is_published else super().get_edit_url()

    def get_delete_url(self):
        return None if self.object.is_published else super().get_delete_url()

    def get_context_data(self, **kwargs):
        numbers = numbers_of(self.object, month=timezone.localdate().month)
        return super().get_context_data(
            **kwargs,
            version=self.object,
            standard={"numbers": numbers},
            names=list(LABELS),
            can_add=self.user_has_permission("add"),
        )


def publish_url(view):
    """Return where "Publish…" leads after the draft is saved; None for a plain save."""
    if TO_PUBLISHING in view.request.POST:
        # The page stands in the app above: it knows the batches, this one does not.
        return reverse("publish_standard", args=[view.object.pk])
    return None


class ToPublishing(ActionMenuItem):
    """Saves the draft and goes on to the page that says what publishing would change."""

    name = TO_PUBLISHING
    label = gettext_lazy("Save and publish…")
    icon_name = "upload"
    order = 10


@require_POST
@require_admin_access
def new_version(request, pk):
    """Open the draft of a style: the one there is, or a copy of this version."""
    if not policy_registry.get_by_type(StandardVersion).user_has_permission(request.user, "add"):
        return redirect("wagtailadmin_home")
    version = get_object_or_404(StandardVersion, pk=pk)
    draft = draft_from(version)
    return redirect(StandardVersion.snippet_viewset.get_url_name("edit"), draft.pk)


class StandardViewSet(SnippetViewSet):
    """House standards."""

    model = StandardVersion
    icon = "sliders"
    menu_label = gettext_lazy("House standards")
    menu_name = "standards"
    menu_order = 200
    add_to_admin_menu = True
    url_prefix = "standards"
    url_namespace = "standards"
    copy_view_enabled = False
    inspect_view_enabled = True
    inspect_template_name = "training/admin/standard.html"
    index_view_class = StandardIndex
    add_view_class = StandardCreate
    edit_view_class = StandardEdit
    delete_view_class = StandardDelete
    inspect_view_class = StandardInspect
    list_display = [
        "__str__",
        Column("style", label=gettext_lazy("Style"), sort_key="style"),
        Column("number", label=gettext_lazy("Version"), sort_key="number"),
        Column(
            "state",
            label=gettext_lazy("State"),
            accessor=lambda version: version.state_on(timezone.localdate()),
        ),
        Column(
            "in_force_from",
            label=gettext_lazy("In force from"),
            sort_key="in_force_from",
            accessor=lambda version: version.in_force_from and date_format(version.in_force_from),
        ),
    ]
    list_filter = ["style"]
    edit_handler = ObjectList(PANELS, base_form_class=StandardForm)

    def get_urlpatterns(self):
        return [*super().get_urlpatterns(), path("new/<int:pk>/", new_version, name="new_version")]
