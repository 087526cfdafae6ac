"""Photos of strands over HTTP: sent from the page of the cut, shown, judged strand by strand."""

import re
import uuid

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from assessments.actions.log_batch import finish_batch, record_readings
from assessments.actions.measure_photograph import leave_out
from assessments.calculations.measuring import measure
from assessments.calculations.measuring.refusals import Reason, RefusedError
from assessments.models import Batch, LeftOutStrand, Photograph, ReadingSet
from assessments.models.photographs import chosen_places
from tests import factories
from tests.factories import GOOD_WIDTHS_MM, photo_bytes, photo_reading, photographed

Quantity = ReadingSet.Quantity
JSON = {"Accept": "application/json"}
MOST_QUERIES = 12


@pytest.fixture
def batch(house):
    return factories.BatchFactory(cook=house.cook, branch=house.branch, standard=house.standard)


@pytest.fixture
def cook(client, house):
    client.force_login(house.cook)
    return client


@pytest.fixture
def measuring(monkeypatch):
    """Let photos show ``GOOD_WIDTHS_MM``, or what the test puts in their place."""
    shown = {"reading": photo_reading()}

    def measured(_picture, *_args, **_options):
        if isinstance(shown["reading"], Exception):
            raise shown["reading"]
        return shown["reading"]

    monkeypatch.setattr(measure, "measure_strands", measured)
    return shown


@pytest.fixture
def committed(django_capture_on_commit_callbacks):
    """Run what is to happen once a transaction is through: the queue is filled then."""
    return lambda: django_capture_on_commit_callbacks(execute=True)


def cut_address(batch):
    return reverse("assessments:stage", args=[batch.pk, batch.stages.get(kind="cut").position])


def page_of(photograph):
    return reverse("assessments:photograph", args=[photograph.pk])


def picture_of(photograph, use="page"):
    return reverse("assessments:photograph_picture", args=[photograph.pk, use])


def sent(data=None, *, name="strands.jpg", **fields):
    """Return what the form of a photo sends."""
    file = SimpleUploadedFile(name, photo_bytes() if data is None else data)
    return {"action": "photo", "client_key": str(uuid.uuid4()), "file": file} | fields


def widths(batch):
    readings = batch.reading_sets.current().filter(quantity=Quantity.WIDTH).first()
    if readings is None:
        return {}
    return dict(zip(readings.places.tolist(), readings.array.tolist(), strict=True))


def without_result(photograph, state, **fields):
    """Put a photograph back to where it has no result yet."""
    fields = {"measuring_since": timezone.now(), "result": None, **fields}
    Photograph.objects.filter(pk=photograph.pk).update(state=state, **fields)
    return Photograph.objects.get(pk=photograph.pk)


# On the page of the cut


def test_there_is_nothing_to_photograph_before_the_strands_are_chosen(cook, batch):
    Batch.objects.filter(pk=batch.pk).update(strands_expected=None)
    html = cook.get(cut_address(batch)).text
    assert "Take a photo" not in html
    answer = cook.post(cut_address(batch), sent(), follow=True)
    assert "Say first how many strands the dough gives" in answer.text


def test_the_photo_comes_first_and_typing_second(cook, batch):
    html = cook.get(cut_address(batch)).text
    names = html.index('class="chosen')
    take, choose = html.index('id="photo_take"'), html.index('id="photo_choose"')
    assert names < take < choose < html.index('name="width_')
    inputs = re.findall(r'<input type="file"[^>]*>', html)
    assert ['capture="environment"' in one for one in inputs] == [True, False]
    assert all('accept="image/*"' in one and 'form="photo"' in one for one in inputs)
    assert f'href="{reverse("assessments:card")}"' in html


def test_a_photo_becomes_the_widths_of_the_batch(cook, batch, measuring, committed):
    with committed():
        answer = cook.post(cut_address(batch), sent())
    photograph = batch.photographs.get()
    assert answer["Location"] == page_of(photograph)
    assert photograph.state == Photograph.State.MEASURED
    assert widths(batch) == dict(zip(chosen_places(batch), GOOD_WIDTHS_MM, strict=True))
    html = cook.get(cut_address(batch)).text
    assert page_of(photograph) in html
    assert picture_of(photograph, "list") in html
    assert 'name="width_' not in html
    assert "All strands to measure are on photos." in html
    assert ">Done, go on" in html.replace("\n", "").replace("  ", "")
    answer = cook.post(cut_address(batch), {"action": "save", "basis": ""})
    assert answer.status_code == 302
    assert not [str(said) for said in answer.wsgi_request._messages]
    assert widths(batch) == dict(zip(chosen_places(batch), GOOD_WIDTHS_MM, strict=True))


