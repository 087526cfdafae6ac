"""The command that scores batches again."""

import pytest
import time_machine
from django.core.management import call_command
from django.core.management.base import CommandError

from assessments.actions import rescore
from assessments.models import Event, Score
from tests import factories
from training.models import HousePolicy


@pytest.fixture
def two_cooks(house):
    """Two cooks with three batches each."""
    for cook, branch in ((house.cook, house.branch), (house.other_cook, house.other_branch)):
        for days in (3, 2, 1):
            factories.finished_batch(
                cook=cook, branch=branch, standard=house.standard, made_on=factories.days_ago(days)
            )
    return house


def rescored():
    return Event.objects.filter(verb=Event.Verb.BATCH_RESCORED)


def spoil(**fields):
    """Make every stored score look like the work of an earlier formula."""
    Score.objects.update(formula_version="0", **fields)


def test_nothing_is_due_when_every_score_is_of_the_present_formula(two_cooks, capsys):
    before = list(Score.objects.order_by("pk").values())
    call_command("rescore")
    assert "0 batches scored again, 0 of them" in capsys.readouterr().out
    assert list(Score.objects.order_by("pk").values()) == before


def test_scores_of_an_earlier_formula_are_computed_again(two_cooks, capsys):
    right = list(Score.objects.order_by("pk").values_list("score", "width_points", "width_share"))
    spoil(score=50.0, width_points=-7.0)
    call_command("rescore")
    assert "6 batches scored again, 6 of them" in capsys.readouterr().out
    now = list(Score.objects.order_by("pk").values_list("score", "width_points", "width_share"))
    assert now == right
    assert set(Score.objects.values_list("formula_version", flat=True)) == {rescore.FORMULA_VERSION}
    event = rescored().filter(subject=two_cooks.cook).first()
    assert event.actor is None
    assert event.data["old"] == {"score": 50.0, "width_points": -7.0, "formula_version": "0"}
    assert event.data["new"]["score"] == pytest.approx(right[0][0])
    assert rescored().count() == 6


def test_a_second_run_does_nothing(two_cooks, capsys):
    spoil(score=50.0)
    call_command("rescore")
    before = list(Score.objects.order_by("pk").values())
    capsys.readouterr()
    call_command("rescore")
    assert "0 batches scored again" in capsys.readouterr().out
    assert list(Score.objects.order_by("pk").values()) == before
    assert rescored().count() == 6


def test_a_run_that_changes_no_figure_leaves_no_event(two_cooks, capsys):
    spoil()
    call_command("rescore")
    assert "6 batches scored again, 0 of them" in capsys.readouterr().out
    assert not rescored().exists()
    assert not Score.objects.filter(formula_version="0").exists()


def test_practices_of_the_cooks_are_brought_up_to_date(two_cooks):
    practice = two_cooks.practice
    practice.refresh_from_db()
    right = practice.width_balance
    assert right > 0
    spoil()
    type(practice).objects.filter(pk=practice.pk).update(width_balance=1)
    call_command("rescore")
    practice.refresh_from_db()
    assert practice.width_balance == right


def test_all_takes_a_changed_house_rule_into_account(two_cooks, capsys):
    policy = HousePolicy.load()
    policy.only_chosen_strands = True
    policy.save()
    first = Score.objects.order_by("pk").first().batch
    type(first).objects.filter(pk=first.pk).update(strands_chosen_here=False)
    call_command("rescore")
    assert Score.objects.get(batch=first).width_points is not None
    call_command("rescore", "--all")
    assert Score.objects.get(batch=first).width_points is None
    assert "6 batches scored again, 1 of them" in capsys.readouterr().out
    assert rescored().count() == 1


def test_a_stopped_run_goes_on_where_it_was(two_cooks, monkeypatch, capsys):
    spoil(score=50.0)
    done = []

    def stop_at_second(cook_id, **options):
        if done:
            raise KeyboardInterrupt
        done.append(cook_id)
        return rescore.rescore_cook(cook_id, **options)

    command = "assessments.management.commands.rescore.rescore_cook"
    with monkeypatch.context() as patch:
        patch.setattr(command, stop_at_second)
        with pytest.raises(CommandError, match=r"Go on with: manage\.py rescore$") as stopped:
            call_command("rescore")
    assert stopped.value.returncode == 130
    assert Score.objects.filter(formula_version="0").count() == 3
    call_command("rescore")
    assert "3 batches scored again, 3 of them" in capsys.readouterr().out
    assert not Score.objects.filter(formula_version="0").exists()
    assert rescored().count() == 6


def test_a_stopped_run_over_all_says_after_whom_to_go_on(two_cooks, monkeypatch, capsys):
    first = min(two_cooks.cook.pk, two_cooks.other_cook.pk)

    def stop_at_second(cook_id, **options):
        if cook_id != first:
            raise KeyboardInterrupt
        return rescore.rescore_cook(cook_id, **options)

    command = "assessments.management.commands.rescore.rescore_cook"
    with monkeypatch.context() as patch:
        patch.setattr(command, stop_at_second)
        with pytest.raises(CommandError, match=f"rescore --all --after {first}$"):
            call_command("rescore", "--all")
    call_command("rescore", "--all", "--after", str(first))
    assert "3 batches scored again" in capsys.readouterr().out


def test_a_batch_stays_under_the_version_it_was_made_under(two_cooks):
    with time_machine.travel("2027-01-01T09:00:00Z"):
        factories.StandardFactory(
            style=two_cooks.style, in_force_from="2026-12-01", width_tolerance_plus_mm="0.05"
        )
        before = list(Score.objects.order_by("pk").values_list("score", flat=True))
        call_command("rescore", "--all")
    assert list(Score.objects.order_by("pk").values_list("score", flat=True)) == before


def test_queries_do_not_grow_with_the_batches(house, django_assert_max_num_queries):
    def batches(cook, branch, count):
        for days in range(count, 0, -1):
            factories.finished_batch(
                cook=cook, branch=branch, standard=house.standard, made_on=factories.days_ago(days)
            )

    batches(house.cook, house.branch, 1)
    factories.PracticeFactory(
        person=house.other_cook, branch=house.other_branch, style=house.style, station=house.cutting
    )
    batches(house.other_cook, house.other_branch, 10)
    spoil(score=50.0)
    with django_assert_max_num_queries(30) as one:
        assert rescore.rescore_cook(house.cook.pk).changed == 1
    with django_assert_max_num_queries(len(one.captured_queries)):
        assert rescore.rescore_cook(house.other_cook.pk).changed == 10


def test_a_cook_with_many_batches_is_read_in_chunks(two_cooks, monkeypatch):
    monkeypatch.setattr(rescore, "CHUNK", 2)
    spoil(score=50.0)
    result = rescore.rescore_cook(two_cooks.cook.pk)
    assert (result.looked_at, result.changed) == (3, 3)
    assert rescored().count() == 3
