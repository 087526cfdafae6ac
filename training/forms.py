"""How forms of the whole site are drawn, and the forms of the modules."""

from django import forms
from django.core.validators import MaxValueValidator
from django.forms.renderers import TemplatesSetting
from django.utils.translation import gettext_lazy as _

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
