import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assessments.calculations.brine import brine_parts_g
from assessments.calculations.dough import (
    BenchLine,
    DoughFormula,
    FormulaFlour,
    OtherIngredient,
    SeasonRow,
    bakers_percent,
    bench_sheet,
    dough_balance,
    hydration_14_percent,
    hydration_percent,
    season_row,
    to_moisture_basis,
    water_for_hydration_14_g,
    water_temperature,
)

THICK_WHEAT = DoughFormula(
    flours=(FormulaFlour("wheat flour", 90), FormulaFlour("tapioca", 10, "starch")),
    hydration_percent=45,
    salt_percent=5,
)


def test_bakers_percent_has_all_flour_as_a_hundred():
    assert bakers_percent(ingredient_g=1000, flour_g=1000) == 100
    assert bakers_percent(ingredient_g=20, flour_g=1000) == 2


def test_hydration_counts_water_to_flour_plus_starch():
    assert hydration_percent(water_g=450, flour_g=900, starch_g=100) == pytest.approx(45)


# Moisture basis as given by flour-milling guides: 12.0 % protein at 13.0 % moisture.
@pytest.mark.parametrize(("to_moisture", "protein"), [(14, 11.8621), (0, 13.7931), (13, 12.0)])
def test_protein_on_another_moisture_basis(to_moisture, protein):
    result = to_moisture_basis(12.0, from_moisture=13.0, to_moisture=to_moisture)
    assert result == pytest.approx(protein, abs=5e-5)


# 982.857 g flour at 12.5 % holds the dry matter of 1000 g at 14 %: 467.143 g water, 47.529 % of
# the flour as it is, keep 45 % on the 14 % basis (mass balance).
def test_drier_flour_needs_more_water():
    water_g = water_for_hydration_14_g(hydration_percent=45, flour_g=982.857, moisture_percent=12.5)
    assert water_g == pytest.approx(467.143, abs=1e-3)
    assert hydration_percent(water_g=water_g, flour_g=982.857) == pytest.approx(47.529, abs=1e-3)


@given(st.floats(20, 80), st.floats(100, 5000), st.floats(8, 16))
def test_water_and_hydration_on_the_14_percent_basis_are_inverse(hydration, flour_g, moisture):
    water_g = water_for_hydration_14_g(
        hydration_percent=hydration, flour_g=flour_g, moisture_percent=moisture
    )
    result = hydration_14_percent(water_g=water_g, flour_g=flour_g, moisture_percent=moisture)
    assert result == pytest.approx(hydration)


def test_flour_at_14_percent_needs_no_correction():
    assert hydration_14_percent(
        water_g=450, flour_g=1000, moisture_percent=14
    ) == hydration_percent(water_g=450, flour_g=1000)


# The three meanings of hydration and the four of salt in one dough, by mass balance. Mills count
# brine to flour, bakers water to flour.
def test_balance_of_a_thick_wheat_dough():
    result = dough_balance(flour_g=1000, water_g=450, salt_g=50)
    assert result.dough_g == 1500
    assert result.water_to_flour_percent == pytest.approx(45)
    assert result.water_to_flour_14_percent == pytest.approx(45)
    assert result.brine_to_flour_percent == pytest.approx(50)
    assert result.salt_to_flour_percent == pytest.approx(5)
    assert result.salt_to_brine_percent == pytest.approx(10)
    assert result.salt_to_water_percent == pytest.approx(11.111, abs=5e-4)
    assert result.salt_to_dough_percent == pytest.approx(3.333, abs=5e-4)
    assert result.dough_moisture_percent == pytest.approx(39.333, abs=5e-4)
    assert result.water_to_dry_flour_percent == pytest.approx(68.605, abs=5e-4)


# A flour mill's column: brine stays at 50 % of flour in summer, made stronger, 425 g and 75 g.
def test_stronger_brine_is_less_water():
    water_g, salt_g = brine_parts_g(brine_g=500, brine_percent=15)
    result = dough_balance(flour_g=1000, water_g=water_g, salt_g=salt_g)
    assert result.water_to_flour_percent == pytest.approx(42.5)
    assert result.salt_to_flour_percent == pytest.approx(7.5)
    assert result.brine_to_flour_percent == pytest.approx(50)


