"""Matching and grading; the statistics themselves are checked in test_gauge.py."""

import math

import numpy as np
import pytest

from assessments.calculations.gauge import agreement, gauge_study
from assessments.calculations.instruments import repeatability
from assessments.calculations.trials import PhotoWidths, compare, repeat, verdict

# Invented.
WIDTHS_MM = [3.0, 3.2, 3.1, 3.4, 2.9, 3.3, 3.05, 3.15, 3.25, 3.35] * 2


def photo(widths_mm, person=1, *, u_mm=0.03, random_mm=0.0):
    n = len(widths_mm)
    return PhotoWidths(person, tuple(widths_mm), (u_mm,) * n, (random_mm,) * n)


def off(widths_mm, *offsets_mm):
    """Return widths with offsets added in turn."""
    return [width + offsets_mm[i % len(offsets_mm)] for i, width in enumerate(widths_mm)]


def codes(problems):
    return [problem.code for problem in problems]


# --- Photo and caliper ---


def test_the_caliper_counts_with_the_mean_of_its_two_readings():
    first, second = off(WIDTHS_MM, 0.04, -0.02, 0.0), off(WIDTHS_MM, -0.02, 0.03, 0.01)
    seen = off(WIDTHS_MM, 0.05, 0.0, 0.03, -0.01)
    result, problems = compare([photo(seen)], 20, first, second)
    means = [(a + b) / 2 for a, b in zip(first, second, strict=True)]
    assert problems == ()
    assert result.agreement == agreement(seen, means)
    assert result.caliper == repeatability(first, second)
    assert result.caliper_sd_mm == pytest.approx(result.caliper.sigma_m / math.sqrt(2))
    expected = math.sqrt(result.agreement.sd**2 - result.caliper_sd_mm**2)
    assert result.photo_sd_mm == pytest.approx(expected)
    assert (result.places, result.left_out) == (tuple(range(1, 21)), 0)


def test_made_up_tools_are_told_apart():
    """Caliper 0.07 mm, photo 0.03 mm and 0.05 mm too wide: each comes out as it was put in."""
    rng = np.random.default_rng(3)
    found = []
    for _n in range(200):
        width = rng.normal(3, 0.2, 40)
        seen = width + 0.05 + rng.normal(0, 0.03, 40)
        readings = width + rng.normal(0, 0.07, (2, 40))
        result, _problems = compare([photo(seen)], 40, *readings)
        found.append([result.agreement.bias.value, result.photo_sd_mm, result.caliper.sigma_m])
    bias, photo_sd, caliper = np.mean(found, axis=0)
    assert bias == pytest.approx(0.05, abs=0.003)
    assert caliper == pytest.approx(0.07, abs=0.002)
    assert np.sqrt(np.mean([row[1] ** 2 for row in found])) == pytest.approx(0.03, abs=0.006)
    assert photo_sd < 0.04


def test_photos_of_further_cards_go_on_where_the_first_ended():
    result, _problems = compare([photo(WIDTHS_MM[:8]), photo(WIDTHS_MM[8:])], 20, WIDTHS_MM, [])
    assert result.photo_mm == tuple(WIDTHS_MM)
    assert result.agreement.sd == 0


def test_without_a_second_reading_the_entry_of_the_instrument_counts():
    seen = off(WIDTHS_MM, 0.05, -0.05)
    known, _problems = compare([photo(seen)], 20, WIDTHS_MM, [], 0.04)
    assert (known.caliper, known.caliper_sd_mm) == (None, 0.04)
    assert known.photo_sd_mm == pytest.approx(math.sqrt(known.agreement.sd**2 - 0.04**2))
    unknown, _problems = compare([photo(seen)], 20, WIDTHS_MM, [])
    assert unknown.caliper_sd_mm is None
    assert unknown.photo_sd_mm == unknown.agreement.sd
    assert unknown.within_two_u is None


def test_the_photo_is_never_better_than_it_says_itself():
    """A caliper that scatters more than the differences would leave nothing for the photo."""
    seen = off(WIDTHS_MM, 0.01, -0.01)
    result, _problems = compare([photo(seen, random_mm=0.025)], 20, WIDTHS_MM, [], 0.08)
    assert result.photo_sd_mm == pytest.approx(0.025)


