"""What one batch says: its patterns, the one that costs most first, each beyond chance.

An even, random batch brings up anything at all in at most 5 of 100, over all tests made on it
together (`null`). Where something is found it is taken out, and what is left is tested again,
so that one pattern does not hide or feign another; that a second finding is one too many has
again a chance of 5 of 100 at most.
"""

import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Final

import numpy as np

from assessments.calculations.patterns.effects import (
    Effect,
    cut_effects,
    sheet_effects,
    taper_effects,
)
from assessments.calculations.patterns.level import (
    FEWEST_FOR_LEVEL,
    Level,
    Tolerance,
    level_of,
    level_tests,
)
from assessments.calculations.patterns.linear import Pattern, left_over
from assessments.calculations.patterns.null import (
    ALPHA,
    Chance,
    Floats,
    Test,
    compare,
    joint_chances,
    normals,
)
from assessments.calculations.patterns.shape import ShapeNull, shape_null
from assessments.calculations.patterns.sheet import KINDS as SURFACES
from assessments.calculations.patterns.sheet import (
    Sheet,
    grid_places,
    sheet_patterns,
    sheet_tests,
    take_from_sheet,
)
from assessments.calculations.patterns.strands import (
    Cut,
    cut_of,
    cut_patterns,
    cut_tests,
    take_from_cut,
    taper_tests,
)
from assessments.calculations.scoring import hydration_share, share_in_tolerance

PATTERNS_VERSION: Final = "1"
"""Stored beside what was found; changed whenever the same readings may say something else."""
MOST_ROUNDS: Final = 6
LEAST_LEFT: Final = 3
"""Readings to spare, after all that was found is taken out, below which nothing more is tested."""
OFF_RECIPE: Final = 0.45
"""Part of a recipe's tolerance below which a deviation is none: there its points are used up."""
RECIPE_PARTS: Final = ("hydration", "salt", "rest")
_STREAMS: Final = {"width": 3, "thickness": 4}
_RECIPE_STREAM: Final = 6
_LEVEL: Final = ("off_target", "uneven")


@dataclass(frozen=True, slots=True, kw_only=True)
class StrandReadings:
    """Widths of a batch.

    Attributes
    ----------
    positions : sequence of int
        Place of each strand in the order of cutting, from 1; each once, in any order.
    widths_mm : sequence of float or None
        Beside it the width, None where missing.
    tolerance : Tolerance
    sigma_m : float
        Repeatability of one reading, mm, 0 or more.
    ends_mm : sequence of (float, float) or None, optional
        Width at the first and at the last end, for each position; None where not measured.
    """

    positions: Sequence[int]
    widths_mm: Sequence[float | None]
    tolerance: Tolerance
    sigma_m: float = 0.0
    ends_mm: Sequence[tuple[float, float] | None] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetReadings:
    """Thickness of a sheet.

    Attributes
    ----------
    rows, columns : int
        Of the grid of points, at least 1.
    thickness_mm : sequence of float or None
        Row by row, ``rows * columns`` of them; None where missing.
    tolerance : Tolerance
    sigma_m : float
        Repeatability of one reading, mm, 0 or more.
    """

    rows: int
    columns: int
    thickness_mm: Sequence[float | None]
    tolerance: Tolerance
    sigma_m: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RecipeReading:
    """One number of the recipe against the standard.

    Attributes
    ----------
    part : str
        ``'hydration'`` or ``'salt'`` (percent of flour and starch), or ``'rest'`` (minutes).
    actual, target : float
    tol_minus, tol_plus : float
        What the standard allows below and above the target, above 0.
    sigma : float
        Standard uncertainty of `actual`, 0 where it is exact.
    """

    part: str
    actual: float
    target: float
    tol_minus: float
    tol_plus: float
    sigma: float = 0.0


