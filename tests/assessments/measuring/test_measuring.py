"""Parts of the measuring, against geometry and light that are known from elsewhere.

Photos are rendered by `scenes`, which shares nothing with the measuring but the card's geometry.
Figures of accuracy are in `test_accuracy`.
"""

import io
import itertools
import json
from dataclasses import replace
from functools import cache

import cv2
import numpy as np
import pytest
from PIL import Image

from assessments.benchmark.accuracy import paired, true_width
from assessments.calculations.measuring import strands as strand_widths
from assessments.calculations.measuring.annotate import annotated, apart
from assessments.calculations.measuring.card import A4
from assessments.calculations.measuring.light import (
    light_between,
    luma_of,
    to_light,
    to_stored,
)
from assessments.calculations.measuring.measure import measure_strands
from assessments.calculations.measuring.pictures import Picture, open_picture
from assessments.calculations.measuring.pose import find_pose
from assessments.calculations.measuring.refusals import Reason, RefusedError
from assessments.calculations.measuring.results import CROSSING, OFF_FIELD, TOUCHING
from assessments.calculations.measuring.strands import Mean, mean_width, uncertainty
from assessments.calculations.measuring.widths import Bars, Sections
from tests.assessments.measuring.photographs import FOLDER
from tests.assessments.measuring.scenes import Scene, camera_of, refusal_scenes, render

THICKNESS_MM = 2.6
BASE = Scene(
    7, count=9, width_mm=3.2, thickness_mm=THICKNESS_MM, gap_mm=(4.0, 7.0), length_mm=100.0,
    curvature=0.5, height_mm=330.0, tilt_deg=12.0, tilt_azimuth_deg=30.0, roll_deg=8.0,
    jpeg_quality=92,
)  # fmt: skip


@cache
def base():
    """Return a photo of nine strands from 12 degrees aside, and the truth about it."""
    data, truth = render(BASE)
    return open_picture(data), truth


@cache
def base_reading():
    return measure_strands(base()[0], THICKNESS_MM)


@cache
def committed(name):
    path = FOLDER / f"{name}.jpg"
    truth = json.loads(path.with_suffix(".json").read_text())
    picture = open_picture(path.read_bytes())
    return picture, measure_strands(picture, truth["thickness_mm"]), truth


def widths(reading):
    return np.array([strand.width_mm for strand in reading.measured])


def errors(reading, truth):
    pairs, false = paired(truth["strands"], reading.measured)
    assert false == 0
    return np.array([strand.width_mm - true_width(row) for row, strand in pairs])


def refusal_of(picture, thickness_mm=THICKNESS_MM):
    with pytest.raises(RefusedError) as refused:
        measure_strands(picture, thickness_mm)
    return refused.value.reason


def without_marker(number):
    """Return the pixels of the photo with half of a marker under a brown spot."""
    rgb = base()[0].pixels.copy()
    left, top = A4.markers_mm[number]
    corners = [
        (left - 3, top - 3),
        (left + 15, top - 3),
        (left + 15, top + 27),
        (left - 3, top + 27),
    ]
    spot = camera_of(BASE).project(np.array([(x, y, 0.0) for x, y in corners]))
    cv2.fillPoly(rgb, [np.rint(spot).astype(np.int32)], (90, 60, 40))
    return rgb


# Light -----------------------------------------------------------------------------------------


def test_stored_values_are_on_the_curve_of_the_standard():
    # IEC 61966-2-1: both branches meet at 0.04045 stored, 0.0031308 in light; a stored half is
    # 0.214041 of the light (from memory).
    assert to_light(255 * 0.04045) == pytest.approx(0.0031308, rel=1e-4)
    assert to_light(np.array([0.0, 127.5, 255.0])) == pytest.approx([0, 0.214041, 1], abs=1e-6)
    assert to_light(10.0) == pytest.approx(10 / 255 / 12.92)
    assert to_stored(to_light(np.arange(256))) == pytest.approx(np.arange(256), abs=1e-3)


