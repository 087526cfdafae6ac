"""What the check of the modules finds, and that it finds it."""

import pytest

from tests.training import module_bodies
from training.curriculum import MODULES
from training.curriculum_check import (
    Sheet,
    counts_of,
    outliers_of,
    problems_of,
    sheet_of_module,
    sheet_of_page,
    typed_numbers,
)

MODULE = MODULES[0]


def sheet(*blocks, source_note="Common practice.", summary="How to fold."):
    return Sheet("folding", "Folding", summary, source_note, blocks)


def found(*blocks, **fields):
    return [str(problem) for problem in problems_of(sheet(*blocks, **fields))]


def test_a_whole_module_has_no_problems():
    blocks = (module_bodies.step(), module_bodies.fault(), module_bodies.question())
    assert found(*blocks) == []


@pytest.mark.parametrize(
    ("block", "place", "message"),
    [
        (module_bodies.step(drawing="", picture_alt=""), "step 1", "a step without a drawing"),
        (module_bodies.step(picture_alt=" "), "step 1", "without alternative text"),
        (module_bodies.step(drawing="cut-nothing"), "step 1", "no drawing “cut-nothing”"),
        (module_bodies.fault(drawing="cut-fold"), "fault 1", "without alternative text"),
        (module_bodies.step(do="Roll it to 3 mm."), "step 1, do", "“3 mm” is typed"),
        (module_bodies.step(do="Take 46 % water."), "step 1, do", "“46 %” is typed"),
        (module_bodies.step(look_feel="Wait two hours."), "step 1, look_feel", "“two hours”"),
        (module_bodies.fault(remedy="Boil it 12 minutes."), "fault 1, remedy", "“12 minutes”"),
        (module_bodies.question("Is 57 °C hot?"), "question 1, prompt", "“57 °C” is typed"),
        (module_bodies.step(do="It is {{breadth}}."), "step 1, do", "“{{breadth}}” is no number"),
    ],
)
def test_each_problem_is_named_with_its_place(block, place, message):
    problems = found(block)
    assert len(problems) == 1
    assert problems[0].startswith(f"folding: {place}: ")
    assert message in problems[0]


def test_a_missing_source_note_is_a_problem():
    assert found(module_bodies.step(), source_note=" ") == ["folding: no source note"]


def test_common_practice_may_be_typed_where_the_source_note_names_it():
    step = module_bodies.step(do="Warm the kelp at 60 °C for 30 minutes.")
    note = "Kelp at 60 °C for 30 minutes: common practice."
    assert found(step, source_note=note) == []
    assert len(found(step, source_note="Kelp at 60 °C: common practice.")) == 1


def test_a_limit_of_food_safety_may_never_be_typed():
    step = module_bodies.step(do="Hold it at 63 °C.")
    assert len(found(step, source_note="63 °C: common practice.")) == 1


@pytest.mark.parametrize(
    "text", ["Fold it in three.", "One strand.", "Use {{width}}.", "Step 3 of 8.", "Half round."]
)
def test_a_count_without_a_unit_is_no_number_of_the_standard(text):
    assert typed_numbers(text) == set()


def test_counts():
    blocks = (
        module_bodies.step(),
        module_bodies.step("Turn it"),
        module_bodies.fault(),
        module_bodies.question(),
        ("caution", {"kind": "knife", "text": "Mind the edge."}),
        ("numbers", {"names": ["width"]}),
    )
    counts = counts_of(sheet(*blocks))
    assert counts[:5] == (2, 2, 1, 1, 1)
    assert counts.longest_sentence == 6, "The house wants the house value"
    assert counts.words == sum(
        len(text.replace("{{width}}", "a b c").split()) for text in sheet(*blocks).texts
    )


def test_a_page_is_judged_as_the_module_that_it_came_from(db, house):
    body = [module_bodies.step(do="It is 3 mm."), module_bodies.question()]
    page = module_bodies.write_module(house.cutting, body=body)
    page.refresh_from_db()
    written = sheet_of_page(page)
    assert counts_of(written)[:5] == (1, 1, 0, 1, 0)
    assert [problem.place for problem in problems_of(written)] == ["step 1, do"]
    assert "answer 2" in [place.split(", ")[1] for place, _text in written.places()]


def test_outliers_name_what_is_hard_and_what_is_long():
    long = " ".join(["cut"] * 21) + "."
    hard = "Extraordinary uniformity characterises professional preparation."
    blocks = (module_bodies.step(do=hard, look_feel=hard), module_bodies.fault(cause=long))
    places = {(one.place, one.message.split()[0]) for one in outliers_of(sheet(*blocks))}
    assert {("step 1", "grade"), ("fault 1, cause", "21")} <= places
    assert outliers_of(sheet(module_bodies.fault())) == []


def test_modules_that_come_with_the_site_are_read_as_they_are():
    assert counts_of(sheet_of_module(MODULE)).steps == len(MODULE.steps)
