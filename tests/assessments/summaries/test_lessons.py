"""Findings in words: every kind has them, in plain words, with a step that is there."""

import pytest
from django.utils import translation
from wagtail.models import Locale

from assessments.calculations.patterns.findings import (
    Finding,
    SheetReadings,
    StrandReadings,
    Untested,
    find_patterns,
)
from assessments.calculations.patterns.history import Change
from assessments.calculations.patterns.level import Tolerance
from assessments.summaries.lessons import (
    change_says,
    lesson_says,
    lesson_title,
    lessons_of,
    mending_step,
    try_next,
    untested_says,
)
from tests import factories
from training.curriculum import MODULES
from training.curriculum.faults import TAGS
from training.readability import HIGHEST_GRADE, LONGEST_SENTENCE, grade_of, longest_sentence

EDGES = ("left", "right", "top", "bottom")
CORNERS = ("top_left", "top_right", "bottom_left", "bottom_right")
# All that `Finding` documents.
DIRECTIONS = {
    ("width", "drift"): ("wider", "narrower"),
    ("width", "alternation"): ("odd", "even"),
    ("width", "step"): ("wider", "narrower"),
    ("width", "neighbours"): ("alike", "opposed"),
    ("width", "groups"): ("apart",),
    ("width", "outliers"): ("wide", "narrow", "both"),
    ("width", "off_target"): ("above", "below"),
    ("width", "uneven"): ("above",),
    ("taper", "wedge"): ("first", "last"),
    ("taper", "fan"): ("first", "last"),
    ("thickness", "tilt"): (*EDGES, *CORNERS),
    ("thickness", "bowl"): ("thick", "thin"),
    ("thickness", "ridge_along_rows"): ("thick", "thin"),
    ("thickness", "ridge_along_columns"): ("thick", "thin"),
    ("thickness", "saddle"): ("left_right", "falling", "top_bottom", "rising"),
    ("thickness", "spot"): ("thick", "thin"),
    ("thickness", "off_target"): ("above", "below"),
    ("thickness", "uneven"): ("above",),
    ("hydration", "off_recipe"): ("above", "below"),
    ("salt", "off_recipe"): ("above", "below"),
    ("rest", "off_recipe"): ("above", "below"),
}
EVERY = [(*name, direction) for name, of in DIRECTIONS.items() for direction in of]
PLACES = {
    "drift": (1.0, 58.0),
    "step": (24.0, 27.0),
    "neighbours": (0.6, 3.0),
    "groups": (12.0, 8.0),
    "outliers": (7.0, 31.0),
    "spot": (-1.0, -1.0),
}
UNITS = {"hydration": "points", "salt": "points", "rest": "min"}


def finding(part, kind, direction, size=0.44, **fields):
    usual = {
        "part": part,
        "kind": kind,
        "direction": direction,
        "size": size,
        "unit": UNITS.get(part, "mm"),
        "of_tolerance": 0.9,
        "places": PLACES.get(kind, ()),
        "p": 0.0021,
        "p_alone": 0.0004,
        "part_points": 12.4,
        "score_points": 12.4,
    }
    return Finding(**(usual | fields))


@pytest.mark.parametrize("key", EVERY, ids="-".join)
def test_every_finding_is_said_in_full(key):
    said = lesson_says(finding(*key))
    assert said.endswith(".")
    assert "%" not in said
    assert 2 <= len(lesson_title(*key).split()) <= 5
    advice = try_next(*key)
    assert advice.count(".") == 1, "one sentence to try"
    assert advice.endswith(".")


@pytest.mark.parametrize("key", EVERY, ids="-".join)
def test_the_size_is_said_in_its_unit(key):
    unit = {"mm": "0.4 mm", "points": "0.4 g", "min": "0 min"}[finding(*key).unit]
    assert unit in lesson_says(finding(*key))


