"""Over HTTP: second looks, agreement, ratings before the score, calibration sets."""

import uuid
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from assessments.actions import assessors as actions
from assessments.actions.log_batch import finish_batch
from assessments.actions.sign_off import review_batch
from assessments.calculations.agreement.intraclass import intraclass_of_ratings
from assessments.calculations.agreement.kappa import weighted_kappa
from assessments.models import (
    Batch,
    BlindLook,
    CalibrationRating,
    CalibrationSet,
    Observation,
    Review,
    SecondLook,
)
from assessments.summaries.assessors import kept_from, unrated_by
from tests import factories
from training.models import HousePolicy, Role

pytestmark = pytest.mark.django_db

# How two head chefs rate the same batches (invented): the second is a little stricter.
FIRST = [2, 2, 1, 0, 2, 1, 2, 2, 0, 1, 2, 1, 2, 0]
SECOND = [2, 1, 1, 0, 2, 0, 2, 1, 0, 1, 2, 1, 1, 0]


def at(name, *args):
    return reverse(f"assessments:{name}", args=args)


def made(house, **fields):
    return factories.finished_batch(
        cook=house.cook, branch=house.branch, standard=house.standard, **fields
    )


def photographed(house, **fields):
    batch = factories.BatchFactory(
        **{"cook": house.cook, "branch": house.branch, "standard": house.standard} | fields
    )
    factories.photographed(batch)
    return finish_batch(batch, by=batch.cook)


@pytest.fixture
def maruk(house):
    """A second head chef of the branch."""
    return factories.head_chef(house.branch, first_name="Maruk", last_name="Tessen")


def isbel(house):
    """Return the first one, by name."""
    house.chef.first_name, house.chef.last_name = "Isbel", "Anakoor"
    house.chef.save()
    return house.chef


def seen_by_two(house, maruk, first=FIRST, second=SECOND):
    chef = isbel(house)
    for one, other in zip(first, second, strict=True):
        batch = factories.counted_batch(
            cook=house.cook, branch=house.branch, standard=house.standard
        )
        factories.seen_by_two(house.practice, batch, {chef: one, maruk: other})


# Seen by two


def test_each_of_the_two_is_sent_to_the_bench_until_they_have_written(client, house, maruk):
    batch = factories.BatchFactory(cook=house.cook, branch=house.branch, standard=house.standard)
    SecondLook.objects.create(batch=batch, first=house.chef, second=maruk)
    address = f"{at('observe', house.practice.pk)}?batch={batch.pk}"
    client.force_login(house.chef)
    page = client.get(at("waiting")).text
    assert "is at the bench today" in page
    assert address in page
    form = client.get(address)
    assert "Two head chefs see this batch, each alone." in form.text
    sent = {
        **{name: form.context["form"][name].value() for name in ("request_key", "batch")},
        **dict.fromkeys(Observation.CRITERIA, 2),
        "observed_on": timezone.localdate().isoformat(),
        "note": "Wiped the board twice.",
    }
    assert client.post(address, sent).status_code == 302
    assert Observation.objects.get().batch == batch
    assert address not in client.get(at("waiting")).text
    client.force_login(maruk)
    assert address in client.get(at("waiting")).text


@pytest.mark.parametrize("batch", ["", "x", "0", "9" * 40])
def test_a_nonsense_batch_at_the_observation_is_answered(client, house, batch):
    client.force_login(house.chef)
    answer = client.get(at("observe", house.practice.pk), {"batch": batch})
    assert answer.status_code == 200
    assert "each alone" not in answer.text


