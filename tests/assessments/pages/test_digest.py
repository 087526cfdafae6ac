"""The weekly digest: asked for, sent once, in one's own language, stopped by one press."""

import re
from datetime import timedelta
from io import StringIO
from smtplib import SMTPServerDisconnected
from unittest import mock

import pytest
from django.conf import settings
from django.core import mail
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone, translation

from assessments.actions.digest import send_once, stop_token
from assessments.actions.evidence import refresh_practices
from assessments.models import Practice, SignOff
from assessments.summaries.digest import digest_of
from assessments.summaries.lessons import lesson_title
from tests import factories
from training.models import HousePolicy, User

SEND = "django.core.mail.EmailMultiAlternatives.send"


@pytest.fixture
def readers(house):
    """The head chef and the owner have asked for the digest; another head chef has not."""
    for person in (house.chef, house.owner):
        person.email = f"{person.username}@house.example"
        person.weekly_digest = True
        person.save()
    house.other_chef.email = "other@house.example"
    house.other_chef.save()
    return house


def send(**options):
    out = StringIO()
    call_command("send_digests", stdout=out, **options)
    return out.getvalue()


def mail_to(person):
    (message,) = [one for one in mail.outbox if one.to == [person.email]]
    return message


def sections(person):
    """Return title, lines and number of further lines of each section."""
    digest = digest_of(
        User.objects.get(pk=person.pk),
        today=timezone.localdate(),
    )
    return [(one.title, [line.text for line in one.lines], one.more) for one in digest.sections]


def signed_off(practice, by, *, due_in_days):
    decision = SignOff.objects.create(
        practice=practice,
        cook=practice.person,
        style=practice.style,
        station=practice.station,
        branch=practice.branch,
        standard=factories.StandardFactory(style=factories.StyleFactory()),
        decided_by=by,
        due_on=timezone.localdate() + timedelta(days=due_in_days),
        evidence={},
        evidence_sha256="0" * 64,
    )
    Practice.objects.filter(pk=practice.pk).update(sign_off=decision)


# What it says


def test_a_head_chef_reads_of_their_own_branch(house):
    made = {"branch": house.branch, "standard": house.standard}
    factories.finished_batch(cook=house.cook, widths_mm=[2.6 + 0.06 * n for n in range(20)], **made)
    factories.finished_batch(
        cook=house.other_cook, branch=house.other_branch, standard=house.standard
    )
    serving = factories.PracticeFactory(
        person=house.cook, branch=house.branch, style=house.style, station=house.serving
    )
    for _number in range(2):
        factories.ObservationFactory(practice=serving, observer=house.chef)
    refresh_practices(house.cook)
    found = sections(house.chef)
    assert ("1 batch waits for a look", [], 0) in found
    assert (
        "Evidence complete: 1 decision to take",
        ["Cook Test · thick wheat · serving"],
        0,
    ) in found
    (faults,) = [one for one in found if "most common faults" in one[0]]
    assert faults[0] == "The week's most common faults in 1 batch measured"
    assert f"{lesson_title('width', 'drift', 'wider')} · 1 of 1" in faults[1]
    assert not any("nobody can hold" in title for title, _lines, _more in found)


def test_renewals_due_and_near_with_their_reason(house):
    due = factories.PracticeFactory(
        person=house.cook, branch=house.branch, style=house.style, station=house.serving
    )
    signed_off(due, house.chef, due_in_days=-1)
    signed_off(house.practice, house.chef, due_in_days=10)
    found = {title: lines for title, lines, _more in sections(house.chef)}
    (line,) = found["1 renewal is due"]
    assert line.startswith("Cook Test · thick wheat · serving: Renewal was due on")
    (line,) = found["1 renewal is near"]
    assert "cutting: Renewal falls due on" in line
    assert "in 10 days" in line


def test_a_renewal_for_evenness_or_a_long_rest(house):
    signed_off(house.practice, house.chef, due_in_days=300)
    assert not any("renewal" in title for title, _lines, _more in sections(house.chef))
    Practice.objects.update(alarm_on=timezone.localdate())
    found = {title: lines for title, lines, _more in sections(house.chef)}
    assert "less even" in found["1 renewal is due"][0]


def test_who_is_stuck_is_told_once_for_a_hand_and_on_what(house):
    factories.PracticeFactory(
        person=house.cook,
        branch=house.branch,
        style=house.style,
        station=factories.StationFactory(),
    )
    Practice.objects.update(stuck_part="width", stuck_batches=12)
    found = {title: lines for title, lines, _more in sections(house.chef)}
    (line,) = found["1 cook is stuck"]
    assert "12 batches" in line
    assert "width" in line