def test_the_words_are_plain():
    texts = [lesson_says(finding(*key)) for key in EVERY]
    texts += [lesson_says(one, beside=[one]) for one in (finding(*key) for key in EVERY)]
    advice = [try_next(*key) for key in EVERY]
    assert len(longest_sentence(texts + advice)) <= LONGEST_SENTENCE
    # Each advice by itself: nobody reads them one after the other.
    hard = {text for text in (*texts, *advice) if grade_of([text]) > HIGHEST_GRADE + 1}
    assert hard == set()
    assert grade_of(set(texts)) <= HIGHEST_GRADE
    assert grade_of(set(advice)) <= HIGHEST_GRADE


@pytest.mark.parametrize("key", EVERY, ids="-".join)
def test_the_mending_step_is_in_the_curriculum(key):
    slug, drawing = mending_step(*key)
    [module] = [module for module in MODULES if module.slug == slug]
    assert drawing in [step.drawing for step in module.steps]


@pytest.mark.parametrize(
    ("slug", "fault", "keys"),
    [
        ("folding-and-cutting", "Every second strand", [("width", "alternation", "odd")]),
        ("folding-and-cutting", "Strands get wider", [("width", "drift", "wider")]),
        ("folding-and-cutting", "A strand is wide at one end", [("taper", "wedge", "last")]),
        (
            "rolling-to-an-even-sheet",
            "One side is thick",
            [("thickness", "tilt", direction) for direction in (*EDGES, *CORNERS)],
        ),
        ("rolling-to-an-even-sheet", "The middle is thick", [("thickness", "bowl", "thick")]),
        ("rolling-to-an-even-sheet", "The rim is thicker", [("thickness", "bowl", "thin")]),
    ],
)
def test_the_steps_are_those_of_the_modules_own_faults(slug, fault, keys):
    for key in keys:
        assert mending_step(*key) == (slug, TAGS[slug][fault].step)


@pytest.mark.parametrize(
    ("key", "size", "said"),
    [
        (
            ("width", "drift", "wider"),
            0.61,
            "The strands get wider from the first cut to the last, by 0.6 mm.",
        ),
        (("thickness", "tilt", "left"), 0.4, "Thicker toward the left edge, by 0.4 mm."),
        (("thickness", "tilt", "bottom"), 0.4, "Thicker toward the edge near you, by 0.4 mm."),
        (("width", "off_target", "above"), 0.12, "On average 0.12 mm too wide."),
        (
            ("width", "step", "wider"),
            0.5,
            "The strands after number 24 are wider than those before, by 0.5 mm.",
        ),
        (
            ("width", "groups", "apart"),
            0.5,
            "There are two widths, 0.5 mm apart: 12 strands are narrow, 8 wide.",
        ),
        (
            ("hydration", "off_recipe", "above"),
            1.34,
            "Too much water: 1.3 g for each 100 g of flour and starch.",
        ),
        (("rest", "off_recipe", "below"), 12, "The dough rested less than planned, by 12 min."),
    ],
)
def test_what_is_said(key, size, said):
    assert lesson_says(finding(*key, size=size)) == said


@pytest.mark.parametrize(
    ("places", "said"),
    [
        ((7.0,), "Strand 7 is far too wide: 0.4 mm off the others."),
        ((7.0, 31.0), "Strands 7, 31 are far too wide: up to 0.4 mm off the others."),
    ],
)
def test_one_strand_or_several(places, said):
    assert lesson_says(finding("width", "outliers", "wide", places=places)) == said


@pytest.mark.parametrize(
    ("place", "said"),
    [
        ((-1.0, -1.0), "in the far left corner"),
        ((0.0, -1.0), "at the far edge"),
        ((1.0, 0.0), "at the right edge"),
        ((0.0, 0.0), "in the middle"),
        ((-1 / 3 + 0.01, 1.0), "at the edge near you"),
        ((1.0, 1.0), "in the near right corner"),
    ],
)
def test_a_spot_is_where_the_cook_sees_it(place, said):
    assert f"One spot {said} is too thick" in lesson_says(
        finding("thickness", "spot", "thick", places=place)
    )


