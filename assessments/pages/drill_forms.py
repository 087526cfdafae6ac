"""The form of a drill: the fields of a batch's stage, with a note."""

import uuid

from django import forms
from django.utils.translation import gettext_lazy as _

from assessments.models import Drill
from assessments.pages.forms import StageForm


class DrillForm(StageForm):
    """The values of one drill, read, questioned and pasted as in a batch."""

    note = forms.CharField(
        label=_("Your own note"),
        help_text=_("What you tried this time, for example."),
        required=False,
        max_length=Drill._meta.get_field("note").max_length,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    # Kept with what is typed on the phone: where the answer got lost, it is the same drill.
    client_key = forms.UUIDField(widget=forms.HiddenInput(attrs={"data-kept": ""}))

    def __init__(self, sheet, data=None):
        super().__init__(sheet, data)
        self.initial["client_key"] = uuid.uuid4()
        self.fields["paste"] = self._paste_field()

    def renew_key(self):
        """Take another key, so that sending again keeps another drill."""
        self.data = self.data.copy()
        self.data["client_key"] = str(uuid.uuid4())

    def wanted(self):
        """Return the arguments of ``keep_drill`` that were typed."""
        entries = self.entries()
        values = {
            place: float(value)
            for entry in entries
            for place, value in zip(entry.positions, entry.values, strict=True)
        }
        return {
            "values_mm": values,
            "instrument": entries[0].instrument if entries else None,
            "note": self.cleaned_data["note"],
            "client_key": self.cleaned_data["client_key"],
        }
