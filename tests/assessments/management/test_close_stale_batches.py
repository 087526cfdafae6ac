"""The command that gives up batches that nobody measured."""

from datetime import timedelta

from django.core.management import call_command
from django.utils import timezone

from assessments.models import Batch
from tests import factories


def test_only_open_batches_older_than_the_house_allows_are_given_up(house, capsys):
    old = timezone.now() - timedelta(days=3)
    stale = factories.BatchFactory(cook=house.cook, standard=house.standard, opened_at=old)
    fresh = factories.BatchFactory(cook=house.cook, standard=house.standard)
    finished = factories.finished_batch(cook=house.cook, standard=house.standard, opened_at=old)
    call_command("close_stale_batches")
    assert capsys.readouterr().out == "1 batch given up.\n"
    states = dict(Batch.objects.values_list("pk", "state"))
    assert states == {
        stale.pk: Batch.State.ABANDONED,
        fresh.pk: Batch.State.OPEN,
        finished.pk: Batch.State.FINISHED,
    }
    call_command("close_stale_batches")
    assert capsys.readouterr().out == "0 batches given up.\n"
