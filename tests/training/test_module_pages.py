"""Modules as cooks see them: the list, the page, answers and progress over HTTP."""

from uuid import uuid4

import pytest
from django.core.cache import cache
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests import factories
from tests.training import module_bodies
from training.models import CheckAnswer, ModuleProgress, StepRead
from training.module_list import Needed
from training.reading import record_all_steps, record_answer, record_steps

MOST_QUERIES = 12
FETCH = {"X-Requested-With": "fetch"}


def queries(client, path):
    cache.clear()
    with CaptureQueriesContext(connection) as caught:
        assert client.get(path).status_code == 200
    return len(caught)


def test_strangers_are_sent_to_the_sign_in_page(client, module):
    for path in (reverse("module_index"), module.address):
        response = client.get(path)
        assert response.status_code == 302
        assert response.url.startswith(reverse("account_login"))
    assert client.post(reverse("read_steps", args=[module.pk]), {"all": "yes"}).status_code == 302
    assert not StepRead.objects.exists()


@pytest.mark.parametrize("who", ["cook", "chef", "owner", "editor", "other_cook"])
def test_everybody_signed_in_may_read(client, house, module, who):
    client.force_login(getattr(house, who))
    assert client.get(module.address).status_code == 200


def test_page_says_all_without_script(reader, module):
    text = reader.get(module.address).content.decode()
    assert "3.2 mm (2.7 to 3.7 mm)" in text
    assert 'id="cut-fold"' in text
    # The second step shows the same drawing: its address is its number.
    assert 'id="step-2"' in text
    for link in ("#cut-fold", "#step-2", "#fault-1", "#question-1", "#end"):
        assert f'id="{link[1:]}"' in text
    assert text.count("<h1") == 1
    assert "I have read this module" in text
    assert reverse("assessments:new_batch") in text


def test_log_a_batch_is_offered_to_trainees_only(client, house, module):
    client.force_login(house.editor)
    assert reverse("assessments:new_batch") not in client.get(module.address).content.decode()


def test_style_switcher_changes_the_numbers(reader, house, module):
    style = factories.StyleFactory(slug="thin")
    factories.StandardFactory(style=style, width_target_mm=2)
    text = reader.get(module.address, {"style": "thin"}).content.decode()
    assert "2 mm (1.5 to 2.5 mm)" in text
    assert 'href="?style=thin" aria-current="true"' in text


def test_page_without_a_standard_still_opens(client, db):
    module = module_bodies.write_module(factories.StationFactory())
    client.force_login(factories.UserFactory())
    assert "see the bench sheet" in client.get(module.address).content.decode()


def test_unpublished_module_is_not_found(reader, module):
    module.unpublish()
    assert reader.get(module.address).status_code == 404


def test_list_by_station_in_the_order_of_work(reader, house, module):
    mixing = factories.StationFactory(name="mixing", slug="mixing", position=1)
    module_bodies.write_module(mixing, slug="mixing-in")
    stations = reader.get(reverse("module_index")).context["stations"]
    assert [station.name for station in stations] == ["mixing", "cutting"]


def stations_of(reader):
    return reader.get(reverse("module_index")).context["stations"]


def test_order_of_learning(reader, house, module):
    """First what comes before practising, also of other stations, then sign-off, then the rest."""
    mixing = factories.StationFactory(name="mixing", slug="mixing", position=1)
    write = module_bodies.write_module
    later = write(house.cutting, slug="later", required=False)
    needed = write(house.cutting, slug="needed")
    knives = write(mixing, slug="knives")
    house.cutting.read_first.add(knives, needed)
    cutting = stations_of(reader)[1]
    assert [(one.url, one.needed) for one in cutting.modules] == [
        (needed.address, Needed.FIRST),
        (knives.address, Needed.FIRST),
        (module.address, Needed.SIGN_OFF),
        (later.address, Needed.LATER),
    ]
    assert (stations_of(reader)[0].is_mine, cutting.is_mine) == (False, True)