def test_half_the_light_between_two_colours_is_where_a_pixel_is_half_covered():
    card, dough = np.array([28.0, 63.0, 148.0]), np.array([230.0, 220.0, 196.0])
    light = light_between(card, dough)
    for share in (0.25, 0.5, 0.75):
        mixed = to_stored((1 - share) * to_light(card) + share * to_light(dough))
        luma = mixed @ [0.299, 0.587, 0.114]  # ITU-R BT.601
        ends = [to_light(colour @ [0.299, 0.587, 0.114]) for colour in (card, dough)]
        seen = (np.interp(luma, np.arange(256), light) - ends[0]) / (ends[1] - ends[0])
        assert seen == pytest.approx(share, abs=0.01)


# Pose ------------------------------------------------------------------------------------------


def field_points(z_mm):
    left, top, right, bottom = A4.field_mm
    return np.array(
        [
            (x, y, z_mm)
            for x in np.linspace(left, right, 5)
            for y in np.linspace(top, bottom, 4)
        ]
    )  # fmt: skip


def true_pixels(truth, points):
    """Return where the truth puts points of the card, in the stored picture."""
    camera = truth["camera"]
    seen = np.column_stack([points, np.ones(len(points))]) @ np.array(camera["P"]).T
    centre = (np.array(truth["image_size"]) - 1) / 2
    off = seen[:, :2] / seen[:, 2:] - centre
    return centre + off * (1 + camera["k1"] * (off**2).sum(1, keepdims=True) / camera["fpx"] ** 2)


def test_the_camera_stands_where_the_scene_had_it():
    picture, truth = base()
    pose = find_pose(luma_of(picture.pixels), picture.focal_35mm)
    assert pose.camera.position_mm == pytest.approx(truth["camera"]["position_mm"], abs=0.5)
    assert pose.camera.tilt_deg == pytest.approx(12.0, abs=0.05)
    assert pose.camera.focal_px == pytest.approx(truth["camera"]["fpx"], rel=0.002)
    for z_mm in (0.0, THICKNESS_MM):
        points = field_points(z_mm)
        off = pose.camera.project(points) - true_pixels(truth, points)
        assert np.linalg.norm(off, axis=1).max() < 0.05
    reading = base_reading().camera
    assert reading.height_mm == pytest.approx(330.0, abs=0.5)
    assert reading.focal_from == "exif"
    # The rendered lens blurs by 0.7 px; a pixel's own area adds a little, sharpening takes some.
    assert reading.blur_px == pytest.approx(0.7, abs=0.15)


def test_a_lens_that_bends_is_allowed_for():
    picture, reading, truth = committed("starch-glossy-card-bent-lens")
    assert reading.camera.distortion == pytest.approx(truth["camera"]["k1"], abs=0.006)
    pose = find_pose(luma_of(picture.pixels), picture.focal_35mm)
    points = field_points(truth["thickness_mm"])
    assert truth["orientation"] == 3
    upright = np.array(truth["image_size"]) - 1 - true_pixels(truth, points)
    assert np.linalg.norm(pose.camera.project(points) - upright, axis=1).max() < 0.3


def test_without_a_focal_length_the_markers_tell_it():
    reading = measure_strands(Picture(base()[0].pixels, None), THICKNESS_MM)
    assert reading.camera.focal_from == "markers"
    assert reading.camera.focal_px == pytest.approx(base()[1]["camera"]["fpx"], rel=0.02)
    assert widths(reading) == pytest.approx(widths(base_reading()), abs=0.01)


@pytest.mark.parametrize("focal_35mm", [18.0, 37.0, 80.0])
def test_a_focal_length_that_cannot_be_is_not_believed(focal_35mm):
    """A picture that was cropped keeps the focal length of the whole one."""
    reading = measure_strands(Picture(base()[0].pixels, focal_35mm), THICKNESS_MM)
    assert reading.camera.focal_from == "markers"
    assert widths(reading) == pytest.approx(widths(base_reading()), abs=0.01)


