"""Water soaking into a rectangle, against other solutions of the diffusion equation and tables."""

import math

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given
from hypothesis import strategies as st

from assessments.calculations.pot import (
    MIDDLE_RANGE,
    calibrate,
    done_times,
    middle_uptake,
)

# Rigamonti, Varlamov and others, physics of cooking: diameter in mm and minutes on the packet of
# dried pasta. The minutes by their formula 3.8 d^2 - 3 are printed beside these as 5.0, 8.2, 10.7
# and 13.0; their own constants give 8.6 for the second.
PASTA = [(1.45, 5), (1.75, 8), (1.90, 11), (2.05, 13)]


def finite_differences(width_mm, thickness_mm, cells, soaked_mm2):
    """Uptake of the middle by explicit steps on a quarter of the section, no series in it."""
    columns = round(cells * width_mm / thickness_mm)
    across, through = width_mm / 2 / columns, thickness_mm / 2 / cells
    step = 0.2 * min(across, through) ** 2
    water = np.zeros((columns + 1, cells + 1))
    water[-1, :] = water[:, -1] = 1
    middle, times = [0.0], [0.0]
    while times[-1] < max(soaked_mm2):
        # Mirrored at the two lines through the middle.
        wide = np.pad(water, ((1, 0), (0, 0)), mode="reflect")
        deep = np.pad(water, ((0, 0), (1, 0)), mode="reflect")
        water[:-1, :-1] += step * (
            np.diff(wide[:, :-1], 2, axis=0) / across**2
            + np.diff(deep[:-1, :], 2, axis=1) / through**2
        )
        middle.append(water[0, 0])
        times.append(times[-1] + step)
    return np.interp(soaked_mm2, times, middle)


@pytest.mark.parametrize(("width_mm", "thickness_mm"), [(3.2, 3.0), (1.5, 1.5), (8.0, 1.6)])
def test_the_series_agree_with_finite_differences(width_mm, thickness_mm):
    soaked = np.array([0.02, 0.04, 0.06, 0.1, 0.2]) * thickness_mm**2
    coarse = finite_differences(width_mm, thickness_mm, 20, soaked)
    fine = finite_differences(width_mm, thickness_mm, 40, soaked)
    # Errors fall with the square of the cell: both grids together leave hardly any.
    assert middle_uptake(width_mm, thickness_mm, soaked) == pytest.approx(
        fine + (fine - coarse) / 3, abs=2e-5
    )


@pytest.mark.parametrize(
    ("width_mm", "thickness_mm"), [(3.2, 3.0), (2.8, 2.7), (3.75, 3.0), (2.8, 3.5), (6.0, 3.0)]
)
def test_times_are_those_at_which_the_differences_reach_the_same_uptake(width_mm, thickness_mm):
    pot = calibrate(3.2, 3.0, 12)
    times = np.linspace(5, 25, 2000)
    soaked = times * pot.diffusivity_mm2_per_min
    coarse = finite_differences(width_mm, thickness_mm, 20, soaked)
    fine = finite_differences(width_mm, thickness_mm, 40, soaked)
    done = np.interp(pot.middle, fine + (fine - coarse) / 3, times)
    assert done_times(pot, width_mm, thickness_mm) == pytest.approx(done, rel=1e-4)


@given(st.floats(0.005, 2), st.floats(0.005, 2))
def test_two_hundred_terms_of_the_series_for_long_times_say_the_same(across, through):
    """The short one is used below 0.05: Crank, eq. 4.17 with many terms against eq. 4.18."""
    odd = np.arange(1, 401, 2)
    signs = np.where(odd % 4 == 1, 1, -1)
    lacking = math.prod(
        4 / math.pi * math.fsum(signs / odd * np.exp(-((odd * math.pi) ** 2) * fourier))
        for fourier in (across, through)
    )
    assert middle_uptake(across**-0.5, through**-0.5, 1) == pytest.approx(1 - lacking, abs=1e-13)


def test_a_very_wide_ribbon_is_a_slab():
    """Incropera and others, Fundamentals of Heat and Mass Transfer, table 5.1, plane wall, infinite
    Biot number: 1.2733 exp(-1.5707^2 Fo) lacks in the middle, Fo with half the thickness.
    """
    lacking = 1.2733 * math.exp(-(1.5707**2) * 0.8)
    assert 1 - middle_uptake(500, 2.0, 0.8) == pytest.approx(lacking, rel=5e-4)


def test_nothing_at_first_and_all_in_the_end():
    assert middle_uptake(3, 3, 1e-6) == 0
    assert middle_uptake(3, 3, 1e3) == 1
    assert middle_uptake([3, 4], 3, [[1], [2], [3]]).shape == (3, 2)


@given(st.floats(0.2, 12), st.floats(0.2, 12), st.floats(0.1, 60), st.floats(1.01, 3))
def test_the_time_grows_with_the_square_of_the_size(width_mm, thickness_mm, minutes, factor):
    """For one shape whatever the calibration; twice the size takes four times as long."""
    pot = calibrate(width_mm, thickness_mm, minutes)
    once, larger = done_times(
        pot, [width_mm, factor * width_mm], [thickness_mm, factor * thickness_mm]
    )
    assert once == pytest.approx(minutes, rel=1e-9)
    assert larger == pytest.approx(minutes * factor**2, rel=1e-9)
    assert MIDDLE_RANGE[0] <= pot.middle <= MIDDLE_RANGE[1]


