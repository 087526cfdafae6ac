"""The assessments app: what a cook makes, and what it is worth."""

from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class AssessmentsConfig(AppConfig):
    name = "assessments"
    verbose_name = _("Practice and sign-off")

    def ready(self):
        from assessments.actions.modules import note_module_done
        from training.reading import module_done

        module_done.connect(note_module_done, dispatch_uid="note_module_done")
