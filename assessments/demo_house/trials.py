"""Two trials of the photos: one against the caliper, one of the same strands over again."""

import uuid
from datetime import timedelta
from math import hypot

import numpy as np
from django.utils import timezone

from assessments.actions.trials import close_trial, open_trial, read_caliper
from assessments.calculations.measuring.results import (
    METHOD_VERSION,
    CameraReading,
    PhotoReading,
    StrandReading,
)
from assessments.models import Photograph, Trial
from training.models import Branch, User

STRANDS = 20
# Standard deviations that the readings are drawn with, mm.
HAND_MM, CALIPER_MM, PHOTO_MM = 0.14, 0.03, 0.02
READS_WIDER_MM = 0.004
AIMS_MM = 0.01
"""By so much one person's photos of the same strands differ from another's, as a whole."""
SHARED_U_MM = 0.02
"""What a photo is unsure of for all of its strands alike."""
PITCH_MM = 5.6
PX_PER_MM = 10.0
SIZE_PX = (3000, 2200)


def try_the_photos(bench):
    """Write a comparison and a repeat of the demo house, both closed."""
    branch = Branch.objects.get(slug="ilvenbridge")
    chef = User.objects.get(username="isbel")
    people = [chef, User.objects.get(username="edda")]
    compare_with_caliper(bench, branch, chef, np.random.default_rng(34))
    repeat_one_layout(bench, branch, people, np.random.default_rng(32))


def compare_with_caliper(bench, branch, chef, rng):
    """Write a trial of thick wheat: each strand twice by caliper and once on a photo."""
    at = bench.moment(20, 15, 10)
    trial = _open(
        bench,
        branch,
        chef,
        at,
        kind=Trial.Kind.COMPARE,
        style="thick-wheat",
        name="Bench phone against the caliper",
        note="Window light from the left, card on the board.",
    )
    widths_mm = float(trial.standard.width_target_mm) + rng.normal(0, HAND_MM, STRANDS)
    for number in (1, 2):
        readings_mm = np.round(widths_mm + rng.normal(0, CALIPER_MM, STRANDS), 2)
        read_caliper(
            trial, number, readings_mm.tolist(), caliper=bench.instruments["bench caliper"], by=chef
        )
    _photograph(trial, chef, at, widths_mm + READS_WIDER_MM, rng)
    close_trial(trial, by=chef, at=at + timedelta(minutes=35))


def repeat_one_layout(bench, branch, people, rng):
    """Write a trial of thin buckwheat: one layout, three photos by each of two people."""
    at = bench.moment(13, 15, 30)
    trial = _open(
        bench,
        branch,
        people[0],
        at,
        kind=Trial.Kind.REPEAT,
        style="thin-buckwheat",
        name="Bench phone, two people",
        note="",
    )
    widths_mm = float(trial.standard.width_target_mm) + rng.normal(0, HAND_MM / 2, STRANDS)
    for place, person in enumerate(people):
        aimed_mm = widths_mm + rng.normal(0, AIMS_MM)
        for photo in range(3):
            taken_at = at + timedelta(minutes=5 + 6 * place + 2 * photo)
            _photograph(trial, person, taken_at, aimed_mm, rng)
    close_trial(trial, by=people[0], at=at + timedelta(minutes=25))


def _open(bench, branch, by, at, *, style, **fields):
    standard = bench.standard_on(style, timezone.localdate(at))
    return open_trial(
        client_key=uuid.uuid4(),
        by=by,
        at=at,
        branch=branch,
        standard=standard,
        strands=STRANDS,
        thickness_mm=standard.thickness_target_mm,
        made_on=timezone.localdate(at),
        **fields,
    )


def _photograph(trial, person, at, widths_mm, rng):
    """Write a photograph that measured these widths, with its own scatter; it has no picture."""
    measured_mm = widths_mm + rng.normal(0, PHOTO_MM, len(widths_mm))
    reading = PhotoReading(
        card="A4",
        markers=(0, 1, 2, 3),
        size_px=SIZE_PX,
        camera=CameraReading(
            height_mm=round(350 + float(rng.normal(0, 12)), 1),
            tilt_deg=round(abs(float(rng.normal(0, 4))), 1),
            focal_px=3400.0,
            focal_from="exif",
            distortion=0.0,
            px_per_mm=PX_PER_MM,
            reprojection_px=0.4,
            blur_px=0.9,
        ),
        thickness_mm=float(trial.thickness_mm),
        thickness_u_mm=0.1,
        strands=tuple(
            _strand(number, width_mm)
            for number, width_mm in enumerate(np.round(measured_mm, 4).tolist(), start=1)
        ),
        verdict="good",
        remarks=(),
    )
    Photograph.objects.create(
        trial=trial,
        taken_by=person,
        uploaded_at=at,
        queued_at=at,
        size_bytes=0,
        width_px=SIZE_PX[0],
        height_px=SIZE_PX[1],
        state=Photograph.State.MEASURED,
        attempts=1,
        thickness_mm=reading.thickness_mm,
        thickness_u_mm=reading.thickness_u_mm,
        result=reading.as_dict(),
        version=METHOD_VERSION,
        measured_at=at + timedelta(seconds=4),
    )


def _strand(number, width_mm):
    """Return a strand that runs from left to right, the first one at the top."""
    y_mm, half_mm = 48 + PITCH_MM * number, width_mm / 2
    corners_mm = (
        (60, y_mm - half_mm),
        (230, y_mm - half_mm),
        (230, y_mm + half_mm),
        (60, y_mm + half_mm),
    )
    return StrandReading(
        number=number,
        centre_mm=(145.0, round(y_mm, 2)),
        direction_deg=0.0,
        length_mm=170.0,
        width_mm=width_mm,
        u_mm=round(hypot(PHOTO_MM, SHARED_U_MM), 4),
        random_mm=PHOTO_MM,
        profile_mm=((10.0, width_mm), (160.0, width_mm)),
        taper_mm=0.0,
        spread_mm=0.02,
        flags=(),
        outline_px=tuple((round(PX_PER_MM * x), round(PX_PER_MM * y)) for x, y in corners_mm),
    )