def test_the_script_is_told_where_to_go(cook, batch, measuring, committed):
    with committed():
        answer = cook.post(cut_address(batch), sent(), headers=JSON)
    assert answer.json() == {"next": page_of(batch.photographs.get())}


def test_a_photo_sent_twice_is_kept_once(cook, batch, measuring):
    fields = {"client_key": str(uuid.uuid4())}
    first, second = (cook.post(cut_address(batch), sent(**fields)) for _time in range(2))
    assert first["Location"] == second["Location"]
    assert batch.photographs.count() == 1


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "This file is not a picture."),
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>", "not a pic"),
        (photo_bytes()[:2000], "damaged or cut short"),
        (photo_bytes((640, 480)), "too small to measure in"),
    ],
)
def test_a_file_that_cannot_be_measured_is_refused_at_its_field(cook, batch, data, said):
    answer = cook.post(cut_address(batch), sent(data))
    assert answer.status_code == 422
    [error] = answer.context["photo_form"].errors["file"]
    assert said in error
    assert re.search(r'aria-describedby="photo_errors"', answer.text)
    assert "alert(1)" not in answer.text
    answer = cook.post(cut_address(batch), sent(data), headers=JSON)
    assert answer.status_code == 422
    assert said in answer.json()["errors"]["file"][0]["message"]
    assert not batch.photographs.exists()


def test_a_file_that_is_too_large_is_refused_without_being_read(cook, batch, settings):
    settings.UPLOAD_LIMIT_BYTES = 1_000
    answer = cook.post(cut_address(batch), sent(bytes(60_000_000)), headers=JSON)
    assert answer.status_code == 422
    assert "This file is too large." in answer.json()["errors"]["file"][0]["message"]


@pytest.mark.parametrize("typed", ["89", "111", "long", "10 cm", "-100", "1e2"])
def test_a_bar_that_cannot_be(cook, batch, typed):
    answer = cook.post(cut_address(batch), sent(bar_mm=typed))
    assert answer.status_code == 422
    assert answer.context["photo_form"].errors["bar_mm"]
    assert f'value="{typed}"' in answer.text
    assert not batch.photographs.exists()


@pytest.mark.parametrize(("typed", "kept"), [("", None), ("100", None), ("98,5 mm", 98.5)])
def test_the_bar_is_kept_where_it_differs(cook, batch, measuring, typed, kept):
    cook.post(cut_address(batch), sent(bar_mm=typed))
    assert batch.photographs.get().bar_mm == kept


def test_without_a_file_or_key(cook, batch):
    answer = cook.post(cut_address(batch), {"action": "photo", "client_key": "x"})
    assert answer.status_code == 422
    errors = answer.context["photo_form"].errors
    assert "Take or choose a photo first." in errors["file"]
    assert errors["client_key"]


def test_only_the_cut_takes_photos(cook, batch):
    roll = reverse("assessments:stage", args=[batch.pk, batch.stages.get(kind="roll").position])
    assert cook.post(roll, sent()).status_code == 404


def test_a_closed_batch_takes_no_photo(cook, batch):
    record_readings(batch, Quantity.THICKNESS, factories.GOOD_GRID_MM, by=batch.cook)
    finish_batch(batch, by=batch.cook)
    assert "Take a photo" not in cook.get(cut_address(batch)).text
    answer = cook.post(cut_address(batch), sent(), follow=True)
    assert "Its photos can no longer be changed." in answer.text
    [error] = cook.post(cut_address(batch), sent(), headers=JSON).json()["errors"]["__all__"]
    assert "can no longer be changed" in error["message"]
    assert not batch.photographs.exists()


def test_what_is_not_on_the_first_photo_is_asked_for(cook, batch):
    photographed(batch, [3.2] * 10)
    html = cook.get(cut_address(batch)).text
    left = chosen_places(batch)[10:]
    assert f'<span class="number">{", ".join(map(str, left))}</span>' in html
    photographed(batch, [3.3] * 10)
    assert "Not on a photo yet" not in cook.get(cut_address(batch)).text
    assert list(widths(batch).values()) == [3.2] * 10 + [3.3] * 10