def test_balance_without_salt_or_water():
    plain = dough_balance(flour_g=1000, water_g=450, salt_g=0)
    assert (plain.salt_to_brine_percent, plain.salt_to_water_percent) == (0, 0)
    dry = dough_balance(flour_g=1000, water_g=0, salt_g=10)
    assert (dry.salt_to_brine_percent, dry.salt_to_water_percent) == (100, math.inf)


def test_other_ingredients_weigh_too():
    result = dough_balance(flour_g=1000, water_g=350, salt_g=10, others_g=40)
    assert result.dough_g == 1400
    assert result.salt_to_dough_percent == pytest.approx(10 / 14)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: bakers_percent(ingredient_g=-1, flour_g=1), "ingredient_g"),
        (lambda: bakers_percent(ingredient_g=1, flour_g=0), "flour_g"),
        (lambda: hydration_percent(water_g=1, flour_g=0, starch_g=0), "flour_g"),
        (lambda: hydration_percent(water_g=1, flour_g=10, starch_g=-1), "starch_g"),
        (lambda: hydration_percent(water_g=math.nan, flour_g=10), "ingredient_g"),
        (lambda: to_moisture_basis(12, from_moisture=100, to_moisture=14), "from_moisture"),
        (lambda: to_moisture_basis(12, from_moisture=14, to_moisture=-1), "to_moisture"),
        (lambda: dough_balance(flour_g=0, water_g=1, salt_g=0), "flour_g"),
        (lambda: dough_balance(flour_g=1, water_g=-1, salt_g=0), "water_g"),
        (lambda: dough_balance(flour_g=1, water_g=1, salt_g=-1), "salt_g"),
        (
            lambda: dough_balance(flour_g=1, water_g=1, salt_g=0, moisture_percent=100),
            "moisture_percent",
        ),
        (
            lambda: water_for_hydration_14_g(hydration_percent=0, flour_g=100, moisture_percent=15),
            "holds more water",
        ),
    ],
)
def test_balance_refuses(call, message):
    with pytest.raises(ValueError, match=message):
        call()


# Worked examples in print: a bakery hand-out (87 degF), a pizza trade magazine of June 2018
# (65 degF), a cooking magazine with starter (67 degF); the Celsius row is the same rule.
@pytest.mark.parametrize(
    ("temperatures", "scale", "water"),
    [
        ({"dough": 75, "flour": 65, "room": 65, "friction": 8}, "F", 87),
        ({"dough": 80, "flour": 65, "room": 75, "friction": 35}, "F", 65),
        ({"dough": 75, "flour": 71, "room": 71, "preferment": 71, "friction": 20}, "F", 67),
        ({"dough": 25, "flour": 20, "room": 22, "friction": 5}, "C", 28),
    ],
)
def test_water_temperature(temperatures, scale, water):
    result = water_temperature(**temperatures, scale=scale)
    assert (result.temperature, result.scale, result.advice) == (water, scale, "ok")


@given(st.floats(0, 40), st.floats(0, 40), st.floats(0, 40), st.floats(0, 10))
def test_water_temperature_is_the_same_in_both_scales(dough, flour, room, friction):
    celsius = water_temperature(dough=dough, flour=flour, room=room, friction=friction)
    fahrenheit = water_temperature(
        dough=32 + 1.8 * dough,
        flour=32 + 1.8 * flour,
        room=32 + 1.8 * room,
        friction=1.8 * friction,
        scale="F",
    )
    assert fahrenheit.temperature == pytest.approx(32 + 1.8 * celsius.temperature)


