"""What a draft of a house standard would change, and publishing it; stands in the editor."""

from django import forms
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods
from wagtail.admin import messages

from assessments.actions.publish_standard import earliest_day, publish_standard, weigh_change
from training.access import require
from training.models import StandardVersion


class PublishForm(forms.Form):
    """The day from which a draft is in force."""

    in_force_from = forms.DateField(
        label=gettext_lazy("In force from"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )

    def __init__(self, *args, draft, **kwargs):
        super().__init__(*args, **kwargs)
        self.draft = draft
        earliest = earliest_day(draft)
        field = self.fields["in_force_from"]
        field.initial = draft.in_force_from or timezone.localdate()
        field.help_text = _("The first version of a style may begin on any day.")
        if earliest is not None:
            field.initial = max(field.initial, earliest)
            field.widget.attrs["min"] = earliest.isoformat()
            field.help_text = _("Today or a later day. Batches already made keep their version.")

    def publish(self, *, by):
        """Publish the draft; return whether it went, with the reasons as errors if not."""
        try:
            publish_standard(self.draft, in_force_from=self.cleaned_data["in_force_from"], by=by)
        except ValidationError as error:
            reasons = error.message_dict if hasattr(error, "error_dict") else {None: error.messages}
            for name, texts in reasons.items():
                self.add_error(name if name in self.fields else None, texts)
        return not self.errors


@require_http_methods(["GET", "HEAD", "POST"])
def publish(request, pk):
    """Show how many recent batches would score otherwise, and publish on confirmation."""
    require(request.user.has_perm("training.change_standardversion"))
    draft = get_object_or_404(StandardVersion.objects.select_related("style"), pk=pk)
    if draft.is_published:
        return redirect("standards:inspect", draft.pk)
    form = PublishForm(request.POST or None, draft=draft)
    if form.is_valid() and form.publish(by=request.user):
        messages.success(request, _("Published. Cooks see it from the day you chose."))
        return redirect("standards:inspect", draft.pk)
    context = {"draft": draft, "form": form, "change": weigh_change(draft)}
    return render(request, "assessments/standards/publish.html", context)
