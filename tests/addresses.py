"""Every address of ours with a record behind it, for the tests that visit all pages."""

import json
from uuid import UUID

from django.urls import get_resolver, reverse

from assessments.actions.digest import stop_token
from assessments.actions.evidence import refresh_practices
from assessments.actions.log_batch import abandon_batch
from assessments.actions.measure_photograph import leave_out
from assessments.actions.sign_off import write_sign_off
from assessments.actions.trials import close_trial, read_caliper
from tests import factories
from training.groups import create_index_page
from training.models import ModuleIndexPage, ModulePage, Role

QUESTION = UUID("0a5ac6e5-5d3e-4b7e-9a53-000000000003")

# Mounted as they come from libraries: the page editor, its documents, sign-in; and the pictures of
# the house, which are files and no pages (tests/training/test_uploads.py).
MOUNTED = ("cms/", "documents/", "sign-in/", "uploads/")


def own_names():
    """Return the names of all addresses that this project itself answers."""
    names = set()

    def walk(patterns, prefix, namespace):
        for pattern in patterns:
            address = prefix + str(pattern.pattern)
            if address.startswith(MOUNTED):
                continue
            if hasattr(pattern, "url_patterns"):
                inner = f"{namespace}{pattern.namespace}:" if pattern.namespace else namespace
                walk(pattern.url_patterns, address, inner)
            elif pattern.name and not pattern.name.startswith("wagtail"):
                names.add(f"{namespace}{pattern.name}")

    walk(get_resolver().url_patterns, "", "")
    return names


def write_module(station, slug="folding"):
    """Publish a short module with a step, a fault, a caution and a question."""
    index = ModuleIndexPage.objects.get(pk=create_index_page().pk)
    picture = {"drawing": "cut-fold", "photo": None, "picture_alt": "Two hands fold a sheet."}
    body = [
        ("step", {"title": "Fold it", "do": "Fold it to {{width}}.", "look_feel": "Flat."}),
        ("step", {"title": "Turn it", "do": "Turn it.", "look_feel": "Loose."}),
        ("caution", {"kind": "knife", "text": "Put the knife away first."}),
        (
            "fault",
            {
                "see": "A crease.",
                "tell": "It shows.",
                "cause": "Haste.",
                "remedy": "Dust.",
                "signs": ["crease"],
                "likely": "often",
                "step": "Fold it",
            },
        ),
        (
            "question",
            {
                "prompt": "The fold cracks. What now?",
                "answers": [
                    {"text": "Press harder.", "correct": False},
                    {"text": "Let it rest.", "correct": True},
                ],
                "why": "A dry fold needs time.",
            },
        ),
    ]
    page = ModulePage(
        title="Folding",
        slug=slug,
        station=station,
        summary="How to fold a sheet.",
        source_note="Common practice, no source.",
        body=json.dumps(
            [
                {
                    "type": kind,
                    "value": value if kind in ("question", "caution") else {**picture, **value},
                    "id": str(UUID(int=QUESTION.int - 4 + number)),
                }
                for number, (kind, value) in enumerate(body)
            ]
        ),
    )
    index.add_child(instance=page)
    return page


