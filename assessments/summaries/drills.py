"""Drills: what one asks for, what it shows, and the log of a cook's."""

from dataclasses import dataclass

from django.core.paginator import Page, Paginator
from django.urls import reverse
from django.utils.translation import gettext as _

from assessments.calculations.patterns.findings import (
    BatchFindings,
    Finding,
    SheetReadings,
    StrandReadings,
    find_patterns,
)
from assessments.calculations.patterns.level import Tolerance
from assessments.models import Batch, Drill, Stage
from assessments.summaries.batch import Sheet, Strands
from assessments.summaries.lessons import Lesson, lessons_of
from assessments.summaries.log import (
    StageSheet,
    asked_points,
    available_tools,
    standards_practised,
    usual_batch,
    usual_tool,
)
from assessments.summaries.patterns import last_said
from training.models import StandardVersion

Kind = Drill.Kind

DRILLS_A_PAGE = 20
# So many spreads still fit one line of a phone.
SPREADS_SHOWN = 5
# Beside the evidence stands how many were done in so many days.
RECENT_DAYS = 28
# What a drill asks for, it asks for as this stage of a batch does.
STAGES = {Kind.STRANDS: Stage.Kind.CUT, Kind.SHEET: Stage.Kind.ROLL}


@dataclass(frozen=True, slots=True)
class Choice:
    """A drill to choose: its style and kind, how it is done, and where."""

    standard: StandardVersion
    kind: str
    title: str
    how: str

    @property
    def url(self):
        return f"{reverse('assessments:new_drill')}?style={self.slug}&kind={self.kind}"

    @property
    def slug(self):
        return self.standard.style.slug


@dataclass(frozen=True, slots=True)
class DrillPage:
    """The page on which a drill is typed."""

    choice: Choice
    sheet: StageSheet
    others: tuple[Choice, ...]


@dataclass(frozen=True, slots=True)
class PracticeSet:
    """What to practise: first what the last batch asks for, then every drill there is."""

    lesson: Lesson | None
    first: Choice | None
    choices: tuple[Choice, ...]


@dataclass(frozen=True, slots=True)
class DrillResult:
    """What one drill shows; ``spreads_mm`` are those of the last of its kind, oldest first."""

    drill: Drill
    aim: Tolerance
    strands: Strands | None
    sheet: Sheet | None
    first: Finding | None
    sheet_kinds: tuple[str, ...]
    lessons: tuple[Lesson, ...]
    spreads_mm: tuple[float, ...]
    again: Choice

    @property
    def share(self):
        """Estimated share within the tolerance, 0..100; None where it cannot be told."""
        return None if self.drill.share is None else 100 * self.drill.share


def choices_for(cook) -> tuple[Choice, ...]:
    """Return the drills that ``cook`` can do: both kinds of every style practised."""
    standards = standards_practised(cook).select_related("style")
    return tuple(_choice(standard, kind) for standard in standards for kind in Kind)


def chosen(choices, style, kind) -> Choice | None:
    """Return the choice of this style and kind; "" stands for the first. None without it."""
    return next(
        (one for one in choices if style in ("", one.slug) and kind in ("", one.kind)), None
    )


def drill_page(cook, choice, choices) -> DrillPage:
    """Return the page on which ``cook`` types the values of ``choice``."""
    return DrillPage(
        choice=choice,
        sheet=_asked(cook, choice.standard, choice.kind),
        others=tuple(one for one in choices if one != choice),
    )


def practice_set(cook) -> PracticeSet:
    """Return what ``cook`` may practise; the style of the last batch says what comes first."""
    choices = choices_for(cook)
    usual = usual_batch(cook) if choices else None
    if usual is not None:
        of_style = {one.kind: one for one in choices if one.standard.style_id == usual.style_id}
        # What a result says is told where it is opened first.
        said = [one for one in last_said(cook.pk, usual.style_id, limit=1) if one.is_seen]
        for lesson in lessons_of(said[-1].findings) if said else ():
            # A recipe is practised with a whole dough: there is no drill for it.
            if lesson.drill in of_style:
                return PracticeSet(lesson, of_style[lesson.drill], choices)
    return PracticeSet(None, None, choices)


def drill_log(cook, number) -> Page:
    """Return a page of the drills of ``cook``, newest first."""
    drills = Drill.objects.filter(cook=cook).select_related("style").defer("values", "positions")
    return Paginator(drills, DRILLS_A_PAGE).get_page(number)