@pytest.mark.parametrize("number", [0, 1, 2, 3])
def test_any_three_markers_suffice(number):
    reading = measure_strands(Picture(without_marker(number), 26.0), THICKNESS_MM)
    assert reading.markers == tuple({0, 1, 2, 3} - {number})
    assert "marker_hidden" in reading.remarks
    assert widths(reading) == pytest.approx(widths(base_reading()), abs=0.02)


def test_the_letter_card_is_told_by_its_markers():
    _picture, reading, truth = committed("buckwheat-pale-letter-card-soft-light")
    assert (reading.card, reading.markers) == ("Letter", (4, 5, 6, 7))
    assert truth["card"] == "Letter"
    assert abs(errors(reading, truth).mean()) < 0.03
    assert base_reading().card == "A4"


# Widths ----------------------------------------------------------------------------------------


def test_a_point_above_the_card_is_seen_beyond_its_place():
    """The one-dimensional view across a strand, against the pinhole in three dimensions."""
    pose = find_pose(luma_of(base()[0].pixels), 26.0)
    middle, across = np.array([120.0, 90.0]), np.array([0.6, -0.8])
    x, y, height = pose.camera.position_mm
    away = float((middle - [x, y]) @ across)
    across, away = (across, away) if away > 0 else (-across, -away)
    one = np.ones(1)
    bars = Bars(
        middle[None], across[None], one, one < 0, one, one, np.array([away]), float(height), one
    )
    along = np.array([-across[1], across[0]])
    for reach, z in itertools.product((-3.0, 0.0, 5.0), (0.0, 1.5, 4.0)):
        point = np.append(middle + reach * across, z)
        seen = pose.camera.on_card(pose.camera.project(point[None]))[0] - middle
        assert bars.seen(np.array([reach]), z)[0] == pytest.approx(seen @ across, abs=1e-4)
        assert bars.stands(np.array([seen @ across]), z)[0] == pytest.approx(reach, abs=1e-4)
        # Along the strand it is seen elsewhere too, but a strand is the same all along.
        assert abs(seen @ along) < 0.5


def test_a_wrong_thickness_does_no_more_than_the_uncertainty_says():
    reading, (picture, truth) = base_reading(), base()
    x, y, height = truth["camera"]["position_mm"]
    turn = np.radians([strand.direction_deg for strand in reading.measured])
    off = np.array([strand.centre_mm for strand in reading.measured]) - [x, y]
    tangent = abs(off[:, 1] * np.cos(turn) - off[:, 0] * np.sin(turn)) / height
    assert tangent.max() > 0.25
    thinner, thicker = (measure_strands(picture, THICKNESS_MM + off) for off in (-0.5, 0.5))
    for wrong in (thinner, thicker):
        assert (abs(widths(wrong) - widths(reading)) < 0.5 * tangent + 0.005).all()
    # A thicker sheet has a wider wall, so that less of what is seen is the top.
    aside = tangent > 0.2
    assert (widths(thinner) > widths(thicker))[aside].all()


def test_without_a_thickness_widths_are_less_sure():
    reading = measure_strands(base()[0])
    assert reading.thickness_mm == 2.0
    assert "thickness_assumed" in reading.remarks
    unsure = [strand.u_mm for strand in reading.measured]
    assert all(
        more > 1.3 * strand.u_mm
        for more, strand in zip(unsure, base_reading().measured, strict=True)
    )
    assert (abs(errors(reading, base()[1])) <= 2 * np.array(unsure)).all()


def test_a_card_printed_two_per_cent_too_large_is_put_right_by_its_bar():
    """The same picture is that of a house where everything is 2 % larger."""
    reading = measure_strands(base()[0], 1.02 * THICKNESS_MM, bar_mm=102.0)
    assert widths(reading) == pytest.approx(1.02 * widths(base_reading()), abs=0.005)
    assert reading.camera.height_mm == pytest.approx(1.02 * 330, abs=0.6)