@dataclass(frozen=True, slots=True)
class Finding:
    """One pattern of a batch.

    Attributes
    ----------
    part : str
        ``'width'``, ``'taper'``, ``'thickness'``, ``'hydration'``, ``'salt'`` or ``'rest'``.
    kind, direction, places : str, str, tuple of float
        ========================  ======================  =======================================
        kind                      direction               places
        ========================  ======================  =======================================
        width: drift              wider, narrower         first and last position
        width: alternation        odd, even (the wider)
        width: step               wider, narrower         last position before, first after
        width: neighbours         alike, opposed          autocorrelation, distance of positions
        width: groups             apart                   strands in the narrow and the wide group
        width: outliers           wide, narrow, both      positions
        taper: wedge, fan         last, first (wider end; of odd strands for a fan)
        thickness: tilt           toward which edge       unit vector (x right, y down)
        thickness: bowl           thick, thin (middle)
        thickness: ridge_along_…  thick, thin (middle line along rows or columns of the grid)
        thickness: saddle         left_right, falling,    unit vector along which it is thick
                                  top_bottom, rising
        thickness: spot           thick, thin             x and y from -1 to 1
        off_target                above, below
        uneven                    above
        off_recipe                above, below
        ========================  ======================  =======================================
    size : float
        Of the pattern, 0 or more, in `unit`: change from first to last (drift), difference (step,
        alternation, groups, wedge, fan), thickest less thinnest point (sheet), distance from the
        mean of the others (outliers, the largest, and spot; both outside the tolerance), standard
        deviation less an even hand's (uneven), distance from the target (off_target, off_recipe),
        twice the standard deviation that neighbours share (neighbours).
    unit : str
        ``'mm'``, ``'points'`` (percentage points) or ``'min'``.
    of_tolerance : float
        Size in halves of the tolerance.
    p, p_alone : float or None
        Chance of at least this in an even batch, over all tests made on it and for this test
        alone. None where the reading is exact and chance does not come in.
    part_points, score_points : float
        What the part (100 times its share) and the score of the batch would gain without it, 0 or
        more. The part of a wedge is the share of all ends.
        The score is its weakest part, so that what troubles another part costs it nothing.
    """

    part: str
    kind: str
    direction: str
    size: float
    unit: str
    of_tolerance: float
    places: tuple[float, ...]
    p: float | None
    p_alone: float | None
    part_points: float
    score_points: float


@dataclass(frozen=True, slots=True)
class Untested:
    """What could not be tested, and why.

    `reason` is ``'too_few'`` readings, ``'no_spread'`` (all alike), ``'one_sided'`` (too few
    strands on odd or on even positions), ``'one_line'`` (points do not spread that way) or
    ``'not_apart'`` (missing points make it look like another pattern).
    """

    part: str
    kind: str
    reason: str


@dataclass(frozen=True, slots=True)
class BatchFindings:
    """All that one batch says, see `find_patterns`.

    Attributes
    ----------
    findings : tuple of Finding
        The one to say first is first.
    untested : tuple of Untested
    width, thickness : Level or None
        Bias against spread; None for fewer than five readings.
    effects : tuple of Effect
        To be kept for comparison with other batches.
    sheet_kinds : tuple of str
        What was found in the sheet, for `sheet.terms_of`.
    tests : int
        Tests made at first, over which the chances hold.
    """

    findings: tuple[Finding, ...]
    untested: tuple[Untested, ...]
    width: Level | None
    thickness: Level | None
    effects: tuple[Effect, ...]
    sheet_kinds: tuple[str, ...]
    tests: int


