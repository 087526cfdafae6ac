"""A finding in words: what was found, what to try next time, and the step that mends it.

What to try and where it is taught is common practice of the trade, with no source; it agrees with
what the modules say of the same fault (``training.curriculum.faults``).
"""

import math
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from django.db.models import OuterRef, Subquery
from django.template.defaultfilters import floatformat
from django.utils.functional import Promise
from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext_lazy
from wagtail.models import Page

from assessments.calculations.patterns.findings import Finding, Untested
from assessments.calculations.patterns.history import Change
from training.models import ModulePage
from training.names import listed
from training.summaries import raw_screens

Words = str | Promise

# Below this a length has two decimals: one would say too little.
_SMALL_MM = 0.2
_ONE_POINT = 0.5
_CUTTING, _ROLLING = "folding-and-cutting", "rolling-to-an-even-sheet"
_TILT = (_CUTTING, "cut-tilt")
_GUIDE = (_CUTTING, "cut-guide")
_TURN = (_ROLLING, "roll-turn")
_UNROLL = (_ROLLING, "roll-unroll")
_CORNERS = (_ROLLING, "roll-corners")
_POINTS = (_ROLLING, "roll-points")
_CALIPER = (_ROLLING, "roll-caliper")
_WEIGH = ("mixing-in-the-water", "mix-weigh")
_DENT = ("resting-the-dough", "rest-dent")

# The sheet as it lies on the bench and in the fields of the log, by direction of a pattern.
_TOWARD: Mapping[str, Words] = {
    "left": _("the left edge"),
    "right": _("the right edge"),
    "top": _("the far edge"),
    "bottom": _("the edge near you"),
    "top_left": _("the far left corner"),
    "top_right": _("the far right corner"),
    "bottom_left": _("the near left corner"),
    "bottom_right": _("the near right corner"),
}
# By row and column of nine parts of the sheet.
_WHERE: Sequence[Sequence[Words]] = (
    (_("in the far left corner"), _("at the far edge"), _("in the far right corner")),
    (_("at the left edge"), _("in the middle"), _("at the right edge")),
    (_("in the near left corner"), _("at the edge near you"), _("in the near right corner")),
)
_PARTS: Mapping[str, Words] = {
    "width": _("width"),
    "taper": _("shape of the strands"),
    "thickness": _("thickness"),
    "hydration": _("water"),
    "salt": _("salt"),
    "rest": _("rest"),
}
_DRILLS = {"width": "strands", "taper": "strands", "thickness": "sheet"}
_UNTESTED: Mapping[str, Words] = {
    "too_few": _("too few readings for every test"),
    "no_spread": _("the readings are all alike"),
    "one_sided": _("too few strands with odd numbers, or with even ones"),
    "one_line": _("the points lie in one line"),
    "not_apart": _("points are missing, so that patterns look the same"),
    "too_coarse": _("the instrument is too coarse for this tolerance"),
}


@dataclass(frozen=True, slots=True)
class Lesson:
    """A finding in words, with the step that mends it.

    ``step_title`` and ``drawing`` are empty where the house has taken the step out of the module,
    which is linked then; all of the last four where the module is not published.
    """

    finding: Finding
    says: str
    title: str
    try_next: str
    step_title: str = ""
    step_url: str = ""
    module_title: str = ""
    drawing: str = ""

    @property
    def drill(self) -> str:
        """Which drill practises it: ``'strands'``, ``'sheet'`` or none for a recipe."""
        return _DRILLS.get(self.finding.part, "")

    @property
    def costs(self) -> tuple[str, ...]:
        """How large and how sure it is, and what the batch would score without it."""
        return tuple(_costs(self.finding))


@dataclass(frozen=True, slots=True)
class _Told:
    """What is said of a kind of finding; ``says`` is filled with size and place."""

    title: Words
    says: Words
    try_next: Words
    step: tuple[str, str]


