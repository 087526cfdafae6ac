"""``manage.py demo`` builds nothing where it does not belong."""

import pytest
from django.core.management import CommandError, call_command

from assessments.models import Batch
from tests import factories
from training.models import User


@pytest.mark.django_db
@pytest.mark.parametrize("options", [{}, {"fresh": True}])
def test_a_house_with_real_people_is_refused(options):
    factories.trainee(factories.BranchFactory(), username="somebody-real")
    with pytest.raises(CommandError, match=r"1, .* somebody-real\. Nothing was changed"):
        call_command("demo", **options)
    assert list(User.objects.values_list("username", flat=True)) == ["somebody-real"]
    assert not Batch.objects.exists()


@pytest.mark.django_db
def test_a_house_without_people_that_is_not_the_demo_is_refused():
    factories.BranchFactory()
    with pytest.raises(CommandError, match=r"another house\. Nothing was changed"):
        call_command("demo")
    assert not User.objects.exists()


@pytest.mark.django_db
def test_production_is_refused(settings):
    settings.PRODUCTION = True
    with pytest.raises(CommandError, match="known passwords"):
        call_command("demo")
    assert not User.objects.exists()