def test_typing_instead_starts_with_empty_fields(cook, batch):
    photographed(batch)
    html = cook.get(f"{cut_address(batch)}?type=widths").text
    fields = re.findall(r'<input[^>]*name="width_\d+"[^>]*>', html)
    assert len(fields) == 20
    assert not any("value=" in field for field in fields)
    assert "data-autosave" not in html
    place = chosen_places(batch)[0]
    basis = re.search(r'name="basis" value="([^"]*)"', html)[1]
    answer = cook.post(
        cut_address(batch), {"action": "save", "basis": basis, f"width_{place}": "3.15"}
    )
    assert answer.status_code == 302
    assert widths(batch) == {place: 3.15}
    assert batch.photographs.get().readings.is_current is False
    assert (
        "Other widths were recorded after these" in cook.get(page_of(batch.photographs.get())).text
    )


def test_a_page_older_than_the_photo_does_not_write_over_its_widths(cook, batch):
    old = cook.get(cut_address(batch)).context["form"].initial["basis"]
    photographed(batch)
    typed = {"action": "save", "basis": old, f"width_{chosen_places(batch)[0]}": "3.15"}
    answer = cook.post(cut_address(batch), typed)
    assert answer.status_code == 200
    assert "the widths of the photos" in answer.text
    assert 'value="3.15"' in answer.text
    assert len(widths(batch)) == 20
    again = cook.post(cut_address(batch), typed, headers=JSON).json()
    assert again["saved"] is False
    renewed = answer.context["form"].data["basis"]
    assert cook.post(cut_address(batch), typed | {"basis": renewed}).status_code == 302
    assert list(widths(batch).values()) == [3.15]


def test_an_old_page_with_empty_fields_only_closes_the_stage(cook, batch):
    old = {f"width_{place}": "" for place in chosen_places(batch)}
    photographed(batch)
    answer = cook.post(cut_address(batch), {"action": "save", "basis": "", **old})
    assert answer.status_code == 302
    assert len(widths(batch)) == 20


def test_the_photo_is_no_tool_to_type_with(cook, house, batch):
    photographed(batch)
    other = factories.BatchFactory(cook=house.cook, branch=house.branch, standard=house.standard)
    for address in (cut_address(other), f"{cut_address(batch)}?type=widths"):
        form = cook.get(address).context["form"]
        assert form.initial["instrument"] is None
        offered = form.fields["instrument"].choices if "instrument" in form.fields else []
        assert not any("photo" in str(name) for _pk, name in offered)


# Waiting


@pytest.mark.parametrize("state", ["waiting", "measuring"])
def test_a_photo_under_way_is_waited_for(cook, batch, state):
    photograph = without_result(photographed(batch), state)
    html = cook.get(page_of(photograph)).text
    address = reverse("assessments:photograph_state", args=[photograph.pk])
    assert f'data-wait-at="{address}"' in html
    assert '<noscript><meta http-equiv="refresh"' in html
    answer = cook.get(address)
    assert answer.json()["state"] == state
    assert answer.json()["done"] is False
    assert answer.json()["text"] in html
    assert "no-cache" in answer["Cache-Control"]


@pytest.mark.parametrize("name", ["photograph", "photograph_state"])
def test_a_photo_whose_worker_was_killed_goes_on_from_the_page(
    cook, batch, measuring, committed, name
):
    lost = timezone.now() - timezone.timedelta(minutes=10)
    photograph = without_result(photographed(batch), "measuring", measuring_since=lost, attempts=1)
    address = reverse(f"assessments:{name}", args=[photograph.pk])
    with committed():
        cook.get(address)
    photograph.refresh_from_db()
    assert photograph.state == Photograph.State.MEASURED
    state = cook.get(reverse("assessments:photograph_state", args=[photograph.pk])).json()
    assert state["done"] is True


# Refused and failed


def test_a_refused_photo_says_why_and_what_to_do(cook, batch, measuring, committed):
    measuring["reading"] = RefusedError(Reason.BLURRED, found=8.0, limit=3.0)
    with committed():
        cook.post(cut_address(batch), sent())
    photograph = batch.photographs.get()
    html = cook.get(page_of(photograph)).text
    assert "This photo is too blurred." in html
    assert "Wipe the lens" in html
    assert "Take another photo" in html
    assert "Measure again" not in html
    assert picture_of(photograph) in html
    assert "This photo is too blurred." in cook.get(cut_address(batch)).text
    assert widths(batch) == {}