_HALF_ROUND = _("Turn the sheet half round, and roll the thick corner from the middle out.")
_SQUARE = _("Stand square to the bench, with both hands equally far from the ends of the pin.")
_BOTH_WAYS = _("Press the same away from you and toward you, and turn the sheet more often.")
_THICKER = _("Thicker toward %(toward)s, by %(size)s.")
_STOP_AND_CHECK = _("Stop every few fingers of width, check one strand, and set your feet again.")
_BEAT = _("Count a slow, even beat, and watch the move of the guide, not the cut.")
_SET_ANEW = _("When you move your hand or your feet, set the guide anew and check one strand.")
_AT_THE_FENCE = _("Before each cut, look that the whole blade stands against the fence.")
_SQUARE_GUIDE = _("Set the guide square to the folds, spread your fingers and hold it still.")
_WHOLE_BLADE = _("Push the guide with the whole blade, not with its tip or its heel.")
_QUARTER = _(
    "Turn the sheet a quarter each time you unroll it, so that it grows the same both ways."
)
_EACH_CORNER = _("Roll toward each corner in turn, and ease off as you come near its tip.")
_WEIGH_WATER = _("Weigh the water in its own glass, check the bench sheet, and say it aloud.")
_WEIGH_SALT = _("Weigh the salt in its own dish, check the bench sheet, and say it aloud.")

