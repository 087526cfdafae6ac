"""A batch in the pot, and the house's boil tests with what they change in the model of it."""

import math
from dataclasses import dataclass

import numpy as np
from django.http import Http404
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from assessments.calculations.gauge import Estimate
from assessments.calculations.pot import (
    Boil,
    BoiledStrand,
    Pot,
    Shares,
    boil,
    calibrate,
    correct,
)
from assessments.calculations.pot import BoilTest as TestedSection
from assessments.models import BoilTest
from training.models import StandardVersion, Style

NEWEST = 30
"""Boil tests of a style that correct the model: flour, pot and stove change with the years."""
# What a cook can keep by a clock, coarsest first.
STEPS_S = (30, 15, 10, 5, 1)
EVERY_STRAND = "strand"
SHEET_MEAN = "mean"
STANDARD = "standard"


@dataclass(frozen=True, slots=True)
class HousePot:
    """The model of a standard: its boil time, corrected by those boil tests that it can use.

    ``unused`` are tests that are over three times off its boil time. Where the tests contradict
    each other so far that no law fits, all are unused and ``contradict`` is set.
    """

    pot: Pot
    used: tuple[BoilTest, ...]
    unused: tuple[BoilTest, ...]
    contradict: bool = False


@dataclass(frozen=True, slots=True)
class PotResult:
    """What the unevenness of a batch does in the pot.

    ``places`` are those in the cut of ``boil.strands``, which come in the order in which they are
    done. ``best_min`` is the best time that can be kept by a clock, ``best`` what it gives.
    ``thickness_from`` tells what the thickness of a strand is: read off the sheet where the strand
    was cut (``EVERY_STRAND``), the mean of the sheet, or the target of the standard.
    """

    boil: Boil
    places: tuple[int, ...]
    best_min: float
    best: Shares
    thickness_from: str
    thickness_mm: float
    tests: int
    contradict: bool

    @property
    def at(self) -> Shares:
        """How many strands are done at the standard's boil time."""
        return self.boil.at

    @property
    def first(self) -> BoiledStrand:
        """The strand that is done first."""
        return self.boil.strands[0]

    @property
    def last(self) -> BoiledStrand:
        """The strand that is done last."""
        return self.boil.strands[-1]

    @property
    def is_best_already(self) -> bool:
        """Whether no other time has more strands done than the standard's."""
        return self.best.done <= self.at.done

    @property
    def beyond(self) -> int:
        """How many strands are too far from the standard's section for more than a guess."""
        return sum(strand.beyond for strand in self.boil.strands)

    @property
    def tolerance_percent(self) -> int:
        return round(100 * self.boil.tolerance)

    @property
    def at_house_time(self) -> str:
        """In words what the standard's boil time gives."""
        words = {"time": clock(self.boil.at_min), "done": self.at.done, "n": self.at.n}
        if self.at.done == self.at.n:
            said = ngettext(
                "At %(time)s min the strand is just right.",
                "At %(time)s min all %(n)d strands are just right.",
                self.at.n,
            )
        elif self.at.done:
            said = ngettext(
                "At %(time)s min about %(done)d of %(n)d strands is just right.",
                "At %(time)s min about %(done)d of %(n)d strands are just right.",
                self.at.done,
            )
        else:
            said = _("At %(time)s min no strand is just right.")
        return " ".join([said % words, *_not_done(self.at)])

    @property
    def at_best_time(self) -> str:
        """In words what time would suit the batch best; empty where all strands are done."""
        if self.is_best_already:
            if self.at.done == self.at.n:
                return ""
            return _("No other time suits this batch better.")
        time = {"time": clock(self.best_min)}
        if self.best.done == self.best.n:
            return _("%(time)s min would suit this batch better: then all are just right.") % time
        better = _("%(time)s min would suit this batch best.") % time
        done = ngettext(
            "Then %(done)d of %(n)d is just right.",
            "Then %(done)d of %(n)d are just right.",
            self.best.done,
        ) % {"done": self.best.done, "n": self.best.n}
        return " ".join([better, done, *_not_done(self.best)])