def test_a_failed_photo_can_be_measured_again(cook, batch, measuring, committed):
    photograph = without_result(photographed(batch), "failed")
    assert "Measure again" in cook.get(page_of(photograph)).text
    with committed():
        answer = cook.post(page_of(photograph), {"action": "again"})
    assert answer["Location"] == page_of(photograph)
    photograph.refresh_from_db()
    assert photograph.state == Photograph.State.MEASURED


# Measured


def test_every_strand_is_in_the_picture_and_in_the_list(cook, batch):
    photograph = photographed(batch, [3.2, 2.5, 4.0, None, 3.3])
    html = cook.get(page_of(photograph)).text
    classes = re.findall(r'<g class="shape ([\w-]+)" data-strand="(\d+)"', html)
    assert classes == [
        ("within", "1"),
        ("narrow", "2"),
        ("wide", "3"),
        ("not-measured", "4"),
        ("within", "5"),
    ]
    assert re.findall(r'<details data-strand="(\d+)"', html) == ["1", "2", "3", "4", "5"]
    # Not by colour alone: a mark in the picture, a mark and a word in the list.
    for mark, word in (("▲", "too wide"), ("▼", "too narrow"), ("?", "not measured")):
        assert html.count(mark) >= 3
        assert word in html
    assert f"strand {chosen_places(batch)[0]}" in html
    assert "touches another strand" in html
    assert not re.search(r"<[^>]+\sstyle=|<style|<script(?![^>]*\ssrc=)|<[^>]+\son\w+=", html)


def test_widths_are_shown_with_how_sure_they_are(cook, batch):
    photograph = photographed(batch, [3.2] * 16, u_mm=0.05, random_mm=0.04)
    page = cook.get(page_of(photograph))
    sheet = page.context["sheet"]
    # 0.03 mm is common to all strands; the rest, 0.04 mm, is averaged over 16: 0.01 mm.
    assert sheet.mean_u_mm == pytest.approx((0.03**2 + 0.01**2) ** 0.5)
    assert "± 0.06 mm" in page.text  # the mean, twice its standard uncertainty
    assert "± 0.10" in page.text  # one width


def test_a_photo_too_coarse_for_the_style_says_so(cook, batch):
    # The tolerance is ± 0.5 mm; 30 % of it is the limit.
    photograph = photographed(batch, u_mm=0.2)
    assert "This photo is too coarse for this style" in cook.get(page_of(photograph)).text
    assert "too coarse" not in cook.get(page_of(photographed_again(batch, photograph))).text


def photographed_again(batch, photograph):
    photograph.delete()
    return photographed(batch, u_mm=0.03)


def test_an_unsure_photo_says_why(cook, batch):
    photograph = photographed(batch, verdict="poor", remarks=("soft", "tilted"))
    html = cook.get(page_of(photograph)).text
    assert "less sure than usual" in html
    assert "a little blurred" in html
    assert "taken from the side" in html


# Leaving strands out


def test_a_strand_is_left_out_with_a_reason_and_taken_back(cook, batch):
    photograph = photographed(batch)
    answer = cook.post(
        page_of(photograph), {"action": "leave_out", "number": "3", "reason": "torn"}
    )
    assert answer["Location"] == f"{page_of(photograph)}#strand-3"
    row = photograph.left_out.active().get()
    assert (row.number, row.reason, row.by) == (3, "torn", batch.cook)
    assert len(widths(batch)) == 19
    html = cook.get(page_of(photograph)).text
    assert "Left out: 1 of 20 strands measured." in html
    assert "Left out: torn." in html
    assert re.search(r'<g class="shape left-out" data-strand="3"', html)
    cook.post(page_of(photograph), {"action": "take_back", "number": "3"})
    assert not photograph.left_out.active().exists()
    assert len(widths(batch)) == 20
    assert LeftOutStrand.objects.get().taken_back_at is not None


def test_more_than_a_tenth_left_out_is_said_at_once(cook, batch):
    photograph = photographed(batch)
    for number in (1, 2):
        leave_out(photograph, number, "torn", by=batch.cook)
    assert "earns no points" not in cook.get(page_of(photograph)).text
    leave_out(photograph, 3, "torn", by=batch.cook)
    assert "its width is scored, but earns no points" in cook.get(page_of(photograph)).text