_TOLD: Mapping[tuple[str, str, str], _Told] = {
    ("width", "drift", "wider"): _Told(
        _("Drift: wider toward the end"),
        _("The strands get wider from the first cut to the last, by %(size)s."),
        _STOP_AND_CHECK,
        _TILT,
    ),
    ("width", "drift", "narrower"): _Told(
        _("Drift: narrower toward the end"),
        _("The strands get narrower from the first cut to the last, by %(size)s."),
        _STOP_AND_CHECK,
        _TILT,
    ),
    ("width", "alternation", "odd"): _Told(
        _("Every second strand wide"),
        _("Every second strand is wide: the first, the third and so on, by %(size)s."),
        _BEAT,
        _TILT,
    ),
    ("width", "alternation", "even"): _Told(
        _("Every second strand wide"),
        _("Every second strand is wide: the second, the fourth and so on, by %(size)s."),
        _BEAT,
        _TILT,
    ),
    ("width", "step", "wider"): _Told(
        _("Step: suddenly wider"),
        _("The strands after number %(place)s are wider than those before, by %(size)s."),
        _SET_ANEW,
        _GUIDE,
    ),
    ("width", "step", "narrower"): _Told(
        _("Step: suddenly narrower"),
        _("The strands after number %(place)s are narrower than those before, by %(size)s."),
        _SET_ANEW,
        _GUIDE,
    ),
    ("width", "neighbours", "alike"): _Told(
        _("Width comes in waves"),
        _("Wide strands lie beside wide ones, narrow beside narrow: about %(size)s apart."),
        _("Keep one beat and the same light hold on the guide all through the cut."),
        _TILT,
    ),
    ("width", "neighbours", "opposed"): _Told(
        _("Wide, then narrow"),
        _("After a wide strand mostly comes a narrow one: about %(size)s apart."),
        _("Do not make up for one strand with the next: move the guide the same each time."),
        _TILT,
    ),
    ("width", "groups", "apart"): _Told(
        _("Two widths in one cut"),
        _("There are two widths, %(size)s apart: %(narrow)s strands are narrow, %(wide)s wide."),
        _("Choose one way to hold and move the guide, and keep to it up to the last strand."),
        _TILT,
    ),
    ("width", "outliers", "wide"): _Told(
        _("A few far too wide"),
        ngettext_lazy(
            "Strand %(places)s is far too wide: %(size)s off the others.",
            "Strands %(places)s are far too wide: up to %(size)s off the others.",
            "number",
        ),
        _AT_THE_FENCE,
        _GUIDE,
    ),
    ("width", "outliers", "narrow"): _Told(
        _("A few far too narrow"),
        ngettext_lazy(
            "Strand %(places)s is far too narrow: %(size)s off the others.",
            "Strands %(places)s are far too narrow: up to %(size)s off the others.",
            "number",
        ),
        _AT_THE_FENCE,
        _GUIDE,
    ),
    ("width", "outliers", "both"): _Told(
        _("A few far off"),
        _("Strands %(places)s are far too wide or too narrow: up to %(size)s off the others."),
        _AT_THE_FENCE,
        _GUIDE,
    ),
    ("width", "off_target", "above"): _Told(
        _("Too wide throughout"),
        _("On average %(size)s too wide."),
        _("Cut one strand, measure it, and move the guide less before you go on."),
        _TILT,
    ),
    ("width", "off_target", "below"): _Told(
        _("Too narrow throughout"),
        _("On average %(size)s too narrow."),
        _("Cut one strand, measure it, and move the guide further before you go on."),
        _TILT,
    ),
    ("width", "uneven", "above"): _Told(
        _("Uneven widths"),
        _("The widths are uneven: their spread is %(size)s over that of an even hand."),
        _("Take your time: one slow beat, and the same move of the guide for every strand."),
        _TILT,
    ),
    ("taper", "wedge", "first"): _Told(
        _("Wedge: one end wide"),
        _("The strands are wider at one end than at the other, by %(size)s."),
        _SQUARE_GUIDE,
        _GUIDE,
    ),
    ("taper", "wedge", "last"): _Told(
        _("Wedge: one end wide"),
        _("The strands are wider at one end than at the other, by %(size)s."),
        _SQUARE_GUIDE,
        _GUIDE,
    ),
    ("taper", "fan", "first"): _Told(
        _("Fan: wide ends by turns"),
        _("The wide end changes sides from strand to strand, by %(size)s."),
        _WHOLE_BLADE,
        _GUIDE,
    ),
    ("taper", "fan", "last"): _Told(
        _("Fan: wide ends by turns"),
        _("The wide end changes sides from strand to strand, by %(size)s."),
        _WHOLE_BLADE,
        _GUIDE,
    ),
    ("thickness", "tilt", "left"): _Told(_("Thick on the left"), _THICKER, _SQUARE, _TURN),
    ("thickness", "tilt", "right"): _Told(_("Thick on the right"), _THICKER, _SQUARE, _TURN),
    ("thickness", "tilt", "top"): _Told(_("Thick at the far edge"), _THICKER, _BOTH_WAYS, _TURN),
    ("thickness", "tilt", "bottom"): _Told(
        _("Thick at the near edge"), _THICKER, _BOTH_WAYS, _TURN
    ),
    ("thickness", "tilt", "top_left"): _Told(
        _("Thick far left corner"), _THICKER, _HALF_ROUND, _TURN
    ),
    ("thickness", "tilt", "top_right"): _Told(
        _("Thick far right corner"), _THICKER, _HALF_ROUND, _TURN
    ),
    ("thickness", "tilt", "bottom_left"): _Told(
        _("Thick near left corner"), _THICKER, _HALF_ROUND, _TURN
    ),
    ("thickness", "tilt", "bottom_right"): _Told(
        _("Thick near right corner"), _THICKER, _HALF_ROUND, _TURN
    ),
    ("thickness", "bowl", "thick"): _Told(
        _("Thick in the middle"),
        _("Thick in the middle and thin at the corners: %(size)s between them."),
        _("Start each stroke in the middle, and ease off as you come near the edge."),
        (_ROLLING, "roll-centre"),
    ),
    ("thickness", "bowl", "thin"): _Told(
        _("Thick rim, thin middle"),
        _("Thin in the middle and thick at the corners: %(size)s between them."),
        _("Roll the last part of each stroke out to the rim with light weight, on all sides."),
        _UNROLL,
    ),
    ("thickness", "ridge_along_rows", "thick"): _Told(
        _("Ridge from left to right"),
        _("A thick ridge runs from left to right through the middle, %(size)s high."),
        _("Turn the sheet a quarter before the last strokes, and roll along the ridge."),
        _UNROLL,
    ),
    ("thickness", "ridge_along_rows", "thin"): _Told(
        _("Hollow from left to right"),
        _("A thin strip runs from left to right through the middle, %(size)s deep."),
        _("Set the pin down lightly, and turn the sheet a quarter more often."),
        _UNROLL,
    ),
    ("thickness", "ridge_along_columns", "thick"): _Told(
        _("Ridge from far to near"),
        _("A thick ridge runs from far to near through the middle, %(size)s high."),
        _("Lay your hands nearer to the middle of the pin, and turn the sheet more often."),
        _UNROLL,
    ),
    ("thickness", "ridge_along_columns", "thin"): _Told(
        _("Hollow from far to near"),
        _("A thin strip runs from far to near through the middle, %(size)s deep."),
        _("Lay your hands further apart on the pin, and turn the sheet more often."),
        _UNROLL,
    ),
    ("thickness", "saddle", "left_right"): _Told(
        _("Thick left and right"),
        _("Thick at the left and right edges, thin far and near: %(size)s between them."),
        _QUARTER,
        _UNROLL,
    ),
    ("thickness", "saddle", "top_bottom"): _Told(
        _("Thick far and near"),
        _("Thick at the far and near edges, thin left and right: %(size)s between them."),
        _QUARTER,
        _UNROLL,
    ),
    ("thickness", "saddle", "falling"): _Told(
        _("Thick far left, near right"),
        _("Thick in the far left and near right corners, thin in the others: by %(size)s."),
        _EACH_CORNER,
        _CORNERS,
    ),
    ("thickness", "saddle", "rising"): _Told(
        _("Thick far right, near left"),
        _("Thick in the far right and near left corners, thin in the others: by %(size)s."),
        _EACH_CORNER,
        _CORNERS,
    ),
    ("thickness", "spot", "thick"): _Told(
        _("One thick spot"),
        _("One spot %(where)s is too thick: %(size)s more than the rest."),
        _("Pinch the sheet at all points before you stop, and roll only the thick places."),
        _POINTS,
    ),
    ("thickness", "spot", "thin"): _Told(
        _("One thin spot"),
        _("One spot %(where)s is too thin: %(size)s less than the rest."),
        _("Pinch the sheet at all points before you stop, and roll away from thin places."),
        _POINTS,
    ),
    ("thickness", "off_target", "above"): _Told(
        _("Too thick throughout"),
        _("On average %(size)s too thick."),
        _("Measure one point before you fold the sheet, and roll on until it is right."),
        _CALIPER,
    ),
    ("thickness", "off_target", "below"): _Told(
        _("Too thin throughout"),
        _("On average %(size)s too thin."),
        _("Measure one point sooner, and stop as soon as it is right."),
        _CALIPER,
    ),
    ("thickness", "uneven", "above"): _Told(
        _("Uneven thickness"),
        _("The sheet is uneven: its spread is %(size)s over that of an even hand."),
        _("Count your strokes, so that each turn of the sheet gets the same."),
        (_ROLLING, "roll-wind"),
    ),
    ("hydration", "off_recipe", "above"): _Told(
        _("Too much water"),
        _("Too much water: %(size)s for each 100 g of flour and starch."),
        _WEIGH_WATER,
        _WEIGH,
    ),
    ("hydration", "off_recipe", "below"): _Told(
        _("Too little water"),
        _("Too little water: %(size)s short for each 100 g of flour and starch."),
        _WEIGH_WATER,
        _WEIGH,
    ),
    ("salt", "off_recipe", "above"): _Told(
        _("Too much salt"),
        _("Too much salt: %(size)s for each 100 g of flour and starch."),
        _WEIGH_SALT,
        _WEIGH,
    ),
    ("salt", "off_recipe", "below"): _Told(
        _("Too little salt"),
        _("Too little salt: %(size)s short for each 100 g of flour and starch."),
        _WEIGH_SALT,
        _WEIGH,
    ),
    ("rest", "off_recipe", "above"): _Told(
        _("Rest too long"),
        _("The dough rested longer than planned, by %(size)s."),
        _("Press a dent when the timer ends, and go on at once if it comes back slowly."),
        _DENT,
    ),
    ("rest", "off_recipe", "below"): _Told(
        _("Rest too short"),
        _("The dough rested less than planned, by %(size)s."),
        _("Press a dent before you go on: if it jumps back, cover the dough and wait."),
        _DENT,
    ),
}

