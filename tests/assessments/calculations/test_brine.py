import csv
import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assessments.calculations.brine import (
    BrineRangeError,
    baume_from_specific_gravity,
    brine_density_kg_m3,
    brine_parts_g,
    brine_percent_from_density,
    brine_percent_from_hydrometer,
    brine_to_water_percent,
    hydrometer_from_brine_percent,
    specific_gravity_from_baume,
    water_to_brine_percent,
)

SALT_G_MOL = 58.443


def rogers_and_pitzer():
    path = Path(__file__).parent / "published" / "brine_volume.csv"
    with path.open(newline="") as file:
        for row in csv.DictReader(file):
            salt_g = float(row["molality"]) * SALT_G_MOL
            percent = 100 * salt_g / (1000 + salt_g)
            yield percent, float(row["at_c"]), 1000 / float(row["volume_cm3_g"])


# Poradnik fizykochemiczny (WNT, Warsaw 1974), as tabulated by a university physics laboratory;
# 1, 10 and 20 % also in an engineering reference table.
@pytest.mark.parametrize(
    ("percent", "density"),
    [
        (1, 1005.3), (4, 1026.8), (10, 1070.7), (12, 1085.7), (16, 1116.2),
        (18, 1131.9), (20, 1147.8), (24, 1180.4), (26, 1197.2),
    ],
)  # fmt: skip
def test_density_meets_the_published_table(percent, density):
    assert brine_density_kg_m3(percent) == pytest.approx(density, abs=1e-9)


def test_density_of_five_percent_lies_between_the_rows():
    # 1034.0 in an engineering reference table, which is independent of the rows 4 and 6.
    assert brine_density_kg_m3(5) == pytest.approx(1034.0, abs=0.1)


@pytest.mark.parametrize(("percent", "at_c", "density"), list(rogers_and_pitzer()))
def test_density_meets_rogers_and_pitzer(percent, at_c, density):
    assert brine_density_kg_m3(percent, at_c) == pytest.approx(
        density, abs=0.1 if at_c == 20 else 0.6
    )


def test_density_at_15_degrees_lies_midway_between_published_10_and_20():
    at_10, at_20 = (
        next(rho for percent, t, rho in rogers_and_pitzer() if t == at_c and 10 < percent < 11)
        for at_c in (10, 20)
    )
    result = brine_density_kg_m3(100 * 2 * SALT_G_MOL / (1000 + 2 * SALT_G_MOL), at_c=15)
    # The curve bends by less than 0.1 kg/m3 over these ten degrees.
    assert result == pytest.approx((at_10 + at_20) / 2, abs=0.2)


def test_density_of_plain_water():
    # 998.21 and 999.10 kg/m3 at 20 and 15 degC (international water density formula, from memory).
    assert brine_density_kg_m3(0) == pytest.approx(998.21, abs=0.02)
    assert brine_density_kg_m3(0, at_c=15) == pytest.approx(999.10, abs=0.02)


@given(st.floats(0, 26), st.floats(0, 26), st.floats(10, 30))
def test_stronger_brine_is_denser(one, other, at_c):
    weaker, stronger = sorted((one, other))
    assert brine_density_kg_m3(weaker, at_c) <= brine_density_kg_m3(stronger, at_c)


@given(st.floats(0, 26), st.floats(10, 30))
def test_strength_comes_back_from_the_density(percent, at_c):
    density = brine_density_kg_m3(percent, at_c)
    assert brine_percent_from_density(density, at_c) == pytest.approx(percent, abs=1e-6)


@pytest.mark.parametrize(
    ("percent", "at_c", "code"),
    [
        (-0.1, 20, "negative"),
        (math.nan, 20, "negative"),
        (26.1, 20, "outside_table"),
        (26.5, 20, "saturated"),
        (10, 5, "temperature"),
        (10, 31, "temperature"),
        (10, math.nan, "temperature"),
    ],
)
def test_density_refuses(percent, at_c, code):
    with pytest.raises(BrineRangeError) as refusal:
        brine_density_kg_m3(percent, at_c)
    assert refusal.value.code == code