def test_only_the_next_step_is_open_and_the_rest_on_demand(reader, house, module):
    second = module_bodies.write_module(house.cutting, slug="second", body=[module_bodies.step()])
    assert stations_of(reader)[0].next.url == module.address
    record_all_steps(house.cook, module)
    for question in module.block_ids("question"):
        record_answer(house.cook, module, question, 1)
    (station,) = stations_of(reader)
    assert (station.next.url, station.done) == (second.address, 1)
    text = reader.get(reverse("module_index")).content.decode()
    at_once, on_demand = text.split("<details", 1)
    assert second.address in at_once
    assert module.address not in at_once
    assert module.address in on_demand
    record_all_steps(house.cook, second)
    assert stations_of(reader)[0].next is None
    assert "every module of this station" in reader.get(reverse("module_index")).content.decode()


def test_what_is_next_at_two_stations_has_one_card(reader, house, module):
    boiling = factories.StationFactory(name="boiling", slug="boiling", position=9)
    factories.PracticeFactory(
        person=house.cook, branch=house.branch, style=house.style, station=boiling
    )
    boiling.read_first.add(module)
    assert [station.is_next_above for station in stations_of(reader)] == [False, True]
    text = reader.get(reverse("module_index")).text
    assert text.count('class="card next"') == 1
    assert "Next, as above:" in text
    assert ">Read <" in text
    record_steps(house.cook, module, module.block_ids("step")[:1])
    assert ">Go on <" in reader.get(reverse("module_index")).text


def test_who_practises_nowhere_sees_all_modules(client, house, module):
    client.force_login(house.chef)
    response = client.get(reverse("module_index"))
    assert "<details" not in response.content.decode()
    assert [station.is_mine for station in response.context["stations"]] == [False]


def test_a_group_that_is_no_station_asks_for_no_sign_off(client, house):
    chefs = factories.StationFactory(name="for head chefs", slug="head-chef", practised=False)
    module_bodies.write_module(chefs)
    client.force_login(house.chef)
    (station,) = stations_of(client)
    assert station.modules[0].needed is Needed.LATER
    client.force_login(house.owner)
    board = client.get(reverse("assessments:readiness")).content.decode()
    assert "for head chefs" not in board.lower()


def test_list_shows_progress_in_words(reader, house, module):
    def words():
        return reader.get(reverse("module_index")).context["stations"][0].modules[0].words

    assert words() == "not started"
    reader.post(reverse("read_steps", args=[module.pk]), {"step": module.block_ids("step")[0]})
    assert words() == "1 of 2 steps read"
    record_all_steps(house.cook, module)
    assert words() == "read; 0 of 2 questions right"
    for question in module.block_ids("question"):
        record_answer(house.cook, module, question, 1)
    assert words() == "read and answered"


def test_empty_list(reader, house):
    assert reader.get(reverse("module_index")).status_code == 200


def test_the_address_of_the_list_page_leads_to_the_list(reader, module):
    response = module.get_parent().specific.serve(reader.get(module.address).wsgi_request)
    assert response.url == reverse("module_index")


def test_read_button_records_all_and_comes_back(reader, house, module):
    response = reader.post(
        reverse("read_steps", args=[module.pk]), {"all": "yes", "style": house.style.slug}
    )
    assert response.url == f"{module.address}?style={house.style.slug}#end"
    assert ModuleProgress.objects.get().read_at is not None


def test_steps_sent_by_the_script_answer_with_the_standing(reader, module):
    path = reverse("read_steps", args=[module.pk])
    response = reader.post(path, {"step": module.block_ids("step")[0]}, headers=FETCH)
    assert "1 of 2 steps read." in response.content.decode()


def test_steps_refused_without_token(house, module):
    client = Client(enforce_csrf_checks=True)
    client.force_login(house.cook)
    path = reverse("read_steps", args=[module.pk])
    assert client.post(path, {"all": "yes"}).status_code == 403
    assert not StepRead.objects.exists()