@pytest.mark.parametrize("reason", ["", "ugly", "<script>alert(1)</script>"])
def test_a_strand_is_not_left_out_without_one_of_the_reasons(cook, batch, reason):
    photograph = photographed(batch)
    answer = cook.post(
        page_of(photograph), {"action": "leave_out", "number": "3", "reason": reason}
    )
    assert answer.status_code == 422
    row = re.search(r'<details data-strand="3"[^>]*>.*?</details>', answer.text, re.DOTALL)[0]
    assert row.startswith('<details data-strand="3" id="strand-3" open>')
    assert "errorlist" in row
    assert answer.text.count("errorlist") == 1
    assert "alert(1)" not in answer.text
    assert not LeftOutStrand.objects.exists()


@pytest.mark.parametrize("number", ["", "x", "0", "-3", "99", "%s", "9" * 40])
@pytest.mark.parametrize("action", ["leave_out", "take_back"])
def test_a_strand_that_is_not_there(cook, batch, number, action):
    photograph = photographed(batch)
    sending = {"action": action, "number": number, "reason": "torn"}
    answer = cook.post(page_of(photograph), sending, follow=True)
    assert answer.status_code == 200
    if action == "leave_out":
        assert "There is no such strand on this photo." in answer.text
    assert not LeftOutStrand.objects.exists()


def test_strands_too_many_are_left_out_before_anything_is_recorded(cook, batch):
    photograph = photographed(batch, [*GOOD_WIDTHS_MM, 3.1, 3.2])
    html = cook.get(page_of(photograph)).text
    assert "2 strands too many lie on this photo." in html
    assert html.count("one too many?") == 2
    assert "2 strands too many: leave them out" in cook.get(cut_address(batch)).text
    assert widths(batch) == {}
    for number in ("4", "9"):
        cook.post(
            page_of(photograph),
            {"action": "leave_out", "number": number, "reason": "not_chosen"},
        )
    assert len(widths(batch)) == 20
    assert "too many" not in cook.get(page_of(photograph)).text


def test_a_missing_strand_is_named(cook, batch):
    photograph = photographed(batch, GOOD_WIDTHS_MM[:19])
    answer = cook.post(
        page_of(photograph), {"action": "places", "first_place": "1", "missing": ["1"]}
    )
    assert answer.status_code == 302
    assert list(widths(batch)) == chosen_places(batch)[1:]
    form = cook.get(page_of(photograph)).context["places_form"]
    assert form.initial == {"first_place": 1, "missing": [1]}


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("first_place", {"first_place": "0"}),
        ("first_place", {"first_place": "21"}),
        ("first_place", {"first_place": "first"}),
        ("first_place", {}),
        ("missing", {"first_place": "1", "missing": ["99"]}),
        ("missing", {"first_place": "1", "missing": ["<script>"]}),
    ],
)
def test_places_that_are_none(cook, batch, field, typed):
    photograph = photographed(batch)
    answer = cook.post(page_of(photograph), {"action": "places", **typed})
    assert answer.status_code == 422
    assert answer.context["places_form"].errors[field]
    assert "<details open>" in answer.text
    assert "<script>" not in answer.text.replace('<script type="module"', "")
    assert len(widths(batch)) == 20


def test_a_photo_is_removed_after_a_second_tap(cook, batch):
    photograph = photographed(batch)
    html = cook.get(page_of(photograph)).text
    folded = re.search(r"<details>\s*<summary>Remove this photo</summary>.*?</details>", html, re.S)
    assert 'value="remove"' in folded[0]
    answer = cook.post(page_of(photograph), {"action": "remove"})
    assert answer["Location"] == cut_address(batch)
    assert not batch.photographs.exists()
    assert widths(batch) == {}


def test_an_unknown_command_shows_the_page_again(cook, batch):
    photograph = photographed(batch)
    for action in ("", "explode", None):
        sending = {} if action is None else {"action": action}
        assert cook.post(page_of(photograph), sending)["Location"] == page_of(photograph)
    assert len(widths(batch)) == 20


def finished(batch):
    record_readings(batch, Quantity.THICKNESS, factories.GOOD_GRID_MM, by=batch.cook)
    return finish_batch(batch, by=batch.cook)


@pytest.mark.parametrize(
    "sending",
    [
        {"action": "leave_out", "number": "3", "reason": "torn"},
        {"action": "take_back", "number": "4"},
        {"action": "places", "first_place": "2"},
        {"action": "again"},
        {"action": "remove"},
    ],
)
def test_nothing_changes_once_the_batch_is_finished(cook, batch, sending):
    photograph = photographed(batch)
    leave_out(photograph, 4, "torn", by=batch.cook)
    finished(batch)
    before = widths(batch)
    html = cook.get(page_of(photograph)).text
    assert 'value="leave_out"' not in html
    assert 'value="remove"' not in html
    answer = cook.post(page_of(photograph), sending, follow=True)
    assert "can no longer be changed" in answer.text
    assert widths(batch) == before
    assert photograph.left_out.active().count() == 1