@pytest.mark.parametrize("quarters", [1, 2, 3])
def test_it_does_not_matter_from_which_side_the_photo_is_taken(quarters):
    turned = Picture(np.ascontiguousarray(np.rot90(base()[0].pixels, quarters)), 26.0)
    reading = measure_strands(turned, THICKNESS_MM)
    assert widths(reading) == pytest.approx(widths(base_reading()), abs=0.005)
    assert [strand.number for strand in reading.measured] == list(range(1, 10))


# CIPA DC-008: how the stored picture comes from the upright one, for each orientation tag.
STORED = {
    1: lambda upright: upright,
    2: np.fliplr,
    3: lambda upright: np.rot90(upright, 2),
    4: np.flipud,
    5: lambda upright: upright.transpose(1, 0, 2),
    6: lambda upright: np.rot90(upright, 1),
    7: lambda upright: np.rot90(upright, 2).transpose(1, 0, 2),
    8: lambda upright: np.rot90(upright, -1),
}


@pytest.mark.parametrize("orientation", STORED)
def test_any_orientation_tag_gives_the_same_widths(orientation):
    stored = Image.fromarray(np.ascontiguousarray(STORED[orientation](base()[0].pixels)))
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif.get_ifd(0x8769)[0xA405] = 26
    file = io.BytesIO()
    stored.save(file, "PNG", exif=exif, compress_level=1)
    reading = measure_strands(open_picture(file.getvalue()), THICKNESS_MM)
    assert widths(reading).tolist() == widths(base_reading()).tolist()


@pytest.mark.parametrize(
    ("kind", "options"),
    [("PNG", {"compress_level": 1}), ("WEBP", {"quality": 90}), ("JPEG", {"quality": 90})],
)
def test_kinds_of_files_give_nearly_the_same_widths(kind, options):
    file = io.BytesIO()
    Image.fromarray(base()[0].pixels).save(file, kind, **options)
    picture = Picture(open_picture(file.getvalue()).pixels, 26.0)
    reading = measure_strands(picture, THICKNESS_MM)
    assert widths(reading) == pytest.approx(widths(base_reading()), abs=0.02)


def test_less_light_changes_little():
    picture = base()[0]
    dimmer = np.rint(to_stored(0.35 * to_light(picture.pixels))).astype(np.uint8)
    reading = measure_strands(Picture(dimmer, 26.0), THICKNESS_MM)
    assert widths(reading) == pytest.approx(widths(base_reading()), abs=0.03)


def test_the_same_photo_gives_the_same_numbers():
    again = measure_strands(base()[0], THICKNESS_MM)
    assert again == base_reading()
    threads = cv2.getNumThreads()
    try:
        cv2.setNumThreads(1)
        assert measure_strands(base()[0], THICKNESS_MM) == again
    finally:
        cv2.setNumThreads(threads)


def test_a_reading_can_be_kept_as_json():
    kept = json.loads(json.dumps(base_reading().as_dict()))
    assert kept["strands"][0]["width_mm"] == base_reading().strands[0].width_mm
    assert kept["camera"]["focal_from"] == "exif"


# Strands ---------------------------------------------------------------------------------------


def test_strands_are_numbered_as_they_lie():
    for reading, truth in (
        (base_reading(), base()[1]),
        committed("wheat-thick-soft-light")[1:],
        committed("ribbons-letter-card-side-light")[1:],
    ):
        pairs, _false = paired(truth["strands"], reading.measured)
        order = [row["id"] for row, _strand in pairs]
        assert order in (sorted(order), sorted(order, reverse=True))
        assert [strand.number for strand in reading.strands] == list(
            range(1, len(reading.strands) + 1)
        )
        axis = 1 if abs(np.sin(np.radians(reading.strands[0].direction_deg))) < 0.7 else 0
        places = [strand.centre_mm[axis] for strand in reading.strands]
        assert places == sorted(places)


