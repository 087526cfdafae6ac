"""The questions that a person missed, and which of them come back today."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Min, Q, Subquery
from django.db.models.functions import Least
from django.utils import timezone

from training.models import CheckAnswer, MissedQuestion, ModulePage
from training.spacing import MOST_A_DAY, Place, after_answer
from training.summaries import Item

# Enough to find a day's questions among those that an editor has taken out since.
_LOOKED_AT = 40


@dataclass(frozen=True, slots=True)
class Again:
    """A question that comes back, with its module."""

    page: ModulePage
    item: Item


@dataclass(frozen=True, slots=True)
class AgainToday:
    """The questions of a day: those still to answer, and those answered today with their reason."""

    lines: tuple[Again, ...]
    later: int
    next_on: date | None

    @property
    def left(self) -> int:
        return sum(not line.item.is_answered for line in self.lines)


def note_answer(person, module_id, question_id, *, correct, today=None) -> None:
    """Move a question on after an answer: into the first box, to the next one, or out.

    ``module_id`` is that of the original, for a module that is there in several languages.
    """
    today = today or timezone.localdate()
    mine = MissedQuestion.objects.filter(person=person, module=module_id, question_id=question_id)
    row = mine.select_for_update().first()
    place = Place(row.box, row.due_on) if row else None
    moved = after_answer(place, correct=correct, today=today)
    if moved is None:
        return
    row = row or MissedQuestion(person=person, module_id=module_id, question_id=question_id)
    if place and place.is_due(today):
        row.asked_on = today
    if not correct:
        row.times_missed += 1
        row.missed_on = today
    row.box, row.due_on = moved.box, moved.due_on
    row.save()


def due_today(person, *, today=None):
    """Return an expression for any query: how many questions ``person`` has left today, or NULL.

    Never above `MOST_A_DAY`, what was answered today counted in; below zero where nothing is left.
    """
    today = today or timezone.localdate()
    counts = (
        MissedQuestion.objects.filter(person=person, module__live=True)
        .order_by()
        .values("person")
        .annotate(
            left=Least(
                Count("pk", filter=Q(due_on__lte=today)),
                MOST_A_DAY - Count("pk", filter=Q(asked_on=today)),
            )
        )
    )
    return Subquery(counts.values("left"))


def again_today(person, *, empty="", today=None) -> AgainToday:
    """Return the questions of the day; ``empty`` is one that was sent without an answer."""
    today = today or timezone.localdate()
    mine = MissedQuestion.objects.filter(person=person)
    rows = list(
        mine.filter(Q(due_on__lte=today) | Q(asked_on=today)).order_by("due_on", "pk")[:_LOOKED_AT]
    )
    asked = [row for row in rows if row.asked_on == today]
    due = [row for row in rows if row.asked_on != today]
    modules = ModulePage.objects.in_language().filter(
        original_id__in={row.module_id for row in rows}
    )
    pages = {page.original_id: page for page in modules}
    answers = _latest_answers(person, asked, today)
    blocks = {
        (module_id, block.id): block
        for module_id, page in pages.items()
        for block in page.body
        if block.block_type == "question"
    }
    # One that an editor has taken out since is passed over.
    due = [row for row in due if _key(row) in blocks][: max(0, MOST_A_DAY - len(asked))]
    rest = mine.filter(due_on__gt=today).aggregate(count=Count("pk"), next_on=Min("due_on"))
    return AgainToday(
        lines=tuple(
            Again(pages[row.module_id], _item(blocks[_key(row)], answers, empty))
            for row in [*asked, *due]
            if _key(row) in blocks
        ),
        later=rest["count"],
        next_on=rest["next_on"],
    )


def prompts_of(body) -> dict[str, str]:
    """Return the check questions of a module's body by their ids."""
    return {raw["id"]: raw["value"]["prompt"] for raw in body.raw_data if raw["type"] == "question"}


def _key(row):
    return row.module_id, str(row.question_id)


def _latest_answers(person, rows, today) -> Mapping[str, tuple[int, bool]]:
    """Return today's last answer to each of these questions."""
    answers = CheckAnswer.objects.filter(
        person=person, question_id__in=[row.question_id for row in rows], answered_at__date=today
    ).order_by("answered_at", "pk")
    return {str(one.question_id): (one.choice, one.correct) for one in answers}


def _item(block, answers, empty):
    latest, is_right = answers.get(block.id, (None, False))
    return Item(
        block=block,
        latest=latest,
        is_right=is_right,
        was_right=is_right,
        is_empty=bool(empty) and block.id == empty,
    )