def test_differences_within_the_stated_uncertainty_are_counted():
    # Twice the root of 0.03 squared and 0.04 squared is 0.10 mm.
    seen = off(WIDTHS_MM, 0.0, 0.099, 0.0, 0.101)
    result, _problems = compare([photo(seen, u_mm=0.03)], 20, WIDTHS_MM, [], 0.04)
    assert result.within_two_u == 15


def test_strands_without_one_of_the_widths_are_left_out():
    seen, first, second = [*WIDTHS_MM], [*WIDTHS_MM], [*WIDTHS_MM]
    seen[0] = None
    first[1], second[1] = math.nan, math.nan
    second[2] = math.nan
    result, problems = compare([photo(seen)], 20, first, second)
    assert problems == ()
    assert result.places == tuple(range(3, 21))
    assert result.left_out == 2
    # The caliper can be told from a strand that the photo misses.
    assert result.caliper.n == 18
    assert result.caliper_mm[0] == WIDTHS_MM[2]


@pytest.mark.parametrize(
    ("photos", "first", "expected"),
    [
        ([], [], ["no_photo", "no_caliper"]),
        ([photo(WIDTHS_MM)], [], ["no_caliper"]),
        ([photo(WIDTHS_MM)], [math.nan] * 20, ["no_caliper"]),
        ([], WIDTHS_MM, ["no_photo"]),
        ([photo(WIDTHS_MM[1:])], WIDTHS_MM, ["strands"]),
        ([photo(WIDTHS_MM), photo([3.0])], WIDTHS_MM, ["strands"]),
        ([photo([3.0] + [None] * 19)], WIDTHS_MM, ["few_pairs"]),
    ],
)
def test_what_stands_in_the_way_of_a_comparison(photos, first, expected):
    result, problems = compare(photos, 20, first, [])
    assert result is None
    assert codes(problems) == expected


def test_a_wrong_number_is_told_with_the_right_one():
    _result, [problem] = compare([photo(WIDTHS_MM[1:])], 20, WIDTHS_MM, [])
    assert (problem.found, problem.wanted) == (19, 20)


def test_compare_refuses_readings_of_another_number():
    with pytest.raises(ValueError, match="20 caliper readings are needed, not 3"):
        compare([photo(WIDTHS_MM)], 20, [3.0, 3.1, 3.2], [])


# --- Repeated photos ---


def four_photos():
    """Two photos by each of two people, taken in turn."""
    return [
        photo(off(WIDTHS_MM, 0.02, -0.01), 1),
        photo(off(WIDTHS_MM, 0.01, 0.03, 0.02), 2),
        photo(off(WIDTHS_MM, -0.02, 0.01, 0.0), 1),
        photo(off(WIDTHS_MM, 0.03, 0.0), 2),
    ]


def test_photos_are_sorted_by_person_and_matched_by_strand():
    photos = four_photos()
    result, problems = repeat(photos, 20, 1.0)
    assert problems == ()
    assert (result.people, result.photos) == ((1, 2), ((1, 3), (2, 4)))
    expected = [
        [[photos[number - 1].widths_mm[strand] for number in of_one] for of_one in ((1, 3), (2, 4))]
        for strand in range(20)
    ]
    assert result.study == gauge_study(expected, 1.0)
    assert np.array(result.widths_mm) == pytest.approx(np.array(expected))


def test_a_photo_with_another_number_of_strands_is_named_and_left_aside():
    photos = four_photos()
    photos.insert(1, photo(WIDTHS_MM[1:], 1))
    result, [problem] = repeat(photos, 20)
    assert (problem.code, problem.photo, problem.found, problem.wanted) == (
        "photo_strands",
        2,
        19,
        20,
    )
    assert result.photos == ((1, 4), (3, 5))


def test_everybody_counts_with_as_many_photos():
    photos = [*four_photos(), photo(WIDTHS_MM, 2), photo(WIDTHS_MM, 2)]
    result, problems = repeat(photos, 20)
    assert problems == ()
    assert result.photos == ((1, 3), (2, 4))
    assert result.unused == (5, 6)
    assert result.study.trials == 2


