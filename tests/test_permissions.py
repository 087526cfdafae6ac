"""Every page and command, tried by every kind of person: the table of `training.access`, over HTTP.

The records belong to ``cook``. ``colleague`` is a trainee of the same branch, ``elsewhere`` of
another one; ``chef`` heads the cook's branch, ``other_chef`` another one.
"""

import pytest
from django.db import transaction
from django.urls import reverse

from tests.addresses import address, own_names

VIEWERS = {
    "nobody": None,
    "own": "cook",
    "colleague": "colleague",
    "elsewhere": "other_cook",
    "chef": "chef",
    "other_chef": "other_chef",
    "owner": "owner",
    "editor": "editor",
}
# ok: answered; no: refused (403); in: sent to sign in; --: this way of asking does not exist (405)
# fmt: off
TABLE = [
    # Name, way of asking, and a cell for each of VIEWERS.
    ("account",                     "GET",  "in ok ok ok ok ok ok ok"),
    ("account",                     "POST", "-- -- -- -- -- -- -- --"),
    ("account_digest",              "GET",  "-- -- -- -- -- -- -- --"),
    ("account_digest",              "POST", "in no no no ok ok ok no"),
    ("choose_language",             "GET",  "-- -- -- -- -- -- -- --"),
    ("choose_language",             "POST", "ok ok ok ok ok ok ok ok"),
    ("module_index",                "GET",  "in ok ok ok ok ok ok ok"),
    ("module_index",                "POST", "-- -- -- -- -- -- -- --"),
    ("module",                      "GET",  "in ok ok ok ok ok ok ok"),
    ("module",                      "POST", "-- -- -- -- -- -- -- --"),
    ("read_steps",                  "GET",  "-- -- -- -- -- -- -- --"),
    ("read_steps",                  "POST", "in ok ok ok ok ok ok ok"),
    ("answer_question",             "GET",  "-- -- -- -- -- -- -- --"),
    ("answer_question",             "POST", "in ok ok ok ok ok ok ok"),
    ("questions_again",             "GET",  "in ok ok ok ok ok ok ok"),
    ("questions_again",             "POST", "-- -- -- -- -- -- -- --"),
    ("wall",                        "GET",  "in ok ok ok ok ok ok ok"),
    ("wall",                        "POST", "-- -- -- -- -- -- -- --"),
    ("labels",                      "GET",  "in no no no ok ok ok ok"),
    ("labels",                      "POST", "-- -- -- -- -- -- -- --"),
    ("contact_sheet",               "GET",  "in no no no no no ok ok"),
    ("contact_sheet",               "POST", "-- -- -- -- -- -- -- --"),
    ("search",                      "GET",  "in ok ok ok ok ok ok ok"),
    ("search",                      "POST", "-- -- -- -- -- -- -- --"),
    ("words",                       "GET",  "in ok ok ok ok ok ok ok"),
    ("words",                       "POST", "-- -- -- -- -- -- -- --"),
    ("went_wrong",                  "GET",  "in ok ok ok ok ok ok ok"),
    ("went_wrong",                  "POST", "-- -- -- -- -- -- -- --"),
    ("went_wrong_sign",             "GET",  "in ok ok ok ok ok ok ok"),
    ("went_wrong_sign",             "POST", "-- -- -- -- -- -- -- --"),
    ("assessments:today",           "GET",  "in ok ok ok ok ok ok ok"),
    ("assessments:today",           "POST", "-- -- -- -- -- -- -- --"),
    ("assessments:batches",         "GET",  "in ok ok ok no no no no"),
    ("assessments:batches",         "POST", "-- -- -- -- -- -- -- --"),
    ("assessments:new_batch",       "GET",  "in ok ok ok no no no no"),
    ("assessments:new_batch",       "POST", "in ok ok ok no no no no"),
    ("assessments:batch",           "GET",  "in ok no no no no no no"),
    ("assessments:batch",           "POST", "-- -- -- -- -- -- -- --"),
    ("assessments:stage",           "GET",  "in ok no no no no no no"),
    ("assessments:stage",           "POST", "in ok no no no no no no"),
    ("assessments:timer",           "GET",  "-- -- -- -- -- -- -- --"),
    ("assessments:timer",           "POST", "in ok no no no no no no"),
    ("assessments:finish_batch",    "GET",  "-- -- -- -- -- -- -- --"),
    ("assessments:finish_batch",    "POST", "in ok no no no no no no"),
    ("assessments:give_up_batch",   "GET",  "in ok no no no no no no"),
    ("assessments:give_up_batch",   "POST", "in ok no no no no no no"),
    ("assessments:result",          "GET",  "in ok no no ok no ok no"),
    ("assessments:result",          "POST", "-- -- -- -- -- -- -- --"),
    ("assessments:review_batch",    "GET",  "in no no no ok no no no"),
    ("assessments:review_batch",    "POST", "in no no no ok no no no"),
    ("assessments:drills",          "GET",  "in ok ok ok no no no no"),
    ("assessments:drills",          "POST", "-- -- -- -- -- -- -- --"),
    ("assessments:new_drill",       "GET",  "in ok ok ok no no no no"),
    ("assessments:new_drill",       "POST", "in ok ok ok no no no no"),
    ("assessments:drill",           "GET",  "in ok no no ok no ok no"),
    ("assessments:drill",           "POST", "-- -- -- -- -- -- -- --"),
    ("assessments:photograph",      "GET",  "in ok no no ok no ok no"),
    ("assessments:photograph",      "POST", "in ok no no no no no no"),
    ("assessments:photograph_state", "GET", "in ok no no ok no ok no"),
    ("assessments:photograph_state", "POST", "-- -- -- -- -- -- -- --"),
    ("assessments:photograph_picture", "GET", "in ok no no ok no ok no"),
    ("assessments:photograph_picture", "POST", "-- -- -- -- -- -- -- --"),
    ("assessments:waiting",         "GET",  "in no no no ok ok no no"),
    ("assessments:waiting",         "POST", "-- -- -- -- -- -- -- --"),
    ("assessments:cooks",           "GET",  "in no no no ok ok ok no"),
    ("assessments:cooks",           "POST", "-- -- -- -- -- -- -- --"),
    ("assessments:cook",            "GET",  "in ok no no ok no ok no"),
    ("assessments:cook",            "POST", "in no no no ok no no no"),
    ("assessments:evidence",        "GET",  "in ok no no ok no ok no"),
    ("assessments:evidence",        "POST", "-- -- -- -- -- -- -- --"),
    ("assessments:observe",         "GET",  "in no no no ok no no no"),
    ("assessments:observe",         "POST", "in no no no ok no no no"),
    ("assessments:sign_off",        "GET",  "in no no no ok no no no"),
    ("assessments:sign_off",        "POST", "in no no no ok no no no"),
    ("assessments:sign_off_record", "GET",  "in ok no no ok no ok no"),
    ("assessments:sign_off_record", "POST", "-- -- -- -- -- -- -- --"),
    ("assessments:withdraw",        "GET",  "in no no no ok no no no"),
    ("assessments:withdraw",        "POST", "in no no no ok no no no"),
    ("assessments:readiness",       "GET",  "in no no no ok ok ok no"),
    ("assessments:readiness",       "POST", "-- -- -- -- -- -- -- --"),
    ("assessments:readiness_csv",   "GET",  "in no no no ok ok ok no"),
    ("assessments:readiness_csv",   "POST", "-- -- -- -- -- -- -- --"),
    ("assessments:readiness_branch", "GET", "in no no no ok no ok no"),
    ("assessments:readiness_branch", "POST", "-- -- -- -- -- -- -- --"),
    ("assessments:faults",          "GET",  "in no no no ok ok ok no"),
    ("assessments:faults",          "POST", "-- -- -- -- -- -- -- --"),
    ("assessments:stop_digest",     "GET",  "ok ok ok ok ok ok ok ok"),
    ("assessments:stop_digest",     "POST", "ok ok ok ok ok ok ok ok"),
    ("assessments:card",            "GET",  "in ok ok ok ok ok ok ok"),
    ("assessments:card",            "POST", "-- -- -- -- -- -- -- --"),
    ("assessments:card_pdf",        "GET",  "in ok ok ok ok ok ok ok"),
    ("assessments:card_pdf",        "POST", "-- -- -- -- -- -- -- --"),
    ("assessments:trials",          "GET",  "in ok ok ok ok ok ok no"),
    ("assessments:trials",          "POST", "-- -- -- -- -- -- -- --"),
    ("assessments:new_trial",       "GET",  "in no no no ok ok ok no"),
    ("assessments:new_trial",       "POST", "in no no no ok ok ok no"),
    ("assessments:trial",           "GET",  "in ok ok no ok no ok no"),
    ("assessments:trial",           "POST", "in no no no ok no ok no"),
    ("assessments:trial_caliper",   "GET",  "in no no no ok no ok no"),
    ("assessments:trial_caliper",   "POST", "in no no no ok no ok no"),
    ("assessments:boil_tests",      "GET",  "in no no no ok ok ok ok"),
    ("assessments:boil_tests",      "POST", "in no no no ok ok ok ok"),
    ("assessments:remove_boil_test", "GET", "-- -- -- -- -- -- -- --"),
    ("assessments:remove_boil_test", "POST", "in no no no ok ok ok ok"),
    ("assessments:assessors",       "GET",  "in no no no ok ok ok no"),
    ("assessments:assessors",       "POST", "-- -- -- -- -- -- -- --"),
    ("assessments:calibrations",    "GET",  "in no no no ok ok ok no"),
    ("assessments:calibrations",    "POST", "-- -- -- -- -- -- -- --"),
    ("assessments:new_calibration", "GET",  "in no no no ok ok no no"),
    ("assessments:new_calibration", "POST", "in no no no ok ok no no"),
    ("assessments:calibration",     "GET",  "in no no no ok ok ok no"),
    ("assessments:calibration",     "POST", "in no no no no no ok no"),
    ("assessments:calibration_piece", "GET", "in no no no ok ok no no"),
    ("assessments:calibration_piece", "POST", "in no no no ok ok no no"),
    ("assessments:import_readings", "GET",  "in ok ok ok ok ok no no"),
    ("assessments:import_readings", "POST", "in ok ok ok ok ok no no"),
    ("assessments:import_example",  "GET",  "in ok ok ok ok ok ok ok"),
    ("assessments:import_example",  "POST", "-- -- -- -- -- -- -- --"),
]
# fmt: on


