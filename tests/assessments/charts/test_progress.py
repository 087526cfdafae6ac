import re
from dataclasses import replace
from datetime import date, timedelta

import pytest
from django.conf import settings
from django.utils import translation

from assessments.charts.drawing import NARROW_PX
from assessments.charts.progress import score_chart, shares_chart
from assessments.models import Part
from assessments.summaries.history import HistoryPoint
from tests.assessments.charts.picture import SVG, Picture


def history(scores):
    """Return invented points: the width is the weakest part, None is a batch given up."""
    points = []
    for number, score in enumerate(scores, start=1):
        share = None if score is None else score / 100
        points.append(
            HistoryPoint(
                batch_id=100 + number,
                day=date(2026, 2, 1) + timedelta(days=number),
                abandoned=score is None,
                score=score,
                limiting="" if score is None else "width",
                shares={"width": share, "thickness": share and 0.99, "hydration": share and 1.0},
                intervals={} if share is None else {"width": (share - 0.1, min(1, share + 0.04))},
            )
        )
    return tuple(points)


POINTS = history([62.0, 71.0, None, 80.0, 88.0, 97.0])


@pytest.fixture(params=["scores", "shares"])
def chart(request):
    return {
        "scores": lambda: score_chart(POINTS, ready_share=0.95),
        "shares": lambda: shares_chart(POINTS, ready_share=0.95),
    }[request.param]()


def test_every_batch_is_a_link_to_its_result(chart):
    expected = {f"/batches/{point.batch_id}/result/" for point in POINTS}
    for svg in (chart.narrow, chart.wide):
        links = Picture(svg).links()
        assert {address for address, _name in links} == expected
        assert all(name.startswith("Batch of ") for _address, name in links)
    assert {row.url for row in chart.table.rows} == expected


def test_links_are_left_to_the_table_for_the_keyboard_and_named_for_everybody(chart):
    root = Picture(chart.narrow).root
    assert root.get("role") == "group"
    assert all(link.get("tabindex") == "-1" for link in root.iter(f"{SVG}a"))


def test_drawings_hold_to_the_content_policy(chart):
    for svg in (chart.narrow, chart.wide):
        assert not re.search(r"\sstyle=|<style|<script|\son\w+=|xlink:|house\.invalid", svg)
        assert Picture(svg).letter_sizes() == {16.0}


def test_a_link_is_as_wide_as_its_share_of_the_axis_and_as_high_as_the_picture():
    picture = Picture(score_chart(POINTS, ready_share=0.95).narrow)
    boxes = [
        re.match(r"M[-\d.]+,[-\d.]+h([\d.]+)v([\d.]+)h", element.get("d")).groups()
        for element, _x, _y, linked in picture.marks
        if linked is not None and element.tag == f"{SVG}path"
    ]
    width, height = map(float, boxes[0])
    assert len(boxes) == len(POINTS)
    assert width == pytest.approx(272 / len(POINTS), abs=0.1)
    assert height == 200


def test_scores_are_read_back_from_their_height():
    picture = Picture(score_chart(POINTS, ready_share=0.95).narrow)
    heights = {text: y for text, _x, y in picture.words()}
    low_y, ready_y = heights["50"], heights["95"]
    circles = [y + 5 for _x, y, shape in picture.points(("var(--indigo)",)) if shape == "circle"]
    read = [50 + (low_y - y) / (low_y - ready_y) * 45 for y in circles]
    # One circle more belongs to the key below the picture.
    assert [value for value in read if value > 40] == pytest.approx([62, 71, 80, 88, 97], abs=0.6)


def test_a_batch_given_up_has_its_own_mark_and_word():
    chart = score_chart(POINTS, ready_share=0.95)
    written = [text for text, _x, _y in Picture(chart.narrow).words()]
    assert "given up" in written
    assert "given up" in chart.table.rows[3].cells
    without = score_chart(history([62.0, 71.0]), ready_share=0.95)
    assert "given up" not in [text for text, _x, _y in Picture(without.narrow).words()]


def test_the_table_is_newest_first_with_intervals():
    rows = shares_chart(POINTS, ready_share=0.95).table.rows
    assert rows[0].cells[1:] == ("97 (87 to 100)", "99", "100")
    assert rows[3].cells[1:] == ("–", "–", "–")


def test_each_part_has_its_panel():
    written = [
        text for text, _x, _y in Picture(shares_chart(POINTS, ready_share=0.95).wide).words()
    ]
    assert [text for text in written if text in set(map(str, Part.labels))] == [
        "width",
        "thickness",
        "water",
    ]


@pytest.mark.parametrize("n", [1, 2, 30])
def test_any_number_of_batches_is_drawn(n):
    points = history([60.0 + number for number in range(n)])
    assert len(Picture(score_chart(points, ready_share=0.95).narrow).links()) == n


def test_no_batches_no_chart():
    assert score_chart((), ready_share=0.95) is None
    assert shares_chart((), ready_share=0.95) is None


def test_a_batch_without_any_score_is_still_a_link():
    [point] = history([62.0])
    blank = HistoryPoint(
        **{
            **{name: getattr(point, name) for name in HistoryPoint.__slots__},
            "score": None,
            "limiting": "",
            "shares": dict.fromkeys(Part.values),
            "intervals": {},
        }
    )
    chart = score_chart((blank,), ready_share=0.95)
    [(_address, name)] = Picture(chart.narrow).links()
    assert name.endswith("no score")


def test_nothing_is_read_out_but_the_words_of_the_site(chart):
    def read_out(element):
        if element.get("aria-hidden") != "true":
            yield element.get("aria-label")
            for child in element:
                yield from read_out(child)

    for svg in (chart.narrow, chart.wide):
        picture = Picture(svg)
        names = {name for _address, name in picture.links()}
        assert set(filter(None, read_out(picture.root))) == names


@pytest.mark.parametrize("code", [code for code, _name in settings.LANGUAGES])
def test_the_two_days_of_the_axis_keep_apart_on_a_phone(code):
    """The longest months; a letter of 16 px is taken as 9 px wide, one of Japanese as 16."""
    points = [replace(point, day=date(2026, 9, 26)) for point in POINTS]
    with translation.override(code):
        words = [text for text, _x, _y in Picture(shares_of(points)).words() if "26" in text]
    width = max(sum(16 if letter > "\u2fff" else 9 for letter in text) for text in words)
    assert words
    assert 2 * width < NARROW_PX - 3 * 16


def shares_of(points):
    return shares_chart(tuple(points), ready_share=0.95).narrow
