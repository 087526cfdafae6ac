"""Forms of the trials by which a house finds out how far its photos can be trusted."""

import uuid

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from assessments.actions.trials import add_photograph
from assessments.calculations.measuring.card import BAR_MM
from assessments.calculations.measuring.refusals import RefusedError
from assessments.models import Instrument, Trial
from assessments.pages.assess_forms import AssessForm
from assessments.pages.forms import MeasureField
from assessments.pages.photo_forms import LEAST_BAR_MM, MOST_BAR_MM
from assessments.summaries.log import in_figures
from assessments.summaries.photographs import refusal
from training.models import Branch, StandardVersion, User

MOST_AT_ONCE = 10
KINDS = {
    Trial.Kind.COMPARE: gettext_lazy(
        "Compare photo and caliper: the same strands with both. Tells whether the photo reads "
        "too wide or too narrow."
    ),
    Trial.Kind.REPEAT: gettext_lazy(
        "Repeat one layout: several photos of strands that stay where they are. Tells how "
        "well photos, and people, agree."
    ),
}


class NewTrialForm(AssessForm):
    """What is tried: the kind of trial, the style, and the strands that are laid."""

    kind = forms.ChoiceField(
        label=gettext_lazy("What do you want to know?"),
        choices=list(KINDS.items()),
        widget=forms.RadioSelect,
    )
    standard = forms.ModelChoiceField(
        StandardVersion.objects.none(),
        label=gettext_lazy("Style"),
        help_text=gettext_lazy("Its tolerance decides whether the photo is fine enough."),
        empty_label=gettext_lazy("Choose a style"),
    )
    strands = forms.IntegerField(
        label=gettext_lazy("Strands"),
        help_text=gettext_lazy(
            "How many you lay, in order from the card's top left marker. 20 or more tell enough."
        ),
        initial=20,
        validators=Trial._meta.get_field("strands").validators,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={"invalid": gettext_lazy("Type a whole number of strands, such as 20.")},
    )
    thickness_mm = MeasureField(
        unit="mm",
        least=0.1,
        most=99,
        label=gettext_lazy("Thickness of the strands, mm"),
        help_text=gettext_lazy("Measured on some of them. Empty: the style's target is taken."),
    )
    name = forms.CharField(
        label=gettext_lazy("Name"),
        help_text=gettext_lazy("By which you find it again: the phone, for example."),
        max_length=60,
    )
    branch = forms.ModelChoiceField(Branch.objects.none(), label=gettext_lazy("Branch"))
    note = forms.CharField(
        label=gettext_lazy("Note"),
        help_text=gettext_lazy("Light, card, caliper: what may matter when it is read again."),
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    client_key = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)

    def __init__(self, *args, viewer, **kwargs):
        super().__init__(*args, **kwargs)
        today = timezone.localdate()
        self.fields["standard"].queryset = StandardVersion.objects.in_force(today).order_by(
            "style__position", "style__name"
        )
        self.fields["standard"].label_from_instance = _style_with_tolerance
        branches = Branch.objects.all()
        if not viewer.is_owner:
            branches = branches.filter(pk__in=viewer.headed_branch_ids)
        self.fields["branch"].queryset = branches
        only = branches[:2]
        if len(only) == 1:
            self.initial["branch"] = only[0].pk
            self.fields["branch"].widget = forms.HiddenInput()


def _style_with_tolerance(standard):
    low, high = standard.width_limits_mm
    return _("%(style)s, %(low)s to %(high)s mm wide") % {
        "style": str(standard.style),
        "low": in_figures(low),
        "high": in_figures(high),
    }