# Who sees it, and where


def test_the_head_chef_looks_and_the_cook_alone_changes(client, house, batch):
    photograph = photographed(batch)
    leave_out(photograph, 3, "torn", by=batch.cook)
    client.force_login(house.chef)
    html = client.get(page_of(photograph)).text
    assert "Left out: torn." in html
    assert "<form" not in html.split("<main")[1].split("</main")[0]
    sending = {"action": "take_back", "number": "3"}
    assert client.post(page_of(photograph), sending).status_code == 403
    assert photograph.left_out.active().exists()


@pytest.mark.parametrize("who", ["other_cook", "other_chef", "editor"])
def test_nobody_else_sees_a_photo_or_its_picture(client, house, batch, who):
    photograph = photographed(batch)
    client.force_login(getattr(house, who))
    state = reverse("assessments:photograph_state", args=[photograph.pk])
    for address in (page_of(photograph), picture_of(photograph), state):
        assert client.get(address).status_code == 403
    client.logout()
    assert "sign-in" in client.get(picture_of(photograph))["Location"]


def test_pictures_are_sent_as_pictures_only(cook, batch):
    photograph = photographed(batch)
    for use in ("page", "list"):
        answer = cook.get(picture_of(photograph, use))
        assert answer["Content-Type"] == "image/webp"
        assert answer["X-Content-Type-Options"] == "nosniff"
        assert "sandbox" in answer["Content-Security-Policy"]
        assert "private" in answer["Cache-Control"]
        assert answer.getvalue()[8:12] == b"WEBP"
    assert cook.get(picture_of(photograph, "original")).status_code == 404
    Photograph.objects.update(rendition="")
    assert cook.get(picture_of(photograph)).status_code == 404
    Photograph.objects.update(rendition="aa/gone-page.webp")
    assert cook.get(picture_of(photograph)).status_code == 404


def test_result_and_evidence_lead_to_the_photo_and_say_what_was_left_out(client, house, batch):
    photograph = photographed(batch)
    for number, reason in ((3, "torn"), (4, "torn"), (9, "stuck")):
        leave_out(photograph, number, reason, by=batch.cook)
    finished(batch)
    client.force_login(house.chef)
    for name, args in (
        ("result", [batch.pk]),
        ("review_batch", [batch.pk]),
        ("evidence", [house.cook.pk, house.style.slug]),
    ):
        html = client.get(reverse(f"assessments:{name}", args=args)).text
        assert page_of(photograph) in html, name
        assert "3 of 20 strands" in html, name
        assert "torn: 2" in html.lower(), name
        assert "stuck to another: 1" in html.lower(), name


@pytest.mark.parametrize("where", ["cut", "photograph", "result"])
def test_queries_do_not_grow_with_photos_and_strands_left_out(cook, batch, where):
    def look():
        addresses = {
            "cut": lambda: cut_address(batch),
            "photograph": lambda: page_of(batch.photographs.first()),
            "result": lambda: reverse("assessments:result", args=[batch.pk]),
        }
        address = addresses[where]()
        with CaptureQueriesContext(connection) as captured:
            assert cook.get(address).status_code == 200
        return len(captured)

    photographed(batch, [3.2] * 4)
    look()
    one = look()
    for _n in range(3):
        other = photographed(batch, [3.2] * 4)
        for number in (1, 2, 3):
            leave_out(other, number, "torn", by=batch.cook)
    assert look() == one <= MOST_QUERIES


def test_the_page_stays_light(cook, batch):
    photograph = photographed(batch, [3.2] * 20)
    strands = photograph.result["strands"]
    for strand in strands:  # as long as real ones
        strand["profile_mm"] = [[n * 0.7, 3.2 + n % 7 / 100] for n in range(200)]
        strand["outline_px"] = [[n * 3.7, strand["number"] * 20 + n % 5] for n in range(300)]
    photograph.result["strands"] = strands
    photograph.save()
    html = cook.get(page_of(photograph), headers={"Accept-Encoding": "gzip"}).content
    assert len(html) < 20_000
