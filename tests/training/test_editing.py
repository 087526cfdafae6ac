"""The editor over HTTP: who may enter, modules, house standards, people."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone
from wagtail.models import Page
from wagtail.test.utils.form_data import (
    inline_formset,
    nested_form_data,
    streamfield,
)
from zeal import zeal_ignore

from tests import factories
from training.groups import create_groups, sync_groups
from training.models import (
    ModulePage,
    PublishedVersionError,
    StandardVersion,
    StepRead,
    User,
)
from training.models.standards import draft_from
from training.reading import record_all_steps


@pytest.fixture(autouse=True)
def groups(house):
    create_groups()
    sync_groups([house.editor.pk, house.owner.pk])


@pytest.fixture
def editor(client, house):
    client.force_login(house.editor)
    return client


@pytest.fixture
def owner(client, house):
    client.force_login(house.owner)
    return client


@pytest.fixture
def draft(house):
    return draft_from(house.standard)


PAGES = [
    "wagtailadmin_home",
    "wagtailadmin_explore_root",
    "standards:list",
    "standards:add",
    "styles:index",
    "wagtailimages:index",
    "clips:list",
    "clips:add",
]
OWNER_PAGES = [
    "wagtailusers_users:index",
    "wagtailusers_users:add",
    "branches:index",
    "stations:index",
    "instruments:index",
    "practices:index",
    "practices:add",
]


@pytest.mark.parametrize("who", ["cook", "chef", "other_cook", "other_chef"])
@pytest.mark.parametrize("name", PAGES + OWNER_PAGES)
def test_without_the_role_nobody_enters(client, house, who, name):
    client.force_login(getattr(house, who))
    assert client.get(reverse(name)).status_code == 403


def test_strangers_are_sent_to_our_sign_in(client):
    response = client.get(reverse("wagtailadmin_home"))
    assert response.url.startswith(reverse("account_login"))


@pytest.mark.parametrize("name", PAGES)
def test_editor_pages_open_under_the_policy(editor, name):
    response = editor.get(reverse(name), follow=True)
    assert response.status_code == 200
    policy = response.headers["Content-Security-Policy"]
    assert "script-src 'self' 'unsafe-inline'" in policy
    assert "default-src 'self'" in policy


@pytest.mark.parametrize("name", OWNER_PAGES)
def test_what_is_for_owners_is_closed_to_editors(editor, name):
    assert editor.get(reverse(name)).url == reverse("wagtailadmin_home")


@pytest.mark.parametrize("name", PAGES + OWNER_PAGES)
def test_owner_pages_open(owner, name):
    assert owner.get(reverse(name), follow=True).status_code == 200


def test_menu_holds_what_an_editor_needs(editor, owner):
    def menu(user):
        from wagtail.admin.menu import admin_menu

        request = type("Request", (), {"user": user})()
        return [item.name for item in admin_menu.menu_items_for_request(request)]

    people = User.objects.in_bulk(["editor", "owner"], field_name="username")
    editing = ["modules", "words", "standards", "styles", "images", "clips"]
    assert menu(people["editor"]) == editing
    assert menu(people["owner"]) == [
        *[*editing, "people", "practices", "branches"],
        *["stations", "instruments", "house-rules"],
    ]


def test_house_rules_are_for_owners(client, house):
    path = reverse("wagtailsettings:edit", args=["training", "housepolicy"])
    client.force_login(house.editor)
    assert "Observations" not in client.get(path, follow=True).content.decode()
    client.force_login(house.owner)
    assert "Observations before a sign-off" in client.get(path, follow=True).content.decode()


def test_a_dark_mark_instead_of_a_bird(editor):
    text = editor.get(reverse("wagtailadmin_home")).content.decode()
    assert "house-mark" in text
    assert "training/admin.css" in text
    assert "editor guide" not in text


# Modules


@pytest.fixture
def wagtails_own_queries():
    """Publishing a page repeats a query inside Wagtail; that is not ours to count."""
    with zeal_ignore():
        yield


def page_form(page, **changes):
    body = [(block.block_type, form_value(block)) for block in page.body]
    data = {
        "title": page.title,
        "slug": page.slug,
        "summary": page.summary,
        "station": page.station_id,
        "required": "on",
        "minutes_to_read": page.minutes_to_read,
        "source_note": page.source_note,
        "body": streamfield(body),
    }
    return nested_form_data(data | changes)


def form_value(block):
    # A browser sends nothing at all for boxes of which none is ticked.
    fields = dict(block.value).items()
    value = {name: child or "" for name, child in fields if name != "signs" or child}
    if block.block_type == "question":
        answers = [
            {"text": one["text"], **({"correct": "on"} if one["correct"] else {})}
            for one in value["answers"]
        ]
        value["answers"] = {"count": len(answers)} | {
            str(n): {"deleted": "", "order": n, "value": answer} for n, answer in enumerate(answers)
        }
    return value


@pytest.mark.usefixtures("wagtails_own_queries")
def test_editor_signs_in_changes_and_publishes_a_module(client, house, module):
    response = client.post(
        reverse("account_login"),
        {"login": "editor", "password": factories.PASSWORD, "next": reverse("wagtailadmin_home")},
    )
    assert response.status_code == 302
    path = reverse("wagtailadmin_pages:edit", args=[module.pk])
    assert client.get(path).status_code == 200
    data = page_form(module, title="Folding anew") | {"action-publish": "yes"}
    response = client.post(path, data)
    assert response.status_code == 302, response.context["form"].errors
    changed = ModulePage.objects.get(pk=module.pk)
    assert (changed.title, changed.live) == ("Folding anew", True)
    assert [block.block_type for block in changed.body] == [b.block_type for b in module.body]
    house.practice.refresh_from_db()
    assert house.practice.modules_required == 1


@pytest.mark.usefixtures("wagtails_own_queries")
def test_editor_writes_a_new_module(editor, house, module):
    path = reverse(
        "wagtailadmin_pages:add", args=["training", "modulepage", module.get_parent().pk]
    )
    assert editor.get(path).status_code == 200
    data = page_form(module, title="Another", slug="another") | {"action-publish": "yes"}
    assert editor.post(path, data).status_code == 302
    assert ModulePage.objects.get(slug="another").live


def test_an_unknown_number_is_refused_at_the_field_and_nothing_is_lost(editor, module):
    data = page_form(module) | {"action-publish": "yes"}
    data["body-0-value-do"] = "Cut it {{breadth}} wide."
    response = editor.post(reverse("wagtailadmin_pages:edit", args=[module.pk]), data)
    text = response.content.decode()
    assert response.status_code == 200
    assert "is no number of the house" in text
    assert "Cut it {{breadth}} wide." in text
    assert ModulePage.objects.get(pk=module.pk).body[0].value["do"] != "Cut it {{breadth}} wide."


def test_preview_shows_the_draft_and_records_nothing(editor, house, module):
    path = reverse("wagtailadmin_pages:preview_on_edit", args=[module.pk])
    data = page_form(module, title="Only a draft")
    assert editor.post(path, data).json()["is_valid"]
    response = editor.get(path, {"mode": ""})
    text = response.content.decode()
    assert "Only a draft" in text
    assert "3.2 mm (2.7 to 3.7 mm)" in text
    assert "data-record" not in text
    assert "module.js" not in text
    assert not StepRead.objects.exists()


def delete_page(client, page):
    client.post(reverse("wagtailadmin_pages:delete", args=[page.pk]))
    path = reverse("wagtail_bulk_action", args=["wagtailcore", "page", "delete"])
    client.post(f"{path}?id={page.pk}")
    return not Page.objects.filter(pk=page.pk).exists()


def test_a_module_that_somebody_has_read_is_kept(editor, house, module):
    record_all_steps(house.cook, module)
    assert not delete_page(editor, module)
    text = editor.get(reverse("wagtailadmin_home")).content.decode()
    assert "Unpublish it instead" in text


def test_a_module_that_nobody_has_read_may_go(editor, module):
    assert delete_page(editor, module)


def test_the_list_of_modules_is_kept(editor, module):
    assert not delete_page(editor, module.get_parent())


# House standards


def rows(manager, *names):
    return [
        {
            "id": row.pk,
            **{name: "" if getattr(row, name) is None else getattr(row, name) for name in names},
        }
        for row in manager.all()
    ]


def standard_form(version, **changes):
    names = [
        *StandardVersion.QUANTITIES,
        *["strands_to_measure", "thickness_rows", "thickness_columns", "allowance_percent"],
        *["dough_temperature_c", "friction_c", "ready_share", "not_ready_share", "change_note"],
    ]
    flours = rows(version.flours, "name", "kind", "percent", "allergens")
    seasons = rows(
        version.seasons,
        *["name", "from_month", "to_month", "room_from_c", "hydration_percent", "salt_percent"],
    )
    rounds = rows(version.rounds, "tread_min", "rest_min")
    data = {name: getattr(version, name) for name in names}
    data |= {
        "style": version.style_id,
        "flours": inline_formset(flours, initial=len(flours)),
        "others": inline_formset([]),
        "seasons": inline_formset(seasons, initial=len(seasons)),
        "rounds": inline_formset(rounds, initial=len(rounds)),
    }
    return nested_form_data(data | changes)


def edit(client, version, data):
    return client.post(reverse("standards:edit", args=[version.pk]), data)


def test_draft_is_a_copy_of_all(house, draft):
    assert (draft.number, draft.is_published, draft.in_force_from) == (2, False, None)
    for name in ("flours", "seasons", "rounds"):
        assert getattr(draft, name).count() == getattr(house.standard, name).count()
    assert draft.width_target_mm == house.standard.width_target_mm
    assert draft_from(house.standard) == draft


def test_editor_changes_a_draft(editor, draft):
    assert editor.get(reverse("standards:edit", args=[draft.pk])).status_code == 200
    response = edit(editor, draft, standard_form(draft, width_target_mm="3.10"))
    assert response.status_code == 302
    assert StandardVersion.objects.get(pk=draft.pk).width_target_mm == Decimal("3.10")


def test_first_version_of_a_new_style(editor, house):
    style = factories.StyleFactory()
    data = standard_form(house.standard, style=style.pk)
    data |= {f"{name}-INITIAL_FORMS": "0" for name in ("flours", "seasons", "rounds")}
    data |= {key: "" for key in data if key.endswith("-id")}
    response = editor.post(reverse("standards:add"), data)
    version = StandardVersion.objects.get(style=style)
    assert response.url == reverse("standards:edit", args=[version.pk])
    assert (version.number, version.is_published) == (1, False)
    assert version.flours.count() == 1


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"flours-0-percent": "90"}, "Flours and starches add up to 90"),
        ({"seasons-0-to_month": "11"}, "Every month needs exactly one season."),
        ({"width_tolerance_minus_mm": "3.20"}, "This must be smaller than the target itself"),
        ({"not_ready_share": "0.96"}, "This must be smaller than the share of a ready cook."),
        ({"thickness_target_mm": ""}, "This field is required."),
        ({"rounds-0-tread_min": "0", "rounds-0-rest_min": "0"}, "Give minutes of treading"),
    ],
)
def test_draft_refused_with_a_reason_and_nothing_lost(editor, draft, changes, message):
    data = standard_form(draft, change_note="Keep this sentence.") | changes
    response = edit(editor, draft, data)
    text = response.content.decode()
    assert response.status_code == 200
    assert message in text
    assert "Keep this sentence." in text
    assert StandardVersion.objects.get(pk=draft.pk).change_note == ""


def test_second_draft_of_a_style_is_refused(editor, house, draft):
    response = editor.post(reverse("standards:add"), standard_form(house.standard))
    assert "This style has a draft already" in response.content.decode()


def test_published_version_is_only_read(editor, house):
    path = reverse("standards:inspect", args=[house.standard.pk])
    response = editor.get(reverse("standards:edit", args=[house.standard.pk]))
    assert response.url == path
    text = editor.get(path).content.decode()
    assert "is published and is never changed" in text
    assert "New version from this one" in text
    assert edit(editor, house.standard, standard_form(house.standard)).url == path
    editor.post(reverse("standards:delete", args=[house.standard.pk]))
    assert StandardVersion.objects.filter(pk=house.standard.pk).exists()


def test_published_version_survives_deleting_many(editor, house):
    path = reverse("wagtail_bulk_action", args=["training", "standardversion", "delete"])
    editor.post(f"{path}?id={house.standard.pk}")
    assert StandardVersion.objects.filter(pk=house.standard.pk).exists()


def test_the_model_itself_refuses(house):
    house.standard.width_target_mm = 4
    with pytest.raises(PublishedVersionError):
        house.standard.save()


def test_new_version_button_makes_or_opens_the_draft(editor, house):
    path = reverse("standards:new_version", args=[house.standard.pk])
    first = editor.post(path)
    draft = StandardVersion.objects.get(published_at=None)
    assert first.url == reverse("standards:edit", args=[draft.pk])
    assert editor.post(path).url == first.url
    assert editor.get(path).status_code == 405


@pytest.mark.parametrize("who", ["cook", "chef"])
def test_new_version_needs_the_role(client, house, who):
    client.force_login(getattr(house, who))
    client.post(reverse("standards:new_version", args=[house.standard.pk]))
    assert not StandardVersion.objects.filter(published_at=None).exists()


def test_preview_shows_the_numbers_of_the_draft(editor, draft):
    path = reverse("standards:preview_on_edit", args=[draft.pk])
    assert editor.post(path, standard_form(draft, width_target_mm="3.10")).json()["is_valid"]
    text = editor.get(path, {"mode": ""}).content.decode()
    assert "2.6 to 3.6 mm" in text
    assert "46 % of the flour" in text
    assert StandardVersion.objects.get(pk=draft.pk).width_target_mm == Decimal("3.20")


def test_list_says_the_state_in_words(editor, house, draft):
    later = timezone.localdate() + timedelta(days=5)
    factories.StandardFactory(style=factories.StyleFactory(), in_force_from=later)
    changed = factories.StyleFactory()
    for year in (2023, 2024):
        factories.StandardFactory(style=changed, in_force_from=f"{year}-01-01")
    text = editor.get(reverse("standards:list")).content.decode()
    for state in ("draft", "in force", "past", "to come"):
        assert state in text


def test_list_costs_the_same_with_ten_versions(editor, house, django_assert_max_num_queries):
    path = reverse("standards:list")
    editor.get(path)
    for _n in range(10):
        factories.StandardFactory()
    with django_assert_max_num_queries(20):
        editor.get(path)


def test_publishing_through_the_page(editor, house, draft):
    path = reverse("publish_standard", args=[draft.pk])
    data = standard_form(draft) | {"action-to-publishing": "yes"}
    assert edit(editor, draft, data).url == path
    assert "Publish: thick wheat, version 2" in editor.get(path).content.decode()
    today = timezone.localdate().isoformat()
    response = editor.post(path, {"in_force_from": today})
    assert response.url == reverse("standards:inspect", args=[draft.pk])
    version = StandardVersion.objects.get(pk=draft.pk)
    assert (version.is_published, version.published_by) == (True, house.editor)
    assert editor.get(path).url == response.url


@pytest.mark.parametrize(
    ("day", "message"),
    [("", "This field is required."), ("2020-01-01", "Choose today or a later day")],
)
def test_publishing_refused_at_the_field(editor, draft, day, message):
    response = editor.post(reverse("publish_standard", args=[draft.pk]), {"in_force_from": day})
    assert message in response.content.decode()
    assert not StandardVersion.objects.get(pk=draft.pk).is_published


@pytest.mark.parametrize("who", ["cook", "chef", "other_chef"])
def test_publishing_needs_the_role(client, house, draft, who):
    client.force_login(getattr(house, who))
    data = {"in_force_from": timezone.localdate().isoformat()}
    client.post(reverse("publish_standard", args=[draft.pk]), data)
    assert not StandardVersion.objects.get(pk=draft.pk).is_published


# People


def person_form(**changes):
    data = {
        "username": "new-cook",
        "first_name": "Nadja",
        "last_name": "",
        "email": "",
        "password1": "water-first-then-salt",
        "password2": "water-first-then-salt",
    }
    return data | changes


def test_owner_enters_a_person_with_roles(owner, house):
    data = person_form(trainee_in=[house.branch.pk], is_editor="on")
    response = owner.post(reverse("wagtailusers_users:add"), data)
    assert response.status_code == 302, response.context["form"].errors
    person = User.objects.get(username="new-cook")
    assert {(role.kind, role.branch_id) for role in person.roles.all()} == {
        ("trainee", house.branch.pk),
        ("editor", None),
    }
    assert (person.is_superuser, person.is_active) == (False, True)
    assert person.groups.get().name == "Editors"


def test_owner_changes_roles_and_the_old_ones_go(owner, house):
    data = person_form(
        username="cook",
        password1="",
        password2="",
        is_active="on",
        head_chef_in=[house.other_branch.pk],
    )
    path = reverse("wagtailusers_users:edit", args=[house.cook.pk])
    assert owner.get(path).status_code == 200
    assert owner.post(path, data).status_code == 302
    cook = User.objects.get(pk=house.cook.pk)
    assert [(role.kind, role.branch_id) for role in cook.roles.all()] == [
        ("head_chef", house.other_branch.pk)
    ]
    assert cook.check_password(factories.PASSWORD)


def test_roles_kept_keep_their_day(owner, house):
    since = house.cook.roles.get().since
    data = person_form(
        username="cook", password1="", password2="", is_active="on", trainee_in=[house.branch.pk]
    )
    owner.post(reverse("wagtailusers_users:edit", args=[house.cook.pk]), data)
    assert User.objects.get(pk=house.cook.pk).roles.get().since == since


def test_owner_cannot_lock_themselves_out(owner, house):
    data = person_form(username="owner", password1="", password2="")
    owner.post(reverse("wagtailusers_users:edit", args=[house.owner.pk]), data)
    me = User.objects.get(pk=house.owner.pk)
    assert me.is_active
    assert me.is_owner


def test_a_superuser_is_out_of_reach(owner, house):
    chief = User.objects.create_superuser("chief", password="something-long")
    assert "chief" not in owner.get(reverse("wagtailusers_users:index")).content.decode()
    path = reverse("wagtailusers_users:edit", args=[chief.pk])
    assert owner.get(path).status_code == 404
    owner.post(reverse("wagtailusers_users:add"), person_form(is_superuser="on"))
    assert not User.objects.get(username="new-cook").is_superuser


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"username": "cook"}, "already exists"),
        ({"password2": "another"}, "two password fields"),
        ({"password1": "short", "password2": "short"}, "too short"),
        ({"first_name": ""}, "This field is required."),
    ],
)
def test_person_refused_at_the_field(owner, changes, message):
    response = owner.post(reverse("wagtailusers_users:add"), person_form(**changes))
    assert message in response.content.decode()
    assert not User.objects.filter(username="new-cook").exists()


def test_owner_enters_a_practice(owner, house):
    data = {
        "person": house.other_cook.pk,
        "style": house.style.pk,
        "station": house.cutting.pk,
        "branch": house.other_branch.pk,
        "started_on": "2026-01-05",
        "ended_on": "",
    }
    response = owner.post(reverse("practices:add"), data)
    assert response.status_code == 302, response.context["form"].errors
    practice = house.other_cook.practices.get()
    path = reverse("practices:edit", args=[practice.pk])
    assert owner.get(path).status_code == 200
    assert owner.post(path, data | {"ended_on": "2026-02-05"}).status_code == 302
    practice.refresh_from_db()
    assert practice.ended_on is not None


def test_person_is_chosen_by_name(owner, house):
    text = owner.get(reverse("person_chooser:choose_results"), {"q": "Coo"}).content.decode()
    assert str(house.cook) in text
    assert str(house.chef) not in text


@pytest.mark.parametrize("name", ["styles", "branches", "stations", "instruments"])
def test_small_lists_open_for_adding(owner, name):
    assert owner.get(reverse(f"{name}:add")).status_code == 200


def test_people_cost_the_same_with_ten_times_as_many(owner, house, django_assert_max_num_queries):
    for _n in range(10):
        factories.trainee(house.branch)
    with django_assert_max_num_queries(20):
        owner.get(reverse("wagtailusers_users:index"))