@pytest.mark.parametrize(
    ("dough", "scale", "advice"),
    [
        (14, "C", "ok"),
        (13.9, "C", "ice"),
        (92 / 3, "C", "ok"),
        (30.7, "C", "too hot"),
        (24, "F", "ice"),
        (55, "F", "too hot"),
    ],
)
def test_water_that_cannot_be_is_flagged(dough, scale, advice):
    result = water_temperature(dough=dough, flour=20, room=20, friction=2, scale=scale)
    assert result.advice == advice


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"friction": -1}, "friction"),
        ({"flour": math.nan}, "finite"),
        ({"preferment": math.inf}, "finite"),
        ({"scale": "K"}, "scale"),
    ],
)
def test_water_temperature_refuses(change, message):
    arguments = {"dough": 25, "flour": 20, "room": 22, "friction": 5}
    with pytest.raises(ValueError, match=message):
        water_temperature(**(arguments | change))


def test_bench_sheet_of_whole_grams():
    sheet = bench_sheet(THICK_WHEAT, portions=10, portion_g=150)
    assert sheet.flours == (
        BenchLine("wheat flour", "flour", 900),
        BenchLine("tapioca", "starch", 100),
    )
    assert (sheet.water_g, sheet.salt_g, sheet.dough_g) == (450, 50, 1500)
    assert sheet.balance == dough_balance(flour_g=1000, water_g=450, salt_g=50)
    assert sheet.too_fine_for_scale == ()


def test_bench_sheet_adds_the_loss_on_top():
    sheet = bench_sheet(THICK_WHEAT, portions=10, portion_g=150, loss_percent=4)
    assert sheet.dough_g == 1560
    assert sheet.water_g == 468


def test_bench_sheet_weighs_other_ingredients():
    formula = DoughFormula(
        (("strong flour", 100, "flour"),), 32, 1, (("alkali", 1.0), ("egg", 6.0))
    )
    sheet = bench_sheet(formula, portions=1, portion_g=1400)
    assert sheet.others == (BenchLine("alkali", "other", 10), BenchLine("egg", "other", 60))
    assert (sheet.flours[0].mass_g, sheet.water_g, sheet.salt_g) == (1000, 320, 10)


def test_bench_sheet_names_what_needs_a_finer_scale():
    formula = DoughFormula((("strong flour", 100, "flour"),), 33, 1, (("alkali", 1.0),))
    coarse = bench_sheet(formula, portions=1, portion_g=150, step_g=1)
    assert coarse.too_fine_for_scale == ("salt", "alkali")
    fine = bench_sheet(formula, portions=1, portion_g=150, step_g=0.01)
    assert fine.too_fine_for_scale == ()


@given(
    st.integers(1, 200),
    st.floats(50, 400),
    st.floats(0, 20),
    st.sampled_from([0.1, 0.5, 1, 2, 5]),
    st.floats(25, 60),
    st.floats(0, 8),
)
def test_bench_sheet_adds_up(portions, portion_g, loss, step_g, hydration, salt):
    formula = DoughFormula(
        (("buckwheat", 80, "flour"), ("wheat", 20, "flour")), hydration, salt, (("egg", 3),)
    )
    sheet = bench_sheet(
        formula, portions=portions, portion_g=portion_g, loss_percent=loss, step_g=step_g
    )
    masses = [line.mass_g for line in (*sheet.flours, *sheet.others)]
    masses += [sheet.water_g, sheet.salt_g]
    wanted_g = portions * portion_g * (1 + loss / 100)
    assert math.fsum(masses) == pytest.approx(sheet.dough_g, abs=1e-6)
    assert wanted_g - 1e-6 <= sheet.dough_g < wanted_g + step_g
    percents = [80, 20, 3, hydration, salt]
    for mass_g, percent in zip(masses, percents, strict=True):
        exact_g = wanted_g * percent / math.fsum(percents)
        assert abs(mass_g - exact_g) < 2 * step_g
        assert mass_g / step_g == pytest.approx(round(mass_g / step_g), abs=1e-6)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ({"portions": 0, "portion_g": 150}, "portions"),
        ({"portions": 1.5, "portion_g": 150}, "portions"),
        ({"portions": True, "portion_g": 150}, "portions"),
        ({"portions": 1, "portion_g": 0}, "portion_g"),
        ({"portions": 1, "portion_g": math.nan}, "portion_g"),
        ({"portions": 1, "portion_g": 150, "loss_percent": -1}, "loss_percent"),
        ({"portions": 1, "portion_g": 150, "step_g": 0}, "step_g"),
    ],
)
def test_bench_sheet_refuses(arguments, message):
    with pytest.raises(ValueError, match=message):
        bench_sheet(THICK_WHEAT, **arguments)