# Where nothing else of the part was found, bias and spread are two lessons.
_ALONE: Mapping[tuple[str, str, str], Words] = {
    ("width", "off_target", "above"): _("Even, but %(size)s too wide throughout."),
    ("width", "off_target", "below"): _("Even, but %(size)s too narrow throughout."),
    ("width", "uneven", "above"): _(
        "Right on average, but uneven: the spread is %(size)s over that of an even hand."
    ),
    ("thickness", "off_target", "above"): _("Even, but %(size)s too thick throughout."),
    ("thickness", "off_target", "below"): _("Even, but %(size)s too thin throughout."),
    ("thickness", "uneven", "above"): _(
        "Right on average, but uneven: the spread is %(size)s over that of an even hand."
    ),
}


def lessons_of(findings: Iterable[Finding]) -> tuple[Lesson, ...]:
    """Return the findings of one batch in words, in their order, at one query for all steps."""
    found = tuple(findings)
    steps = steps_of({mending_step(*_key(finding)) for finding in found})
    return tuple(
        Lesson(
            finding,
            lesson_says(finding, beside=found),
            lesson_title(*_key(finding)),
            try_next(*_key(finding)),
            **steps.get(mending_step(*_key(finding)), {}),
        )
        for finding in found
    )


def lesson_title(part: str, kind: str, direction: str) -> str:
    """Return a name of two to five words; what is mended alike may have one name."""
    return str(_TOLD[part, kind, direction].title)