def test_what_the_other_wrote_is_kept_back_until_one_has_written_too(house, maruk):
    batch = made(house)
    look = factories.seen_by_two(house.practice, batch, {maruk: 1, house.chef: 2}, rated=[maruk])
    factories.ObservationFactory(practice=house.practice, observer=maruk)

    def readable(viewer):
        return Observation.objects.exclude(kept_from(viewer)).filter(batch=batch).count()

    assert (readable(house.chef), readable(maruk), readable(house.owner)) == (0, 1, 1)
    # After three days the look is over, and all is shown.
    SecondLook.objects.filter(pk=look.pk).update(proposed_at=timezone.now() - timedelta(days=4))
    assert readable(house.chef) == 1
    SecondLook.objects.filter(pk=look.pk).update(proposed_at=timezone.now())
    factories.ObservationFactory(practice=house.practice, observer=house.chef, batch=batch)
    assert readable(house.chef) == 2


# Agreement


def test_the_page_says_what_the_calculation_says(client, house, maruk):
    seen_by_two(house, maruk)
    client.force_login(house.chef)
    answer = client.get(at("assessors"))
    kappa = weighted_kappa(FIRST, SECOND)
    icc = intraclass_of_ratings(FIRST, SECOND)
    interval = f"(kappa {kappa.value:.2f}, {kappa.low:.2f} to {kappa.high:.2f})"
    words = f"Isbel Anakoor and Maruk Tessen agree; how closely cannot be told yet {interval}."
    assert words in answer.text
    [pair] = answer.context["page"].criteria[2].pairs
    assert pair.n == len(FIRST)
    assert pair.kappa == f"{kappa.value:.2f} ({kappa.low:.2f} to {kappa.high:.2f})"
    assert pair.intraclass == f"{icc.value:.2f} ({icc.low:.2f} to {icc.high:.2f})"
    assert answer.text.count("<svg") > 2
    assert answer.context["chart"].table.rows[0].cells[2] == "14"


def test_who_is_stricter_is_said_with_the_size(client, house, maruk):
    seen_by_two(house, maruk, [2] * 9 + [1] * 9, [1] * 9 + [0] * 8 + [1])
    client.force_login(house.owner)
    page = client.get(at("assessors")).text
    assert "Maruk Tessen is stricter by about 0.9 steps." in page


def test_of_three_it_is_said_who_is_stricter_than_the_others(client, house, maruk):
    third = factories.head_chef(house.branch, first_name="Davo", last_name="Kessander")
    seen_by_two(house, maruk, [2] * 9 + [1] * 9, [1] * 9 + [0] * 9)
    for _n in range(12):
        batch = factories.counted_batch(
            cook=house.cook, branch=house.branch, standard=house.standard
        )
        factories.seen_by_two(house.practice, batch, {third: 2, maruk: 1})
    client.force_login(house.owner)
    answer = client.get(at("assessors"))
    assert answer.context["page"].criteria[0].against_all[1:] == (
        "Maruk Tessen is stricter than the others by about 0.7 steps.",
        "Davo Kessander is milder than the others by about 0.3 steps.",
    )
    assert answer.text.count("Isbel Anakoor is milder than the others") == 4


def test_a_few_batches_tell_nothing_yet(client, house, maruk):
    seen_by_two(house, maruk, FIRST[:4], SECOND[:4])
    client.force_login(house.chef)
    answer = client.get(at("assessors"))
    assert "cannot tell yet: 4 batches, it takes 10." in answer.text
    assert "stricter by" not in answer.text
    assert answer.context["chart"] is None


def test_what_was_written_late_or_without_the_lot_does_not_count(client, house, maruk):
    for day in range(2):
        batch = factories.counted_batch(
            days=day, cook=house.cook, branch=house.branch, standard=house.standard
        )
        for chef in (house.chef, maruk):
            factories.ObservationFactory(practice=house.practice, batch=batch, observer=chef)
    SecondLook.objects.create(
        batch=batch,
        first=house.chef,
        second=maruk,
        proposed_at=timezone.now() - timedelta(days=5),
    )
    client.force_login(house.chef)
    answer = client.get(at("assessors"))
    assert [line.batches for line in answer.context["page"].criteria] == [0] * 4
    assert "No batch was seen by two yet." in answer.text