@pytest.mark.parametrize("part", ["width", "thickness"])
def test_bias_and_spread_are_two_lessons(part):
    off, uneven = finding(part, "off_target", "above"), finding(part, "uneven", "above")
    assert lesson_says(off, beside=[off]).startswith("Even, but 0.4 mm too")
    assert lesson_says(uneven, beside=[uneven]).startswith("Right on average, but uneven")
    for one in (off, uneven):
        both = lesson_says(one, beside=[off, uneven])
        assert not both.startswith(("Even", "Right"))


def test_a_part_with_another_pattern_is_not_called_even():
    off = finding("width", "off_target", "above")
    for other in (finding("width", "drift", "wider"), finding("taper", "wedge", "last")):
        assert lesson_says(off, beside=[other, off]) == "On average 0.4 mm too wide."
    sheet = finding("thickness", "tilt", "left")
    assert lesson_says(off, beside=[sheet, off]).startswith("Even, but")


def test_a_made_batch_is_told_as_it_was_made():
    at = range(1, 21)
    jitter = [0.05, -0.04, 0.02, -0.06, 0.03, 0.0, -0.02, 0.06, -0.05, 0.01]
    widths = [3.0 + 0.03 * place + jitter[place % 10] for place in at]
    grid = [thick + jitter[n] / 2 for n, thick in enumerate((3.6, 3.3, 3.0) * 3)]
    found = find_patterns(
        StrandReadings(positions=at, widths_mm=widths, tolerance=Tolerance(2.7, 3.2, 3.7)),
        SheetReadings(rows=3, columns=3, thickness_mm=grid, tolerance=Tolerance(2.6, 3.0, 3.4)),
    )
    said = [lesson_says(one, beside=found.findings) for one in found.findings]
    assert "Thicker toward the left edge, by 0.6 mm." in said
    assert "The strands get wider from the first cut to the last, by 0.6 mm." in said


def change(before, now, verdict):
    return Change(before, now, before - now, 0.0, 1.0, 0.01, verdict)


@pytest.mark.parametrize(
    ("changed", "again", "was_tried", "said"),
    [
        (change(0.6, 0.08, "gone"), False, True, "It helped: from 0.6 mm to 0.08 mm."),
        (change(0.6, 0.004, "gone"), False, True, "It helped: from 0.6 mm to 0 mm."),
        (change(0.6, 0.3, "better"), True, True, "It helped: from 0.6 mm to 0.3 mm."),
        (change(0.6, 0.3, "better"), True, False, "It got smaller: from 0.6 mm to 0.3 mm."),
        (
            change(0.6, -0.5, "better"),
            False,
            True,
            "It turned round: from 0.6 mm to 0.5 mm the other way.",
        ),
        (change(0.3, 0.7, "worse"), True, True, "It got worse: from 0.3 mm to 0.7 mm."),
        (
            change(0.6, 0.4, "cannot_tell"),
            True,
            True,
            "Cannot tell yet: from 0.6 mm to 0.4 mm may be chance.",
        ),
        (None, True, True, "It came up again."),
        (None, False, True, "It did not come up this time."),
    ],
)
def test_whether_it_helped(changed, again, was_tried, said):
    drift = finding("width", "drift", "wider")
    told = change_says(drift, changed, found_again=again, was_tried=was_tried)
    assert told.startswith(said)


def test_unevenness_is_compared_with_an_even_hand():
    # Kept as logarithms: ln 2 = 0.693, ln 1.1 = 0.0953.
    told = change_says(
        finding("width", "uneven", "above"),
        change(0.693, 0.0953, "better"),
        found_again=False,
        was_tried=True,
    )
    assert "from 2.0 times the spread of an even hand to 1.1 times" in told


def test_water_is_compared_in_grams():
    told = change_says(
        finding("hydration", "off_recipe", "above"),
        change(1.5, 0.2, "gone"),
        found_again=False,
        was_tried=True,
    )
    assert told == "It helped: from 1.5 g to 0.2 g."


