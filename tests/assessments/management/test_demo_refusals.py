"""``manage.py demo`` builds nothing where it does not belong."""

import pytest
from django.core.management import CommandError, call_command

from assessments.demo_house import names
from assessments.management.commands.demo import refuse_real_people
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


@pytest.fixture
def people_of_the_demo(db):
    """The demo's own people, which is by what it knows its house again."""
    return [factories.UserFactory(username=name) for name in sorted(names.USERNAMES)]


def test_somebody_entered_into_the_demo_keeps_it_from_being_thrown_away(people_of_the_demo):
    factories.UserFactory(username="a-visitor")
    refuse_real_people(fresh=False)
    with pytest.raises(CommandError, match=r"1, .* a-visitor\. Nothing was changed"):
        refuse_real_people(fresh=True)


def test_readings_brought_in_without_a_cook_keep_nobody_from_anything(people_of_the_demo):
    factories.UserFactory(username="import-first", is_active=False)
    refuse_real_people(fresh=False)
    refuse_real_people(fresh=True)


def test_some_names_of_the_demo_do_not_make_a_house_the_demo(people_of_the_demo):
    people_of_the_demo[0].delete()
    factories.UserFactory(username="somebody-real")
    with pytest.raises(CommandError, match="somebody-real"):
        refuse_real_people(fresh=False)