@pytest.mark.parametrize(
    ("choice", "verdict"), [(1, "Right."), (0, "Not right. Read why, and choose again.")]
)
def test_answer_comes_back_to_its_question_and_says_why(reader, module, choice, verdict):
    question = module.block_ids("question")[0]
    path = reverse("answer_question", args=[module.pk, question])
    response = reader.post(path, {"choice": choice})
    assert response.url == f"{module.address}#question-1"
    text = reader.get(module.address).content.decode()
    assert verdict in text
    assert "A dry fold needs time." in text
    assert CheckAnswer.objects.get().choice == choice


def test_answer_by_script_gives_the_question_anew(reader, module):
    question = module.block_ids("question")[1]
    path = reverse("answer_question", args=[module.pk, question])
    response = reader.post(path, {"choice": 1}, headers=FETCH)
    text = response.content.decode()
    assert f'id="question-{question}"' in text
    assert "Right." in text
    assert "1 of 2 questions right." in text
    assert "<html" not in text


@pytest.mark.parametrize("data", [{}, {"choice": ""}, {"choice": "x"}, {"choice": "2"}])
def test_no_answer_asks_at_the_question(reader, module, data):
    question = module.block_ids("question")[0]
    path = reverse("answer_question", args=[module.pk, question])
    response = reader.post(path, data)
    assert response.url == f"{module.address}?empty={question}#question-1"
    assert "Choose one of the answers first." in reader.get(response.url).content.decode()
    assert not CheckAnswer.objects.exists()


def test_answer_to_an_unknown_question_is_not_found(reader, module):
    path = reverse("answer_question", args=[module.pk, uuid4()])
    assert reader.post(path, {"choice": 1}).status_code == 404


@pytest.mark.parametrize("name", ["read_steps", "answer_question"])
def test_recording_is_post_only(reader, module, name):
    extra = [module.block_ids("question")[0]] if name == "answer_question" else []
    assert reader.get(reverse(name, args=[module.pk, *extra])).status_code == 405


@pytest.mark.parametrize("pictures", [["photo"], ["clip"], ["photo", "clip"]])
def test_page_costs_the_same_with_ten_times_the_content(reader, house, pictures):
    def page(slug, times):
        body = []
        for n in range(times):
            for name in pictures:
                shown = {"drawing": "", name: getattr(module_bodies, name)()}
                body += [module_bodies.step(f"Step {n}", **shown), module_bodies.fault(**shown)]
            body.append(module_bodies.question())
        written = module_bodies.write_module(house.cutting, body=body, slug=slug)
        return written.address

    one, ten = page("one", 1), page("ten", 5)
    assert queries(reader, one) == queries(reader, ten) <= MOST_QUERIES


def test_list_costs_the_same_with_ten_times_the_modules(reader, house):
    module_bodies.write_module(house.cutting, slug="m")
    before = queries(reader, reverse("module_index"))
    for n in range(9):
        module = module_bodies.write_module(
            factories.StationFactory(), slug=f"m-{n}", body=[module_bodies.step()]
        )
        record_all_steps(house.cook, module)
    assert queries(reader, reverse("module_index")) == before <= MOST_QUERIES


def test_first_picture_at_once_the_others_when_needed(reader, module):
    text = reader.get(module.address).content.decode()
    pictures = [part.split(">")[0] for part in text.split('<img class="still" ')[1:]]
    assert ["lazy" in picture for picture in pictures] == [False, True]
    assert all('width="320" height="240"' in picture for picture in pictures)


def test_photo_in_several_formats(reader, house):
    body = [module_bodies.step(drawing="", photo=module_bodies.photo())]
    module = module_bodies.write_module(house.cutting, body=body)
    text = reader.get(module.address).content.decode()
    assert 'type="image/avif"' in text
    assert 'type="image/webp"' in text
    assert 'alt="Two hands fold a sheet."' in text
    assert 'width="640"' in text