def test_what_was_not_looked_for_is_said_once():
    untested = [
        Untested("width", "drift", "too_few"),
        Untested("width", "step", "too_few"),
        Untested("thickness", "all", "too_coarse"),
    ]
    assert untested_says(untested) == (
        "Width: too few readings for every test.",
        "Thickness: the instrument is too coarse for this tolerance.",
    )
    for reason in ("too_few", "no_spread", "one_sided", "one_line", "not_apart", "too_coarse"):
        assert untested_says([Untested("taper", "wedge", reason)])


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({}, "Without it the score would be about 12 higher."),
        ({"score_points": 0.0}, "the score hangs on another part"),
        ({"score_points": 0.0, "part_points": 0.2}, "It costs no points"),
        ({"p": None}, "chance does not come in"),
        ({"p": 0.00001}, "in 1 of 1000 even batches"),
        ({"p": 0.0021}, "in 3 of 1000 even batches"),
    ],
)
def test_size_chance_and_cost_are_there_on_demand(fields, said):
    [lesson] = lessons_of([finding("width", "drift", "wider", **fields)])
    assert said in " ".join(lesson.costs)
    assert "90 % of the tolerance to one side" in lesson.costs[0]


@pytest.fixture
def cutting_module(db):
    return factories.curriculum_page("folding-and-cutting")


def test_a_lesson_leads_to_its_step(cutting_module, django_assert_num_queries):
    factories.curriculum_page("rolling-to-an-even-sheet")
    found = [
        finding("width", "drift", "wider"),
        finding("thickness", "tilt", "left"),
        finding("taper", "wedge", "last"),
        finding("rest", "off_recipe", "below"),
    ]
    with django_assert_num_queries(1):
        drift, tilt, wedge, rest = lessons_of(found)
    assert drift.title == "Drift: wider toward the end"
    assert drift.step_title == "Tilt to move the guide"
    assert drift.step_url == f"{cutting_module.address}#cut-tilt"
    assert drift.module_title == "Folding and cutting"
    assert drift.drawing == "cut-tilt"
    assert wedge.step_url == f"{cutting_module.address}#cut-guide"
    assert tilt.step_title == "Dust, turn, roll again"
    # A module that nobody has published is not linked.
    assert (rest.step_url, rest.step_title, rest.module_title) == ("", "", "")
    assert [one.drill for one in (drift, tilt, wedge, rest)] == ["strands", "sheet", "strands", ""]


def test_no_findings_ask_for_nothing(db, django_assert_num_queries):
    with django_assert_num_queries(0):
        assert lessons_of([]) == ()


def test_a_step_that_the_house_took_out_leads_to_the_module(cutting_module):
    cutting_module.body = [
        raw for raw in cutting_module.body.raw_data if raw["value"].get("drawing") != "cut-tilt"
    ]
    cutting_module.save_revision().publish()
    [lesson] = lessons_of([finding("width", "drift", "wider")])
    assert (lesson.step_title, lesson.step_url) == ("", cutting_module.address)
    assert lesson.module_title == "Folding and cutting"


def test_a_lesson_leads_to_the_module_in_the_readers_language(cutting_module):
    spanish, _created = Locale.objects.get_or_create(language_code="es")
    page = cutting_module.copy_for_translation(spanish, copy_parents=True)
    page.title = "Doblar y cortar"
    page.slug = "doblar-y-cortar"
    page.body = [
        raw | {"value": raw["value"] | {"title": "Inclinar"}} if raw["type"] == "step" else raw
        for raw in cutting_module.body.raw_data
    ]
    page.save_revision().publish()
    with translation.override("es"):
        [lesson] = lessons_of([finding("width", "drift", "wider")])
        assert lesson.step_title == "Inclinar"
        assert lesson.step_url == f"{page.address}#cut-tilt"
    [lesson] = lessons_of([finding("width", "drift", "wider")])
    assert lesson.module_title == "Folding and cutting"
