"""The day's page: the next thing for each role."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from assessments.actions.evidence import refresh_practices
from assessments.actions.log_batch import see_score
from assessments.models import Practice, SignOff, Stage
from tests import factories
from training.models import ModuleIndexPage, ModulePage, ModuleProgress, Role

URL = "/"
MOST_QUERIES = 12


@pytest.fixture
def cook(client, house):
    client.force_login(house.cook)
    return client


@pytest.fixture
def modules(house):
    index = ModuleIndexPage.objects.get()

    def add(title, *, station=house.cutting, required=True):
        page = ModulePage(
            title=title,
            slug=title,
            station=station,
            required=required,
            summary=f"All about {title}.",
            source_note="common practice",
            body=[],
        )
        return index.add_child(instance=page)

    return add


def day_of(client):
    return client.get(URL).context["today"]


def signed_off(practice, by, *, due_on):
    decision = SignOff.objects.create(
        practice=practice,
        cook=practice.person,
        style=practice.style,
        station=practice.station,
        branch=practice.branch,
        standard=factories.StandardFactory(style=factories.StyleFactory()),
        decided_by=by,
        due_on=due_on,
        evidence={},
        evidence_sha256="0" * 64,
    )
    Practice.objects.filter(pk=practice.pk).update(sign_off=decision)
    return decision


def test_a_stranger_signs_in_first(client, db):
    assert "sign-in" in client.get(URL)["Location"]


def test_somebody_without_a_role_is_told_whom_to_ask(client, db):
    client.force_login(factories.UserFactory())
    page = client.get(URL)
    assert page.context["today"].is_empty
    assert "You have no role in the house yet" in page.content.decode()


# Trainee


def test_an_open_batch_comes_first(cook, house, modules):
    modules("cutting")
    batch = factories.BatchFactory(cook=house.cook, branch=house.branch, standard=house.standard)
    Stage.objects.filter(batch=batch, kind="weigh").update(done_at=timezone.now())
    page = cook.get(URL)
    (still_open,) = page.context["today"].trainee.open_batches
    assert (still_open.batch, still_open.stage) == (batch, "Mix")
    assert still_open.url == reverse("assessments:stage", args=[batch.pk, 2])
    assert "All about cutting" not in page.content.decode()


def test_running_timers_are_listed_the_first_to_end_first(cook, house):
    for minutes in (30, 10):
        batch = factories.BatchFactory(
            cook=house.cook, branch=house.branch, standard=house.standard
        )
        Stage.objects.filter(batch=batch, kind="rest").update(
            planned_min=minutes, timer_started_at=timezone.now()
        )
    Stage.objects.filter(kind="boil").update(
        planned_min=5, timer_started_at=timezone.now(), done_at=timezone.now()
    )
    assert [timer.minutes for timer in day_of(cook).trainee.timers] == [10, 30]


def test_the_next_module_is_the_first_required_one_not_done(cook, house, modules):
    first = factories.StationFactory(name="rolling", slug="rolling", position=1)
    factories.PracticeFactory(
        person=house.cook, branch=house.branch, style=house.style, station=first
    )
    modules("extra", station=first, required=False)
    cutting = modules("cutting")
    rolling = modules("rolling", station=first)
    modules("elsewhere", station=house.serving)
    assert day_of(cook).trainee.module.title == "rolling"
    done = {"read_at": timezone.now(), "answered_at": timezone.now()}
    ModuleProgress.objects.create(person=house.cook, module=rolling, **done)
    ModuleProgress.objects.create(
        person=house.cook, module=cutting, steps_read=2, read_at=timezone.now()
    )
    module = day_of(cook).trainee.module
    assert (module.title, module.is_begun) == ("cutting", True)
    ModuleProgress.objects.filter(module=cutting).update(**done)
    assert day_of(cook).trainee.module.title == "extra"


def test_with_everything_read_a_batch_is_next(cook):
    text = cook.get(URL).content.decode()
    assert reverse("assessments:new_batch") in text
    assert "A practice batch" in text


def test_a_newcomer_without_a_station_is_told_whom_to_ask(client, house):
    client.force_login(factories.trainee(house.branch))
    page = client.get(URL)
    assert "not put down for a station yet" in page.content.decode()
    assert reverse("assessments:new_batch") not in page.content.decode()


def test_the_last_result_is_linked_and_not_given_away(cook, house):
    batch = factories.finished_batch(cook=house.cook, branch=house.branch, standard=house.standard)
    page = cook.get(URL)
    assert page.context["today"].trainee.last_batch == batch
    assert reverse("assessments:result", args=[batch.pk]) in page.content.decode()
    batch.refresh_from_db()
    assert batch.score_seen_at is None
    assert "of 100</small>" not in page.content.decode()


def test_how_far_it_is_to_a_sign_off(cook, house):
    (line,) = day_of(cook).trainee.stations
    assert line.state == "not_started"
    assert line.sentence == ("No batch is counted yet. Two observations by a head chef to come.")
    factories.finished_batch(cook=house.cook, branch=house.branch, standard=house.standard)
    (line,) = day_of(cook).trainee.stations
    assert line.state == "practising"
    assert line.sentence.startswith("Width 20 of 100: four more batches like your last")
    assert line.url == reverse("assessments:evidence", args=[house.cook.pk, house.style.slug])


@pytest.mark.parametrize(
    ("due_in_days", "state", "sentence", "nudge"),
    [
        (90, "signed_off", "You may hold this station alone. Renewal falls due on", ""),
        (9, "signed_off", "You may hold this station alone.", "in 9 days."),
        (-1, "renewal_due", "You may hold this station alone.", "speak to your head chef"),
    ],
)
def test_a_signed_off_cook_reads_until_when(cook, house, due_in_days, state, sentence, nudge):
    due_on = timezone.localdate() + timedelta(days=due_in_days)
    signed_off(house.practice, house.chef, due_on=due_on)
    page = cook.get(URL)
    (line,) = page.context["today"].trainee.stations
    assert line.state == state
    assert line.sentence.startswith(sentence)
    assert bool(line.nudge) is bool(nudge)
    assert nudge in page.content.decode()


def test_how_far_it_is_is_told_once_for_the_stations_of_a_style(cook, house):
    factories.PracticeFactory(
        person=house.cook,
        branch=house.branch,
        style=house.style,
        station=factories.StationFactory(name="rolling", position=2),
    )
    for days in (3, 2):
        factories.counted_batch(
            cook=house.cook, branch=house.branch, standard=house.standard, days=days
        )
    refresh_practices(house.cook)
    lines = day_of(cook).trainee.stations
    assert [bool(line.forecast) for line in lines] == [True, False]
    assert lines[0].forecast == (
        "Cannot tell yet how many more batches: that takes 4 measured ones, and there are 2."
    )


# Head chef


def test_what_waits_for_a_head_chef(client, house):
    factories.finished_batch(cook=house.cook, branch=house.branch, standard=house.standard)
    factories.finished_batch(
        cook=house.other_cook, branch=house.other_branch, standard=house.standard
    )
    client.force_login(house.chef)
    chef = day_of(client).chef
    assert (chef.waiting, chef.complete_count, chef.due_count) == (1, 0, 0)


def test_complete_evidence_and_due_renewals_of_the_own_branch(client, house):
    tea = factories.PracticeFactory(
        person=house.cook, branch=house.branch, style=house.style, station=house.serving
    )
    for _number in range(2):
        factories.ObservationFactory(practice=tea, observer=house.chef)
    refresh_practices(house.cook)
    signed_off(house.practice, house.chef, due_on=timezone.localdate())
    elsewhere = factories.PracticeFactory(
        person=house.other_cook, branch=house.other_branch, style=house.style, station=house.cutting
    )
    signed_off(elsewhere, house.other_chef, due_on=timezone.localdate())
    client.force_login(house.chef)
    chef = day_of(client).chef
    assert [line.practice for line in chef.complete] == [tea]
    assert [line.practice for line in chef.due] == [house.practice]


def test_renewals_that_draw_near_and_cooks_who_are_stuck(client, house):
    signed_off(house.practice, house.chef, due_on=timezone.localdate() + timedelta(days=90))
    Practice.objects.filter(pk=house.practice.pk).update(
        warning=70, last_batch_on=timezone.localdate()
    )
    slipped = factories.PracticeFactory(
        branch=house.branch, style=house.style, station=house.cutting
    )
    signed_off(slipped, house.chef, due_on=timezone.localdate() + timedelta(days=90))
    Practice.objects.filter(pk=slipped.pk).update(alarm_on=timezone.localdate(), warning=100)
    flat = factories.trainee(house.branch, first_name="Flat")
    for station in (house.cutting, factories.StationFactory(name="rolling")):
        factories.PracticeFactory(
            person=flat,
            branch=house.branch,
            style=house.style,
            station=station,
            stuck_part="width",
            stuck_batches=12,
        )
    factories.PracticeFactory(
        person=house.other_cook,
        branch=house.other_branch,
        style=house.style,
        station=house.cutting,
        stuck_part="width",
        stuck_batches=30,
    )
    client.force_login(house.chef)
    page = client.get(URL)
    chef = page.context["today"].chef
    assert [line.practice for line in chef.near] == [house.practice]
    assert "the warning stands at 70 of 100" in chef.near[0].why
    assert [line.practice for line in chef.due] == [slipped]
    assert "became less even" in chef.due[0].why
    # Once for the style, however many stations; nobody of another branch.
    assert chef.stuck_count == 1
    assert (chef.stuck[0].practice.person, chef.stuck[0].why) == (
        flat,
        "Flat for 12 batches, on width",
    )
    evidence = reverse("assessments:evidence", args=[flat.pk, house.style.slug])
    assert evidence in page.content.decode()
    assert "Flat for 12 batches, on width" in page.content.decode()


def test_of_many_who_are_stuck_the_longest_are_named(client, house):
    for batches in range(8, 16):
        factories.PracticeFactory(
            branch=house.branch,
            style=house.style,
            station=house.cutting,
            stuck_part="thickness",
            stuck_batches=batches,
        )
    client.force_login(house.chef)
    chef = day_of(client).chef
    assert chef.stuck_count == 8
    assert [line.practice.stuck_batches for line in chef.stuck] == [15, 14, 13, 12, 11]


def test_old_observations_are_not_complete_evidence(client, house):
    tea = factories.PracticeFactory(
        person=house.cook, branch=house.branch, style=house.style, station=house.serving
    )
    for _number in range(2):
        factories.ObservationFactory(
            practice=tea, observer=house.chef, observed_on=factories.days_ago(30)
        )
    refresh_practices(house.cook)
    client.force_login(house.chef)
    assert day_of(client).chef.complete_count == 0


# Owner


def test_an_owner_sees_how_many_can_hold_which_station(client, house):
    day = timezone.localdate()
    signed_off(house.practice, house.chef, due_on=day + timedelta(days=30))
    twice = factories.PracticeFactory(
        person=house.cook,
        branch=house.branch,
        style=factories.StyleFactory(),
        station=house.cutting,
    )
    signed_off(twice, house.chef, due_on=day - timedelta(days=1))
    gone = factories.PracticeFactory(
        branch=house.branch, style=house.style, station=house.cutting, ended_on=day
    )
    signed_off(gone, house.chef, due_on=day + timedelta(days=30))
    withdrawn = factories.PracticeFactory(
        branch=house.branch, style=house.style, station=house.serving
    )
    signed_off(withdrawn, house.chef, due_on=day + timedelta(days=30))
    Practice.objects.filter(pk=withdrawn.pk).update(withdrawn_at=timezone.now())
    client.force_login(house.owner)
    page = client.get(URL)
    owner = page.context["today"].owner
    assert owner.stations == ("cutting", "serving")
    assert {line.name: line.counts for line in owner.branches} == {
        house.branch.name: (1, 0),
        house.other_branch.name: (0, 0),
    }
    assert reverse("assessments:readiness") in page.content.decode()


def test_many_branches_are_cut_short_the_emptiest_first(client, house):
    signed_off(house.practice, house.chef, due_on=timezone.localdate() + timedelta(days=30))
    for _number in range(13):
        factories.BranchFactory()
    client.force_login(house.owner)
    owner = day_of(client).owner
    assert len(owner.branches) == 12
    assert owner.more == 3
    assert house.branch.name not in {line.name for line in owner.branches}


# Several roles


def everything(house, rows):
    person = house.cook
    for kind, branch in (("head_chef", house.branch), ("owner", None), ("editor", None)):
        Role.objects.create(person=person, kind=kind, branch=branch, since=factories.days_ago(9))
    for _row in range(rows):
        style = factories.StyleFactory()
        factories.PracticeFactory(
            person=person, branch=house.branch, style=style, station=house.cutting
        )
        batch = factories.finished_batch(cook=person, branch=house.branch, standard=house.standard)
        see_score(batch)
        still_open = factories.BatchFactory(
            cook=person, branch=house.branch, standard=house.standard
        )
        Stage.objects.filter(batch=still_open, kind="rest").update(
            planned_min=30, timer_started_at=timezone.now()
        )
        other = factories.PracticeFactory(
            branch=house.branch, style=house.style, station=house.cutting
        )
        signed_off(other, house.chef, due_on=timezone.localdate())


def test_several_roles_come_in_the_order_of_the_day(cook, house):
    everything(house, 1)
    text = cook.get(URL).content.decode()
    headings = ("How far to sign-off", "Your cooks", "Who can hold which", "Modules and house")
    at = [text.index(heading) for heading in headings]
    assert at == sorted(at)


@pytest.mark.parametrize("rows", [1, 10])
def test_the_page_costs_the_same_for_many(cook, house, rows, django_assert_max_num_queries):
    everything(house, rows)
    with django_assert_max_num_queries(MOST_QUERIES):
        assert cook.get(URL).status_code == 200


def test_what_is_read_before_practising_comes_first_also_of_another_station(cook, house, modules):
    modules("cutting")
    knives = modules("knives", station=house.serving)
    assert day_of(cook).trainee.module.title == "cutting"
    house.cutting.read_first.add(knives)
    assert day_of(cook).trainee.module.title == "knives"
    assert "Read before you practise" in cook.get(URL).content.decode()
