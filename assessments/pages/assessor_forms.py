"""Forms by which those who judge say what they see before they know whose it is."""

from django import forms
from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _

from assessments.models import BlindLook, CalibrationPiece, CalibrationSet, Observation
from assessments.models.assessors import CRITERIA
from assessments.pages.assess_forms import AssessForm, ObservationForm, request_key_field

NOT_RATED = ("", _("not rated"))
HELP = {
    "evenness": _("By eye: are the strands as wide as one another, and each along its length?"),
    **ObservationForm.HELP,
}


def rating_field(name, *, must=True):
    """Return the field of one criterion, best first; without ``must`` it may be left out."""
    model_field = CalibrationPiece._meta.get_field(name)
    ratings = list(reversed(Observation.Rating.choices))
    return forms.TypedChoiceField(
        label=capfirst(str(model_field.verbose_name)),
        help_text=HELP[name],
        choices=ratings if must else [*ratings, NOT_RATED],
        coerce=int,
        empty_value=None,
        required=must,
        initial=None if must else "",
        widget=forms.RadioSelect,
        error_messages={"required": _("Rate this too.")},
    )


class EvennessForm(AssessForm):
    """How even the strands of a batch look, before score and name are shown."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["evenness"] = rating_field("evenness")
        label = BlindLook._meta.get_field("evenness").verbose_name
        self.fields["evenness"].label = capfirst(str(label))


class NewCalibrationForm(AssessForm):
    """A new calibration set."""

    title = forms.CharField(
        label=_("Title"),
        help_text=_("By which the assessors find it, without a cook's name."),
        max_length=CalibrationSet._meta.get_field("title").max_length,
    )


class PieceForm(AssessForm):
    """What the maker of a set says of a piece: what was seen, and the reference ratings."""

    seen = forms.CharField(
        label=_("What was seen"),
        help_text=CalibrationPiece._meta.get_field("seen").help_text,
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 4}),
    )

    def __init__(self, *args, piece=None, **kwargs):
        super().__init__(*args, **kwargs)
        for name in CRITERIA:
            self.fields[name] = rating_field(name, must=name == "evenness")
            if piece is not None and getattr(piece, name) is not None:
                self.initial[name] = getattr(piece, name)
        if piece is not None:
            self.initial["seen"] = piece.seen
        self.order_fields([*CRITERIA, "seen"])

    def clean(self):
        cleaned = super().clean()
        at_bench = [name for name in Observation.CRITERIA if cleaned.get(name) is not None]
        if at_bench and not cleaned.get("seen") and "seen" not in self.errors:
            self.add_error(
                "seen",
                _("Say what was seen: what happened at the bench is on no photo of strands."),
            )
        return cleaned


class RatePieceForm(AssessForm):
    """How an assessor rates a piece, on each criterion that has a reference."""

    request_key = request_key_field()

    def __init__(self, *args, piece, **kwargs):
        super().__init__(*args, **kwargs)
        for name in piece.criteria:
            self.fields[name] = rating_field(name)
