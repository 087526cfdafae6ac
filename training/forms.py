"""How forms of the whole site are drawn, and the forms of the modules."""

from django import forms
from django.core.validators import MaxValueValidator
from django.forms.renderers import TemplatesSetting
from django.utils.translation import gettext_lazy as _

from training.models import User
from training.search import words_of


class HouseRenderer(TemplatesSetting):
    """Label, help, control and errors of a field in one order everywhere."""

    field_template_name = "forms/_field.html"


class SearchForm(forms.Form):
    """What somebody looks for in the modules."""

    q = forms.CharField(
        label=_("Look for"),
        max_length=80,
        error_messages={
            "required": _("Type a word: what you see, a tool, a word of the trade."),
            "max_length": _("That is too long. Type a few words."),
        },
        widget=forms.TextInput(attrs={"type": "search", "autocapitalize": "none"}),
    )

    def clean_q(self):
        if not words_of(self.cleaned_data["q"]):
            raise forms.ValidationError(_("Type at least one word with letters."), code="no_word")
        return self.cleaned_data["q"]


class AnswerForm(forms.Form):
    """The answer to a check question, as its place in the list of answers."""

    choice = forms.IntegerField(min_value=0)

    def __init__(self, *args, answers, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["choice"].validators.append(MaxValueValidator(len(answers) - 1))


class DigestForm(forms.ModelForm):
    """Whether a person wants the weekly digest; without an address there is nowhere to send it."""

    class Meta:
        model = User
        fields = ["weekly_digest"]
        labels = {"weekly_digest": _("Send me the weekly digest by mail")}
        help_texts = {
            "weekly_digest": _(
                "Once a week what waits: batches to look at, cooks to decide on, renewals, who is "
                "stuck, the most common faults. Each mail has a link that stops it."
            )
        }

    def clean_weekly_digest(self):
        wanted = self.cleaned_data["weekly_digest"]
        if wanted and not self.instance.email:
            raise forms.ValidationError(
                _(
                    "The house has no mail address of yours. Ask the owner to enter it, then come "
                    "back."
                ),
                code="no_address",
            )
        return wanted