def find_patterns(
    strands: StrandReadings | None = None,
    sheet: SheetReadings | None = None,
    recipe: Iterable[RecipeReading] = (),
    *,
    alpha: float = ALPHA,
) -> BatchFindings:
    """Find what is beyond chance in one batch.

    Parameters
    ----------
    strands, sheet : StrandReadings, SheetReadings or None
        None where not measured.
    recipe : iterable of RecipeReading
        Each part once.
    alpha : float
        Chance that an even, random batch brings up anything, over 0.001 and below 1.

    Returns
    -------
    BatchFindings
        Ordered by what each finding costs the score of the batch, then by what it costs its own
        part, then by its size against the tolerance. The same readings always give the same.

    Raises
    ------
    ValueError
        For readings that are not finite or not as many as their places, a position that comes
        twice or is below 1, a part of the recipe that comes twice or is unknown, a tolerance,
        sigma or alpha outside its range.

    Notes
    -----
    An even batch is: readings in random order around a mean no further from target than a
    negligible distance, with the spread of an even hand at most (`level`), and a recipe that is
    off by no more than weighing makes. From 12 strands on the tests of order ask nothing of the
    distribution of widths; outliers, groups and the sheet take it for normal. In 1000 simulated
    even batches of 20 and of 40 strands (`simulation.false_alarms`) 3 to 4 of 100 brought up
    anything, rounded to 0.1 mm or not; with skewed widths (skewness 0.8) 6 to 8, with heavy tails
    (Student's t with 5 degrees of freedom) 10 to 15, the rest of them strands that do lie outside
    the tolerance and far from all others.

    Examples
    --------
    >>> widths = [2.6, 2.6, 2.8, 2.9, 3.0, 2.9, 2.9, 2.9, 3.1, 3.3, 3.1, 3.0, 3.1, 3.4, 3.3, 3.1]
    >>> batch = StrandReadings(
    ...     positions=range(1, 17), widths_mm=widths, tolerance=Tolerance(2.5, 3.0, 3.5)
    ... )
    >>> [(f.kind, f.direction, round(f.size, 2)) for f in find_patterns(batch).findings]
    [('drift', 'wider', 0.6)]
    """
    if not 0.001 < alpha < 1:
        raise ValueError(f"alpha must be over 0.001 and below 1, not {alpha}.")
    cut, taper_at, taper = _strands(strands)
    items = _recipe(recipe)
    search = _Search(strands, sheet, cut, _sheet(sheet), taper_at, taper, items, alpha)
    search.run()
    found = _Found(_shares(strands, sheet, items), search)
    width = thickness = None
    effects: list[Effect] = []
    if strands is not None and search.cut is not None:
        cut = search.cut
        gone = [w for _position, w in cut.outliers]
        width = search.level("width", np.append(cut.widths_mm, gone), strands)
        found.patterns("width", cut_patterns(cut), gone, strands)
        found.level("width", cut.widths_mm, cut.spanned, gone, strands)
        found.tapers(strands)
        effects += cut_effects(cut, strands.tolerance, strands.sigma_m) + taper_effects(taper)
    if sheet is not None and search.field is not None:
        field = search.field
        gone = [t for _x, _y, t in field.spots]
        thickness = search.level("thickness", np.append(field.thickness_mm, gone), sheet)
        found.patterns("thickness", sheet_patterns(field), gone, sheet)
        found.level("thickness", field.thickness_mm, field.spanned, gone, sheet)
        effects += sheet_effects(field, sheet.tolerance, sheet.sigma_m)
    for item in items:
        found.recipe(item)
        effects += _recipe_effects(item)
    return BatchFindings(
        findings=found.ordered(),
        untested=search.untested,
        width=width,
        thickness=thickness,
        effects=tuple(effects),
        sheet_kinds=() if search.field is None else search.field.kinds,
        tests=len(search.first),
    )


