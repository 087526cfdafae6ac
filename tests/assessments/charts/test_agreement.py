import re

import pytest

from assessments.calculations.trials import PhotoWidths, compare
from assessments.charts.agreement import agreement_chart
from tests.assessments.charts.picture import Picture

# Invented; the last strand lies far off on the photo.
CALIPER_MM = (3.1, 3.3, 2.65, 3.0, 3.7, 3.2, 3.12, 2.72, 3.5, 2.9, 3.05, 3.4)
PHOTO_MM = (3.14, 3.33, 2.67, 3.05, 3.71, 3.25, 3.12, 2.77, 3.52, 2.94, 3.06, 3.62)


def compared(photo_mm=PHOTO_MM, caliper_mm=CALIPER_MM):
    n = len(photo_mm)
    photo = PhotoWidths(1, tuple(photo_mm), (0.03,) * n, (0.02,) * n)
    result, _problems = compare([photo], n, caliper_mm, [])
    return result


@pytest.fixture(params=["narrow", "wide"])
def picture(request):
    return Picture(getattr(agreement_chart(compared()), request.param))


def lines(picture, colour):
    """Return the heights of the horizontal lines of one colour."""
    return [
        y
        for element, _x, y, _linked in picture.marks
        if element.get("stroke") == colour and element.tag.endswith("line") and element.get("x2")
    ]


def scale(picture):
    """Return the millimetres at a height, from the two edges of the shaded band."""
    found = compared().agreement
    [(_left, top, _right, bottom)] = picture.boxes("var(--dough)")
    span = found.upper.value - found.lower.value
    return lambda y: found.upper.value - (y - top) / (bottom - top) * span


def test_every_difference_is_read_back_from_its_height(picture):
    mm = scale(picture)
    read = [mm(y) for _x, y, _shape in picture.points()]
    expected = [photo - caliper for photo, caliper in zip(PHOTO_MM, CALIPER_MM, strict=True)]
    assert read == pytest.approx(expected, abs=0.0005)


def test_every_strand_stands_over_the_mean_of_both(picture):
    xs = [x for x, _y, _shape in picture.points()]
    means = [(photo + caliper) / 2 for photo, caliper in zip(PHOTO_MM, CALIPER_MM, strict=True)]
    per_mm = (max(xs) - min(xs)) / (max(means) - min(means))
    expected = [min(xs) + per_mm * (mean - min(means)) for mean in means]
    assert xs == pytest.approx(expected, abs=0.02)


def test_the_shape_alone_tells_which_strands_lie_beyond_the_limits(picture):
    assert [shape for _x, _y, shape in picture.points()] == ["circle"] * 11 + ["up"]


def test_the_lines_are_the_bias_and_no_difference(picture):
    mm = scale(picture)
    [bias] = lines(picture, "var(--ink)")
    assert mm(bias) == pytest.approx(compared().agreement.bias.value, abs=0.0005)
    zeros = [mm(y) for y in lines(picture, "var(--ink-soft)")]
    assert any(abs(zero) < 0.0005 for zero in zeros)


def test_bias_and_limits_are_written_at_their_height(picture):
    found, mm = compared().agreement, scale(picture)
    heights = {text.replace("−", "-"): y for text, _x, y in picture.words()}
    for estimate in (found.lower, found.bias, found.upper):
        # The foot of a letter of 16 px lies about 5 px under the line that it belongs to.
        height = heights[f"{estimate.value:.3f}"] - 5
        assert mm(height) == pytest.approx(estimate.value, abs=0.003)


def test_description_and_table_say_the_same():
    chart = agreement_chart(compared())
    found = compared().agreement
    assert f"mean difference, {found.bias.value:.3f} mm" in chart.description
    assert chart.description.endswith("1 of 12 lies outside and is a triangle.")
    assert len(chart.table.rows) == 12
    assert chart.table.rows[0].cells == ("1", "3.140", "3.100", "0.040", "within the limits")
    assert chart.table.rows[-1].cells[-1] == "above the limits"


def test_a_difference_below_zero_has_a_real_minus_sign():
    result = compared(tuple(width - 0.05 for width in CALIPER_MM))
    assert re.search(r"mean difference, −0\.050 mm", agreement_chart(result).description)


def test_strands_that_agree_to_the_last_digit_are_drawn_too():
    chart = agreement_chart(compared(CALIPER_MM))
    assert len(Picture(chart.narrow).points()) == 12
    assert chart.description.endswith("All 12 do.")