class CaliperForm(forms.Form):
    """One reading of every strand by caliper, in the order laid."""

    caliper = forms.ModelChoiceField(
        Instrument.objects.none(),
        label=gettext_lazy("Measured with"),
        required=False,
        empty_label=gettext_lazy("not said"),
    )

    def __init__(self, *args, trial, number, **kwargs):
        read = trial.first_mm if number == 1 else trial.second_mm
        initial = {
            f"width_{place}": in_figures(width)
            for place, width in enumerate(read.tolist(), start=1)
            if width == width
        }
        super().__init__(*args, initial={"caliper": trial.caliper_id, **initial}, **kwargs)
        self.fields["caliper"].queryset = Instrument.objects.filter(
            Q(is_active=True) | Q(pk=trial.caliper_id), kind=Instrument.Kind.CALIPER
        )
        target_mm = float(trial.standard.width_target_mm)
        self.names = [f"width_{place}" for place in range(1, trial.strands + 1)]
        for place, name in enumerate(self.names, start=1):
            self.fields[name] = MeasureField(
                unit="mm",
                # Beyond these it is a slip of the finger: one such value would spoil the trial.
                least=round(target_mm / 3, 1),
                most=round(target_mm * 3, 1),
                label=_("strand %(place)d") % {"place": place},
            )

    @property
    def cells(self):
        """The fields of the strands, each with its place."""
        return [(place, self[name]) for place, name in enumerate(self.names, start=1)]

    @property
    def widths_mm(self):
        """One value for each strand, None for a missing one."""
        typed = (self.cleaned_data[name] for name in self.names)
        return [None if width is None else float(width) for width in typed]


class SeveralFiles(forms.FileInput):
    """A field of files of which several can be chosen."""

    allow_multiple_selected = True


class PhotosField(forms.FileField):
    """Several photos, each checked when it is kept."""

    widget = SeveralFiles

    def clean(self, data, initial=None):
        files = [one for one in data or () if one]
        if not files:
            raise ValidationError(_("Choose a photo."), code="required")
        if len(files) > MOST_AT_ONCE:
            raise ValidationError(
                _("At most %(most)d photos at once; these are %(count)d."),
                params={"most": MOST_AT_ONCE, "count": len(files)},
                code="many",
            )
        return files


class PhotosForm(forms.Form):
    """Photos of a trial, and who took them."""

    photos = PhotosField(
        label=gettext_lazy("Photos of the strands on the card"),
        widget=SeveralFiles(attrs={"accept": "image/*"}),
    )
    taken_by = forms.ModelChoiceField(
        User.objects.none(), label=gettext_lazy("Taken by"), empty_label=None
    )
    bar_mm = MeasureField(
        unit="mm",
        least=LEAST_BAR_MM,
        most=MOST_BAR_MM,
        label=gettext_lazy("Length of the bar on your card, mm"),
        help_text=gettext_lazy("Measured with a ruler. Leave it empty where it is 100 mm."),
    )
    client_key = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)

    def __init__(self, *args, trial, viewer, **kwargs):
        super().__init__(*args, **kwargs)
        self.trial = trial
        people = Q(roles__branch=trial.branch_id) | Q(pk=viewer.pk)
        self.fields["taken_by"].queryset = (
            User.objects.filter(people, is_active=True)
            .distinct()
            .order_by("first_name", "last_name", "pk")
        )
        self.initial["taken_by"] = viewer.pk

    def keep(self):
        """Keep the photos one by one; return how many, and say at the field what was refused."""
        kept, typed = 0, self.cleaned_data
        for place, file in enumerate(typed["photos"]):
            # Each photo of a form that is sent twice is recognised.
            key = uuid.uuid5(typed["client_key"], str(place))
            try:
                add_photograph(
                    self.trial,
                    file,
                    taken_by=typed["taken_by"],
                    client_key=key,
                    # The bar as it should be tells nothing of the printer.
                    bar_mm=None if typed["bar_mm"] in (None, BAR_MM) else float(typed["bar_mm"]),
                )
            except RefusedError as refused:
                why = refusal(refused.reason, refused.found, refused.limit)
                self.add_error("photos", f"{file.name}: {why}")
            except ValidationError as refused:
                self.add_error("photos", refused)
                break
            else:
                kept += 1
        return kept
