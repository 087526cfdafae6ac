"""The house page of faults: which are most common, and what mends them. It names no cook."""

from django import forms
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_safe

from assessments.charts.house_faults import faults_chart
from assessments.summaries.house_faults import house_faults
from assessments.summaries.readiness import visible_branches
from training.access import can_see_faults, role_required
from training.models import Style

DAYS_AT_FIRST = 90


class FaultsForm(forms.Form):
    """Branch, style and days that are counted; empty for everything."""

    branch = forms.ChoiceField(label=_("Branch"), required=False)
    style = forms.ChoiceField(label=_("Style"), required=False)
    days = forms.TypedChoiceField(
        label=_("Time"),
        required=False,
        coerce=int,
        choices=[
            (30, _("the last 30 days")),
            (90, _("the last 90 days")),
            (365, _("the last year")),
        ],
    )

    def __init__(self, *args, viewer, **kwargs):
        super().__init__(*args, initial={"days": DAYS_AT_FIRST}, **kwargs)
        self.visible = visible_branches(viewer)
        self.styles = list(Style.objects.all())
        self.fields["branch"].choices = [
            ("", _("every branch")),
            *((one.slug, one.name) for one in self.visible),
        ]
        self.fields["style"].choices = [
            ("", _("every style")),
            *((one.slug, str(one)) for one in self.styles),
        ]

    @property
    def wanted(self):
        """What was chosen; everything where it is not one of the lists."""
        return self.cleaned_data if self.is_valid() else {}

    @property
    def branches(self):
        chosen = self.wanted.get("branch")
        return [one for one in self.visible if chosen in (None, "", one.slug)]

    @property
    def chosen_style(self):
        return next((one for one in self.styles if one.slug == self.wanted.get("style")), None)

    @property
    def chosen_days(self):
        return self.wanted.get("days") or DAYS_AT_FIRST


@require_safe
@role_required(can_see_faults)
def faults(request):
    """Faults of the branches that the viewer may see, the most common first."""
    form = FaultsForm(request.GET or None, viewer=request.user)
    page = house_faults(
        form.branches,
        form.chosen_style,
        days=form.chosen_days,
        today=timezone.localdate(),
        number=request.GET.get("page", 1),
    )
    context = {"page": page, "form": form, "picture": faults_chart(page.faults, page.measured)}
    return render(request, "assessments/house/faults.html", context)