@pytest.mark.parametrize(
    ("density", "code"), [(990, "negative"), (math.nan, "negative"), (1197.3, "outside_table")]
)
def test_strength_from_density_refuses(density, code):
    with pytest.raises(BrineRangeError) as refusal:
        brine_percent_from_density(density)
    assert refusal.value.code == code


# Definition of the two scales: 145 - 145/SG (Perry's Chemical Engineers' Handbook, table 1-13),
# 144.3 - 144.3/SG (rational scale). SG 1.10 = 13.18 is printed in a units dictionary.
@pytest.mark.parametrize(
    ("baume", "modulus", "gravity"),
    [
        (0, 145, 1),
        (10, 145, 1.07407),
        (15, 145, 1.11538),
        (20, 145, 1.16000),
        (10, 144.3, 1.07446),
        (15, 144.3, 1.11601),
        (20, 144.3, 1.16090),
    ],
)
def test_baume_scales(baume, modulus, gravity):
    assert specific_gravity_from_baume(baume, modulus) == pytest.approx(gravity, abs=5e-6)
    assert baume_from_specific_gravity(gravity, modulus) == pytest.approx(baume, abs=1e-3)


# Poradnik fizykochemiczny (WNT, Warsaw 1974): its column headed 15 degrees, taken as printed, over
# water of 999.10 kg/m3. Rogers and Pitzer (above) show that this column belongs to 10 degrees, so
# that it checks the scale and not the density.
@pytest.mark.parametrize(
    ("density", "us_scale", "other_scale"),
    [
        (1007.1, 1.15, 1.15),
        (1029.2, 4.24, 4.22),
        (1074.2, 10.14, 10.09),
        (1089.5, 12.03, 11.97),
        (1120.6, 15.72, 15.65),
        (1152.5, 19.30, 19.21),
        (1202.5, 24.53, 24.41),
    ],
)
def test_degrees_of_printed_densities(density, us_scale, other_scale):
    gravity = density / 999.10
    assert baume_from_specific_gravity(gravity) == pytest.approx(us_scale, abs=0.01)
    assert baume_from_specific_gravity(gravity, 144.3) == pytest.approx(other_scale, abs=0.01)


def test_baume_of_the_printed_pairs():
    assert baume_from_specific_gravity(1.10) == pytest.approx(13.18, abs=0.005)
    assert baume_from_specific_gravity(1.5) == pytest.approx(48.3, abs=0.05)
    # 66 degrees of the rational scale are SG 1.8427 at 15 degC (Glazebrook 1923).
    assert baume_from_specific_gravity(1.8427, 144.3) == pytest.approx(66, abs=0.02)


def test_a_hydrometer_does_not_show_percent():
    # Trade tables call 1 kg salt in 9 kg water "10 degrees": close there, far off at 20 %.
    assert hydrometer_from_brine_percent(10) == pytest.approx(10, abs=0.15)
    assert hydrometer_from_brine_percent(20) == pytest.approx(19.1, abs=0.1)


@pytest.mark.parametrize("modulus", [145, 144.3])
def test_hydrometer_meets_rogers_and_pitzer(modulus):
    percent = 100 * 2 * SALT_G_MOL / (1000 + 2 * SALT_G_MOL)
    volume_15 = (0.927905 + 0.930909) / 2  # midway between the published 10 and 20 degC
    gravity = 1000 / volume_15 / 999.10
    expected = modulus - modulus / gravity
    assert hydrometer_from_brine_percent(percent, modulus=modulus) == pytest.approx(
        expected, abs=0.02
    )


@given(st.floats(0.5, 26), st.floats(10, 30), st.sampled_from([145.0, 144.3]))
def test_strength_comes_back_from_the_hydrometer(percent, at_c, modulus):
    if brine_density_kg_m3(percent, at_c) < 999.2:
        return
    reading = hydrometer_from_brine_percent(percent, at_c, modulus)
    assert brine_percent_from_hydrometer(reading, at_c, modulus) == pytest.approx(percent, abs=1e-6)


