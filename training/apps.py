"""The training app: what a cook reads, and the site itself."""

from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _
from wagtail.users.apps import WagtailUsersAppConfig


class TrainingConfig(AppConfig):
    default = True
    name = "training"
    verbose_name = _("The house")

    def ready(self):
        from wagtail.signals import copy_for_translation_done

        from training.groups import allow_translated

        copy_for_translation_done.connect(allow_translated, dispatch_uid="allow_translated")


class PeopleConfig(WagtailUsersAppConfig):
    """Wagtail's users, seen as the people of the house."""

    default = False
    user_viewset = "training.people_admin.PeopleViewSet"