def test_names_are_for_those_who_head_the_branch_and_the_owner(client, house, maruk):
    seen_by_two(house, maruk, FIRST[:4], SECOND[:4])
    client.force_login(house.other_chef)
    assert "Maruk" not in client.get(at("assessors")).text
    client.force_login(house.owner)
    assert "Maruk" in client.get(at("assessors")).text
    elsewhere = {"branch": house.other_branch.slug}
    assert "Maruk" not in client.get(at("assessors"), elsewhere).text
    assert "Maruk" in client.get(at("assessors"), {"branch": "no-such"}).text


# Before score and name


@pytest.fixture
def blind(house):
    HousePolicy.load()
    HousePolicy.objects.update(blind_review=True)
    house.cook.first_name, house.cook.last_name = "Senne", "Aldavar"
    house.cook.save()
    return made(house, note="Senne was tired.")


def test_neither_name_nor_score_is_shown_before_the_rating(client, house, blind):
    shown = f"{blind.score.score:.0f} of 100"
    client.force_login(house.chef)
    listed, page = client.get(at("waiting")).text, client.get(at("review_batch", blind.pk)).text
    for text in (listed, page):
        assert "Senne" not in text
        assert "Aldavar" not in text
        assert shown not in text
        assert "weakest" not in text
    assert "How even are these strands?" in page
    # A decision that is sent without it decides nothing.
    answer = client.post(at("review_batch", blind.pk), {"decision": "agreed"})
    assert "Rate this too." in answer.text
    assert "Senne" not in answer.text
    assert not Review.objects.exists()

    rated = client.post(at("review_batch", blind.pk), {"evenness": "1"}, follow=True).text
    again = client.post(at("review_batch", blind.pk), {"evenness": "2"}, follow=True).text
    for text in (rated, again):
        assert "Senne Aldavar" in text
        assert "Before you saw the score you said of the evenness: nearly." in text
    assert BlindLook.objects.get().evenness == 1
    assert "Senne Aldavar" in client.get(at("waiting")).text
    client.post(at("review_batch", blind.pk), {"decision": "agreed"})
    assert Review.objects.get().decision == "agreed"


def test_the_result_is_shown_at_once_to_those_who_do_not_assess(client, house, blind):
    for viewer, status in ((house.chef, 302), (house.cook, 200), (house.owner, 200)):
        client.force_login(viewer)
        assert client.get(at("result", blind.pk)).status_code == status
    actions.rate_blind(blind, by=house.chef, evenness=1)
    client.force_login(house.chef)
    assert client.get(at("result", blind.pk)).status_code == 200


def test_only_measured_strands_that_nobody_has_decided_on_are_rated_first(house, maruk, blind):
    factories.BatchFactory(cook=house.cook, branch=house.branch, standard=house.standard)
    made(house, widths_mm=[])
    decided = made(house)
    review_batch(decided, by=maruk, decision="agreed")

    def unrated():
        return list(Batch.objects.filter(unrated_by(house.chef)))

    assert unrated() == [blind]
    HousePolicy.objects.update(blind_review=False)
    assert unrated() == []


def test_the_eye_is_held_against_the_measurement(client, house, blind):
    isbel(house)
    actions.rate_blind(blind, by=house.chef, evenness=2)
    poor = made(house, widths_mm=[2.2, 4.4] * 10)
    actions.rate_blind(poor, by=house.chef, evenness=0)
    client.force_login(house.owner)
    answer = client.get(at("assessors"))
    [line] = answer.context["page"].by_eye
    shares = {rating: (round(share), n) for rating, share, n in line.shares}
    assert shares == {
        "met": (round(100 * blind.score.width_share), 1),
        "not met": (round(100 * poor.score.width_share), 1),
    }
    assert "Isbel Anakoor and the measurement: cannot tell yet: 2 batches" in answer.text


# Calibration sets