def test_an_owner_reads_of_the_house_and_of_empty_posts(house):
    signed_off(house.practice, house.chef, due_in_days=300)
    factories.BranchFactory(name="To come", opens_on=factories.days_ago(-30))
    found = {title: lines for title, lines, _more in sections(house.owner)}
    assert found["3 posts that nobody can hold"] == [
        f"{house.branch}: serving",
        f"{house.other_branch}: cutting, serving",
    ]


def test_long_lists_are_cut_and_say_so(house):
    for _number in range(7):
        practice = factories.PracticeFactory(
            person=factories.trainee(house.branch),
            branch=house.branch,
            style=house.style,
            station=house.cutting,
        )
        signed_off(practice, house.chef, due_in_days=-1)
    (due,) = [one for one in sections(house.chef) if one[0] == "7 renewals are due"]
    assert (len(due[1]), due[2]) == (5, 2)


@pytest.mark.parametrize("rows", [1, 10])
def test_it_costs_the_same_for_many(house, rows, django_assert_max_num_queries):
    HousePolicy.load()
    for _row in range(rows):
        cook = factories.trainee(house.branch)
        practice = factories.PracticeFactory(
            person=cook, branch=house.branch, style=house.style, station=house.cutting
        )
        signed_off(practice, house.chef, due_in_days=-1)
        factories.BranchFactory()
        factories.BatchFactory(cook=cook, branch=house.branch, standard=house.standard)
    owner = User.objects.get(pk=house.owner.pk)
    with django_assert_max_num_queries(12):
        digest_of(owner, today=timezone.localdate())


# Sending


def test_it_goes_to_those_who_asked_once_a_week(readers):
    assert "2 digests sent." in send()
    assert sorted(one.to for one in mail.outbox) == [[readers.chef.email], [readers.owner.email]]
    assert "0 digests sent." in send()
    User.objects.update(digest_sent_on=factories.days_ago(5))
    assert "0 digests sent." in send()
    User.objects.update(digest_sent_on=factories.days_ago(6))
    assert "2 digests sent." in send()
    assert len(mail.outbox) == 4


@pytest.mark.parametrize(
    "change",
    [
        {"weekly_digest": False},
        {"email": ""},
        {"is_active": False},
    ],
)
def test_nobody_else_gets_one(readers, change):
    User.objects.filter(pk=readers.chef.pk).update(**change)
    send()
    assert [one.to for one in mail.outbox] == [[readers.owner.email]]


def test_who_is_no_head_chef_any_more_gets_none(readers):
    readers.chef.roles.all().delete()
    send()
    assert [one.to for one in mail.outbox] == [[readers.owner.email]]


def test_two_runs_at_once_send_one_mail(readers):
    """The second run has read the same list before the first claimed the week."""
    message = mail.EmailMessage("s", "b", to=[readers.chef.email])
    person = User.objects.get(pk=readers.chef.pk)
    today = timezone.localdate()
    assert send_once(person, message, today=today) is True
    assert send_once(person, message, today=today) is None
    assert len(mail.outbox) == 1


def test_a_mail_that_fails_is_tried_again(readers):
    last_week = factories.days_ago(8)
    User.objects.filter(pk=readers.chef.pk).update(digest_sent_on=last_week)
    with (
        mock.patch(SEND, side_effect=SMTPServerDisconnected("gone")),
        pytest.raises(CommandError, match="2 digests could not be sent"),
    ):
        send()
    readers.chef.refresh_from_db()
    readers.owner.refresh_from_db()
    assert (readers.chef.digest_sent_on, readers.owner.digest_sent_on) == (last_week, None)
    assert "2 digests sent." in send()


def test_a_dry_run_prints_and_sends_nothing(readers):
    out = send(dry_run=True)
    assert readers.chef.email in out
    assert "Stop it:" in out
    assert mail.outbox == []
    assert not User.objects.filter(digest_sent_on__isnull=False).exists()


def test_nothing_waits_is_said_where_there_are_cooks(readers):
    readers.chef.roles.update(branch=readers.other_branch)
    send()
    message = mail_to(readers.chef)
    assert f"Nothing waits for you this week in {readers.other_branch}." in message.body
    assert "This waits" not in message.body


def test_without_cooks_and_news_nothing_is_sent(readers):
    readers.chef.roles.update(branch=factories.BranchFactory())
    send()
    assert [one.to for one in mail.outbox] == [[readers.owner.email]]
    readers.chef.refresh_from_db()
    assert readers.chef.digest_sent_on is None


# The mail