def answer(client, path, way):
    """Return the cell that this answer is."""
    with transaction.atomic():
        response = client.generic(way, path)
        # The next person finds the house as this one did.
        transaction.set_rollback(True)
    if response.status_code == 302 and response["Location"].startswith(reverse("account_login")):
        return "in"
    # 422: the person may, but what was sent is not right.
    known = {200: "ok", 302: "ok", 422: "ok", 403: "no", 405: "--"}
    return known.get(response.status_code, str(response.status_code))


def test_every_address_is_in_the_table():
    assert {(name, way) for name, way, _cells in TABLE} == {
        (name, way) for name in own_names() for way in ("GET", "POST")
    }


@pytest.mark.parametrize(
    ("name", "way", "cells"), TABLE, ids=[f"{row[0]}-{row[1]}" for row in TABLE]
)
def test_every_person_gets_the_answer_of_the_table(client, kitchen, name, way, cells):
    path = address(name, kitchen)
    found = {}
    for viewer, who in VIEWERS.items():
        client.logout()
        if who:
            client.force_login(getattr(kitchen, who))
        found[viewer] = answer(client, path, way)
    assert found == dict(zip(VIEWERS, cells.split(), strict=True))


@pytest.mark.parametrize(
    ("name", "record"),
    [
        ("assessments:review_batch", "chefs_batch"),
        ("assessments:observe", "chefs_practice"),
        ("assessments:sign_off", "chefs_practice"),
    ],
)
def test_a_head_chef_who_trains_never_judges_themselves(client, kitchen, name, record):
    path = reverse(name, args=[getattr(kitchen, record).pk])
    client.force_login(kitchen.chef_who_trains)
    assert answer(client, path, "POST") == "no"
    client.force_login(kitchen.chef)
    assert answer(client, path, "POST") == "ok"


