"""The form that brings in a file of readings."""

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from assessments.actions.import_readings import home_branch, import_readings
from assessments.actions.import_reasons import file_reason
from assessments.calculations.import_rows import FileRefused, check_size
from training.models import User


class ImportForm(forms.Form):
    """Whose readings, from which file, and what happens when a row is refused."""

    ALL_OR_NOTHING = "all_or_nothing"
    KEEP_GOOD = "keep_good"

    cook = forms.ModelChoiceField(
        User.objects.none(), label=_("Cook"), empty_label=_("Choose a cook")
    )
    file = forms.FileField(
        label=_("File of readings"),
        help_text=_("A CSV file, at most 5 MB and 100,000 rows."),
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": ".csv,text/csv"}),
    )
    on_fault = forms.ChoiceField(
        label=_("When a row is refused"),
        choices=[
            (ALL_OR_NOTHING, _("Keep nothing: I correct the file and choose it again")),
            (KEEP_GOOD, _("Keep the good rows and tell me the others")),
        ],
        initial=ALL_OR_NOTHING,
        widget=forms.RadioSelect,
    )

    def __init__(self, *args, viewer, **kwargs):
        super().__init__(*args, **kwargs)
        self.viewer = viewer
        if viewer.is_head_chef:
            self.fields["cook"].queryset = cooks_for(viewer)
        else:
            del self.fields["cook"]

    def clean_file(self):
        file = self.cleaned_data["file"]
        try:
            check_size(file.size)
        except FileRefused as refused:
            raise ValidationError(file_reason(refused), code=refused.fault.value) from refused
        return file

    @property
    def person(self):
        """The cook whose readings these are: the one chosen, or the viewer."""
        return self.cleaned_data.get("cook", self.viewer)

    def bring_in(self):
        """Read the file; return the report, or None with the reason at the file."""
        file = self.cleaned_data["file"]
        try:
            return import_readings(
                file.read(),
                file_name=file.name,
                cook=self.person,
                branch=home_branch(self.person, self.viewer),
                by=self.viewer,
                keep_good=self.cleaned_data["on_fault"] == self.KEEP_GOOD,
            )
        except ValidationError as refused:
            self.add_error(None, refused)
            return None


def cooks_for(viewer):
    """Return the cooks of the viewer's branches, and the viewer who practises."""
    cooks = Q(roles__kind="trainee", roles__branch__in=viewer.headed_branch_ids)
    if viewer.is_trainee:
        cooks |= Q(pk=viewer.pk)
    return User.objects.filter(cooks, is_active=True).distinct().order_by("first_name", "last_name")