def fill(house):
    """Add to ``house`` what every page has something to show for; return it.

    ``house.cook`` has an open, a finished, a looked-at and a given-up batch, one whose strands were
    measured on a photo, an observation, and a sign-off at the serving station;
    ``house.chef_who_trains`` has a batch and a practice too.
    """
    made = {"cook": house.cook, "branch": house.branch, "standard": house.standard}
    house.open_batch = factories.BatchFactory(**made)
    timed = house.open_batch.stages.filter(kind__in=["tread", "rest", "boil"])
    timed.update(planned_min=12)
    house.finished_batch = factories.finished_batch(**made)
    house.abandoned_batch = abandon_batch(factories.BatchFactory(**made), by=house.cook)
    house.colleague = factories.trainee(house.branch, username="colleague")
    house.chef_who_trains = factories.head_chef(house.branch, username="chef-who-trains")
    factories.RoleFactory(person=house.chef_who_trains, kind=Role.Kind.TRAINEE, branch=house.branch)
    factories.ObservationFactory(practice=house.practice, observer=house.chef)
    house.signed_practice = factories.PracticeFactory(
        person=house.cook, branch=house.branch, style=house.style, station=house.serving
    )
    house.module = write_module(house.cutting)
    factories.missed_question(house.cook, house.module, QUESTION)
    refresh_practices(house.cook)
    house.sign_off = write_sign_off(
        house.signed_practice,
        by=house.chef,
        request_key="5b0c8c5e-3f0a-4a43-9d2e-111111111111",
        override_reason="She held the station for years in another branch.",
        seen_missing=["modules", "observations", "recent_observation", "measured"],
    )
    own = {**made, "cook": house.chef_who_trains}
    house.chefs_batch = factories.finished_batch(**own)
    house.chefs_open_batch = factories.BatchFactory(**own)
    house.chefs_practice = factories.PracticeFactory(
        person=house.chef_who_trains, branch=house.branch, style=house.style, station=house.cutting
    )
    house.photographed_batch = factories.BatchFactory(**made)
    house.photograph = factories.photographed(house.photographed_batch)
    leave_out(house.photograph, 3, "torn", by=house.cook)
    house.drill = factories.drill_done(house.cook, house.standard)
    house.open_trial = factories.TrialFactory(
        branch=house.branch, standard=house.standard, made_by=house.chef
    )
    house.trial = compared(house)
    # Of its own, because head chefs of other branches see the photos of an open set.
    rated = factories.BatchFactory(**{**made, "cook": house.colleague})
    factories.photographed(rated)
    house.calibration = factories.calibration_set(house.chef_who_trains, [rated], is_open=True)
    house.boil_test = factories.BoilTestFactory(style=house.style, recorded_by=house.chef)
    return house


def compared(house):
    """Return a closed trial: twenty strands by caliper, and on one photo a little wider."""
    trial = factories.TrialFactory(
        branch=house.branch,
        standard=house.standard,
        made_by=house.chef,
        caliper=factories.InstrumentFactory(),
    )
    for number, off_mm in ((1, 0.02), (2, -0.02)):
        widths_mm = [width + off_mm * (-1) ** n for n, width in enumerate(factories.GOOD_WIDTHS_MM)]
        read_caliper(trial, number, widths_mm, caliper=trial.caliper, by=house.chef)
    factories.tried(trial, [width + 0.01 for width in factories.GOOD_WIDTHS_MM])
    return close_trial(trial, by=house.chef)


# How the record behind an address is found in a filled house.
ARGUMENTS = {
    "module": lambda house: [house.module.slug],
    "read_steps": lambda house: [house.module.pk],
    "answer_question": lambda house: [house.module.pk, QUESTION],
    "wall": lambda house: [house.module.slug],
    "went_wrong_sign": lambda _house: ["crease"],
    "assessments:batch": lambda house: [house.open_batch.pk],
    "assessments:stage": lambda house: [house.open_batch.pk, 1],
    "assessments:timer": lambda house: [house.open_batch.pk, 1],
    "assessments:finish_batch": lambda house: [house.open_batch.pk],
    "assessments:give_up_batch": lambda house: [house.open_batch.pk],
    "assessments:result": lambda house: [house.finished_batch.pk],
    "assessments:drill": lambda house: [house.drill.pk],
    "assessments:photograph": lambda house: [house.photograph.pk],
    "assessments:photograph_state": lambda house: [house.photograph.pk],
    "assessments:photograph_picture": lambda house: [house.photograph.pk, "page"],
    "assessments:review_batch": lambda house: [house.finished_batch.pk],
    "assessments:cook": lambda house: [house.cook.pk],
    "assessments:evidence": lambda house: [house.cook.pk, house.style.slug],
    "assessments:observe": lambda house: [house.practice.pk],
    "assessments:sign_off": lambda house: [house.practice.pk],
    "assessments:sign_off_record": lambda house: [house.sign_off.pk],
    "assessments:withdraw": lambda house: [house.sign_off.pk],
    "assessments:trial": lambda house: [house.trial.pk],
    "assessments:trial_caliper": lambda house: [house.open_trial.pk, 1],
    "assessments:remove_boil_test": lambda house: [house.boil_test.pk],
    "assessments:stop_digest": lambda house: [stop_token(house.chef)],
    "assessments:calibration": lambda house: [house.calibration.pk],
    "assessments:calibration_piece": lambda house: [house.calibration.pk, 1],
    "assessments:card_pdf": lambda _house: ["a4"],
    "assessments:readiness_branch": lambda house: [house.branch.slug],
}


def address(name, house):
    """Return the path of ``name`` for the record that ``fill`` made."""
    return reverse(name, args=ARGUMENTS.get(name, lambda _house: [])(house))