def _not_done(shares):
    if shares.under:
        yield ngettext(
            "%(count)d still has a hard core.", "%(count)d still have a hard core.", shares.under
        ) % {"count": shares.under}
    if shares.over:
        yield ngettext("%(count)d is too soft.", "%(count)d are too soft.", shares.over) % {
            "count": shares.over
        }


def clock(minutes) -> str:
    """Return a time in the pot as a timer shows it: ``6:50`` for 6 minutes and 50 seconds."""
    # Half a second goes up, as it does everywhere else on the site.
    whole_s = math.floor(float(minutes) * 60 + 0.5)
    return f"{whole_s // 60}:{whole_s % 60:02d}"


def pot_of(batch, strands, sheet) -> PotResult | None:
    """Return what a batch does in the pot; None where no strand of it was measured.

    ``strands`` and ``sheet`` are those of ``summaries.batch``, either may be None; the batch has
    its ``standard`` loaded. One query.
    """
    measured = _measured(strands)
    if not measured:
        return None
    house = house_pot(batch.standard, newest_tests(batch.style_id))
    places, widths_mm = zip(*measured, strict=True)
    thicknesses_mm, thickness_from = _thicknesses(places, strands.total, sheet, batch.standard)
    found = boil(house.pot, widths_mm, thicknesses_mm)
    best_min = _by_the_clock(found)
    return PotResult(
        boil=found,
        places=tuple(places[strand.place] for strand in found.strands),
        best_min=best_min,
        # All times of the best stretch have as many done, but not the same that are not.
        best=boil(house.pot, widths_mm, thicknesses_mm, best_min).at,
        thickness_from=thickness_from,
        thickness_mm=float(np.mean(thicknesses_mm)),
        tests=len(house.used),
        contradict=house.contradict,
    )


def newest_tests(style_id):
    """Return the boil tests of a style that correct the model, newest first."""
    return BoilTest.objects.counted().filter(style=style_id)[:NEWEST]


def house_pot(standard, tests) -> HousePot:
    """Return the model of a house standard, corrected by these boil tests of its style."""
    tests = tuple(tests)
    plain = calibrate(
        float(standard.width_target_mm),
        float(standard.thickness_target_mm),
        float(standard.boil_time_min),
    )
    used, corrected = tests, _corrected(plain, tests)
    if corrected is None:
        # A test made under another version may be far off this one.
        used = tuple(test for test in tests if _corrected(plain, [test]))
        corrected = _corrected(plain, used)
    if not corrected.plausible:
        return HousePot(plain, (), tests, contradict=True)
    return HousePot(corrected, used, tuple(test for test in tests if test not in used))


def _section(test):
    return TestedSection(float(test.width_mm), float(test.thickness_mm), float(test.done_at_min))


def _corrected(plain, tests):
    """Return the model after these tests; None where one of them cannot be of this version."""
    try:
        return correct(plain, [_section(test) for test in tests])
    except ValueError:
        return None


def _measured(strands):
    if strands is None:
        return ()
    pairs = zip(strands.places, strands.widths_mm, strict=True)
    # A zero can stand in an imported file, and no strand has it.
    return tuple((place, width) for place, width in pairs if width > 0)


def _thicknesses(places, total, sheet, standard):
    """Return the thickness of each strand, and where it is from.

    The sheet is folded along its length and cut across the folds: a strand runs along the sheet,
    and the cut goes on across it. So a strand is as thick as the sheet is on the mean along it,
    between the columns of points in proportion. Which edge was cut first is not recorded; it is
    taken to be that of the first column.
    """
    columns = _column_means(sheet)
    if not columns:
        return np.full(len(places), float(standard.thickness_target_mm)), STANDARD
    if len(columns) == 1:
        return np.full(len(places), *columns.values()), SHEET_MEAN
    across = (np.array(places) - 0.5) / total * (sheet.columns - 1)
    return np.interp(across, list(columns), list(columns.values())), EVERY_STRAND


