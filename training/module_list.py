"""The order of learning: the modules by station, with a person's progress and next step."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import Enum

from django.db.models import Exists, OuterRef, Prefetch
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from training.models import ModulePage, ModuleProgress, Station

NOT_STARTED = "state-not_started"


class Needed(Enum):
    """When a module is to be read; the order is that of learning."""

    FIRST = gettext_lazy("read before you practise here")
    SIGN_OFF = gettext_lazy("required before a sign-off")
    LATER = gettext_lazy("when there is time")


@dataclass(frozen=True, slots=True)
class ModuleLine:
    """One module in the list: ``mark`` names the icon, ``words`` say the same."""

    title: str
    url: str
    summary: str
    minutes: int
    needed: Needed
    is_done: bool
    mark: str
    words: str

    @property
    def is_begun(self) -> bool:
        return self.mark != NOT_STARTED


@dataclass(frozen=True, slots=True)
class StationModules:
    """The modules of one station in the order of learning; ``is_mine``: the person practises there.

    Where the person does not, only the station's own modules are listed. ``is_next_above``: what
    is to be read next is that of a station further up.
    """

    name: str
    is_mine: bool
    modules: tuple[ModuleLine, ...]
    is_next_above: bool = False

    @property
    def next(self) -> ModuleLine | None:
        """The first module that is not done, those that are not needed last."""
        return next((one for one in self.modules if not one.is_done), None)

    @property
    def done(self) -> int:
        return sum(one.is_done for one in self.modules)


def module_list(person) -> list[StationModules]:
    """Return all published modules by station in the order of work, with the person's progress."""
    pages = list(ModulePage.objects.in_language())
    progress = {row.module_id: row for row in ModuleProgress.objects.filter(person=person)}
    # Practice belongs to the app above this one; only the name of the relation is known here.
    mine = Station.objects.filter(
        pk=OuterRef("pk"), practices__person=person, practices__ended_on__isnull=True
    )
    stations = Station.objects.annotate(is_mine=Exists(mine)).prefetch_related(
        Prefetch("read_first", ModulePage.objects.only("pk"))
    )
    listed = [
        StationModules(str(station), station.is_mine, _lines(_lessons(station, pages), progress))
        for station in stations
    ]
    return _name_next_once([station for station in listed if station.modules])


def _name_next_once(stations: list[StationModules]) -> list[StationModules]:
    """Mark the stations whose next module the person has met further up on the page."""
    met: set[str] = set()
    marked = []
    for station in stations:
        following = station.next
        marked.append(replace(station, is_next_above=bool(following and following.url in met)))
        if following and station.is_mine:
            met.add(following.url)
    return marked


def _lessons(station, pages) -> list[tuple[Needed, ModulePage]]:
    """Return the modules of a station in the order of learning, with when each is to be read."""
    first = {page.pk for page in station.read_first.all()}
    lessons = [
        (_needed(page, station, first), page)
        for page in pages
        if page.station_id == station.pk or (station.is_mine and page.original_id in first)
    ]
    order = list(Needed)
    # Sorting is stable: what is needed at the same time keeps the order of the list.
    return sorted(lessons, key=lambda lesson: order.index(lesson[0]))


def _needed(page, station, first):
    if page.original_id in first:
        return Needed.FIRST
    return Needed.SIGN_OFF if page.required and station.practised else Needed.LATER


def _lines(lessons: Iterable[tuple[Needed, ModulePage]], progress) -> tuple[ModuleLine, ...]:
    return tuple(_line(page, needed, progress.get(page.original_id)) for needed, page in lessons)


def _line(page, needed, progress):
    mark, words = _standing(page, progress)
    return ModuleLine(
        title=page.title,
        url=page.address,
        summary=page.summary,
        minutes=page.minutes_to_read,
        needed=needed,
        is_done=progress is not None and progress.is_done,
        mark=mark,
        words=words,
    )


def _standing(page, progress):
    """Return the mark and the words of a person's place in a module."""
    if progress is None or not (progress.steps_read or progress.questions_right):
        return NOT_STARTED, _("not started")
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
