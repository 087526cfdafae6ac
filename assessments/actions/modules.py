"""What follows when somebody has finished a module, or an editor has changed which there are."""

from django.db import transaction
from django.db.models import Count, OuterRef, Subquery
from django.db.models.functions import Coalesce

from assessments.actions.evidence import refresh_practices
from assessments.models import Event, Practice
from training.models import ModulePage, ModuleProgress


@transaction.atomic
def note_module_done(sender, *, person, module, **kwargs):
    """Bring the person's evidence up to date and write it down; called by ``module_done``."""
    refresh_practices(person)
    Event.record(Event.Verb.MODULE_DONE, actor=person, subject=person, about=module)


def recount_modules() -> int:
    """Count anew, for every practice, the modules asked for and done; return how many practices.

    One statement, because a module that becomes required concerns every cook of its station.
    """
    required = (
        ModulePage.objects.demanded()
        .filter(station=OuterRef("station"))
        .order_by()
        .values("station")
        .annotate(n=Count("pk"))
    )
    done = (
        ModuleProgress.objects.filter(
            person=OuterRef("person"),
            module__in=ModulePage.objects.demanded(),
            module__station=OuterRef("station"),
            read_at__isnull=False,
            answered_at__isnull=False,
        )
        .order_by()
        .values("person")
        .annotate(n=Count("pk"))
    )
    return Practice.objects.filter(ended_on__isnull=True).update(
        modules_required=Coalesce(Subquery(required.values("n")), 0),
        modules_done=Coalesce(Subquery(done.values("n")), 0),
    )