class _Search:
    """The rounds of testing, in each of which every part gives up one pattern at most."""

    def __init__(
        self,
        strands: StrandReadings | None,
        sheet: SheetReadings | None,
        cut: Cut | None,
        field: Sheet | None,
        taper_at: Floats,
        taper_mm: Floats,
        items: Sequence[RecipeReading],
        alpha: float,
    ) -> None:
        self._strands, self._sheet, self._alpha = strands, sheet, alpha
        self.cut, self.field = cut, field
        self.taper_at, self.taper_mm = taper_at, taper_mm
        self.wedges: tuple[str, ...] = ()
        self.untested: tuple[Untested, ...] = ()
        # By name the chances by which patterns were found, in the order of finding.
        self.found: dict[str, list[Chance]] = defaultdict(list)
        # All chances before anything was taken out, and after all was.
        self.first: dict[str, Chance] = {}
        self.last: dict[str, Chance] = {}
        self._made: dict[str, _Made] = {"recipe": (_recipe_tests(items), {})}

    def run(self) -> None:
        """Test and take out until nothing more is beyond chance."""
        changed = {"width", "thickness", "taper"}
        for round_ in range(MOST_ROUNDS):
            self._test(changed)
            if round_ == 0:
                self.first = self.last
                self.untested = tuple(
                    Untested(part, kind, reason)
                    for part, (_tests, reasons) in self._made.items()
                    for kind, reason in reasons.items()
                )
            changed = self._take()
            if not changed:
                break

    def beyond(self, name: str) -> bool:
        """Whether a test of the last round is beyond chance."""
        return name in self.last and self.last[name].joint <= self._alpha

    def level(
        self, part: str, values_mm: Floats, readings: StrandReadings | SheetReadings
    ) -> Level | None:
        """Return bias against spread, of all readings as they are."""
        if values_mm.size < FEWEST_FOR_LEVEL:
            return None
        off, uneven = (
            name in self.first and self.first[name].joint <= self._alpha
            for name in (f"{part}.off_target", f"{part}.uneven")
        )
        return level_of(
            values_mm, readings.tolerance, readings.sigma_m, off_target=off, uneven=uneven
        )

    def _test(self, changed: set[str]) -> None:
        if self._strands is not None and self.cut is not None and "width" in changed:
            self._made["width"] = _cut_tests(self._strands, self.cut)
        if self._strands is not None and self._strands.ends_mm is not None and "taper" in changed:
            self._made["taper"] = taper_tests(self.taper_at, self.taper_mm, self.wedges)
        if self._sheet is not None and self.field is not None and "thickness" in changed:
            self._made["thickness"] = _sheet_tests(self._sheet, self.field)
        self.last = joint_chances(
            [test for tests, _reasons in self._made.values() for test in tests]
        )

    def _take(self) -> set[str]:
        """Take one pattern out of each part where one is beyond chance; return these parts."""
        changed = set()
        if self._strands is not None and self.cut is not None:
            cut = take_from_cut(self.cut, self._kinds("width"), self._strands.tolerance)
            if cut is not None:
                self._note("width", _new_kind(self.cut, cut))
                self.cut = cut
                changed.add("width")
        if self._sheet is not None and self.field is not None:
            field = take_from_sheet(self.field, self._kinds("thickness"), self._sheet.tolerance)
            if field is not None:
                more = len(field.kinds) > len(self.field.kinds)
                self._note("thickness", field.kinds[-1] if more else "spot")
                self.field = field
                changed.add("thickness")
        if wedges := self._kinds("taper"):
            kind = min(sorted(wedges), key=lambda kind: self.last[f"taper.{kind}"].alone)
            self._note("taper", kind)
            self.wedges = (*self.wedges, kind)
            changed.add("taper")
        return changed

    def _kinds(self, part: str) -> set[str]:
        """Return the patterns of ``part`` beyond chance; runs are another sign of neighbours."""
        kinds = {
            name.partition(".")[2]
            for name in self.last
            if name.startswith(f"{part}.") and self.beyond(name)
        }
        if "runs" in kinds:
            kinds = kinds - {"runs"} | {"neighbours"}
        return kinds.difference(_LEVEL)

    def _note(self, part: str, kind: str) -> None:
        """Keep the chance by which a pattern was found: its own test's or one that includes it."""
        also = "runs" if kind == "neighbours" else "surface" if kind in SURFACES else kind
        names = (f"{part}.{kind}", f"{part}.{also}")
        chances = [self.last[name] for name in names if name in self.last]
        self.found[f"{part}.{kind}"].append(min(chances, key=lambda chance: chance.joint))