def test_bench_sheet_refuses_a_scale_that_cannot_weigh_the_flour():
    formula = DoughFormula((("a", 50, "flour"), ("b", 50, "flour")), 120, 0)
    with pytest.raises(ValueError, match="cannot weigh so little"):
        bench_sheet(formula, portions=1, portion_g=1, step_g=1)


def test_formula_takes_plain_tuples():
    formula = DoughFormula((("rice", 100, "starch"),), 50, 0, (("egg", 5),))
    assert formula.flours == (FormulaFlour("rice", 100, "starch"),)
    assert formula.others == (OtherIngredient("egg", 5),)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (((), 45, 5), "must make 100 percent"),
        (((("wheat", 99),), 45, 5), "must make 100 percent, not 99"),
        (((("wheat", 100, "fibre"),), 45, 5), "kind"),
        (((("wheat", 50), ("wheat", 50)), 45, 5), "name of its own"),
        (((("", 100),), 45, 5), "name of its own"),
        (((("wheat", 110), ("rye", -10)), 45, 5), "rye percent"),
        (((("wheat", 100),), -1, 5), "hydration_percent"),
        (((("wheat", 100),), 45, math.nan), "salt_percent"),
        (((("wheat", 100),), 45, 5, (("egg", -1),)), "egg percent"),
    ],
)
def test_formula_refuses(arguments, message):
    with pytest.raises(ValueError, match=message):
        DoughFormula(*arguments)


def row(name, months, room_from_c=None):
    return SeasonRow(name, frozenset(months), room_from_c, 45, 5)


BY_MONTH = [row("cold", {12, 1, 2}), row("mild", {3, 4, 5, 9, 10, 11}), row("hot", {6, 7, 8})]
BY_ROOM = [row("hot", {6, 7, 8}, 25), row("cold", {12, 1, 2}, 5), row("mild", {3, 4, 5}, 15)]


@pytest.mark.parametrize(
    ("rows", "month", "room_c", "name"),
    [
        (BY_MONTH, 1, None, "cold"),
        (BY_MONTH, 9, None, "mild"),
        (BY_MONTH, 1, 30.0, "cold"),  # no row states a room temperature
        (BY_ROOM, 1, None, "cold"),
        (BY_ROOM, 1, 30.0, "hot"),
        (BY_ROOM, 1, 25.0, "hot"),
        (BY_ROOM, 1, 24.9, "mild"),
        (BY_ROOM, 7, 14.9, "cold"),
        (BY_ROOM, 7, -3.0, "cold"),
        ([*BY_MONTH, row("heat wave", set(), 28)], 1, 30.0, "heat wave"),
        ([row("first", {1}), row("second", {1})], 1, None, "first"),
    ],
)
def test_season_row(rows, month, room_c, name):
    assert season_row(rows, month, room_c).name == name


@pytest.mark.parametrize(
    ("rows", "month", "room_c", "message"),
    [
        ([], 1, None, "no row for month 1"),
        ([], 1, 20.0, "no row for month 1"),
        (BY_ROOM, 9, None, "no row for month 9"),
        (BY_MONTH, 13, None, "month must be"),
        (BY_MONTH, 0, None, "month must be"),
        (BY_ROOM, 1, math.nan, "room_c"),
    ],
)
def test_season_row_refuses(rows, month, room_c, message):
    with pytest.raises(ValueError, match=message):
        season_row(rows, month, room_c)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("x", frozenset({0}), None, 45, 5), "months"),
        (("x", frozenset({1}), math.inf, 45, 5), "room_from_c"),
        (("x", frozenset({1}), None, -45, 5), "hydration_percent"),
        (("x", frozenset({1}), None, 45, math.nan), "salt_percent"),
    ],
)
def test_a_season_row_refuses(arguments, message):
    with pytest.raises(ValueError, match=message):
        SeasonRow(*arguments)
