"""Forms by which a head chef judges."""

import uuid

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.text import capfirst
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from assessments.actions.sign_off import DECISIONS, OBSERVATION_LATEST_DAYS
from assessments.models import Batch, Observation, Practice, Review
from training.models import Branch, Station, Style


class AssessForm(forms.Form):
    """A form whose action may refuse: its reasons are shown where they belong."""

    def attempt(self, action, *args, **kwargs):
        """Call ``action`` with the cleaned data; return its result, or None and show why not."""
        try:
            return action(*args, **kwargs, **self.cleaned_data)
        except ValidationError as refused:
            at_fields = getattr(refused, "error_dict", {None: refused})
            for name, errors in at_fields.items():
                self.add_error(name if name in self.fields else None, errors)
            return None


def posted(request):
    """Return what was sent, or None where the form is only to be shown."""
    return request.POST if request.method == "POST" else None


def request_key_field():
    """Return the hidden field by which a form that is sent twice is recognised."""
    return forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)


def password_field():
    """Return the field that asks for one's own password again."""
    return forms.CharField(
        label=_("Your own password"),
        help_text=_("Asked again, so that nobody signs on a tablet that you left."),
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )


class ReviewForm(AssessForm):
    """What a head chef decides about one batch."""

    decision = forms.ChoiceField(label=_("Your decision"), widget=forms.RadioSelect)
    note = forms.CharField(
        label=_("A word to the cook"),
        help_text=_("Needed for everything but “agreed”: what should change next time?"),
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    WORDS = {
        Review.Decision.AGREED: _("Agreed: it counts as it is"),
        Review.Decision.ANOTHER: _("Another batch, please"),
        Review.Decision.EXCUSED: _("Excuse it: it is left out of the evidence"),
    }
    GIVEN_UP_WORDS = {**WORDS, Review.Decision.ANOTHER: _("It counts as given up: another batch")}

    def __init__(self, *args, batch, **kwargs):
        super().__init__(*args, **kwargs)
        words = self.GIVEN_UP_WORDS if batch.state == Batch.State.ABANDONED else self.WORDS
        self.fields["decision"].choices = [(name, words[name]) for name in DECISIONS[batch.state]]


class ObservationForm(AssessForm):
    """What a head chef saw at the bench."""

    NOT_SEEN = ("", _("not seen"))

    request_key = request_key_field()
    batch = forms.ModelChoiceField(
        queryset=Batch.objects.none(), required=False, widget=forms.HiddenInput
    )
    observed_on = forms.DateField(
        label=_("Seen on"),
        initial=timezone.localdate,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    note = forms.CharField(
        label=_("What you saw"),
        help_text=_("Short, and so that the cook can act on it."),
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 4}),
    )

    HELP = {
        "handling": _("Dough, rolling pin, knife and strands under the hands."),
        "bench_order": _("Clear, in the order of the work, nothing in the way."),
        "hygiene": _("Hands, clothes, boards, cloths, and what stands open."),
        "knife_safety": _("Knife, boiling water, wet floor, what is carried through the kitchen."),
    }

    def __init__(self, *args, practice, **kwargs):
        super().__init__(*args, **kwargs)
        for name in Observation.CRITERIA:
            self.fields[name] = self.criterion(name)
        self.fields["observed_on"].help_text = gettext(
            "Today or one of the last %(days)d days."
        ) % {"days": OBSERVATION_LATEST_DAYS}
        self.fields["batch"].queryset = Batch.objects.filter(
            cook=practice.person_id, style=practice.style_id
        )
        self.order_fields([*Observation.CRITERIA, "observed_on", "note"])

    def criterion(self, name):
        """Return the field of one criterion, best first; safety must have been looked at."""
        model_field = Observation._meta.get_field(name)
        must = name in Observation.SAFETY_CRITERIA
        ratings = list(reversed(Observation.Rating.choices))
        return forms.TypedChoiceField(
            label=capfirst(str(model_field.verbose_name)),
            help_text=self.HELP[name],
            choices=ratings if must else [*ratings, self.NOT_SEEN],
            coerce=int,
            empty_value=None,
            required=must,
            initial=None if must else "",
            widget=forms.RadioSelect,
            error_messages={"required": _("Look at this too, and say how it was met.")},
        )


class SignForm(AssessForm):
    """The decision that a cook may hold a station alone."""

    request_key = request_key_field()
    seen_missing = forms.CharField(required=False, widget=forms.HiddenInput)
    override_reason = forms.CharField(
        label=_("Sign without the full evidence: your reason"),
        help_text=_(
            "Leave it empty to wait for the evidence. With a reason, the sign-off is shown for "
            "ever as given without the full evidence."
        ),
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    password = password_field()

    def __init__(self, *args, is_complete, **kwargs):
        super().__init__(*args, **kwargs)
        if is_complete:
            del self.fields["override_reason"]

    def clean_seen_missing(self):
        return tuple(code for code in self.cleaned_data["seen_missing"].split(",") if code)

    def look_again(self, missing_codes):
        """Let the next try rest on what is missing now."""
        self.data = self.data.copy()
        self.data["seen_missing"] = ",".join(missing_codes)


class WithdrawForm(AssessForm):
    """The decision that a sign-off no longer holds."""

    reason = forms.CharField(
        label=_("Reason"),
        help_text=_("The cook and the owner read it. It is kept for ever."),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 4}),
        error_messages={"required": _("Say why: the cook and the owner read it.")},
    )
    password = password_field()


class EnterPracticeForm(AssessForm):
    """Which style a cook practises at which station."""

    style = forms.ModelChoiceField(
        label=_("Style"), queryset=Style.objects.all(), empty_label=_("Choose a style")
    )
    station = forms.ModelChoiceField(
        label=_("Station"),
        queryset=Station.objects.practised(),
        empty_label=_("Choose a station"),
    )


class EndPracticeForm(AssessForm):
    """Which practice of a cook has come to its end."""

    practice = forms.ModelChoiceField(queryset=Practice.objects.none(), widget=forms.HiddenInput)

    def __init__(self, *args, cook, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["practice"].queryset = Practice.objects.filter(person=cook)


class CookFilterForm(forms.Form):
    """Which cooks to list."""

    q = forms.CharField(label=_("Name"), required=False, max_length=80)
    branch = forms.ModelChoiceField(
        label=_("Branch"),
        queryset=Branch.objects.none(),
        required=False,
        empty_label=_("All branches"),
    )

    def __init__(self, *args, viewer, **kwargs):
        super().__init__(*args, **kwargs)
        if viewer.is_owner:
            self.fields["branch"].queryset = Branch.objects.all()
        elif len(viewer.headed_branch_ids) > 1:
            self.fields["branch"].queryset = Branch.objects.filter(pk__in=viewer.headed_branch_ids)
        else:
            del self.fields["branch"]
