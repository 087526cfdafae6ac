"""A finished module reaches the evidence without the modules knowing of it."""

from assessments.actions.evidence import refresh_practices
from assessments.actions.modules import recount_modules
from assessments.models import Event, Practice
from tests import factories
from tests.training import module_bodies
from training.reading import record_all_steps, record_answer


def finish(person, module):
    record_all_steps(person, module)
    for question in module.block_ids("question"):
        record_answer(person, module, question, 1)


def test_finished_module_counts_and_is_written_down_once(house):
    module = module_bodies.write_module(house.cutting)
    finish(house.cook, module)
    finish(house.cook, module)
    house.practice.refresh_from_db()
    assert (house.practice.modules_required, house.practice.modules_done) == (1, 1)
    event = Event.objects.get(verb=Event.Verb.MODULE_DONE)
    assert (event.actor, event.subject, event.object_id) == (house.cook, house.cook, module.pk)


def test_somebody_who_practises_nothing_may_read_too(house):
    finish(house.owner, module_bodies.write_module(house.cutting))
    assert Event.objects.get(verb=Event.Verb.MODULE_DONE).subject == house.owner


def counts(practice):
    practice.refresh_from_db()
    return practice.modules_required, practice.modules_done


def test_recount_says_the_same_as_each_cook_one_by_one(house, django_assert_num_queries):
    done = module_bodies.write_module(house.cutting)
    module_bodies.write_module(house.cutting, slug="second")
    module_bodies.write_module(house.cutting, slug="optional", required=False)
    module_bodies.write_module(house.serving, slug="elsewhere")
    finish(house.cook, done)
    colleague = factories.PracticeFactory(branch=house.branch, station=house.cutting)
    Practice.objects.update(modules_required=9, modules_done=9)
    with django_assert_num_queries(1):
        recount_modules()
    found = [counts(practice) for practice in (house.practice, colleague)]
    assert found == [(2, 1), (2, 0)]
    refresh_practices(house.cook)
    refresh_practices(colleague.person)
    assert found == [counts(practice) for practice in (house.practice, colleague)]


def test_a_module_taken_away_is_no_longer_asked_for(house):
    module = module_bodies.write_module(house.cutting)
    recount_modules()
    assert counts(house.practice) == (1, 0)
    module.unpublish()
    recount_modules()
    assert counts(house.practice) == (0, 0)
