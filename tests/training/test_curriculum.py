"""The technique modules: plain words, live numbers, cautions where the step is."""

from itertools import pairwise

import pytest

from training.curriculum import MODULES
from training.curriculum.blocks import CAUTION_KINDS, STANDARD_KEYS, TIMER_SOURCES, Numbers, Timer
from training.curriculum.faults import TAGS
from training.curriculum.stations import STATIONS
from training.curriculum_check import outliers_of, problems_of, sheet_of_module
from training.drawings import SCENES
from training.signs import LIKELY, SIGNS

modules = pytest.mark.parametrize("module", MODULES, ids=lambda module: module.slug)


@modules
def test_words_are_plain_and_sentences_short(module):
    """Grade 7 at most for the module and for each step, caution and fault; 20 words a sentence."""
    assert outliers_of(sheet_of_module(module)) == []


@modules
def test_nothing_is_missing_and_no_number_is_typed(module):
    """What `manage.py curriculum` fails on, but for drawings that are not written yet."""
    found = [one for one in problems_of(sheet_of_module(module)) if "no drawing “" not in str(one)]
    assert found == []


@modules
def test_drawings_are_there(module):
    named = {block.drawing for block in (*module.steps, *module.faults)} - {""}
    assert named <= set(SCENES)


@modules
def test_number_tables_name_numbers_of_the_standard(module):
    for numbers in (block for block in module.body if isinstance(block, Numbers)):
        assert numbers.names
        assert set(numbers.names) <= set(STANDARD_KEYS)


@modules
def test_each_module_is_complete(module):
    assert 5 <= len(module.steps) <= 10
    assert len(module.faults) >= 4
    assert len(module.questions) >= 5
    assert module.station_slug in {station.slug for station in STATIONS}
    assert "common practice" in module.source_note.lower()
    for timer in (block for block in module.body if isinstance(block, Timer)):
        assert timer.source in TIMER_SOURCES


@modules
def test_cautions_name_the_usual_dangers(module):
    needed = {
        "mixing-in-the-water": {"allergens", "flour_dust", "raw_flour", "lifting", "wet_floor"},
        "treading-and-resting": {"feet_and_film", "allergens", "raw_flour", "wet_floor"},
        "rolling-to-an-even-sheet": {"allergens", "flour_dust", "raw_flour"},
        "folding-and-cutting": {"knife", "allergens", "flour_dust", "raw_flour", "wet_floor"},
    }
    kinds = {caution.kind for caution in module.cautions}
    assert needed.get(module.slug, set()) <= kinds <= set(CAUTION_KINDS)
    said = " ".join(caution.text for caution in module.cautions).lower()
    assert not said or "law" in said or "authority" in said or "rules" in said, "they come first"


@modules
def test_one_answer_is_right_and_every_question_gives_its_reason(module):
    for question in module.questions:
        assert len(question.answers) >= 3
        assert [answer.correct for answer in question.answers].count(True) == 1
        assert len({answer.text for answer in question.answers}) == len(question.answers)
        assert question.why


@modules
def test_the_right_answer_has_no_fixed_place(module):
    places = [[a.correct for a in question.answers].index(True) for question in module.questions]
    assert len(set(places)) > 1


@modules
def test_every_fault_is_found_by_a_sign_and_begins_at_a_step(module):
    for fault in module.faults:
        tags = [tag for start, tag in TAGS[module.slug].items() if fault.see.startswith(start)]
        assert len(tags) == 1, fault.see
        assert tags[0].step in {step.drawing for step in module.steps}
        assert tags[0].signs
        assert set(tags[0].signs) <= set(SIGNS)
        assert tags[0].likely in LIKELY
    assert len(TAGS[module.slug]) == len(module.faults)


def test_every_drawing_is_used_and_described():
    shown = [
        (block.drawing, block.drawing_alt)
        for module in MODULES
        for block in (*module.steps, *module.faults)
        if block.drawing or block.drawing_alt
    ]
    # The pictures of the measuring card stand on its own page.
    of_modules = [name for name in SCENES if not name.startswith("card-")]
    assert {name for name, _ in shown} >= set(of_modules)
    assert all(alt.endswith(".") for _, alt in shown)
    assert len({alt for _, alt in shown}) == len(shown)


def test_slugs_and_anchors_are_unique():
    slugs = [module.slug for module in MODULES]
    assert len(set(slugs)) == len(slugs)


@modules
def test_the_page_reads_in_order(module):
    """Steps first, then faults, then check questions."""
    order = {"step": 0, "fault": 1, "question": 2}
    places = [order[block.block_type] for block in module.body if block.block_type in order]
    assert all(a <= b for a, b in pairwise(places))
