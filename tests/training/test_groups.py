"""Who may edit follows from the roles."""

import pytest
from django.contrib.auth.models import Group
from wagtail.models import GroupPagePermission, Page, Site

from tests import factories
from training.groups import EDITORS, OWNERS, create_groups, create_index_page, sync_groups
from training.models import ModuleIndexPage, Role, User


@pytest.fixture(autouse=True)
def groups(db):
    create_groups()


def groups_of(person):
    return set(person.groups.values_list("name", flat=True))


@pytest.mark.parametrize(
    ("kind", "expected"),
    [("trainee", set()), ("head_chef", set()), ("owner", {OWNERS}), ("editor", {EDITORS})],
)
def test_saving_a_role_puts_into_the_group(kind, expected):
    branch = factories.BranchFactory() if kind in Role.BRANCH_KINDS else None
    assert groups_of(factories.person_with_role(kind, branch)) == expected


def test_deleting_a_role_takes_out_of_the_group():
    person = factories.editor()
    factories.RoleFactory(person=person, kind="owner", branch=None)
    person.roles.get(kind="editor").delete()
    assert groups_of(person) == {OWNERS}


def test_many_roles_at_once_need_one_call(django_assert_max_num_queries):
    people = [factories.UserFactory() for _n in range(10)]
    day = "2025-01-01"
    Role.objects.bulk_create([Role(person=one, kind="editor", since=day) for one in people])
    with django_assert_max_num_queries(6):
        sync_groups(one.pk for one in people)
    assert Group.objects.get(name=EDITORS).user_set.count() == 10
    Role.objects.all().delete()
    sync_groups(one.pk for one in people)
    assert Group.objects.get(name=EDITORS).user_set.count() == 0


def test_other_groups_are_left_alone():
    person = factories.editor()
    person.groups.add(Group.objects.create(name="Football"))
    person.roles.get().delete()
    assert groups_of(person) == {"Football"}


def test_made_twice_they_are_the_same():
    rows = GroupPagePermission.objects.count()
    create_groups()
    assert GroupPagePermission.objects.count() == rows == 6
    assert set(Group.objects.values_list("name", flat=True)) == {EDITORS, OWNERS}


def test_editors_edit_and_nothing_more():
    editor = User.objects.get(pk=factories.editor().pk)
    assert editor.has_perms(["wagtailadmin.access_admin", "training.change_standardversion"])
    assert not editor.has_perm("training.change_user")
    assert not editor.has_perm("training.delete_style")


def test_nobody_may_delete_people():
    owner = User.objects.get(pk=factories.owner().pk)
    assert owner.has_perms(["training.add_user", "training.change_user"])
    assert not owner.has_perm("training.delete_user")


def test_list_of_modules_is_the_root_of_the_site():
    index = create_index_page()
    site = Site.objects.get(is_default_site=True)
    assert site.root_page_id == index.pk
    assert Page.objects.get(depth=1).numchild == Page.objects.filter(depth=2).count() == 1
    assert not Page.find_problems()[0]
    assert ModuleIndexPage.objects.get().get_parent().is_root()