def _column_means(sheet):
    """Return the mean thickness of each column that has a value, by its number from 0."""
    if sheet is None:
        return {}
    columns = {
        column: [value for value in sheet.thicknesses_mm[column :: sheet.columns] if value]
        for column in range(sheet.columns)
    }
    return {column: float(np.mean(values)) for column, values in columns.items() if values}


def _by_the_clock(found: Boil) -> float:
    """Return the roundest time at which as many are done as at the best, nearest to that."""
    for step_s in STEPS_S:
        steps = found.best_min * 60 / step_s
        near = sorted((math.floor(steps), math.ceil(steps)), key=lambda n: abs(n - steps))
        for minutes in (n * step_s / 60 for n in near):
            if found.best_from_min <= minutes <= found.best_until_min:
                return minutes
    return found.best_min


@dataclass(frozen=True, slots=True)
class BoilTestLine:
    """A boil test beside what the model, after all tests, has for its section.

    ``expected_min`` is None and ``off_percent`` 0 for a test that is not used.
    """

    test: BoilTest
    expected_min: float | None
    off_percent: int = 0

    @property
    def is_used(self):
        return self.expected_min is not None

    @property
    def difference(self) -> str:
        """How far the test is off the model, in words."""
        if self.off_percent > 0:
            return _("%(percent)d %% longer") % {"percent": self.off_percent}
        if self.off_percent < 0:
            return _("%(percent)d %% shorter") % {"percent": -self.off_percent}
        return _("the same")


@dataclass(frozen=True, slots=True)
class BoilTestsPage:
    """The boil tests of one style, newest first, and what they change.

    ``factor`` is the boil time of the standard's section after the tests over the one that the
    house has set; ``double`` how many times as long a strand twice as wide and thick takes.
    """

    styles: tuple[Style, ...]
    standard: StandardVersion
    house: HousePot
    lines: tuple[BoilTestLine, ...]
    has_older: bool
    factor: Estimate
    double: Estimate

    @property
    def style(self):
        return self.standard.style

    @property
    def asks_for_another_time(self):
        """Whether the tests say that the boil time of the standard should be another."""
        return bool(self.house.used) and not self.factor.low <= 1 <= self.factor.high


def boil_tests_page(slug) -> BoilTestsPage | None:
    """Return the boil tests of the style ``slug``, of the first style for None.

    None where no standard is in force. Raises ``Http404`` for a style without one. Two queries.
    """
    in_force = StandardVersion.objects.in_force(timezone.localdate())
    standards = list(in_force.order_by("style__position", "style__name"))
    if not standards:
        return None
    standard = next((one for one in standards if slug in (None, one.style.slug)), None)
    if standard is None:
        raise Http404
    counted = BoilTest.objects.counted().filter(style=standard.style_id)
    tests = list(counted.select_related("recorded_by")[: NEWEST + 1])
    house = house_pot(standard, tests[:NEWEST])
    return BoilTestsPage(
        styles=tuple(one.style for one in standards),
        standard=standard,
        house=house,
        lines=_lines(house, tests[:NEWEST]),
        has_older=len(tests) > NEWEST,
        factor=_each(house.pot.standard_time_min, lambda time: time / house.pot.boil_time_min),
        double=_each(house.pot.exponent, lambda exponent: 4**exponent),
    )


def _lines(house, tests):
    expected = {
        test.pk: float(test.done_at_min) / ratio
        for test, ratio in zip(house.used, house.pot.test_ratios, strict=True)
    }
    return tuple(
        BoilTestLine(
            test,
            expected[test.pk],
            round(100 * (float(test.done_at_min) / expected[test.pk] - 1)),
        )
        if test.pk in expected
        else BoilTestLine(test, None)
        for test in tests
    )


def _each(estimate, change):
    """Return an estimate with its value and limits changed, by something that only grows."""
    return Estimate(change(estimate.value), change(estimate.low), change(estimate.high))