def try_next(part: str, kind: str, direction: str) -> str:
    """Return the one sentence to try next time."""
    return str(_TOLD[part, kind, direction].try_next)


def mending_step(part: str, kind: str, direction: str) -> tuple[str, str]:
    """Return short name of the module and drawing of the step that mend it."""
    return _TOLD[part, kind, direction].step


def lesson_says(finding: Finding, *, beside: Collection[Finding] = ()) -> str:
    """Say what was found and how large it is.

    ``beside`` are all findings of the batch: a batch that is off is called even, and one that is
    uneven right on average, only where they tell of nothing else in this part.
    """
    others = {other.kind for other in beside if other.part == finding.part} - {finding.kind}
    taper = any(other.part == "taper" for other in beside) and finding.part == "width"
    words: Words = _TOLD[_key(finding)].says
    if beside and not others and not taper:
        words = _ALONE.get(_key(finding), words)
    return words % (_places(finding) | {"size": told_size(finding.size, finding.unit)})


def change_says(
    finding: Finding, change: Change | None, *, found_again: bool, was_tried: bool
) -> str:
    """Say whether the pattern of an earlier batch has changed; only what was tried can help."""
    if change is None:
        return str(
            _("It came up again.")
            if found_again
            else _("It did not come up this time. One batch alone cannot show that it is gone.")
        )
    if change.verdict == "cannot_tell":
        words = _("Cannot tell yet: from %(before)s to %(now)s may be chance.")
    elif change.verdict == "worse":
        words = _("It got worse: from %(before)s to %(now)s.")
    elif change.now < 0 and change.verdict == "better":
        words = _("It turned round: from %(before)s to %(now)s the other way.")
    elif was_tried:
        words = _("It helped: from %(before)s to %(now)s.")
    else:
        words = _("It got smaller: from %(before)s to %(now)s.")
    if finding.kind == "uneven":
        # Kept as the logarithm of the spread over that of an even hand.
        told = {
            name: _("%(times)s times the spread of an even hand")
            % {"times": floatformat(math.exp(value), 1)}
            for name, value in (("before", change.before), ("now", change.now))
        }
    else:
        told = {
            "before": told_size(change.before, finding.unit),
            "now": told_size(abs(change.now), finding.unit),
        }
    if change.verdict == "cannot_tell" and told["before"] == told["now"]:
        words = _("It is as before: %(now)s.")
    return words % told


