"""How forms of the whole site are drawn, and the one form of the modules."""

from django import forms
from django.core.validators import MaxValueValidator
from django.forms.renderers import TemplatesSetting


class HouseRenderer(TemplatesSetting):
    """Label, help, control and errors of a field in one order everywhere."""

    field_template_name = "forms/_field.html"


class AnswerForm(forms.Form):
    """The answer to a check question, as its place in the list of answers."""

    choice = forms.IntegerField(min_value=0)

    def __init__(self, *args, answers, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["choice"].validators.append(MaxValueValidator(len(answers) - 1))