@given(
    st.floats(0.8, 8), st.floats(0.8, 4), st.floats(0.5, 20), st.floats(0.3, 12), st.floats(0.3, 12)
)
def test_the_middle_has_what_it_needs_when_a_strand_is_done(
    standard_width, standard_thickness, minutes, width_mm, thickness_mm
):
    pot = calibrate(standard_width, standard_thickness, minutes)
    done = done_times(pot, width_mm, thickness_mm)
    uptake = middle_uptake(width_mm, thickness_mm, done * pot.diffusivity_mm2_per_min)
    assert uptake == pytest.approx(pot.middle, abs=1e-9)
    wider = done_times(pot, 1.1 * width_mm, thickness_mm)
    assert done * (1 - 1e-9) <= wider <= done * 1.21 * (1 + 1e-9)
    # Width and thickness stand for the same.
    assert done_times(pot, thickness_mm, width_mm) == pytest.approx(done, rel=1e-9)


@pytest.mark.parametrize(
    ("section", "most"), [((3.5, 3.0), 0.004), ((3.2, 3.5), 0.004), ((3.8, 3.0), 0.01),
                          ((6.0, 3.0), 0.083)],
)  # fmt: skip
def test_which_of_the_published_diffusivities_hardly_matters(section, most):
    """4 to 7e-6 cm2/s by magnetic resonance: abstract of Maeda and others (2009)."""
    times = [
        done_times(calibrate(3.2, 3.0, 12, cm2_per_s * 60 * 100), *section)[0]
        for cm2_per_s in (4e-6, 5e-6, 7e-6)
    ]
    assert max(abs(time / times[1] - 1) for time in times) <= most
    assert times == sorted(times)


def test_an_ordinary_boil_time_fits_the_published_diffusivities():
    """Hand-made udon boils for about 15 minutes (flour mills); 3.2 x 3.0 mm is an ordinary section.

    So the middle is neither dry nor full then, and the diffusivity stands as published.
    """
    for minutes in (14, 15, 16):
        pot = calibrate(3.2, 3.0, minutes)
        assert pot.diffusivity_mm2_per_min == 0.03
        assert 0.3 < pot.middle < 0.45


@pytest.mark.parametrize(("minutes", "middle"), [(0.05, 0.05), (300, 0.9)])
def test_a_boil_time_that_does_not_go_with_the_diffusivity_is_met_all_the_same(minutes, middle):
    pot = calibrate(3.2, 3.0, minutes)
    assert pot.middle == middle
    assert done_times(pot, 3.2, 3.0) == pytest.approx(minutes)
    assert middle_uptake(3.2, 3.0, pot.diffusivity_mm2_per_min * minutes) == pytest.approx(middle)


def test_packets_of_pasta_follow_the_square():
    """The printed a = 3.8 min/mm2 and b = -3 min are found from the times by the law of the square.

    Dried pasta is not fresh dough: its b is its own. That the packets lie on a line against the
    square is what is checked.
    """
    diameters, packet = np.array(PASTA).T
    by_square = done_times(calibrate(1.75, 1.75, 8), diameters, diameters)
    line = sm.OLS(packet, sm.add_constant(by_square)).fit()
    assert line.rsquared > 0.98
    minutes_per_mm2 = 8 / 1.75**2
    a, a_se = line.params[1] * minutes_per_mm2, line.bse[1] * minutes_per_mm2
    assert abs(a - 3.8) < a_se
    assert abs(line.params[0] + 3) < line.bse[0]
    # Through the thinnest and the thickest alone the printed constants come out.
    slope = (packet[-1] - packet[0]) / (by_square[-1] - by_square[0])
    assert slope * minutes_per_mm2 == pytest.approx(3.8, abs=0.05)
    assert packet[0] - slope * by_square[0] == pytest.approx(-3, abs=0.05)


@pytest.mark.parametrize("wrong", [0, -1, math.nan, math.inf])
@pytest.mark.parametrize(
    "name", ["width_mm", "thickness_mm", "boil_time_min", "diffusivity_mm2_per_min"]
)
def test_calibrate_refuses(name, wrong):
    arguments = {"width_mm": 3.2, "thickness_mm": 3.0, "boil_time_min": 12} | {name: wrong}
    with pytest.raises(ValueError, match=name):
        calibrate(**arguments)


@pytest.mark.parametrize(
    ("widths", "thicknesses", "message"),
    [
        ([3.0, 0], 3.0, "widths_mm must be finite and above 0"),
        (3.0, [3.0, math.nan], "thicknesses_mm must be finite and above 0"),
        ([3.0, 3.1, 3.2], [3.0, 3.1], "3 widths do not go with 2 thicknesses"),
        ([[3.0, 3.1]], 3.0, "single rows"),
        ([3.0, None], 3.0, "widths_mm must be finite"),
    ],
)
def test_done_times_refuses(widths, thicknesses, message):
    with pytest.raises(ValueError, match=message):
        done_times(calibrate(3.2, 3.0, 12), widths, thicknesses)


def test_one_thickness_may_stand_for_all_and_no_strand_gives_no_time():
    pot = calibrate(3.2, 3.0, 12)
    assert (
        done_times(pot, [3.0, 3.4], 3.0).tolist() == done_times(pot, [3.0, 3.4], [3.0] * 2).tolist()
    )
    assert done_times(pot, [], 3.0).size == 0
