"""Forms about photos of strands."""

import uuid

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from assessments.actions.measure_photograph import (
    keep_photograph,
    leave_out,
    say_missing,
)
from assessments.calculations.measuring.card import BAR_MM
from assessments.calculations.measuring.pictures import MAX_FILE_MB
from assessments.calculations.measuring.refusals import Reason, RefusedError
from assessments.models import LeftOutStrand
from assessments.models.photographs import LEAST_BAR_MM, MOST_BAR_MM
from assessments.pages.forms import MeasureField
from assessments.summaries.photographs import refusal


class PhotoForm(forms.Form):
    """A photo of strands on the card, from the camera or from the phone's pictures."""

    file = forms.FileField(
        label=_("Photo"),
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": "image/*"}),
        error_messages={"required": _("Take or choose a photo first.")},
    )
    bar_mm = MeasureField(
        unit="mm",
        least=LEAST_BAR_MM,
        most=MOST_BAR_MM,
        label=_("Length of the bar on your card, mm"),
        help_text=_("Measured with a ruler. Leave it empty where it is 100 mm."),
    )
    client_key = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)

    most_bytes = int(MAX_FILE_MB * 1_000_000)

    def __init__(self, data=None, files=None, **options):
        super().__init__(data, files, auto_id="photo_%s", **options)
        # Its fields stand among those of the cut, which are another form's.
        self.fields["bar_mm"].widget.attrs |= {"form": "photo", "class": ""}

    @property
    def too_large(self):
        """What is said of a file that is too large, before it is sent."""
        return str(refusal(Reason.FILE_TOO_LARGE))

    def keep(self, batch, *, by):
        """Keep the photo for ``batch``; return it, or None with the reason at its field."""
        if not self.is_valid():
            return None
        typed_mm = self.cleaned_data["bar_mm"]
        try:
            return keep_photograph(
                batch,
                self.cleaned_data["file"],
                client_key=self.cleaned_data["client_key"],
                by=by,
                # The bar as it should be tells nothing of the printer.
                bar_mm=None if typed_mm is None or typed_mm == BAR_MM else float(typed_mm),
            )
        except RefusedError as refused:
            words = refusal(refused.reason, refused.found, refused.limit)
            self.add_error("file", ValidationError(str(words), code=refused.reason.value))
        except ValidationError as refused:
            self.add_error(None, refused)
        return None


class NumberForm(forms.Form):
    """Which strand is meant."""

    number = forms.IntegerField(
        min_value=1,
        widget=forms.HiddenInput,
        error_messages={
            name: _("There is no such strand on this photo.")
            for name in ("required", "invalid", "min_value")
        },
    )


class LeaveOutForm(NumberForm):
    """Which strand is left out, and why."""

    reason = forms.ChoiceField(
        label=_("Why?"),
        choices=[("", _("Choose a reason")), *LeftOutStrand.Reason.choices],
        error_messages={
            "required": _("Choose a reason: the head chef reads it."),
            "invalid_choice": _("Choose one of the reasons of the list."),
        },
    )

    @classmethod
    def of(cls, number, data=None):
        """Return the form of one strand; its fields have ids of their own on the page."""
        return cls(data, auto_id=f"strand-{number}-%s" if str(number).isdecimal() else False)

    def leave_out(self, photograph, *, by):
        """Leave the strand out; return whether that was done, else the reason is in the form."""
        if not self.is_valid():
            return False
        try:
            leave_out(photograph, **self.cleaned_data, by=by)
        except ValidationError as refused:
            self.add_error(None, refused)
        return self.is_valid()


class PlacesForm(forms.Form):
    """With which of the chosen strands a photo begins, and which of them are not on it."""

    first_place = forms.TypedChoiceField(label=_("The first strand on this photo"), coerce=int)
    missing = forms.TypedMultipleChoiceField(
        label=_("Not on this photo"),
        help_text=_(
            "Tick the strands that you did not lay on the card, as they broke or got lost."
        ),
        coerce=int,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, data=None, *, sheet):
        first = sheet.photograph.first_place or 1
        initial = {"first_place": first, "missing": sheet.photograph.missing_places}
        super().__init__(data, initial=initial, auto_id="places_%s")
        for name in self.fields:
            self.fields[name].choices = sheet.places

    def say(self, photograph, *, by):
        """Put the strands at these places; return whether that was done."""
        if not self.is_valid():
            return False
        first, missing = self.cleaned_data["first_place"], self.cleaned_data["missing"]
        try:
            say_missing(
                photograph,
                [place for place in missing if place >= first],
                by=by,
                first_place=first,
            )
        except ValidationError as refused:
            self.add_error(None, refused)
        return self.is_valid()
