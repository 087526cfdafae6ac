"""Over HTTP: batches that wait, a look at one, and all evidence of a cook in a style."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from assessments.actions.evidence import refresh_practices
from assessments.actions.sign_off import review_batch, write_sign_off, write_withdrawal
from assessments.models import Batch, Review
from assessments.summaries import waiting as summary
from assessments.summaries.progress import progress_line
from tests import factories
from tests.addresses import write_module
from training.models import HousePolicy, ModuleProgress, Role, StandardVersion

pytestmark = pytest.mark.django_db

WAITING = reverse("assessments:waiting")
ORDER_OF_USE = (
    "What to change",
    "How far it is",
    ">Stations<",
    "Balance of evidence",
    "From batch to batch",
    "batches in numbers",
)
# From 2.9 to 3.5 mm over the cut, with a little unevenness (invented).
DRIFTING_MM = [2.9 + 0.03 * place + 0.04 * (-1) ** (place // 2) for place in range(20)]


def made(house, **fields):
    given = {"cook": house.cook, "branch": house.branch, "standard": house.standard}
    return factories.counted_batch(**given | fields)


def review_path(batch):
    return reverse("assessments:review_batch", args=[batch.pk])


def evidence_path(house, style="thick-wheat"):
    return reverse("assessments:evidence", args=[house.cook.pk, style])


def waiting_for(client, viewer):
    """Return the ids of the batches that wait on the first page."""
    client.force_login(viewer)
    return [line.pk for line in client.get(WAITING).context["page"].lines]


# The waiting list


def test_finished_and_given_up_batches_wait_oldest_first(client, house):
    young, old = made(house, days=1), made(house, days=5)
    given_up = made(house, days=3, state=Batch.State.ABANDONED)
    factories.BatchFactory(cook=house.cook, branch=house.branch, standard=house.standard)
    assert waiting_for(client, house.chef) == [old.pk, given_up.pk, young.pk]
    page = client.get(WAITING).content.decode()
    assert "96 of 100" in page
    assert "weakest: width" in page
    assert "given up" in page
    assert review_path(old) in page


def test_what_was_looked_at_waits_no_more(client, house):
    seen, unseen = made(house, days=2), made(house, days=1)
    review_batch(seen, by=house.chef, decision="agreed")
    assert waiting_for(client, house.chef) == [unseen.pk]


def test_each_head_chef_sees_the_cooks_of_their_own_branches(client, house):
    own, other = made(house), made(house, cook=house.other_cook, branch=house.other_branch)
    assert waiting_for(client, house.chef) == [own.pk]
    assert waiting_for(client, house.other_chef) == [other.pk]


def test_a_cooks_batches_wait_where_the_cook_is_now(client, house):
    batch = made(house)
    Role.objects.filter(person=house.cook).update(branch=house.other_branch)
    assert waiting_for(client, house.chef) == []
    assert waiting_for(client, house.other_chef) == [batch.pk]


def test_neither_ones_own_batches_nor_those_of_people_who_left_wait(client, house):
    chef = factories.head_chef(house.branch)
    factories.RoleFactory(person=chef, kind=Role.Kind.TRAINEE, branch=house.branch)
    made(house, cook=chef)
    made(house, cook=factories.trainee(house.branch, is_active=False))
    assert waiting_for(client, chef) == []
    assert len(waiting_for(client, house.chef)) == 1


def test_the_list_is_cut_into_pages_and_counting_stops(client, house, monkeypatch):
    monkeypatch.setattr(summary, "PAGE_SIZE", 2)
    monkeypatch.setattr(summary, "COUNTED_AT_MOST", 4)
    batches = [made(house, days=days) for days in (9, 8, 7, 6, 5)]
    assert waiting_for(client, house.chef) == [batch.pk for batch in batches[:2]]
    assert "4 batches or more" in client.get(WAITING).content.decode()
    last = client.get(WAITING, {"page": 3}).context["page"]
    assert [line.pk for line in last.lines] == [batches[4].pk]
    assert (last.has_next, last.previous_number) == (False, 2)


@pytest.mark.parametrize("number", ["0", "-1", "x", "9" * 40, "1.5", ""])
def test_a_nonsense_page_is_answered(client, house, number):
    client.force_login(house.chef)
    assert client.get(WAITING, {"page": number}).status_code == 200


@pytest.mark.parametrize("times", [1, 10])
def test_the_list_takes_as_many_queries_for_ten_as_for_one(
    client, house, django_assert_max_num_queries, times
):
    for days in range(times):
        made(house, days=days, cook=factories.trainee(house.branch))
    client.force_login(house.chef)
    # Session, person, roles; the batches, their number, and what two are to see.
    with django_assert_max_num_queries(6):
        client.get(WAITING)


# A look at one batch


def test_agreeing_goes_on_to_the_next_that_waits(client, house):
    first, second = made(house, days=2), made(house, days=1)
    client.force_login(house.chef)
    answer = client.post(review_path(first), {"decision": "agreed"})
    assert answer["Location"] == review_path(second)
    answer = client.post(review_path(second), {"decision": "another", "note": "Rest it."})
    assert answer["Location"] == WAITING
    assert [review.decision for review in Review.objects.order_by("pk")] == ["agreed", "another"]


@pytest.mark.parametrize(
    ("state", "sent", "words"),
    [
        (Batch.State.FINISHED, {}, "This field is required."),
        (Batch.State.FINISHED, {"decision": "excused", "note": "x"}, "not one of the available"),
        (Batch.State.FINISHED, {"decision": "another"}, "Say why, so that the cook"),
        (Batch.State.ABANDONED, {"decision": "excused", "note": " "}, "Say why, so that the cook"),
        (Batch.State.ABANDONED, {"decision": "agreed"}, "not one of the available"),
    ],
)
def test_a_faulty_decision_is_answered_in_words(client, house, state, sent, words):
    batch = made(house, state=state)
    client.force_login(house.chef)
    assert words in client.post(review_path(batch), sent).content.decode()
    assert not Review.objects.exists()


def test_what_was_typed_is_not_lost(client, house):
    client.force_login(house.chef)
    answer = client.post(review_path(made(house)), {"note": "Rest the elbow."})
    assert "Rest the elbow." in answer.content.decode()


def test_somebody_else_was_faster(client, house):
    batch = made(house)
    second = factories.head_chef(house.branch, first_name="Davo", last_name="Kessander")
    review_batch(batch, by=second, decision="another", note="Too thick at one edge.")
    client.force_login(house.chef)
    page = client.post(review_path(batch), {"decision": "agreed"}).content.decode()
    assert "Somebody has looked at this batch in the meantime" in page
    assert "Too thick at one edge." in page
    assert "Davo Kessander" in page
    assert Review.objects.get().decision == "another"


def test_the_result_is_shown_in_short(client, house):
    batch = made(house)
    batch.note = "The room was cold."
    batch.save()
    client.force_login(house.chef)
    page = client.get(review_path(batch)).content.decode()
    for words in ("96", "counted 19 of 20", "+20.0", "46.1 % water", "The room was cold."):
        assert words in page
    observe = reverse("assessments:observe", args=[house.practice.pk])
    assert f"{observe}?batch={batch.pk}" in page


def test_an_open_batch_has_no_page_to_judge_it(client, house):
    batch = factories.BatchFactory(cook=house.cook, branch=house.branch, standard=house.standard)
    client.force_login(house.chef)
    assert client.get(review_path(batch)).status_code == 404


# All evidence


def test_the_evidence_on_one_page(client, house):
    complete = write_module(house.cutting)
    ModuleProgress.objects.create(
        person=house.cook, module=complete, read_at=timezone.now(), questions_missed=2
    )
    factories.finished_batch(
        cook=house.cook, branch=house.branch, standard=house.standard, opened_by=house.cook
    )
    made(house, days=2, state=Batch.State.ABANDONED)
    review_batch(made(house, days=1), by=house.chef, decision="another", note="Rest it longer.")
    factories.ObservationFactory(
        practice=house.practice,
        observer=house.chef,
        handling=None,
        bench_order=1,
        knife_safety=0,
        note="Knife under the cloth.",
    )
    refresh_practices(house.cook)
    client.force_login(house.chef)
    page = client.get(evidence_path(house)).content.decode()
    for words in (
        "practising",
        "Modules to read and answer: Folding.",
        "0 of 2 observations with hygiene and safety met.",
        "20 of 20",
        "given up: −20 points on every part",
        "Rest it longer.",
        "Knife under the cloth.",
        "Not met",
        "safety with knife and heat",
        "Not seen",
        "read, questions still open",
        "2 questions missed",
        "What these numbers cannot tell",
        "<svg",
    ):
        assert words in page, words


def test_the_instrument_and_what_is_not_counted_are_named(client, house):
    coarse = factories.InstrumentFactory(repeatability_mm="0.10")
    batch = factories.finished_batch(
        cook=house.cook, branch=house.branch, standard=house.standard, opened_by=house.cook
    )
    batch.reading_sets.filter(quantity="thickness").update(instrument=coarse, repeatability_mm=0.10)
    batch.score.width_not_counted = "changed"
    batch.score.save()
    client.force_login(house.chef)
    page = client.get(evidence_path(house)).content.decode()
    # 0.10 over a tolerance of 0.4 is 0.25: coarse, not too coarse.
    assert "instrument coarse for this tolerance" in page
    assert "not counted: readings were changed after the score was seen" in page


def test_sign_offs_and_withdrawals_stay_and_an_override_is_shown_as_such(client, house):
    decision = write_sign_off(
        house.practice,
        by=house.chef,
        request_key="44444444-4444-4444-4444-444444444444",
        seen_missing=["measured", "observations"],
        override_reason="Only one free tonight.",
        at=timezone.now() - timedelta(days=2),
    )
    client.force_login(house.chef)
    page = client.get(evidence_path(house)).content.decode()
    assert page.count("signed without the full evidence") == 2  # the station and the history
    write_withdrawal(decision, by=house.chef, reason="Sheets too thick.")
    page = client.get(evidence_path(house)).content.decode()
    assert page.count("signed without the full evidence") == 1
    for words in (
        "Withdrawn",
        "Sheets too thick.",
        "Only one free tonight.",
        "No batch is counted since the withdrawal",
    ):
        assert words in page, words


def test_a_changed_setting_is_named(client, house):
    client.force_login(house.chef)
    assert (
        "Changed from the tested setting" not in client.get(evidence_path(house)).content.decode()
    )
    factories.StandardFactory(
        style=house.style, number=2, in_force_from="2025-02-01", ready_share="0.900"
    )
    page = client.get(evidence_path(house)).content.decode()
    assert "Changed from the tested setting" in page
    assert "takes 90 of 100" in page


def test_no_standard_in_force_is_said_and_nothing_can_be_signed(client, house):
    late = factories.StandardFactory(in_force_from=timezone.localdate() + timedelta(days=9))
    practice = factories.PracticeFactory(
        person=house.cook, branch=house.branch, style=late.style, station=house.serving
    )
    client.force_login(house.chef)
    page = client.get(evidence_path(house, late.style.slug)).content.decode()
    assert "No house standard is in force" in page
    assert reverse("assessments:sign_off", args=[practice.pk]) not in page
    assert StandardVersion.objects.filter(style=late.style).exists()


@pytest.mark.parametrize(("viewer", "may_act"), [("chef", True), ("owner", False), ("cook", False)])
def test_only_a_head_chef_of_the_branch_finds_the_commands(client, house, viewer, may_act):
    client.force_login(getattr(house, viewer))
    page = client.get(evidence_path(house)).content.decode()
    for name in ("observe", "sign_off"):
        path = reverse(f"assessments:{name}", args=[house.practice.pk])
        assert (path in page) is may_act


def test_a_head_chef_who_lost_the_role_reads_nothing_any_more(client, house):
    client.force_login(house.chef)
    assert client.get(evidence_path(house)).status_code == 200
    house.chef.roles.all().delete()
    assert client.get(evidence_path(house)).status_code == 403


def test_the_head_chef_of_the_new_branch_takes_over(client, house):
    Role.objects.filter(person=house.cook).update(branch=house.other_branch)
    for viewer, status in ((house.chef, 403), (house.other_chef, 200)):
        client.force_login(viewer)
        assert client.get(evidence_path(house)).status_code == status


def test_for_somebody_who_left_there_is_nothing_to_decide(client, house):
    house.cook.is_active = False
    house.cook.save()
    client.force_login(house.chef)
    answer = client.get(evidence_path(house))
    assert answer.status_code == 200
    assert reverse("assessments:observe", args=[house.practice.pk]) not in answer.content.decode()


def test_a_style_that_is_practised_at_no_station(client, house):
    factories.StyleFactory(slug="flat-ribbon")
    client.force_login(house.chef)
    page = client.get(evidence_path(house, "flat-ribbon")).content.decode()
    assert "Not entered at any station for this style." in page


@pytest.mark.parametrize("path", ["/cooks/{cook}/no-such-style/", "/cooks/987654/thick-wheat/"])
def test_what_does_not_exist_is_not_found(client, house, path):
    client.force_login(house.owner)
    assert client.get(path.format(cook=house.cook.pk)).status_code == 404


def test_only_the_last_30_batches_are_shown(client, house):
    for days in range(32):
        made(house, days=days)
    client.force_login(house.chef)
    page = client.get(evidence_path(house)).context["page"]
    assert len(page.batches) == 30
    assert page.batches[0].day == timezone.localdate()


def test_before_a_sign_off_the_page_says_how_far_it_is_and_shows_what_may_come(client, house):
    for days, share in enumerate((0.93, 0.92, 0.90, 0.86, 0.82, 0.74)):
        factories.with_shares(made(house, days=days), width=share)
    refresh_practices(house.cook)
    client.force_login(house.cook)
    page = client.get(evidence_path(house))
    house.practice.refresh_from_db()
    text = page.content.decode()
    assert progress_line(house.practice) in text
    assert "So far, and what may come" in text
    assert "Warning since the sign-off" not in text
    assert [text.index(words) for words in ORDER_OF_USE] == sorted(
        text.index(words) for words in ORDER_OF_USE
    )


def test_after_a_sign_off_the_page_shows_whether_the_evenness_holds(client, house):
    factories.complete_evidence(house.practice, house.chef, standard=house.standard, latest=20)
    write_sign_off(
        house.practice,
        by=house.chef,
        request_key="77777777-7777-7777-7777-777777777777",
        at=timezone.now() - timedelta(days=15),
        seen_missing=["recent_observation"],
        override_reason="Seen often.",
    )
    batches = [factories.with_shares(made(house, days=days), width=0.6) for days in (4, 3, 2)]
    refresh_practices(house.cook)
    client.force_login(house.chef)
    page = client.get(evidence_path(house))
    text = page.content.decode()
    assert "So far, and what may come" not in text
    for words in (
        "Evenness slipped: on",
        "once in 110 batches",
        "Warning since the sign-off",
        "Renewal due: evenness slipped.",
        reverse("assessments:sign_off", args=[house.practice.pk]),
    ):
        assert words in text, words
    [(progress, _picture)] = page.context["progress"]
    # 60 points at most from one batch: the second is the alarm, and there the chart stops.
    assert [(one.batch_id, one.width) for one in progress.watched.batches] == [
        (batches[0].pk, 60.0),
        (batches[1].pk, 100.0),
        (batches[2].pk, None),
    ]


@pytest.mark.parametrize("signed", [False, True])
def test_the_evidence_takes_twelve_queries_however_much_there_is(
    client, house, django_assert_max_num_queries, signed
):
    module = write_module(house.cutting)
    ModuleProgress.objects.create(person=house.cook, module=module, read_at=timezone.now())
    rolling = factories.PracticeFactory(
        person=house.cook,
        branch=house.branch,
        style=house.style,
        station=factories.StationFactory(name="rolling"),
    )
    if signed:
        for number, practice in enumerate((house.practice, rolling)):
            decision = write_sign_off(
                practice,
                by=house.chef,
                request_key=f"88888888-8888-8888-8888-88888888888{number}",
                seen_missing=["measured", "modules", "observations"],
                override_reason="Trial week.",
                at=timezone.now() - timedelta(days=30),
            )
        write_withdrawal(
            decision, by=house.chef, reason="Uneven.", at=timezone.now() - timedelta(days=20)
        )
    for days in range(8):
        batch = factories.finished_batch(
            cook=house.cook,
            branch=house.branch,
            standard=house.standard,
            made_on=timezone.localdate() - timedelta(days=days),
            widths_mm=DRIFTING_MM,
        )
        if days % 2:
            review_batch(batch, by=house.chef, decision="agreed")
    factories.ObservationFactory(practice=house.practice, observer=house.chef)
    refresh_practices(house.cook)
    client.force_login(house.chef)
    with django_assert_max_num_queries(12):
        page = client.get(evidence_path(house))
    # The dearest case: there is a habit to look up, and both a forecast and a chart of evenness.
    assert page.context["page"].habits.lines
    kinds = {bool(one.watched) for one in page.context["page"].progress}
    assert kinds == ({True, False} if signed else {False})


def test_what_is_to_be_rated_blind_shows_nothing_of_its_score(client, house):
    HousePolicy.objects.update_or_create(defaults={"blind_review": True})
    batch = factories.finished_batch(
        cook=house.cook, branch=house.branch, standard=house.standard, opened_by=house.cook
    )
    client.force_login(house.chef)
    page = client.get(evidence_path(house))
    [line] = page.context["page"].batches
    assert (line.is_blind, line.score, line.parts) == (True, None, ())
    assert page.context["page"].points == ()
    assert "Shown once you have said how even it looks." in page.content.decode()
    assert reverse("assessments:review_batch", args=[batch.pk]) in page.content.decode()
    client.force_login(house.cook)
    [line] = client.get(evidence_path(house)).context["page"].batches
    assert line.score is not None


def test_balances_that_differ_between_stations_are_shown_apart(client, house):
    factories.complete_evidence(house.practice, house.chef, standard=house.standard)
    factories.PracticeFactory(
        person=house.cook,
        branch=house.branch,
        style=house.style,
        station=factories.StationFactory(name="rolling"),
    )
    refresh_practices(house.cook)
    client.force_login(house.chef)
    assert len(client.get(evidence_path(house)).context["page"].balances) == 1
    write_sign_off(
        house.practice, by=house.chef, request_key="55555555-5555-5555-5555-555555555555"
    )
    page = client.get(evidence_path(house))
    assert len(page.context["page"].balances) == 2
    assert "No batch is counted since the sign-off." in page.content.decode()
