"""Flour, water and salt: what a percentage is a percentage of, and what to weigh.

Water is always liquid water; hydration is water to flour plus starch. Salt is counted in four
ways that must not be mixed: percent of flour, of brine (mass fraction), of water, of dough.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal, NamedTuple

from assessments.calculations.brine import brine_to_water_percent

STANDARD_MOISTURE_PERCENT: Final = 14.0
_PERCENT_SLACK: Final = 0.01
_COARSE_ROUNDING: Final = 0.05


@dataclass(frozen=True, slots=True)
class DoughBalance:
    """What a dough is made of, every ratio with its denominator in the name, all in percent.

    Attributes
    ----------
    dough_g : float
        Mass of the dough, g.
    water_to_flour_percent : float
        Hydration: liquid water to flour plus starch.
    water_to_flour_14_percent : float
        The same with flour and its own water reckoned at 14 % moisture.
    brine_to_flour_percent : float
        Water plus salt to flour plus starch, as thick-wheat mills count.
    salt_to_flour_percent, salt_to_brine_percent, salt_to_water_percent, salt_to_dough_percent
        The four meanings of a salt percentage.
    dough_moisture_percent : float
        All water, that of the flour too, to dough.
    water_to_dry_flour_percent : float
        All water, that of the flour too, to the flour's dry matter.
    """

    dough_g: float
    water_to_flour_percent: float
    water_to_flour_14_percent: float
    brine_to_flour_percent: float
    salt_to_flour_percent: float
    salt_to_brine_percent: float
    salt_to_water_percent: float
    salt_to_dough_percent: float
    dough_moisture_percent: float
    water_to_dry_flour_percent: float


@dataclass(frozen=True, slots=True)
class WaterTemperature:
    """Temperature of the dough water; `advice` is ``'ok'``, ``'ice'`` or ``'too hot'``."""

    temperature: float
    scale: Literal["C", "F"]
    advice: Literal["ok", "ice", "too hot"]


class FormulaFlour(NamedTuple):
    """A flour or starch of a formula; `percent` of all flour plus starch."""

    name: str
    percent: float
    kind: Literal["flour", "starch"] = "flour"


class OtherIngredient(NamedTuple):
    """Anything but flour, starch, water and salt; `percent` of all flour plus starch."""

    name: str
    percent: float


@dataclass(frozen=True, slots=True)
class DoughFormula:
    """A dough in percent of flour plus starch.

    Attributes
    ----------
    flours : tuple of (name, percent, kind)
        Flours and starches; the percentages make 100.
    hydration_percent : float
        Liquid water, 0 or more.
    salt_percent : float
        Salt, 0 or more.
    others : tuple of (name, percent)
        Alkali, egg and the like, 0 or more.

    Raises
    ------
    ValueError
        For no flour, percentages that do not make 100 (within 0.01) or are out of range, an
        unknown kind, or a name that is empty or given twice.
    """

    flours: tuple[FormulaFlour, ...]
    hydration_percent: float
    salt_percent: float
    others: tuple[OtherIngredient, ...] = ()

    def __post_init__(self) -> None:
        # Plain tuples are welcome; everything after this may use the names of the fields.
        object.__setattr__(self, "flours", tuple(FormulaFlour(*flour) for flour in self.flours))
        object.__setattr__(self, "others", tuple(OtherIngredient(*other) for other in self.others))
        names = [flour.name for flour in self.flours] + [other.name for other in self.others]
        if not all(names) or len(set(names)) < len(names):
            raise ValueError("Every ingredient needs a name of its own.")
        for flour in self.flours:
            if flour.kind not in ("flour", "starch"):
                raise ValueError(f"{flour.name}: kind must be flour or starch, not {flour.kind}.")
            _require_positive(f"{flour.name} percent", flour.percent)
        total = math.fsum(flour.percent for flour in self.flours)
        if abs(total - 100) > _PERCENT_SLACK:
            raise ValueError(f"Flours and starches must make 100 percent, not {total:g}.")
        _require_not_negative("hydration_percent", self.hydration_percent)
        _require_not_negative("salt_percent", self.salt_percent)
        for other in self.others:
            _require_not_negative(f"{other.name} percent", other.percent)


class BenchLine(NamedTuple):
    """What to weigh of one ingredient."""

    name: str
    kind: Literal["flour", "starch", "other"]
    mass_g: float


@dataclass(frozen=True, slots=True)
class BenchSheet:
    """What to weigh for a number of portions; all masses in g and multiples of the scale's step.

    Attributes
    ----------
    portions, portion_g, loss_percent, step_g
        As asked for.
    flours, others : tuple of BenchLine
        In the order of the formula.
    water_g, salt_g : float
        Liquid water and salt.
    dough_g : float
        Sum of everything above, exactly.
    balance : DoughBalance
        The ratios of the rounded masses, flour taken at 14 % moisture.
    too_fine_for_scale : tuple of str
        Ingredients (``'water'``, ``'salt'`` or their name) that the step moves by more than 5 %
        of what the formula asks for: weigh them on a finer scale.
    """

    portions: int
    portion_g: float
    loss_percent: float
    step_g: float
    flours: tuple[BenchLine, ...]
    others: tuple[BenchLine, ...]
    water_g: float
    salt_g: float
    dough_g: float
    balance: DoughBalance
    too_fine_for_scale: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SeasonRow:
    """A row of a house standard's season table.

    Attributes
    ----------
    name : str
        What the house calls the season.
    months : frozenset of int
        Months 1..12.
    room_from_c : float or None
        Room temperature, degC, from which the row holds.
    hydration_percent, salt_percent : float
        Percent of flour plus starch.
    """

    name: str
    months: frozenset[int]
    room_from_c: float | None
    hydration_percent: float
    salt_percent: float

    def __post_init__(self) -> None:
        if not self.months <= set(range(1, 13)):
            raise ValueError(f"{self.name}: months must be numbers from 1 to 12.")
        if self.room_from_c is not None and not math.isfinite(self.room_from_c):
            raise ValueError(f"{self.name}: room_from_c must be a finite number.")
        _require_not_negative(f"{self.name} hydration_percent", self.hydration_percent)
        _require_not_negative(f"{self.name} salt_percent", self.salt_percent)


def bakers_percent(*, ingredient_g: float, flour_g: float) -> float:
    """Return an ingredient as percent of all flour plus starch.

    Parameters
    ----------
    ingredient_g, flour_g : float
        Masses, g; the ingredient 0 or more, all flour plus starch above 0.

    Returns
    -------
    float
        Percent, 0 or more.

    Raises
    ------
    ValueError
        For a mass outside its range.

    Notes
    -----
    Baker's percentage: all flours together are 100 %.

    Examples
    --------
    >>> bakers_percent(ingredient_g=25, flour_g=500)
    5.0
    """
    _require_not_negative("ingredient_g", ingredient_g)
    _require_positive("flour_g", flour_g)
    return 100 * ingredient_g / flour_g


def hydration_percent(*, water_g: float, flour_g: float, starch_g: float = 0.0) -> float:
    """Return liquid water as percent of flour plus starch.

    Parameters
    ----------
    water_g, flour_g, starch_g : float
        Masses as weighed, g, 0 or more; flour and starch not both 0. Salt is no part of it.

    Returns
    -------
    float
        Percent, 0 or more.

    Raises
    ------
    ValueError
        For a negative mass or neither flour nor starch.

    Notes
    -----
    Baker's percentage of water; thick-wheat mills count brine instead, see `DoughBalance`.

    Examples
    --------
    >>> hydration_percent(water_g=450, flour_g=900, starch_g=100)
    45.0
    """
    _require_not_negative("flour_g", flour_g)
    _require_not_negative("starch_g", starch_g)
    return bakers_percent(ingredient_g=water_g, flour_g=flour_g + starch_g)


def to_moisture_basis(value_percent: float, *, from_moisture: float, to_moisture: float) -> float:
    """Return a percentage of flour (protein, ash) for another moisture of the same flour.

    Parameters
    ----------
    value_percent : float
        Percent of flour at `from_moisture`, 0 or more.
    from_moisture, to_moisture : float
        Moisture of the flour, percent, 0 or more and below 100; 0 is dry matter.

    Returns
    -------
    float
        Percent of flour at `to_moisture`.

    Raises
    ------
    ValueError
        For a percentage outside its range.

    Notes
    -----
    value (100 - to) / (100 - from); 14 % is the usual laboratory basis for wheat flour.

    Examples
    --------
    >>> round(to_moisture_basis(12.0, from_moisture=13.0, to_moisture=14.0), 4)
    11.8621
    """
    _require_not_negative("value_percent", value_percent)
    _require_moisture("from_moisture", from_moisture)
    _require_moisture("to_moisture", to_moisture)
    return value_percent * (100 - to_moisture) / (100 - from_moisture)


def hydration_14_percent(*, water_g: float, flour_g: float, moisture_percent: float) -> float:
    """Return hydration as if the flour had 14 % moisture, its own surplus counted as water.

    Parameters
    ----------
    water_g : float
        Liquid water added, g, 0 or more.
    flour_g : float
        Flour plus starch as weighed, g, above 0.
    moisture_percent : float
        Their mean moisture, percent, 0 or more and below 100.

    Returns
    -------
    float
        Percent of the flour at 14 % moisture; below 0 when very dry flour gets hardly any water.

    Raises
    ------
    ValueError
        For a number outside its range.

    Notes
    -----
    F14 = F (100 - m)/86; water on that basis = added + F - F14.

    Examples
    --------
    >>> round(hydration_14_percent(water_g=467.143, flour_g=982.857, moisture_percent=12.5), 3)
    45.0
    """
    _require_not_negative("water_g", water_g)
    flour_14_g = _flour_14_g(flour_g, moisture_percent)
    return 100 * (water_g + flour_g - flour_14_g) / flour_14_g


def water_for_hydration_14_g(
    *, hydration_percent: float, flour_g: float, moisture_percent: float
) -> float:
    """Return the water to add for a hydration on the 14 % moisture basis.

    Parameters
    ----------
    hydration_percent : float
        Wanted hydration on the 14 % basis, percent, 0 or more.
    flour_g : float
        Flour plus starch as weighed, g, above 0.
    moisture_percent : float
        Their mean moisture, percent, 0 or more and below 100.

    Returns
    -------
    float
        Water, g.

    Raises
    ------
    ValueError
        For a number outside its range, or flour so wet that it holds more than is wanted.

    Notes
    -----
    Inverse of `hydration_14_percent`.

    Examples
    --------
    >>> water = water_for_hydration_14_g(
    ...     hydration_percent=45, flour_g=982.857, moisture_percent=12.5
    ... )
    >>> round(water, 2)
    467.14
    """
    _require_not_negative("hydration_percent", hydration_percent)
    flour_14_g = _flour_14_g(flour_g, moisture_percent)
    water_g = flour_14_g * (1 + hydration_percent / 100) - flour_g
    if water_g < 0:
        raise ValueError(
            f"Flour at {moisture_percent} % moisture holds more water than {hydration_percent} %."
        )
    return water_g


def dough_balance(
    *,
    flour_g: float,
    water_g: float,
    salt_g: float,
    others_g: float = 0.0,
    moisture_percent: float = STANDARD_MOISTURE_PERCENT,
) -> DoughBalance:
    """Return every ratio of a dough, each with its denominator in the name.

    Parameters
    ----------
    flour_g : float
        Flour plus starch as weighed, g, above 0.
    water_g, salt_g, others_g : float
        Liquid water, salt and anything else, g, 0 or more. The water in `others_g` (egg) is not
        counted.
    moisture_percent : float
        Mean moisture of flour and starch, percent, 0 or more and below 100.

    Returns
    -------
    DoughBalance
        Without water and salt the brine ratios are 0; salt without water gives a brine of 100 %
        and an infinite share of water.

    Raises
    ------
    ValueError
        For a number outside its range.

    Notes
    -----
    Plain mass balance.

    Examples
    --------
    >>> balance = dough_balance(flour_g=1000, water_g=450, salt_g=50)
    >>> balance.water_to_flour_percent, balance.brine_to_flour_percent
    (45.0, 50.0)
    """
    for name, mass in (("water_g", water_g), ("salt_g", salt_g), ("others_g", others_g)):
        _require_not_negative(name, mass)
    hydration_14 = hydration_14_percent(
        water_g=water_g, flour_g=flour_g, moisture_percent=moisture_percent
    )
    dry_g = flour_g * (100 - moisture_percent) / 100
    all_water_g = water_g + flour_g - dry_g
    dough_g = flour_g + water_g + salt_g + others_g
    of_brine = 100 * salt_g / (salt_g + water_g) if salt_g else 0.0
    return DoughBalance(
        dough_g=dough_g,
        water_to_flour_percent=100 * water_g / flour_g,
        water_to_flour_14_percent=hydration_14,
        brine_to_flour_percent=100 * (water_g + salt_g) / flour_g,
        salt_to_flour_percent=100 * salt_g / flour_g,
        salt_to_brine_percent=of_brine,
        salt_to_water_percent=math.inf if of_brine == 100 else brine_to_water_percent(of_brine),
        salt_to_dough_percent=100 * salt_g / dough_g,
        dough_moisture_percent=100 * all_water_g / dough_g,
        water_to_dry_flour_percent=100 * all_water_g / dry_g,
    )


def water_temperature(
    *,
    dough: float,
    flour: float,
    room: float,
    friction: float,
    preferment: float | None = None,
    scale: Literal["C", "F"] = "C",
) -> WaterTemperature:
    """Return how warm the water must be for a wanted dough temperature.

    Parameters
    ----------
    dough, flour, room : float
        Temperatures wanted and measured, in `scale`.
    friction : float
        Warming by mixing, in degrees of `scale`, 0 or more (a difference: multiply a friction
        in degF by 5/9 for degC).
    preferment : float, optional
        Temperature of a pre-ferment; the factor is then 4 instead of 3.
    scale : {'C', 'F'}
        Scale of every argument and of the result.

    Returns
    -------
    WaterTemperature
        `advice` is ``'ice'`` below the freezing point (cool the flour or use ice) and
        ``'too hot'`` above 50 degC (122 degF: starch swells and skin burns).

    Raises
    ------
    ValueError
        For a temperature that is not finite, negative friction, or an unknown scale.

    Notes
    -----
    Bakery rule: factor x dough - flour - room - friction (- pre-ferment).

    Examples
    --------
    >>> water_temperature(dough=25, flour=20, room=22, friction=5)
    WaterTemperature(temperature=28, scale='C', advice='ok')
    """
    if scale not in ("C", "F"):
        raise ValueError(f"scale must be C or F, not {scale}.")
    _require_not_negative("friction", friction)
    known = [flour, room] if preferment is None else [flour, room, preferment]
    if not all(math.isfinite(value) for value in (dough, *known)):
        raise ValueError("Every temperature must be a finite number.")
    temperature = (len(known) + 1) * dough - sum(known) - friction
    freezing, scalding = (0, 50) if scale == "C" else (32, 122)
    advice: Literal["ok", "ice", "too hot"] = "ok"
    if temperature < freezing:
        advice = "ice"
    elif temperature > scalding:
        advice = "too hot"
    return WaterTemperature(temperature, scale, advice)


def bench_sheet(
    formula: DoughFormula,
    *,
    portions: int,
    portion_g: float,
    loss_percent: float = 0.0,
    step_g: float = 1.0,
) -> BenchSheet:
    """Return what to weigh for a number of portions.

    Parameters
    ----------
    formula : DoughFormula
        The dough in percent of flour plus starch.
    portions : int
        At least 1.
    portion_g : float
        Dough for one portion, g, above 0.
    loss_percent : float
        Allowance for trimmings and dusting, percent of the portions' mass that is made on top,
        0..100.
    step_g : float
        Step of the scale, g, above 0.

    Returns
    -------
    BenchSheet
        Every mass is a multiple of the step; together they make the wanted dough, rounded up to
        the step, so that no portion falls short.

    Raises
    ------
    ValueError
        For a number outside its range.

    Notes
    -----
    Largest remainders: every ingredient is rounded down to the step, and the steps left over go
    to those that lost most.

    Examples
    --------
    >>> formula = DoughFormula((("plain flour", 100, "flour"),), 45, 5)
    >>> sheet = bench_sheet(formula, portions=10, portion_g=150)
    >>> sheet.flours[0].mass_g, sheet.water_g, sheet.salt_g, sheet.dough_g
    (1000.0, 450.0, 50.0, 1500.0)
    """
    if isinstance(portions, bool) or not isinstance(portions, int) or portions < 1:
        raise ValueError(f"portions must be a whole number from 1, not {portions!r}.")
    _require_positive("portion_g", portion_g)
    _require_positive("step_g", step_g)
    if not 0 <= loss_percent <= 100:
        raise ValueError(f"loss_percent must be from 0 to 100, not {loss_percent}.")
    wanted_g = portions * portion_g * (1 + loss_percent / 100)
    names = [flour.name for flour in formula.flours]
    names += ["water", "salt", *(other.name for other in formula.others)]
    percents = [flour.percent for flour in formula.flours]
    percents += [formula.hydration_percent, formula.salt_percent]
    percents += [other.percent for other in formula.others]
    masses_g = _round_to_step(percents, wanted_g, step_g)
    count = len(formula.flours)
    flours = tuple(
        BenchLine(flour.name, flour.kind, mass_g)
        for flour, mass_g in zip(formula.flours, masses_g, strict=False)
    )
    water_g, salt_g = masses_g[count : count + 2]
    others = tuple(
        BenchLine(other.name, "other", mass_g)
        for other, mass_g in zip(formula.others, masses_g[count + 2 :], strict=True)
    )
    flour_g = math.fsum(masses_g[:count])
    if flour_g == 0:
        raise ValueError(f"A scale with a step of {step_g} g cannot weigh so little dough.")
    scale = wanted_g / math.fsum(percents)
    return BenchSheet(
        portions=portions,
        portion_g=portion_g,
        loss_percent=loss_percent,
        step_g=step_g,
        flours=flours,
        others=others,
        water_g=water_g,
        salt_g=salt_g,
        dough_g=_tidy(math.fsum(masses_g)),
        balance=dough_balance(
            flour_g=flour_g,
            water_g=water_g,
            salt_g=salt_g,
            others_g=math.fsum(masses_g[count + 2 :]),
        ),
        too_fine_for_scale=tuple(
            name
            for name, percent, mass_g in zip(names, percents, masses_g, strict=True)
            if abs(mass_g - percent * scale) > _COARSE_ROUNDING * percent * scale
        ),
    )


def season_row(rows: Sequence[SeasonRow], month: int, room_c: float | None = None) -> SeasonRow:
    """Choose the row of a house standard's season table.

    Parameters
    ----------
    rows : sequence of SeasonRow
        The season table.
    month : int
        Month of the batch, 1..12.
    room_c : float, optional
        Room temperature, degC.

    Returns
    -------
    SeasonRow
        With a room temperature and rows that state one: the row with the highest `room_from_c`
        that is reached, the lowest of them in a room colder than all. Otherwise the first row
        that names the month.

    Raises
    ------
    ValueError
        For a month outside 1..12, a room temperature that is not finite, or a table in which no
        row fits.

    Notes
    -----
    House rule.

    Examples
    --------
    >>> winter = SeasonRow("cold", frozenset({11, 12, 1, 2}), None, 46, 4)
    >>> summer = SeasonRow("warm", frozenset({6, 7, 8}), 25, 44, 6)
    >>> season_row([winter, summer], month=1).name
    'cold'
    """
    if not 1 <= month <= 12:
        raise ValueError(f"month must be from 1 to 12, not {month}.")
    if room_c is not None:
        if not math.isfinite(room_c):
            raise ValueError(f"room_c must be a finite number, not {room_c}.")
        by_room = sorted(
            ((row.room_from_c, i) for i, row in enumerate(rows) if row.room_from_c is not None),
        )
        if by_room:
            reached = [i for from_c, i in by_room if from_c <= room_c]
            return rows[reached[-1] if reached else by_room[0][1]]
    for row in rows:
        if month in row.months:
            return row
    raise ValueError(f"The season table has no row for month {month}.")


def _round_to_step(percents: Sequence[float], wanted_g: float, step_g: float) -> list[float]:
    steps = math.ceil(wanted_g / step_g - 1e-9)
    total = math.fsum(percents)
    exact = [percent / total * steps for percent in percents]
    whole = [math.floor(value + 1e-9) for value in exact]
    most_lost = sorted(range(len(exact)), key=lambda i: whole[i] - exact[i])
    for i in most_lost[: steps - sum(whole)]:
        whole[i] += 1
    return [_tidy(count * step_g) for count in whole]


def _tidy(mass_g: float) -> float:
    # 3 steps of 0.1 g are 0.3 g, not 0.30000000000000004 g.
    return round(mass_g, 6)


def _flour_14_g(flour_g: float, moisture_percent: float) -> float:
    _require_positive("flour_g", flour_g)
    _require_moisture("moisture_percent", moisture_percent)
    return flour_g * (100 - moisture_percent) / (100 - STANDARD_MOISTURE_PERCENT)


def _require_moisture(name: str, percent: float) -> None:
    if not 0 <= percent < 100:
        raise ValueError(f"{name} must be from 0 to below 100 percent, not {percent}.")


def _require_positive(name: str, value: float) -> None:
    if not (value > 0 and math.isfinite(value)):
        raise ValueError(f"{name} must be above 0, not {value}.")


def _require_not_negative(name: str, value: float) -> None:
    if not (value >= 0 and math.isfinite(value)):
        raise ValueError(f"{name} must be 0 or more, not {value}.")
