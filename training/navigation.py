"""The main navigation: what a person can open, by role."""

from dataclasses import dataclass

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext as _

from training.access import can_see_readiness
from training.security import SHARED_TABLET


@dataclass(frozen=True, slots=True)
class Place:
    """One entry of the navigation."""

    label: str
    url: str
    icon: str
    is_here: bool


def places(request):
    """Return the entries for the signed-in person, in the order of their day."""
    person = request.user
    wanted = [
        (True, _("Today"), reverse("assessments:today"), "today"),
        (True, _("Modules"), reverse("module_index"), "book"),
        (person.is_trainee, _("Batches"), reverse("assessments:batches"), "bowl"),
        (person.is_head_chef, _("Waiting"), reverse("assessments:waiting"), "eye"),
        (
            person.is_head_chef or person.is_owner,
            _("Cooks"),
            reverse("assessments:cooks"),
            "people",
        ),
        (can_see_readiness(person), _("Readiness"), reverse("assessments:readiness"), "board"),
        (person.is_editor or person.is_owner, _("Edit"), reverse("wagtailadmin_home"), "pen"),
    ]
    here = request.path
    today = wanted[0][2]
    return [
        Place(label, url, icon, here == url or (url != today and here.startswith(url)))
        for allowed, label, url, icon in wanted
        if allowed
    ]


def navigation(request):
    """Context processor: ``places`` and, on a shared tablet, the idle time in seconds."""
    if not getattr(request, "user", None) or not request.user.is_authenticated:
        return {}
    if request.path.startswith("/cms/"):
        return {}
    idle_s = settings.SHARED_TABLET_IDLE_S if request.session.get(SHARED_TABLET) else None
    return {"places": places(request), "shared_tablet_idle_s": idle_s}