def untested_says(untested: Iterable[Untested]) -> tuple[str, ...]:
    """Say what was not looked for and why, once for each part and reason."""
    reasons = dict.fromkeys((one.part, one.reason) for one in untested)
    return tuple(
        _("%(part)s: %(reason)s.")
        % {"part": capfirst(str(_PARTS[part])), "reason": _UNTESTED[reason]}
        for part, reason in reasons
    )


def told_size(size: float, unit: str) -> str:
    """Return a size of a finding with its unit as a cook would read it."""
    if unit == "points":
        return _("%(size)s g") % {"size": floatformat(size, 1)}
    if unit == "min":
        return _("%(size)s min") % {"size": floatformat(size, 0)}
    told = floatformat(round(size, 2), -2) if size < _SMALL_MM else floatformat(size, 1)
    return _("%(size)s mm") % {"size": told}


def _key(finding: Finding) -> tuple[str, str, str]:
    return finding.part, finding.kind, finding.direction


def _costs(finding: Finding) -> Iterator[str]:
    yield _("It makes %(percent)s %% of the tolerance to one side.") % {
        "percent": floatformat(100 * finding.of_tolerance, 0)
    }
    if finding.p is None:
        yield str(_("It is read off clock or scale: chance does not come in."))
    else:
        yield _("Chance alone makes this in %(cases)s of 1000 even batches.") % {
            # Never none: chance can make anything.
            "cases": max(1, math.ceil(1000 * finding.p - 1e-9))
        }
    if finding.score_points >= _ONE_POINT:
        yield _("Without it the score would be about %(points)s higher.") % {
            "points": floatformat(finding.score_points, 0)
        }
    elif finding.part == "taper":
        yield str(_("The score knows the mean width of a strand only, so this costs no points."))
    elif finding.part_points >= _ONE_POINT:
        yield _(
            "Without it this part would be about %(points)s of 100 better; the score hangs on "
            "another part."
        ) % {"points": floatformat(finding.part_points, 0)}
    else:
        yield str(_("It costs no points in this batch."))


def _places(finding: Finding) -> dict[str, object]:
    """Return what the words of a finding name beside its size."""
    at = finding.places
    if finding.kind == "tilt":
        return {"toward": _TOWARD[finding.direction]}
    if finding.kind == "spot":
        return {"where": _WHERE[_third(at[1])][_third(at[0])]}
    if finding.kind == "step":
        return {"place": int(at[0])}
    if finding.kind == "groups":
        return {"narrow": int(at[0]), "wide": int(at[1])}
    if finding.kind == "outliers":
        return {"places": listed(int(place) for place in at), "number": len(at)}
    return {}


def _third(place: float) -> int:
    """Return which third of the sheet, 0 to 2, a place from -1 to 1 lies in."""
    return min(2, int((place + 1) * 1.5))


def steps_of(wanted: Collection[tuple[str, str]]) -> dict[tuple[str, str], dict[str, str]]:
    """Return title and address of each step, in the reader's language, as a ``Lesson`` has them."""
    if not wanted:
        return {}
    # A page in another language may have a short name of its own; the original's is known here.
    original = Page.objects.filter(pk=OuterRef("original_id"))
    pages = (
        ModulePage.objects.in_language()
        .annotate(original_slug=Subquery(original.values("slug")[:1]))
        .filter(original_slug__in={slug for slug, _drawing in wanted})
    )
    return {
        (page.original_slug, drawing): _step(page, drawing)
        for page in pages
        for slug, drawing in wanted
        if slug == page.original_slug
    }


def _step(page, drawing: str) -> dict[str, str]:
    """Return where a page shows the step with this drawing; the page alone where it has none."""
    for screen in raw_screens(page):
        if screen.kind == "step" and screen.main.value.get("drawing") == drawing:
            return {
                "step_title": screen.main.value["title"],
                "step_url": f"{page.address}#{screen.anchor}",
                "module_title": page.title,
                "drawing": drawing,
            }
    return {"step_url": page.address, "module_title": page.title}