def test_directions_lengths_and_places_are_those_of_the_scene():
    pairs, _false = paired(base()[1]["strands"], base_reading().measured)
    assert len(pairs) == len(base()[1]["strands"])
    for row, strand in pairs:
        line = np.array(row["centreline"])
        ends = line[-1] - line[0]
        direction = np.degrees(np.arctan2(ends[1], ends[0])) % 180
        assert strand.direction_deg == pytest.approx(direction, abs=1.0)
        assert strand.length_mm == pytest.approx(row["length_mm"], abs=6.0)
        assert np.hypot(*(line - strand.centre_mm).T).min() < 6.0
        assert strand.spread_mm < 0.25
        places, across = zip(*strand.profile_mm, strict=True)
        assert 0 < min(places) < max(places) < strand.length_mm
        assert np.mean(across) == pytest.approx(strand.width_mm, abs=0.1)


def test_touching_strands_are_never_taken_for_one():
    _picture, reading, truth = committed("alkaline-thin-touching-and-crossing")
    touching = [row for row in truth["strands"] if row["touching"] and not row["crossing"]]
    assert len(touching) > 6
    assert abs(errors(reading, truth)).max() < 0.2
    left = [strand for strand in reading.strands if strand.width_mm is None]
    assert all({TOUCHING, CROSSING} & set(strand.flags) for strand in left)
    assert "some_not_measured" in reading.remarks


def test_a_strand_that_lies_over_others_gets_no_width():
    _picture, reading, truth = committed("alkaline-thin-touching-and-crossing")
    over = [row["id"] for row in truth["strands"] if row["crossing"]]
    assert len(over) == 1
    pairs, _false = paired(truth["strands"], reading.measured)
    assert not {row["id"] for row, _strand in pairs} & set(over)


def test_strands_that_leave_the_field_are_measured_inside_it():
    _picture, reading, truth = committed("wheat-thin-floured-beyond-the-field")
    leaving = [row for row in truth["strands"] if row["share_in_field"] < 0.95]
    assert len(leaving) > 10
    pairs, _false = paired(truth["strands"], reading.measured)
    pairs = [(row, strand) for row, strand in pairs if row in leaving]
    assert len(pairs) == len(leaving)
    assert sum(OFF_FIELD in strand.flags for _row, strand in pairs) > 0.3 * len(leaving)
    for row, strand in pairs:
        assert strand.length_mm < 1.05 * row["share_in_field"] * row["length_mm"] + 4
        assert strand.width_mm == pytest.approx(row["mean_width_in_field_mm"], abs=0.1)


def test_the_mean_is_taken_at_the_middle_and_not_moved_by_a_torn_place():
    at = np.linspace(10, 90, 21)
    wedge = 3.0 + 0.01 * (at - 50)
    assert mean_width(at, wedge, 50.0, 100.0, 1.0).width == pytest.approx(3.0)
    assert mean_width(at, wedge, 50.0, 100.0, 1.0).taper == pytest.approx(1.0)
    seen = at < 55  # the other end is hidden
    half = mean_width(at[seen], wedge[seen], 50.0, 100.0, 0.55)
    assert half.width == pytest.approx(3.0)
    assert half.random > mean_width(at, wedge, 50.0, 100.0, 1.0).random
    rng = np.random.default_rng(3)
    noisy = 3.0 + rng.normal(0, 0.02, 21)
    noisy[4] = 4.5
    torn = mean_width(at, noisy, 50.0, 100.0, 1.0)
    assert torn.width == pytest.approx(3.0, abs=0.03)


# Uncertainty -----------------------------------------------------------------------------------