def test_a_set_is_made_opened_and_closed(client, house):
    batch = photographed(house)
    factories.photographed(
        factories.BatchFactory(
            cook=house.other_cook, branch=house.other_branch, standard=house.standard
        )
    )
    client.force_login(house.chef)
    for _twice in range(2):
        answer = client.post(at("new_calibration"), {"title": "Spring"})
    page = CalibrationSet.objects.get()
    assert answer["Location"] == at("calibration", page.pk)
    draft = client.get(at("calibration", page.pk))
    assert [choice.batch for choice in draft.context["choices"]] == [batch]
    add = f"{at('calibration_piece', page.pk, 1)}?batch={batch.pk}"
    assert add in draft.text
    # What happened at the bench must be told; what was typed stays.
    refused = client.post(add, {"evenness": "2", "hygiene": "1"}).text
    assert "what happened at the bench is on no photo" in refused
    sent = {"evenness": "2", "hygiene": "1", "seen": "The hands were washed once."}
    for _twice in range(2):
        assert client.post(add, sent)["Location"] == at("calibration", page.pk)
    assert page.pieces.get().criteria == ("evenness", "hygiene")
    change = client.get(at("calibration_piece", page.pk, 1))
    assert "The hands were washed once." in change.text
    client.post(at("calibration", page.pk), {"action": "open"})
    assert client.get(at("calibration_piece", page.pk, 1)).status_code == 302
    client.post(at("calibration", page.pk), {"action": "take_out", "position": "1"})
    assert page.pieces.count() == 1
    client.post(at("calibration", page.pk), {"action": "close"})
    page.refresh_from_db()
    assert page.closed_at is not None


def test_only_own_cooks_batches_with_photos_can_be_chosen(client, house):
    page = actions.make_calibration(title="Spring", by=house.chef)
    client.force_login(house.chef)
    others = photographed(house, cook=house.other_cook, branch=house.other_branch)
    for batch in (others.pk, made(house).pk, 987654, "x", ""):
        path = f"{at('calibration_piece', page.pk, 1)}?batch={batch}"
        assert client.post(path, {"evenness": "2"}).status_code == 404
    assert client.get(at("calibration_piece", page.pk, 1)).status_code == 404


def test_an_assessor_rates_blind_and_then_sees_the_own_result(client, house, maruk):
    house.cook.first_name, house.cook.last_name = "Senne", "Aldavar"
    house.cook.save()
    batches = [photographed(house) for _n in range(2)]
    page = factories.calibration_set(house.chef, batches, is_open=True, evenness=0)
    client.force_login(house.other_chef)
    first = at("calibration_piece", page.pk, 1)
    before = client.get(at("calibration", page.pk))
    form = client.get(first)
    for text in (before.text, form.text):
        assert "Senne" not in text
        assert "Against the reference" not in text
        assert f"{batches[0].score.score:.0f} of 100" not in text
    assert before.context["page"].pieces == ()
    assert "The board was wiped twice." in form.text
    # Nothing is chosen beforehand: a reference could shine through.
    assert "checked" not in form.text
    photo = batches[0].photographs.get()
    assert at("photograph_picture", photo.pk, "page") in form.text

    sent = {
        "request_key": str(uuid.uuid4()),
        **dict.fromkeys(("evenness", *Observation.CRITERIA), "1"),
    }
    assert "Rate this too." in client.post(first, sent | {"evenness": ""}).text
    assert client.post(first, sent)["Location"] == at("calibration_piece", page.pk, 2)
    assert client.post(first, sent)["Location"] == at("calibration_piece", page.pk, 2)
    assert client.get(first)["Location"] == at("calibration_piece", page.pk, 2)
    sent["request_key"] = str(uuid.uuid4())
    answer = client.post(at("calibration_piece", page.pk, 2), sent)
    assert answer["Location"] == at("calibration", page.pk)
    assert CalibrationRating.objects.count() == 2

    after = client.get(at("calibration", page.pk))
    [result] = after.context["page"].results
    assert result.is_own
    # Reference 0 and everywhere 1: milder by a step; 2 and 1: stricter by one.
    assert [line.bias.split()[0] for line in result.lines] == ["1.00"] + ["−1.00"] * 4
    assert result.lines[0].levels == (("not met", "1.0", 2),)
    assert "Cannot tell yet: 2 pieces, it takes 10." in after.text

    # Maker and owner see everybody's, another assessor nobody's.
    for viewer, people in (
        (house.chef, [str(house.other_chef)]),
        (house.owner, [str(house.other_chef)]),
        (maruk, []),
    ):
        client.force_login(viewer)
        results = client.get(at("calibration", page.pk)).context["page"].results
        assert [result.person for result in results] == people