def test_it_has_a_text_and_an_html_part_with_whole_addresses(readers, settings):
    settings.SITE_URL = "https://house.example"
    factories.finished_batch(cook=readers.cook, branch=readers.branch, standard=readers.standard)
    send()
    message = mail_to(readers.chef)
    ((page, kind),) = message.alternatives
    assert kind == "text/html"
    token = stop_token(readers.chef)
    for part in (message.body, page):
        assert "1 batch waits for a look" in part
        assert "https://house.example/waiting/" in part
        assert f"https://house.example/digest/stop/{token}/" in part
        assert "https://house.example/account/" in part
    addresses = re.findall(r'href="([^"]*)"', page)
    assert addresses
    assert all(address.startswith("https://house.example/") for address in addresses)
    # Nothing is fetched from anywhere, and it reads as well where a mail program drops the styles.
    assert not re.search(r"<script|<img|<link|style=|url\(|@import", page)


def test_the_headers_of_rfc_8058(readers, settings):
    settings.SITE_URL = "https://house.example"
    send()
    headers = mail_to(readers.chef).message()
    token = stop_token(readers.chef)
    assert headers["List-Unsubscribe"] == f"<https://house.example/digest/stop/{token}/>"
    assert headers["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"


def test_a_name_is_no_markup(readers):
    readers.cook.first_name = "<b>Bold</b> & Sons"
    readers.cook.save()
    signed_off(readers.practice, readers.chef, due_in_days=-1)
    send()
    message = mail_to(readers.chef)
    assert "<b>Bold</b> & Sons" in message.body
    assert "<b>" not in message.alternatives[0][0]


def test_each_is_written_in_the_readers_language(readers, monkeypatch):
    readers.chef.language = "ja"
    readers.chef.save()
    spoken = {}

    def note(person, *, today):
        spoken[person.username] = translation.get_language()
        return digest_of(person, today=today)

    monkeypatch.setattr("assessments.management.commands.send_digests.digest_of", note)
    send()
    assert spoken == {"chef": "ja", "owner": settings.LANGUAGE_CODE}
    assert '<html lang="ja">' in mail_to(readers.chef).alternatives[0][0]
    assert translation.get_language() == settings.LANGUAGE_CODE


# Stopping it


def stop_address(person):
    return reverse("assessments:stop_digest", args=[stop_token(person)])


def test_a_mail_program_stops_it_by_one_post_without_signing_in(readers):
    stranger = Client(enforce_csrf_checks=True)
    answer = stranger.post(
        stop_address(readers.chef),
        "List-Unsubscribe=One-Click",
        content_type="application/x-www-form-urlencoded",
    )
    assert answer.status_code == 200
    readers.chef.refresh_from_db()
    readers.owner.refresh_from_db()
    assert (readers.chef.weekly_digest, readers.owner.weekly_digest) == (False, True)
    send()
    assert [one.to for one in mail.outbox] == [[readers.owner.email]]


def test_opening_the_address_alone_changes_nothing(readers):
    answer = Client().get(stop_address(readers.chef))
    assert "Send me no more of them" in answer.text
    assert "no-store" in answer["Cache-Control"]
    readers.chef.refresh_from_db()
    assert readers.chef.weekly_digest


def test_pressed_twice_it_says_the_same(readers):
    for _press in range(2):
        answer = Client().post(stop_address(readers.chef))
        assert "You get no weekly digest any more" in answer.text


@pytest.mark.parametrize("way", ["get", "post"])
def test_a_token_that_is_not_ours_is_told(readers, way):
    other = stop_token(readers.owner).split(".")[1]
    for token in ("x", f"{readers.chef.pk}.{other}", stop_token(readers.chef)[:-1]):
        answer = getattr(Client(), way)(reverse("assessments:stop_digest", args=[token]))
        assert answer.status_code == 404
        assert "not whole" in answer.text
    readers.chef.refresh_from_db()
    assert readers.chef.weekly_digest


# Asking for it


def save(client, person, **typed):
    client.force_login(person)
    return client.post(reverse("account_digest"), typed, follow=True)


def test_it_is_offered_to_those_who_judge_and_off_at_first(client, house):
    for person, offered in ((house.chef, True), (house.owner, True), (house.cook, False)):
        assert not person.weekly_digest
        client.force_login(person)
        assert ("weekly digest" in client.get(reverse("account")).text) is offered


def test_it_is_switched_on_and_off(client, house):
    User.objects.filter(pk=house.chef.pk).update(email="chef@house.example")
    assert "will be sent to your address" in save(client, house.chef, weekly_digest="on").text
    house.chef.refresh_from_db()
    assert house.chef.weekly_digest
    assert "No weekly digest" in save(client, house.chef).text
    house.chef.refresh_from_db()
    assert not house.chef.weekly_digest


def test_without_a_mail_address_it_says_whom_to_ask(client, house):
    answer = save(client, house.chef, weekly_digest="on")
    assert "Ask the owner" in answer.context["form"].errors["weekly_digest"][0]
    assert "checked" in answer.text
    house.chef.refresh_from_db()
    assert not house.chef.weekly_digest