def test_contributions_combine_as_in_the_guide(monkeypatch):
    # JCGM 100:2008, annex H.1: 25, 9.7, 2.9 and 16.6 nm make 32 nm (31.66 to 31.71 unrounded). Each
    # is put in by another way, with whatever else contributes set to nothing.
    for name in ("OWN_THICKNESS", "EDGE_U_PX", "EDGE_RANDOM_PX", "ROUNDING_U_MM"):
        monkeypatch.setattr(strand_widths, name, 0.0)
    monkeypatch.setattr(strand_widths, "SCALE_U", 2.9 / 58)
    one = np.ones(5)
    sections = Sections(
        strand=np.zeros(5, int), at_mm=one, width_mm=58 * one, centre_mm=np.ones((5, 2)),
        tangent=0.5 * one, per_mm=one, wall_u_mm=16.6 * one, clear=one > 0, sharp=one > 0,
        dazzled=one < 0,
    )  # fmt: skip
    u, random = uncertainty(
        Mean(58.0, 25.0, 0.0, 0.0), sections, one > 0, 2.0, 9.7 / 0.5, top_light=1.0
    )
    assert 31.66 <= u <= 31.71
    assert random == pytest.approx(25.0)


def test_the_part_that_differs_from_strand_to_strand_is_the_smaller():
    for strand in base_reading().measured:
        assert 0 < strand.random_mm < strand.u_mm


def test_uncertainty_grows_with_the_viewing_angle():
    x = base()[1]["camera"]["position_mm"][0]
    away = [abs(strand.centre_mm[0] - x) for strand in base_reading().measured]
    unsure = [strand.u_mm for strand in base_reading().measured]
    assert np.corrcoef(away, unsure)[0, 1] > 0.9


# Refusals --------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["one-marker", "steep", "nothing-flour", "heaped-thin", "glare"])
def test_what_cannot_be_measured_is_refused_for_its_reason(name):
    scene = refusal_scenes(seed=900)[name]
    data, _truth = render(scene)
    assert refusal_of(open_picture(data), scene.thickness_mm) == scene.reason


def test_two_hidden_markers_are_said_to_be_hidden():
    both = np.minimum(without_marker(0), without_marker(2))
    with pytest.raises(RefusedError) as refused:
        measure_strands(Picture(both, 26.0), THICKNESS_MM)
    told = refused.value
    assert (told.reason, told.found, told.limit) == (Reason.MARKERS_HIDDEN, 2, 3)


BLIND = {Reason.BLURRED, Reason.MARKERS_HIDDEN, Reason.NO_CARD, Reason.DARK}
"""What a photo can look like whose markers can hardly be made out."""


@pytest.mark.parametrize(
    ("sigma_px", "reasons"), [(1.8, {Reason.BLURRED}), (3.0, BLIND), (8.0, {Reason.BLURRED})]
)
def test_a_blurred_photo_is_refused(sigma_px, reasons):
    light = to_light(base()[0].pixels).astype(np.float32)
    soft = to_stored(cv2.GaussianBlur(light, (0, 0), sigma_px))
    assert refusal_of(Picture(np.rint(soft).astype(np.uint8), 26.0)) in reasons


@pytest.mark.parametrize(("share", "reasons"), [(0.02, BLIND), (0.004, {Reason.DARK})])
def test_a_dark_photo_is_refused(share, reasons):
    dark = np.rint(to_stored(share * to_light(base()[0].pixels))).astype(np.uint8)
    assert refusal_of(Picture(dark, 26.0)) in reasons


