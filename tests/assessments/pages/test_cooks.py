"""Over HTTP: the list of cooks and one cook."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from assessments.actions.evidence import refresh_practices
from assessments.actions.log_batch import see_score
from assessments.actions.sign_off import review_batch, write_sign_off, write_withdrawal
from assessments.models import Batch, Event, Practice
from assessments.summaries import cooks as summary
from tests import factories
from training.models import HousePolicy, Role

pytestmark = pytest.mark.django_db

COOKS = reverse("assessments:cooks")


def cook_path(house):
    return reverse("assessments:cook", args=[house.cook.pk])


def listed(client, viewer, **wanted):
    """Return the ids of the cooks that ``viewer`` finds."""
    client.force_login(viewer)
    return [line.pk for line in client.get(COOKS, wanted).context["cooks"].lines]


# The list


def test_a_head_chef_sees_the_cooks_of_the_branch_the_owner_all(client, house):
    assert listed(client, house.chef) == [house.cook.pk]
    assert listed(client, house.other_chef) == [house.other_cook.pk]
    assert set(listed(client, house.owner)) == {house.cook.pk, house.other_cook.pk}


def test_the_owner_chooses_a_branch(client, house):
    assert listed(client, house.owner, branch=house.branch.pk) == [house.cook.pk]


def test_a_branch_of_somebody_else_gives_no_more_than_ones_own(client, house):
    assert listed(client, house.chef, branch=house.other_branch.pk) == [house.cook.pk]


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("tamsa", True),
        ("BRELL", True),
        ("tamsa brell", True),
        ("brellick tamsa", True),
        ("tamsa kess", False),
        ("nobody", False),
        ("%", False),
    ],
)
def test_search_by_parts_of_the_name(client, house, words, found):
    cook = factories.trainee(house.branch, first_name="Tamsa", last_name="Brellick")
    assert (cook.pk in listed(client, house.chef, q=words)) is found


def test_people_who_left_are_found_by_name_only(client, house):
    gone = factories.trainee(house.branch, first_name="Tamsa", is_active=False)
    assert gone.pk not in listed(client, house.owner)
    assert gone.pk in listed(client, house.owner, q="Tamsa")
    assert "has left the house" in client.get(COOKS, {"q": "Tamsa"}).content.decode()


def test_head_chefs_owners_and_editors_are_no_cooks(client, house):
    assert house.chef.pk not in listed(client, house.owner)
    assert house.editor.pk not in listed(client, house.owner)


def test_each_practice_has_its_state_as_a_word(client, house):
    factories.counted_batch(cook=house.cook, branch=house.branch, standard=house.standard)
    factories.PracticeFactory(
        person=house.cook, branch=house.branch, style=house.style, station=house.serving
    )
    refresh_practices(house.cook)
    client.force_login(house.chef)
    (line,) = client.get(COOKS).context["cooks"].lines
    assert [(mark.station, mark.state.value) for mark in line.marks] == [
        ("cutting", "practising"),
        ("serving", "practising"),
    ]
    assert client.get(COOKS).content.decode().count("practising") >= 2


def test_a_cook_in_two_branches_is_listed_once(client, house):
    chef = factories.head_chef(house.branch)
    factories.RoleFactory(person=chef, kind=Role.Kind.HEAD_CHEF, branch=house.other_branch)
    factories.RoleFactory(person=house.cook, branch=house.other_branch)
    assert sorted(listed(client, chef)) == sorted([house.cook.pk, house.other_cook.pk])


def test_the_list_is_cut_into_pages_that_keep_the_search(client, house, monkeypatch):
    monkeypatch.setattr(summary, "PAGE_SIZE", 2)
    for n in range(4):
        factories.trainee(house.branch, first_name=f"Edda{n}")
    assert len(listed(client, house.chef, q="Edda", page=2)) == 2
    page = client.get(COOKS, {"q": "Edda", "page": 2}).content.decode()
    assert "Page 2 of 2" in page
    assert "?q=Edda&amp;page=1" in page


@pytest.mark.parametrize("number", ["0", "-1", "x", "99999999999999999999"])
def test_a_nonsense_page_is_answered(client, house, number):
    client.force_login(house.chef)
    assert client.get(COOKS, {"page": number}).status_code == 200


@pytest.mark.parametrize("times", [1, 10])
def test_the_list_takes_as_many_queries_for_ten_as_for_one(
    client, house, django_assert_max_num_queries, times
):
    for _n in range(times):
        cook = factories.trainee(house.branch)
        factories.PracticeFactory(
            person=cook, branch=house.branch, style=house.style, station=house.cutting
        )
    client.force_login(house.owner)
    HousePolicy.load()
    # Session, person, roles; number, cooks, their roles and practices; policy; branches.
    with django_assert_max_num_queries(9):
        client.get(COOKS)


# One cook


def test_the_page_of_a_cook_leads_to_the_evidence_of_each_style(client, house):
    other = factories.StandardFactory(style=factories.StyleFactory(slug="flat-ribbon"))
    factories.counted_batch(cook=house.cook, branch=house.branch, standard=other)
    client.force_login(house.chef)
    page = client.get(cook_path(house)).content.decode()
    for style in ("thick-wheat", "flat-ribbon"):
        assert reverse("assessments:evidence", args=[house.cook.pk, style]) in page


def test_the_list_marks_who_is_stuck_and_why_a_renewal_is_due(client, house):
    Practice.objects.update(stuck_part="width", stuck_batches=9)
    signed = factories.PracticeFactory(
        person=house.cook, branch=house.branch, style=house.style, station=house.serving
    )
    write_sign_off(
        signed,
        by=house.chef,
        request_key="77777777-6666-6666-6666-666666666666",
        seen_missing=["observations"],
        override_reason="Trial week.",
        at=timezone.now() - timedelta(days=400),
    )
    Practice.objects.update(stuck_part="width", stuck_batches=9)
    client.force_login(house.chef)
    page = client.get(COOKS)
    (line,) = page.context["cooks"].lines
    # Whoever holds a station is not stuck there.
    assert [(mark.stuck, mark.why) for mark in line.marks] == [
        ("flat for 9 batches, on width", ""),
        ("", "the date has passed"),
    ]
    assert "stuck: flat for 9 batches, on width" in page.content.decode()


def test_the_page_of_a_cook_says_in_short_how_far_it_is(client, house):
    for days in (3, 2):
        factories.counted_batch(
            cook=house.cook, branch=house.branch, standard=house.standard, days=days
        )
    refresh_practices(house.cook)
    client.force_login(house.chef)
    page = client.get(cook_path(house))
    (style,) = page.context["page"].styles
    assert style.lines == (
        "Cannot tell yet how many more batches: that takes 4 measured ones, and there are 2.",
    )
    assert style.lines[0] in page.content.decode()
    # Where stations differ each is named.
    Practice.objects.update(forecast_status="not before", forecast_low=12)
    rolling = factories.StationFactory(name="rolling", position=9)
    factories.PracticeFactory(
        person=house.cook,
        branch=house.branch,
        style=house.style,
        station=rolling,
        counted=9,
        forecast_status="not before",
        forecast_low=20,
    )
    (style,) = client.get(cook_path(house)).context["page"].styles
    assert style.lines == (
        "Cutting: Not before 12 more batches.",
        "Rolling: Not before 20 more batches.",
    )


def drifting(house, standard, days):
    return factories.finished_batch(
        cook=house.cook,
        branch=house.branch,
        standard=standard,
        made_on=timezone.localdate() - timedelta(days=days),
        widths_mm=[2.9 + 0.03 * place + 0.04 * (-1) ** (place // 2) for place in range(20)],
    )


def test_the_page_of_a_cook_names_what_comes_again_and_again(client, house):
    batches = [drifting(house, house.standard, days) for days in range(4)]
    client.force_login(house.chef)
    (style,) = client.get(cook_path(house)).context["page"].styles
    assert "in 4 of the last 4 batches" in style.habit
    # The cook reads of a pattern only once the score is seen: readings could be corrected else.
    client.force_login(house.cook)
    (style,) = client.get(cook_path(house)).context["page"].styles
    assert style.habit == ""
    for batch in batches:
        see_score(batch)
    page = client.get(cook_path(house))
    (style,) = page.context["page"].styles
    assert style.habit
    assert style.habit in page.content.decode()


@pytest.mark.parametrize("styles", [1, 5])
def test_the_page_of_a_cook_takes_twelve_queries_for_any_number_of_styles(
    client, house, django_assert_max_num_queries, styles
):
    for _n in range(styles):
        standard = factories.StandardFactory()
        factories.PracticeFactory(
            person=house.cook, branch=house.branch, style=standard.style, station=house.cutting
        )
        for days in range(3):
            drifting(house, standard, days)
    client.force_login(house.chef)
    with django_assert_max_num_queries(12):
        page = client.get(cook_path(house)).context["page"]
    assert len([style for style in page.styles if style.habit]) == styles


def test_what_happened_is_told_in_plain_words(client, house):
    batch = factories.finished_batch(
        cook=house.cook, branch=house.branch, standard=house.standard, opened_by=house.cook
    )
    review_batch(batch, by=house.chef, decision="another", note="Rest it.")
    given_up = factories.counted_batch(
        cook=house.cook,
        branch=house.branch,
        standard=house.standard,
        state=Batch.State.ABANDONED,
    )
    review_batch(given_up, by=house.chef, decision="excused", note="The gas failed.")
    decision = write_sign_off(
        house.practice,
        by=house.chef,
        request_key="66666666-6666-6666-6666-666666666666",
        seen_missing=["measured", "observations"],
        override_reason="Trial week.",
    )
    write_withdrawal(decision, by=house.chef, reason="100 % uneven.")
    Event.record(Event.Verb.BATCH_ABANDONED, actor=None, subject=house.cook, about=given_up)
    client.force_login(house.owner)
    texts = [event.text for event in client.get(cook_path(house)).context["page"].events]
    chef = str(house.chef)
    assert texts == [
        "The site gave up a batch.",
        f"{chef} withdrew a sign-off: thick wheat, cutting. “100 % uneven.”",
        f"{chef} signed off without the full evidence: thick wheat, cutting.",
        f"{chef} excused the giving up of a batch.",
        f"{chef} looked at a batch and asked for another.",
        "Cook Test finished a batch.",
    ]


@pytest.mark.parametrize("verb", Event.Verb.values)
def test_every_kind_of_event_can_be_told(client, house, verb):
    Event.record(
        verb,
        actor=house.chef,
        subject=house.cook,
        decision="agreed",
        override=False,
        about=house.practice,
    )
    client.force_login(house.chef)
    assert client.get(cook_path(house)).status_code == 200


def test_a_head_chef_enters_a_practice(client, house):
    client.force_login(house.chef)
    sent = {"style": house.style.pk, "station": house.serving.pk}
    assert client.post(cook_path(house), sent)["Location"] == cook_path(house)
    practice = Practice.objects.get(station=house.serving)
    assert (practice.person, practice.branch) == (house.cook, house.branch)
    assert practice.started_on == timezone.localdate()


@pytest.mark.parametrize(
    ("change", "field", "words"),
    [
        ({"style": ""}, "style", "required"),
        ({"station": "999"}, "station", "valid choice"),
        ({"station": "cutting"}, "__all__", "already"),
    ],
)
def test_a_faulty_practice_is_answered_at_its_field(client, house, change, field, words):
    sent = {"style": house.style.pk, "station": house.serving.pk} | change
    if sent["station"] == "cutting":
        sent["station"] = house.cutting.pk
    client.force_login(house.chef)
    answer = client.post(cook_path(house), sent)
    assert words in " ".join(answer.context["form"].errors[field])
    assert Practice.objects.count() == 1


def test_a_head_chef_ends_a_practice(client, house):
    client.force_login(house.chef)
    client.post(cook_path(house), {"practice": house.practice.pk})
    house.practice.refresh_from_db()
    assert house.practice.ended_on == timezone.localdate()
    assert "Not entered at any station" not in client.get(COOKS).content.decode().lower()


def test_a_practice_of_another_cook_cannot_be_ended_here(client, house):
    other = factories.PracticeFactory(
        person=house.other_cook, branch=house.other_branch, station=house.cutting
    )
    client.force_login(house.chef)
    client.post(cook_path(house), {"practice": other.pk})
    other.refresh_from_db()
    assert other.ended_on is None


@pytest.mark.parametrize("viewer", ["owner", "cook"])
def test_owner_and_cook_read_only(client, house, viewer):
    client.force_login(getattr(house, viewer))
    page = client.get(cook_path(house))
    assert page.context["form"] is None
    assert b'name="practice"' not in page.content
    answer = client.post(cook_path(house), {"practice": house.practice.pk})
    assert answer.status_code == 403


def test_for_somebody_who_left_nothing_can_be_entered(client, house):
    house.cook.is_active = False
    house.cook.save()
    client.force_login(house.chef)
    assert client.get(cook_path(house)).context["form"] is None
    sent = {"style": house.style.pk, "station": house.serving.pk}
    assert client.post(cook_path(house), sent).status_code == 403