class _Found:
    """Findings as they are gathered, each with what it costs."""

    def __init__(self, shares: dict[str, float], search: _Search) -> None:
        self._shares = shares
        self._search = search
        self._findings: list[Finding] = []

    def ordered(self) -> tuple[Finding, ...]:
        return tuple(
            sorted(self._findings, key=lambda f: (-f.score_points, -f.part_points, -f.of_tolerance))
        )

    def patterns(
        self,
        part: str,
        patterns: Iterable[Pattern],
        gone: Sequence[float],
        readings: StrandReadings | SheetReadings,
    ) -> None:
        seen: dict[str, int] = defaultdict(int)
        for pattern in patterns:
            chance = self._search.found[f"{part}.{pattern.kind}"][seen[pattern.kind]]
            seen[pattern.kind] += 1
            taken_away = pattern.kind in ("outliers", "spot")
            put_right = np.append(pattern.put_right_mm, () if taken_away else gone)
            self._add(
                part,
                pattern.kind,
                pattern.direction,
                pattern.size_mm,
                pattern.places,
                chance,
                readings.tolerance,
                _share(put_right, readings.tolerance, readings.sigma_m),
            )

    def level(
        self,
        part: str,
        values_mm: Floats,
        spanned: Floats,
        gone: Sequence[float],
        readings: StrandReadings | SheetReadings,
    ) -> None:
        tolerance = readings.tolerance
        name = f"{part}.off_target"
        if self._search.beyond(name):
            off = float(values_mm.mean()) - tolerance.target_mm
            put_right = np.append(values_mm, gone) - off
            self._add(
                part,
                "off_target",
                "above" if off > 0 else "below",
                abs(off),
                (),
                self._search.last[name],
                tolerance,
                _share(put_right, tolerance, readings.sigma_m),
            )
        name = f"{part}.uneven"
        if self._search.beyond(name):
            rest = left_over(values_mm, spanned)
            sd = math.sqrt(float(rest @ rest) / (values_mm.size - spanned.shape[1]))
            allowed = math.hypot(tolerance.even_sd_mm, readings.sigma_m)
            put_right = np.append(values_mm - (1 - allowed / sd) * rest, gone)
            self._add(
                part,
                "uneven",
                "above",
                sd - allowed,
                (),
                self._search.last[name],
                tolerance,
                _share(put_right, tolerance, readings.sigma_m),
            )

    def tapers(self, readings: StrandReadings) -> None:
        positions, taper_mm = self._search.taper_at, self._search.taper_mm
        wedges = self._search.wedges
        if not wedges:
            return
        columns = {"wedge": np.ones(taper_mm.size), "fan": positions % 2 - 0.5}
        design = np.column_stack([columns[kind] for kind in wedges])
        sizes = np.linalg.lstsq(design, taper_mm, rcond=None)[0]
        width_of = dict(zip(readings.positions, readings.widths_mm, strict=True))
        middle = np.array([width_of[int(p)] or math.nan for p in positions])

        def share_of_ends(taper: Floats) -> float | None:
            ends = np.concatenate([middle - taper / 2, middle + taper / 2])
            return _share(ends[np.isfinite(ends)], readings.tolerance, readings.sigma_m)

        as_is = share_of_ends(taper_mm)
        for kind, size in zip(wedges, sizes.tolist(), strict=True):
            better = share_of_ends(taper_mm - size * columns[kind])
            gain = 0.0
            if as_is is not None and better is not None:
                gain = max(0.0, 100 * (better - as_is))
            chance = self._search.found[f"taper.{kind}"][0]
            # The score knows the mean width of a strand only.
            self._findings.append(
                Finding(
                    part="taper",
                    kind=kind,
                    direction="last" if size > 0 else "first",
                    size=abs(size),
                    unit="mm",
                    of_tolerance=abs(size) / readings.tolerance.half_mm,
                    places=(),
                    p=chance.joint,
                    p_alone=chance.alone,
                    part_points=gain,
                    score_points=0.0,
                )
            )

    def recipe(self, item: RecipeReading) -> None:
        off = item.actual - item.target
        allowed = item.tol_plus if off > 0 else item.tol_minus
        name = f"{item.part}.off_recipe"
        if item.sigma > 0:
            wrong = self._search.beyond(name) and abs(off) >= OFF_RECIPE * allowed
        else:
            wrong = abs(off) > allowed * (1 + 1e-9)
        if not wrong:
            return
        chance = self._search.last.get(name)
        share = self._shares.get(item.part)
        points = 0.0 if share is None else 100 * (1 - share)
        self._findings.append(
            Finding(
                part=item.part,
                kind="off_recipe",
                direction="above" if off > 0 else "below",
                size=abs(off),
                unit="min" if item.part == "rest" else "points",
                of_tolerance=abs(off) / allowed,
                places=(),
                p=None if chance is None else chance.joint,
                p_alone=None if chance is None else chance.alone,
                part_points=points,
                score_points=0.0 if share is None else self._gain(item.part, 1.0),
            )
        )

    def _add(
        self,
        part: str,
        kind: str,
        direction: str,
        size_mm: float,
        places: tuple[float, ...],
        chance: Chance,
        tolerance: Tolerance,
        better: float | None,
    ) -> None:
        share = self._shares.get(part)
        part_points = score_points = 0.0
        if share is not None and better is not None:
            part_points = max(0.0, 100 * (better - share))
            score_points = self._gain(part, better)
        self._findings.append(
            Finding(
                part=part,
                kind=kind,
                direction=direction,
                size=size_mm,
                unit="mm",
                of_tolerance=size_mm / tolerance.half_mm,
                places=places,
                p=chance.joint,
                p_alone=chance.alone,
                part_points=part_points,
                score_points=score_points,
            )
        )

    def _gain(self, part: str, better: float) -> float:
        """Return by how many points the score, which is its smallest share, would rise."""
        now = min(self._shares.values())
        return max(0.0, 100 * (min({**self._shares, part: better}.values()) - now))


