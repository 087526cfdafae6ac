"""What an editor may put into a module; refusals stand at the field."""

import pytest
from django.core.exceptions import ValidationError

from tests.training import module_bodies
from training.blocks import CAUTIONS, TIMER_SOURCES, ModuleBody, drawings
from training.curriculum.blocks import CAUTION_KINDS
from training.curriculum.blocks import TIMER_SOURCES as CURRICULUM_SOURCES

BODY = ModuleBody()


def block(kind, value):
    found = BODY.child_blocks[kind]
    return found, found.normalize(value)


def errors_of(kind, value):
    """Return the names of the fields at which ``value`` is refused."""
    found, value = block(kind, value)
    with pytest.raises(ValidationError) as caught:
        found.clean(value)
    return set(caught.value.block_errors)


def test_cautions_and_timers_of_the_curriculum_can_be_chosen():
    assert {kind for kind, _label in CAUTIONS} == set(CAUTION_KINDS)
    assert set(CURRICULUM_SOURCES) <= {source for source, _label in TIMER_SOURCES}


def test_every_drawing_can_be_chosen():
    assert "cut-fold" in dict(drawings())


@pytest.mark.parametrize(
    ("fields", "places"),
    [
        ({"drawing": ""}, {"drawing"}),
        ({"picture_alt": " "}, {"picture_alt"}),
        ({"do": "Cut {{breadth}}."}, {"do"}),
        ({"title": ""}, {"title"}),
        ({"look_feel": ""}, {"look_feel"}),
    ],
)
def test_step_refused(fields, places):
    assert errors_of(*module_bodies.step(**fields)) == places


def test_step_with_drawing_and_photo_refused(db):
    photo = module_bodies.photo()
    assert errors_of(*module_bodies.step(photo=photo.pk)) == {"photo"}
    # While it takes the drawing's place a draft has both: it can be saved, and looked at.
    draft = BODY.normalize([module_bodies.step(photo=photo.pk)])
    assert len(BODY.clean_deferred(draft)) == 1


@pytest.mark.parametrize(
    "fields", [{}, {"drawing": "", "picture_alt": ""}, {"do": "The house wants {{ thickness }}."}]
)
def test_fault_or_step_taken(fields):
    kind, value = module_bodies.step(**fields) if "do" in fields else module_bodies.fault()
    found, value = block(kind, value)
    assert found.clean(value)["picture_alt"] == value["picture_alt"]


def test_fault_with_a_picture_needs_its_description():
    assert errors_of(*module_bodies.fault(drawing="fault-paste")) == {"picture_alt"}


@pytest.mark.parametrize(
    ("value", "place"),
    [
        ({"label": "Rest", "source": "own", "minutes": None}, {"minutes"}),
        ({"label": "Rest", "source": "rest", "minutes": 5}, {"minutes"}),
        ({"label": "Rest", "source": "own", "minutes": 0}, {"minutes"}),
        ({"label": "", "source": "rest", "minutes": None}, {"label"}),
    ],
)
def test_timer_refused(value, place):
    assert errors_of("timer", value) == place


@pytest.mark.parametrize("right", [(False, False), (True, True)])
def test_question_needs_exactly_one_right_answer(right):
    kind, value = module_bodies.question()
    value["answers"] = [{"text": "a", "correct": correct} for correct in right]
    assert errors_of(kind, value) == {"answers"}


def test_question_needs_two_answers():
    kind, value = module_bodies.question()
    value["answers"] = value["answers"][1:]
    assert errors_of(kind, value) == {"answers"}


def test_a_draft_may_lack_what_publishing_asks_for():
    _found, value = block(*module_bodies.step(drawing="", picture_alt="", title=""))
    body = BODY.normalize([("step", value)])
    assert len(BODY.clean_deferred(body)) == 1


def test_a_draft_is_not_a_module_without_steps():
    with pytest.raises(ValidationError):
        BODY.clean(BODY.normalize([module_bodies.question()]))


@pytest.mark.parametrize("kind", list(BODY.child_blocks))
def test_every_block_explains_and_previews_itself(house, kind):
    found = BODY.child_blocks[kind]
    assert found.label
    assert found.get_description()
    assert found.is_previewable
    assert found.render(found.get_preview_value(), context={})


def test_a_caution_names_its_kind_in_words(db):
    found, value = block("caution", {"kind": "feet_and_film", "text": "Wash them."})
    assert "Caution: Feet and film" in found.render(value)
