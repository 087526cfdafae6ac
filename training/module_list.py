"""The list of modules by station, with a person's progress."""

from dataclasses import dataclass, field
from itertools import groupby

from django.utils.translation import gettext as _

from training.models import ModulePage, ModuleProgress


@dataclass(frozen=True, slots=True)
class ModuleLine:
    """One module in the list: ``mark`` names the icon, ``words`` say the same."""

    title: str
    url: str
    summary: str
    minutes: int
    is_required: bool
    mark: str
    words: str


@dataclass(frozen=True, slots=True)
class StationModules:
    """The modules of one station."""

    name: str
    modules: list[ModuleLine] = field(default_factory=list)


def module_list(person) -> list[StationModules]:
    """Return all published modules by station in the order of work, with the person's progress."""
    pages = ModulePage.objects.live().select_related("station")
    pages = pages.order_by("station__position", "station__name", "path")
    progress = {row.module_id: row for row in ModuleProgress.objects.filter(person=person)}
    return [
        StationModules(station.name, [_line(page, progress.get(page.pk)) for page in group])
        for station, group in groupby(pages, key=lambda page: page.station)
    ]


def _line(page, progress):
    mark, words = _standing(page, progress)
    return ModuleLine(
        title=page.title,
        url=page.address,
        summary=page.summary,
        minutes=page.minutes_to_read,
        is_required=page.required,
        mark=mark,
        words=words,
    )


def _standing(page, progress):
    """Return the mark and the words of a person's place in a module."""
    if progress is None or not (progress.steps_read or progress.questions_right):
        return "state-not_started", _("not started")
    if progress.is_done:
        return "done", _("read and answered")
    if progress.read_at is None:
        return "state-practising", _("%(read)s of %(steps)s steps read") % {
            "read": progress.steps_read,
            "steps": len(page.block_ids("step")),
        }
    return "state-practising", _("read; %(right)s of %(questions)s questions right") % {
        "right": progress.questions_right,
        "questions": len(page.block_ids("question")),
    }