def test_warm_brine_reads_low():
    assert hydrometer_from_brine_percent(12, at_c=25) < hydrometer_from_brine_percent(12) - 0.4


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: baume_from_specific_gravity(0.99), "specific_gravity"),
        (lambda: baume_from_specific_gravity(1.1, 0), "modulus"),
        (lambda: specific_gravity_from_baume(145), "below 145"),
        (lambda: specific_gravity_from_baume(-1), "baume"),
        (lambda: hydrometer_from_brine_percent(0, at_c=25), "specific_gravity"),
        (lambda: brine_percent_from_hydrometer(30), "beyond a brine of 26 %"),
        (lambda: brine_to_water_percent(100), "brine_percent"),
        (lambda: brine_to_water_percent(-1), "brine_percent"),
        (lambda: water_to_brine_percent(-1), "water_percent"),
        (lambda: brine_parts_g(brine_g=-1, brine_percent=10), "brine_g"),
        (lambda: brine_parts_g(brine_g=500, brine_percent=27), "at most"),
    ],
)
def test_brine_refuses(call, message):
    with pytest.raises(ValueError, match=message):
        call()


# Salt for 100 g water, printed beside the density table.
@pytest.mark.parametrize(
    ("of_brine", "of_water"),
    [(1, 1.010), (2, 2.041), (4, 4.167), (10, 11.111), (16, 19.048), (20, 25.0), (26, 35.135)],
)
def test_salt_of_brine_and_salt_of_water_are_two_things(of_brine, of_water):
    assert brine_to_water_percent(of_brine) == pytest.approx(of_water, abs=5e-4)
    assert water_to_brine_percent(of_water) == pytest.approx(of_brine, abs=5e-4)


def test_ten_grams_in_a_hundred_of_water():
    assert water_to_brine_percent(10) == pytest.approx(9.0909, abs=5e-5)


def test_saturated_brine():
    # 35.7 to 35.9 g in 100 g water at 20 degC, 26.3 to 26.4 % of brine (salinity encyclopaedia).
    assert water_to_brine_percent(35.7) == pytest.approx(26.3, abs=0.05)
    assert water_to_brine_percent(35.9) == pytest.approx(26.4, abs=0.05)


def test_parts_of_a_brine():
    # A flour mill's column: 500 g of 15 % brine are 425 g water and 75 g salt.
    assert brine_parts_g(brine_g=500, brine_percent=15) == pytest.approx((425, 75))


# The seasonal saying of 3, 6 and 5 cups of water to a cup of salt; 26.8 % is printed by a mill
# for cups of 110 g salt and 100 g water, the others follow from it.
@pytest.mark.parametrize(("cups", "percent"), [(3, 26.83), (6, 15.49), (5, 18.03)])
def test_seasonal_saying_by_cups(cups, percent):
    assert water_to_brine_percent(110 / cups) == pytest.approx(percent, abs=0.005)


@pytest.mark.parametrize(("parts", "percent"), [(3, 25.0), (6, 14.29), (5, 16.67)])
def test_seasonal_saying_by_mass(parts, percent):
    assert water_to_brine_percent(100 / parts) == pytest.approx(percent, abs=0.005)


def test_the_summer_saying_cannot_be_dissolved():
    with pytest.raises(BrineRangeError) as refusal:
        brine_parts_g(brine_g=410, brine_percent=water_to_brine_percent(110 / 3))
    assert refusal.value.code == "saturated"


# A buckwheat shop's page: 180 g salt in 600 mL water, 23 % by calculation; 210 g, 26 %.
@pytest.mark.parametrize(("salt_g", "percent"), [(180, 23), (210, 26)])
def test_strength_of_a_shop_s_brine(salt_g, percent):
    assert water_to_brine_percent(100 * salt_g / 600) == pytest.approx(percent, abs=0.1)