def test_enough_pieces_tell_who_is_milder(client, house):
    batches = [photographed(house) for _n in range(12)]
    page = factories.calibration_set(house.chef, batches, is_open=True, evenness=0)
    for piece in page.pieces.all():
        actions.rate_piece(
            piece,
            by=house.other_chef,
            request_key=uuid.uuid4(),
            **dict.fromkeys(Observation.CRITERIA, 2),
            evenness=1,
        )
    client.force_login(house.other_chef)
    page = client.get(at("calibration", page.pk)).text
    assert "Milder than the reference by about 1.0 steps." in page
    assert "Neither stricter nor milder than the reference" in page


def test_nobody_rates_the_own_batch(client, house):
    cook = factories.head_chef(house.other_branch)
    factories.RoleFactory(person=cook, kind=Role.Kind.TRAINEE, branch=house.branch)
    own, other = photographed(house, cook=cook), photographed(house)
    page = factories.calibration_set(house.chef, [own, other], is_open=True)
    client.force_login(cook)
    shown = client.get(at("calibration", page.pk)).context["page"]
    assert (shown.to_rate, shown.next_position) == (1, 2)
    assert client.get(at("calibration_piece", page.pk, 1)).status_code == 302
    assert "Piece 1 of 1" in client.get(at("calibration_piece", page.pk, 2)).text


def test_an_owner_who_assesses_rates_before_reading(client, house):
    factories.RoleFactory(person=house.owner, kind=Role.Kind.HEAD_CHEF, branch=house.other_branch)
    page = factories.calibration_set(house.chef, [photographed(house)], is_open=True)
    client.force_login(house.owner)
    shown = client.get(at("calibration", page.pk)).context["page"]
    assert (shown.to_rate, shown.pieces, shown.results) == (1, (), ())


def test_a_photo_is_seen_elsewhere_only_while_its_set_is_open(client, house):
    batch = photographed(house)
    photo = batch.photographs.get().pk
    page = factories.calibration_set(house.chef, [batch])
    client.force_login(house.other_chef)

    def status(name, *args):
        return client.get(at(name, *args)).status_code

    assert status("photograph_picture", photo, "page") == 403
    assert status("calibration", page.pk) == 403
    actions.open_calibration(page, by=house.chef)
    assert status("photograph_picture", photo, "page") == 200
    assert status("photograph", photo) == 403
    client.force_login(house.other_cook)
    assert status("photograph_picture", photo, "page") == 403
    client.force_login(house.other_chef)
    actions.close_calibration(page, by=house.chef)
    assert status("photograph_picture", photo, "page") == 403
    assert status("calibration_piece", page.pk, 1) == 302


@pytest.mark.parametrize("times", [1, 6])
def test_a_set_takes_as_many_queries_for_six_pieces_as_for_one(
    client, house, django_assert_max_num_queries, times
):
    page = factories.calibration_set(
        house.chef, [photographed(house) for _n in range(times)], is_open=True
    )
    for piece in page.pieces.all():
        for by in (house.other_chef, factories.head_chef(house.branch)):
            actions.rate_piece(
                piece,
                by=by,
                request_key=uuid.uuid4(),
                **dict.fromkeys(("evenness", *Observation.CRITERIA), 1),
            )
    client.force_login(house.chef)
    # Session, person, roles; the set, whether it may be opened; pieces, photos, ratings.
    with django_assert_max_num_queries(8):
        client.get(at("calibration", page.pk))
