import pytest

from assessments.calculations.trials import PhotoWidths, repeat
from assessments.charts.repeats import repeats_chart
from tests.assessments.charts.picture import Picture

# Invented: three strands, two people with two photos each.
PHOTOS_MM = {
    (1, 1): (3.10, 3.30, 2.60),
    (2, 1): (3.14, 3.31, 2.66),
    (1, 2): (3.08, 3.34, 2.61),
    (2, 2): (3.16, 3.29, 2.65),
}
NAMES = ("Ann Test", "Bea Test")


def repeated(people=(1, 2)):
    photos = [
        PhotoWidths(person, widths_mm, (0.03,) * 3, (0.02,) * 3)
        for (person, _time), widths_mm in PHOTOS_MM.items()
        if person in people
    ]
    result, _problems = repeat(photos, 3)
    return result


@pytest.fixture(params=["narrow", "wide"])
def picture(request):
    return Picture(getattr(repeats_chart(repeated(), NAMES), request.param))


def points(picture):
    """Return the points of the drawing without those of the legend, which come last."""
    return picture.points()[:12]


def test_every_photo_is_read_back_from_its_distance_to_the_strands_mean(picture):
    two_sd = 2 * repeated().study.grr.sd
    [(_left, top, _right, bottom)] = picture.boxes("var(--dough)")
    read = [two_sd - (y - top) / (bottom - top) * 2 * two_sd for _x, y, _shape in points(picture)]
    means = [sum(widths) / 4 for widths in zip(*PHOTOS_MM.values(), strict=True)]
    expected = [
        PHOTOS_MM[person, time][strand] - means[strand]
        for strand in range(3)
        for person in (1, 2)
        for time in (1, 2)
    ]
    assert read == pytest.approx(expected, abs=0.001)


def test_strands_stand_at_their_place(picture):
    xs = [x for x, _y, _shape in points(picture)]
    assert xs[0] == xs[3] < xs[4] == xs[7] < xs[8] == xs[11]
    assert xs[4] - xs[0] == pytest.approx(xs[8] - xs[4], abs=0.02)


def test_people_are_told_apart_by_shape(picture):
    assert [shape for _x, _y, shape in points(picture)] == ["circle", "circle", "up", "up"] * 3
    written = [text for text, _x, _y in picture.words()]
    assert all(name in written for name in NAMES)


def test_one_person_needs_no_legend():
    chart = repeats_chart(repeated((1,)), NAMES[:1])
    picture = Picture(chart.narrow)
    assert len(picture.points()) == 6
    assert NAMES[0] not in [text for text, _x, _y in picture.words()]
    assert chart.description.startswith("2 photos of the same 3 strands by 1 person.")


def test_two_people_of_one_name_stay_two():
    chart = repeats_chart(repeated(), ("Ann Test", "Ann Test"))
    written = [text for text, _x, _y in Picture(chart.wide).words()]
    assert {"Ann Test 1", "Ann Test 2"} <= set(written)


def test_the_table_holds_every_width_under_its_photo():
    chart = repeats_chart(repeated(), NAMES)
    assert chart.table.headings == (
        "strand",
        "Ann Test, photo 1",
        "Ann Test, photo 3",
        "Bea Test, photo 2",
        "Bea Test, photo 4",
    )
    assert chart.table.rows[0].cells == ("1", "3.100", "3.080", "3.140", "3.160")
    assert len(chart.table.rows) == 3