def test_a_photo_from_too_far_away_is_refused():
    picture = base()[0]
    height, width = picture.pixels.shape[:2]
    small = cv2.resize(
        picture.pixels, (width * 6 // 10, height * 6 // 10), interpolation=cv2.INTER_AREA
    )
    table = np.full_like(picture.pixels, 120)
    table[: small.shape[0], : small.shape[1]] = small
    assert refusal_of(Picture(table, None)) == Reason.FAR


def test_a_card_that_is_not_flat_is_refused():
    picture = base()[0]
    height, width = picture.pixels.shape[:2]
    x, y = np.meshgrid(np.arange(width, dtype=np.float32), np.arange(height, dtype=np.float32))
    wave = 6 * np.sin(2 * np.pi * x / 500).astype(np.float32)
    curled = cv2.remap(picture.pixels, x, y + wave, cv2.INTER_LINEAR)
    assert refusal_of(Picture(curled, 26.0)) == Reason.CARD_BENT


def test_a_mirrored_card_is_no_card():
    assert refusal_of(Picture(np.ascontiguousarray(base()[0].pixels[:, ::-1]), 26.0)) == "no_card"


@pytest.mark.parametrize(
    ("pixels", "reason"),
    [
        (np.full((1000, 1200, 3), 128, np.uint8), Reason.NO_CARD),
        (np.zeros((1000, 1200, 3), np.uint8), Reason.DARK),
        (np.random.default_rng(1).integers(0, 256, (1000, 1200, 3), np.uint8), Reason.NO_CARD),
    ],
    ids=["grey", "black", "noise"],
)
def test_pictures_of_nothing_are_refused(pixels, reason):
    assert refusal_of(Picture(pixels, None)) == reason


@pytest.mark.parametrize(
    "given",
    [
        {"thickness_mm": 0},
        {"thickness_mm": 21},
        {"thickness_mm": float("nan")},
        {"bar_mm": 89},
        {"bar_mm": 111},
        {"thickness_u_mm": -0.1},
    ],
)
def test_lengths_that_cannot_be_are_not_reckoned_with(given):
    with pytest.raises(ValueError):
        measure_strands(base()[0], **given)


def test_glare_on_a_few_strands_moves_no_width():
    """A lamp's reflection over two strands: they are left out, or measured where they are seen."""
    picture, clean = base()[0], base_reading()
    middle = np.mean([np.mean(strand.outline_px, axis=0) for strand in clean.strands[1:3]], axis=0)
    rgb = picture.pixels.copy()
    cv2.circle(rgb, np.rint(middle).astype(int).tolist(), 45, (255, 255, 255), -1, cv2.LINE_AA)
    reading = measure_strands(Picture(rgb, 26.0), THICKNESS_MM)
    pairs, false = paired(base()[1]["strands"], reading.measured)
    before, _false = paired(base()[1]["strands"], clean.measured)
    known = {row["id"]: strand.width_mm for row, strand in before}
    assert false == 0
    assert len(pairs) >= len(before) - 3
    for row, strand in pairs:
        assert strand.width_mm == pytest.approx(known[row["id"]], abs=0.05)


# The annotated picture -------------------------------------------------------------------------


def test_the_annotated_picture_shows_every_strand_and_leaves_the_photo_alone():
    picture, reading, _truth = committed("alkaline-thin-touching-and-crossing")
    before = picture.pixels.copy()
    drawn = annotated(picture, reading)
    assert drawn.shape == picture.pixels.shape
    assert (picture.pixels == before).all()
    changed = (drawn != before).any(axis=2)
    assert 0.001 < changed.mean() < 0.1
    for strand in reading.strands:
        x, y = np.rint(np.array(strand.outline_px)).astype(int).T
        assert changed[y, x].mean() > 0.5


def test_numbers_do_not_lie_on_one_another():
    rng = np.random.default_rng(4)
    places = np.cumsum(rng.uniform(2, 14, 24))
    ends = [(np.array([x, rng.uniform(0, 30)]), np.array([0.0, -1.0])) for x in places]
    lengths = rng.uniform(40, 60, 24).tolist()
    gaps = apart(ends, lengths, 10.0)
    spans = [
        (float(end[0]), -float(end[1]) + gap, -float(end[1]) + gap + length)
        for (end, _toward), gap, length in zip(ends, gaps, lengths, strict=True)
    ]
    for (one, first, last), (other, low, high) in itertools.combinations(spans, 2):
        assert abs(one - other) >= 10 or last <= low or high <= first
    assert min(gaps) > 0


def test_no_strands_no_marks():
    picture = base()[0]
    assert (annotated(picture, replace(base_reading(), strands=())) == picture.pixels).all()