def test_one_person_is_enough_for_repeatability():
    result, _problems = repeat([photo(WIDTHS_MM), photo(off(WIDTHS_MM, 0.02, -0.02))], 20)
    assert (result.people, result.study.appraisers) == ((1,), 1)


def test_strands_without_a_width_on_one_photo_are_left_out():
    photos = four_photos()
    photos[2] = photo([None, *photos[2].widths_mm[1:]], 1)
    result, _problems = repeat(photos, 20)
    assert result.places == tuple(range(2, 21))
    assert result.left_out == 1


@pytest.mark.parametrize(
    ("photos", "expected"),
    [
        ([], ["no_photo"]),
        ([photo(WIDTHS_MM[1:])], ["photo_strands"]),
        ([photo(WIDTHS_MM)], ["few_photos"]),
        ([photo(WIDTHS_MM), photo(WIDTHS_MM), photo(WIDTHS_MM, 2)], ["few_photos"]),
        ([photo([3.0] + [None] * 19), photo(WIDTHS_MM)], ["few_common"]),
    ],
)
def test_what_stands_in_the_way_of_repeats(photos, expected):
    result, problems = repeat(photos, 20)
    assert result is None
    assert codes(problems) == expected


def test_it_is_told_who_takes_another_photo():
    photos = [photo(WIDTHS_MM, 5), photo(WIDTHS_MM, 5), photo(WIDTHS_MM, 8)]
    _result, [problem] = repeat(photos, 20)
    assert (problem.person, problem.found, problem.wanted) == (8, 1, 2)


# --- Verdict ---


def compared(*offsets_mm, n=20):
    widths_mm = (WIDTHS_MM * 2)[:n]
    result, _problems = compare([photo(off(widths_mm, *offsets_mm))], n, widths_mm, [])
    return result


@pytest.mark.parametrize(
    ("off_mm", "grade"), [(0.07, "good"), (0.08, "coarse"), (0.14, "coarse"), (0.15, "too coarse")]
)
def test_a_comparison_is_graded_against_half_the_tolerance(off_mm, grade):
    # Offsets of one size in turn: standard deviation 1.026 of it. Limits 0.15 and 0.30 of 0.5 mm.
    assert verdict(compared(off_mm, -off_mm), 0.5).grade == grade
    assert verdict(compared(off_mm, -off_mm), 0.5).sd_mm == pytest.approx(1.026 * off_mm, rel=1e-3)


@pytest.mark.parametrize(("offsets_mm"), [(0.05, 0.03), (-0.05, -0.03)])
def test_a_bias_stands_in_the_way_of_good(offsets_mm):
    assert verdict(compared(*offsets_mm), 0.5).grade == "biased"
    # What is too coarse stays so.
    assert verdict(compared(*offsets_mm), 0.02).grade == "too coarse"


@pytest.mark.parametrize(("n", "grade"), [(19, "too few"), (20, "good")])
def test_a_comparison_takes_twenty_strands(n, grade):
    found = verdict(compared(0.01, -0.01, n=n), 0.5)
    assert (found.grade, found.n, found.wanted) == (grade, n, 20)


@pytest.mark.parametrize(("photos", "grade"), [(2, "too few"), (3, "good")])
def test_repeats_take_twenty_pairs(photos, grade):
    """Ribbons fill the card with eight or ten: a third photo tells as much as more strands."""
    result, _problems = repeat([photo(WIDTHS_MM[:10])] * photos, 10)
    assert verdict(result, 0.5).grade == grade


def test_repeats_are_graded_by_repeatability_and_reproducibility():
    photos = [photo(off(WIDTHS_MM, 0.1 * (p == 2)), p) for p in (1, 1, 2, 2)]
    result, _problems = repeat(photos, 20)
    found = verdict(result, 0.25)
    assert found.sd_mm == result.study.grr.sd == pytest.approx(0.1 / math.sqrt(2))
    assert found.grade == "coarse"


def test_a_tolerance_is_needed():
    with pytest.raises(ValueError, match="half_tolerance"):
        verdict(compared(0.01, -0.01), 0)