def _strands(readings: StrandReadings | None) -> tuple[Cut | None, Floats, Floats]:
    if readings is None:
        return None, np.empty(0), np.empty(0)
    _require_sigma(readings.sigma_m)
    at, widths = list(readings.positions), list(readings.widths_mm)
    if len(at) != len(widths):
        raise ValueError(f"There are {len(at)} positions and {len(widths)} widths.")
    if len(set(at)) < len(at) or any(position < 1 for position in at):
        raise ValueError("Positions are whole numbers from 1, each once.")
    pairs = sorted((p, w) for p, w in zip(at, widths, strict=True) if w is not None)
    _require_finite(width for _position, width in pairs)
    cut = cut_of(
        np.array([position for position, _width in pairs], dtype=np.float64),
        np.array([width for _position, width in pairs], dtype=np.float64),
    )
    if readings.ends_mm is None:
        return cut, np.empty(0), np.empty(0)
    if len(readings.ends_mm) != len(at):
        raise ValueError(
            f"There are {len(at)} positions and {len(readings.ends_mm)} pairs of ends."
        )
    ends = sorted((p, e) for p, e in zip(at, readings.ends_mm, strict=True) if e is not None)
    _require_finite(width for _position, pair in ends for width in pair)
    return (
        cut,
        np.array([position for position, _pair in ends], dtype=np.float64),
        np.array([last - first for _position, (first, last) in ends], dtype=np.float64),
    )


def _sheet(readings: SheetReadings | None) -> Sheet | None:
    if readings is None:
        return None
    _require_sigma(readings.sigma_m)
    values = list(readings.thickness_mm)
    if len(values) != readings.rows * readings.columns:
        raise ValueError(
            f"A grid of {readings.rows} by {readings.columns} has "
            f"{readings.rows * readings.columns} points, not {len(values)}."
        )
    present = [(i, value) for i, value in enumerate(values) if value is not None]
    _require_finite(value for _i, value in present)
    x, y = grid_places(readings.rows, readings.columns, [i for i, _value in present])
    return Sheet(x, y, np.array([value for _i, value in present], dtype=np.float64))


def _recipe(recipe: Iterable[RecipeReading]) -> list[RecipeReading]:
    items = list(recipe)
    if len({item.part for item in items}) < len(items):
        raise ValueError("Each part of the recipe comes once.")
    for item in items:
        if item.part not in RECIPE_PARTS:
            raise ValueError(f"A part of the recipe is {', '.join(RECIPE_PARTS)}, not {item.part}.")
        _require_finite((item.actual, item.target))
        _require_sigma(item.sigma)
        for tolerance in (item.tol_minus, item.tol_plus):
            if not (tolerance > 0 and math.isfinite(tolerance)):
                raise ValueError(f"A tolerance must be above 0, not {tolerance}.")
    return items


