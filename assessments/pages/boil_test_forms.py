"""The form by which a house writes down when a strand was done."""

import re
from decimal import Decimal

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from assessments.models import BoilTest
from assessments.pages.assess_forms import AssessForm, request_key_field
from assessments.pages.forms import MeasureField
from training.models import Style

_CLOCK = re.compile(r"\s*(\d{1,3})\s*[:：]\s*([0-5]\d)\s*")
_HUNDREDTH = Decimal("0.01")


class MinutesField(MeasureField):
    """Minutes as a number, such as 8.5, or as a timer shows them, such as 8:30."""

    def __init__(self, **options):
        super().__init__(unit="min", **options)

    def _read(self, typed):
        shown = _CLOCK.fullmatch(typed)
        if shown is None:
            return super()._read(typed).quantize(_HUNDREDTH)
        return (int(shown[1]) + Decimal(int(shown[2])) / 60).quantize(_HUNDREDTH)


def _limits(name):
    """Return the least and the most that the model allows."""
    least, most = BoilTest._meta.get_field(name).validators[:2]
    return {"least": least.limit_value, "most": most.limit_value}


class BoilTestForm(AssessForm):
    """A strand of this width and thickness was done after so many minutes."""

    request_key = request_key_field()
    style = forms.ModelChoiceField(Style.objects.none(), label=_("Style"), empty_label=None)
    width_mm = MeasureField(
        unit="mm",
        **_limits("width_mm"),
        required=True,
        label=_("Width of the raw strand, mm"),
        error_messages={"required": _("Type the width, measured before it went into the pot.")},
    )
    thickness_mm = MeasureField(
        unit="mm",
        **_limits("thickness_mm"),
        required=True,
        label=_("Thickness of the raw strand, mm"),
        error_messages={"required": _("Type the thickness, measured before it went into the pot.")},
    )
    done_at_min = MinutesField(
        **_limits("done_at_min"),
        required=True,
        label=_("Done after, minutes"),
        help_text=_(
            "When the hard core in the middle had just gone. As a number (8.5) or as on the timer "
            "(8:30)."
        ),
        error_messages={"required": _("Type after how many minutes it was done.")},
    )
    tested_on = forms.DateField(
        label=_("Tested on"),
        initial=timezone.localdate,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    note = forms.CharField(
        label=_("Note"),
        help_text=_("What may matter later: flour, pot, who tasted."),
        required=False,
        max_length=200,
    )

    def __init__(self, *args, styles, style, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["style"].queryset = Style.objects.filter(pk__in=[one.pk for one in styles])
        self.initial["style"] = style.pk