@pytest.mark.parametrize("name", ["assessments:batch", "assessments:stage", "assessments:timer"])
def test_a_head_chef_who_trains_logs_their_own_batch(client, kitchen, name):
    batch = kitchen.chefs_open_batch
    way = "POST" if name == "assessments:timer" else "GET"
    path = reverse(name, args=[batch.pk] if name == "assessments:batch" else [batch.pk, 1])
    client.force_login(kitchen.chef_who_trains)
    assert answer(client, path, way) == "ok"


@pytest.mark.parametrize("way", ["PUT", "PATCH", "DELETE"])
def test_nothing_is_changed_in_other_ways(client, kitchen, way):
    client.force_login(kitchen.cook)
    for name in sorted(own_names()):
        response = client.generic(way, address(name, kitchen))
        assert response.status_code == 405, name


def test_who_leaves_the_house_is_signed_out_at_once(client, kitchen):
    client.force_login(kitchen.chef)
    kitchen.chef.is_active = False
    kitchen.chef.save()
    # What a mail opens asks nobody to sign in.
    for_all = {name for name, way, cells in TABLE if way == "GET" and cells.startswith("ok")}
    for name in sorted(own_names() - for_all):
        assert answer(client, address(name, kitchen), "GET") in ("in", "--"), name


@pytest.mark.parametrize(
    ("name", "arguments"),
    [
        ("assessments:batch", [987654]),
        ("assessments:stage", [987654, 1]),
        ("assessments:result", [987654]),
        ("assessments:drill", [987654]),
        ("assessments:cook", [987654]),
        ("assessments:evidence", [987654, "no-such-style"]),
        ("assessments:observe", [987654]),
        ("assessments:sign_off", [987654]),
        ("assessments:sign_off_record", [987654]),
        ("assessments:withdraw", [987654]),
        ("assessments:readiness_branch", ["no-such-branch"]),
        ("assessments:trial", [987654]),
        ("assessments:calibration", [987654]),
        ("assessments:calibration_piece", [987654, 1]),
        ("assessments:trial_caliper", [987654, 1]),
    ],
)
def test_what_does_not_exist_is_not_found(client, kitchen, name, arguments):
    client.force_login(kitchen.chef)
    assert client.get(reverse(name, args=arguments)).status_code == 404


def test_a_stage_that_the_batch_does_not_have(client, kitchen):
    batch = kitchen.open_batch
    client.force_login(kitchen.cook)
    assert client.get(reverse("assessments:stage", args=[batch.pk, 99])).status_code == 404
    assert client.post(reverse("assessments:timer", args=[batch.pk, 99])).status_code == 404