_Made = tuple[list[Test], dict[str, str]]


def _cut_tests(readings: StrandReadings, cut: Cut) -> _Made:
    return _part_tests("width", cut.widths_mm, cut.spanned, readings, partial(cut_tests, cut))


def _sheet_tests(readings: SheetReadings, sheet: Sheet) -> _Made:
    tests_of = partial(sheet_tests, sheet)
    return _part_tests("thickness", sheet.thickness_mm, sheet.spanned, readings, tests_of)


def _part_tests(
    part: str,
    values_mm: Floats,
    spanned: Floats,
    readings: StrandReadings | SheetReadings,
    tests_of: Callable[[ShapeNull], _Made],
) -> _Made:
    """Return the tests of a part's pattern and of its level, and why the rest is not tested."""
    if values_mm.size < FEWEST_FOR_LEVEL:
        return [], {"all": "too_few"}
    rows, columns = spanned.shape
    if rows - columns < LEAST_LEFT:
        return [], {}
    null = shape_null(spanned, _STREAMS[part])
    tests, untested = tests_of(null)
    rest = left_over(values_mm, spanned)
    level = level_tests(part, values_mm, rest, columns, readings.tolerance, readings.sigma_m, null)
    return tests + level, untested


def _recipe_tests(items: Iterable[RecipeReading]) -> list[Test]:
    tests = []
    for item in items:
        if item.sigma > 0:
            draws = normals(1, _RECIPE_STREAM + RECIPE_PARTS.index(item.part))[:, 0]
            z = abs(item.actual - item.target) / item.sigma
            tests.append(compare(f"{item.part}.off_recipe", z, np.abs(draws).astype(np.float64)))
    return tests


def _recipe_effects(item: RecipeReading) -> list[Effect]:
    if item.sigma <= 0:
        return []
    off = item.actual - item.target
    negligible = OFF_RECIPE * (item.tol_plus if off > 0 else item.tol_minus)
    return [Effect(item.part, "off_recipe", off, item.sigma, math.inf, negligible)]


def _new_kind(before: Cut, after: Cut) -> str:
    if len(after.outliers) > len(before.outliers):
        return "outliers"
    return after.kinds[-1] if len(after.kinds) > len(before.kinds) else "neighbours"


def _shares(
    strands: StrandReadings | None,
    sheet: SheetReadings | None,
    items: Iterable[RecipeReading],
) -> dict[str, float]:
    shares: dict[str, float] = {}
    if strands is not None:
        widths = [w for w in strands.widths_mm if w is not None]
        if (share := _share(widths, strands.tolerance, strands.sigma_m)) is not None:
            shares["width"] = share
    if sheet is not None:
        points = [t for t in sheet.thickness_mm if t is not None]
        if (share := _share(points, sheet.tolerance, sheet.sigma_m)) is not None:
            shares["thickness"] = share
    for item in items:
        if item.part == "hydration" and item.sigma > 0:
            shares["hydration"] = hydration_share(
                item.actual, item.target, item.tol_minus, item.tol_plus, item.sigma
            )
    return shares


def _share(values: Sequence[float] | Floats, tolerance: Tolerance, sigma_m: float) -> float | None:
    readings = np.asarray(values, dtype=np.float64).tolist()
    return share_in_tolerance(readings, tolerance.low_mm, tolerance.high_mm, sigma_m).share


def _require_finite(values: Iterable[float]) -> None:
    if not all(math.isfinite(value) for value in values):
        raise ValueError("Every reading must be a finite number; leave a missing one out.")


def _require_sigma(sigma: float) -> None:
    if not (sigma >= 0 and math.isfinite(sigma)):
        raise ValueError(f"A repeatability or uncertainty must be 0 or more, not {sigma}.")
