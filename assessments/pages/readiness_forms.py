"""What the readiness board is narrowed to."""

from django import forms
from django.utils.translation import gettext_lazy as _

from assessments.summaries.readiness import ORDER, Filters, visible_branches
from assessments.summaries.sentence import state_word
from training.models import Style
from training.names import listed


class FilterForm(forms.Form):
    """Style, branch and state; empty for everything."""

    style = forms.ChoiceField(label=_("Style"), required=False)
    branch = forms.ChoiceField(label=_("Branch"), required=False)
    state = forms.ChoiceField(label=_("State"), required=False)

    def __init__(self, *args, viewer, **kwargs):
        super().__init__(*args, **kwargs)
        self.branches = visible_branches(viewer)
        self.offer("style", _("every style"), [(s.slug, str(s)) for s in Style.objects.all()])
        self.offer("branch", _("every branch"), [(b.slug, b.name) for b in self.branches])
        self.offer("state", _("every state"), [(state.value, state_word(state)) for state in ORDER])

    def offer(self, name, everything, choices):
        self.fields[name].choices = [("", everything), *choices]

    @property
    def filters(self):
        """What was chosen; everything where the choice is not one of the list."""
        return Filters(**self.cleaned_data) if self.is_valid() else Filters()

    @property
    def words(self):
        """The choices in words, for the printed page."""
        if not self.is_valid():
            return ""
        chosen = [
            dict(field.choices)[self.cleaned_data[name]]
            for name, field in self.fields.items()
            if self.cleaned_data[name]
        ]
        return listed(chosen)