def drill_result(drill) -> DrillResult:
    """Return what ``drill`` shows; its standard and style are loaded with it."""
    aim = aim_of(drill.standard, drill.kind)
    strands = _strands(drill, aim) if drill.kind == Kind.STRANDS else None
    sheet = _sheet(drill, aim) if drill.kind == Kind.SHEET else None
    found = _patterns(drill, aim, strands, sheet)
    return DrillResult(
        drill=drill,
        aim=aim,
        strands=strands,
        sheet=sheet,
        first=next(iter(found.findings), None),
        sheet_kinds=found.sheet_kinds,
        lessons=lessons_of(found.findings),
        spreads_mm=_last_spreads_mm(drill),
        again=_choice(drill.standard, drill.kind),
    )


def aim_of(standard, kind) -> Tolerance:
    """Return target and limits of what a drill measures."""
    if kind == Kind.STRANDS:
        (low_mm, high_mm), target_mm = standard.width_limits_mm, standard.width_target_mm
    else:
        (low_mm, high_mm), target_mm = standard.thickness_limits_mm, standard.thickness_target_mm
    return Tolerance(low_mm, float(target_mm), high_mm)


def _choice(standard, kind):
    if kind == Kind.STRANDS:
        count = {"count": standard.strands_to_measure}
        title = _("%(count)d strands only") % count
        how = _(
            "Cut %(count)d strands, one after the other. Lay them side by side in the order of "
            "cutting. Measure each in its middle; let the jaws just touch, for soft dough gives "
            "way."
        )
    else:
        count = {"count": standard.thickness_points}
        title = _("One sheet only")
        how = _(
            "Roll one sheet as for a batch. Let it lie on the bench as it is, and measure it at "
            "%(count)d points, where the fields lie. Let the jaws just touch, for soft dough "
            "gives way."
        )
    return Choice(standard, kind, title, how % count)


def _asked(cook, standard, kind):
    """Return what a drill asks for as the stage of a batch that is never opened."""
    batch = Batch(cook=cook, standard=standard, style=standard.style)
    stage = Stage(batch=batch, kind=STAGES[kind], position=1)
    strands = standard.strands_to_measure
    places = tuple(range(1, strands + 1)) if kind == Kind.STRANDS else ()
    tools = available_tools(batch, stage, {})
    return StageSheet(
        batch=batch,
        stage=stage,
        label="",
        count=1,
        following=None,
        following_label="",
        timer=None,
        points=asked_points(batch, stage, {}, places, None),
        chosen=places,
        wanted=strands if kind == Kind.STRANDS else standard.thickness_points,
        tools=tools,
        tool_id=_usual_tool_id(batch, stage, kind) if tools else None,
        basis="",
        bench=None,
        water=None,
        needs_confirmation=False,
    )


def _usual_tool_id(batch, stage, kind):
    """Return the instrument of the cook's last drill of this kind, else that of a batch."""
    used = Drill.objects.filter(cook=batch.cook_id, kind=kind, instrument__is_active=True)
    return used.values_list("instrument_id", flat=True).first() or usual_tool(batch, stage, {})


def _patterns(drill, aim, strands, sheet) -> BatchFindings:
    """Return what is beyond chance; nothing from an instrument too coarse for a share."""
    sigma_m = drill.repeatability_mm or 0.0
    if drill.share is None:
        return find_patterns()
    if strands is not None:
        return find_patterns(
            StrandReadings(
                positions=strands.places,
                widths_mm=strands.widths_mm,
                tolerance=aim,
                sigma_m=sigma_m,
            )
        )
    return find_patterns(
        sheet=SheetReadings(
            rows=sheet.rows,
            columns=sheet.columns,
            thickness_mm=sheet.thicknesses_mm,
            tolerance=aim,
            sigma_m=sigma_m,
        )
    )


def _strands(drill, aim):
    places = tuple(drill.places.tolist())
    return Strands(
        places=places,
        widths_mm=tuple(drill.array.tolist()),
        total=max(places[-1], drill.standard.strands_to_measure),
        target_mm=aim.target_mm,
        low_mm=aim.low_mm,
        high_mm=aim.high_mm,
    )


def _sheet(drill, aim):
    values = dict(zip(drill.places.tolist(), drill.array.tolist(), strict=True))
    standard = drill.standard
    return Sheet(
        rows=standard.thickness_rows,
        columns=standard.thickness_columns,
        thicknesses_mm=tuple(
            values.get(place) for place in range(1, standard.thickness_points + 1)
        ),
        target_mm=aim.target_mm,
        low_mm=aim.low_mm,
        high_mm=aim.high_mm,
    )


def _last_spreads_mm(drill):
    """Return the spreads of the last drills of this kind up to this one, oldest first."""
    earlier = Drill.objects.filter(
        cook=drill.cook_id, style=drill.style_id, kind=drill.kind, done_at__lte=drill.done_at
    )
    newest_first = earlier.values_list("sd", flat=True)[:SPREADS_SHOWN]
    return tuple(reversed(newest_first))
