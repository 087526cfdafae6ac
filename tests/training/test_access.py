"""Who may do what with whose record, cell by cell."""

import pytest
from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import PermissionDenied

from assessments.summaries.cooks import visible_cooks
from tests import factories
from training import access
from training.models import Role


@pytest.fixture
def people(house):
    """Add to the house a person who is several things at once."""
    house.chef_who_trains = factories.head_chef(house.branch, username="chef-who-trains")
    factories.RoleFactory(person=house.chef_who_trains, kind=Role.Kind.TRAINEE, branch=house.branch)
    house.stranger = factories.UserFactory(username="stranger")
    return house


# viewer, cook, may read, may assess, may log, may import
CELLS = [
    ("cook", "cook", True, False, True, True),
    ("cook", "other_cook", False, False, False, False),
    ("cook", "chef", False, False, False, False),
    ("chef", "cook", True, True, False, True),
    ("chef", "other_cook", False, False, False, False),
    ("chef", "chef", True, False, False, False),
    ("chef", "other_chef", False, False, False, False),
    ("other_chef", "cook", False, False, False, False),
    ("owner", "cook", True, False, False, False),
    ("owner", "other_cook", True, False, False, False),
    ("owner", "owner", True, False, False, False),
    ("editor", "cook", False, False, False, False),
    ("stranger", "cook", False, False, False, False),
    ("stranger", "stranger", True, False, False, False),
    ("chef_who_trains", "chef_who_trains", True, False, True, True),
    ("chef_who_trains", "cook", True, True, False, True),
    ("chef", "chef_who_trains", True, True, False, True),
]


@pytest.mark.parametrize(("viewer", "cook", "reads", "assesses", "logs", "imports"), CELLS)
def test_record(people, viewer, cook, reads, assesses, logs, imports):
    viewer, cook = getattr(people, viewer), getattr(people, cook)
    assert access.can_read_record(viewer, cook) is reads
    assert access.can_assess(viewer, cook) is assesses
    assert access.can_log(viewer, cook) is logs
    assert access.can_import(viewer, cook) is imports


# viewer, may open the list, may run and may read (open, closed) those of the cook's branch
TRIALS = [
    ("cook", True, False, False, True),
    ("other_cook", True, False, False, False),
    ("chef", True, True, True, True),
    ("other_chef", True, False, False, False),
    ("owner", True, True, True, True),
    ("editor", False, False, False, False),
    ("stranger", False, False, False, False),
    ("chef_who_trains", True, True, True, True),
]


@pytest.mark.parametrize(("viewer", "lists", "runs", "reads_open", "reads_closed"), TRIALS)
def test_trials(people, viewer, lists, runs, reads_open, reads_closed):
    viewer, branch = getattr(people, viewer), people.branch.pk
    assert access.can_see_trials(viewer) is lists
    assert access.can_run_trials(viewer, branch) is runs
    assert access.can_read_trial(viewer, branch, is_open=True) is reads_open
    assert access.can_read_trial(viewer, branch, is_open=False) is reads_closed


@pytest.mark.parametrize(
    ("viewer", "sees"),
    [("cook", False), ("chef", True), ("owner", True), ("editor", False), ("stranger", False)],
)
def test_readiness(people, viewer, sees):
    assert access.can_see_readiness(getattr(people, viewer)) is sees


@pytest.mark.parametrize("viewer", ["chef", "other_chef", "chef_who_trains", "owner"])
def test_the_list_of_cooks_agrees_with_can_read_record(people, viewer):
    """The list of people and the single decision must not drift apart."""
    viewer = getattr(people, viewer)
    expected = {
        cook.pk
        for cook in type(viewer).objects.all()
        if cook.is_trainee and access.can_read_record(viewer, cook)
    }
    assert set(visible_cooks(viewer).values_list("pk", flat=True)) == expected


def test_a_role_that_ended_gives_nothing(people):
    people.chef.roles.all().delete()
    chef = type(people.chef).objects.get(pk=people.chef.pk)
    assert not access.can_read_record(chef, people.cook)


def test_require_refuses_with_a_message():
    access.require(True)
    with pytest.raises(PermissionDenied, match="belongs to somebody else"):
        access.require(False)


def test_role_required(rf, people):
    @access.role_required(access.can_see_readiness)
    def view(request):
        return "seen"

    request = rf.get("/")
    request.user = people.owner
    assert view(request) == "seen"
    request.user = people.cook
    with pytest.raises(PermissionDenied, match="another role"):
        view(request)
    request.user = AnonymousUser()
    assert view(request).status_code == 302
