"""The truth beside the synthetic photos, checked against their pixels.

The measuring is judged by these photos, so nothing of the measuring is used here.
"""

import io
import itertools
import math

import cv2
import numpy as np
import pytest
from PIL import Image

from assessments.calculations.measuring.card import A4, LETTER, MARKER_MM, PAD_MM
from assessments.calculations.measuring.refusals import Reason
from tests.assessments.measuring import scenes
from tests.assessments.measuring.rendering import Picture

# A lens so far away and so long that every ray falls straight down: 6 pixels per millimetre.
FROM_ABOVE = {
    "size": (1200, 900),
    "height_mm": 1e5,
    "focal_35mm": 1e5 * 6 / 1500 * 43.2666,
    "tilt_deg": 0.0,
}


def rendered(scene):
    """Return the picture before the lens, its camera and its strands."""
    strands, over = scenes.strands_of(scene)
    camera = scenes.camera_of(scene)
    rng = np.random.default_rng(0)
    return Picture(camera, strands + over, scenes.look_of(scene), rng), camera, strands


def coverage(picture, strand):
    """Return what share of each pixel one strand covers, as an array of the picture's shape."""
    share = np.zeros(picture.light.shape[:2])
    index, covered = picture.paint_strand(strand)
    share.ravel()[index] = covered
    return share


@pytest.mark.parametrize("seed", [1, 2])
def test_area_seen_from_above_is_width_times_length(seed):
    scene = scenes.Scene(seed, count=6, direction_deg=83.0, **FROM_ABOVE)
    picture, camera, strands = rendered(scene)
    per_mm = camera.fpx / 1e5

    for strand in strands:
        x0, arc = strand.along()
        mean_width = np.trapezoid(strand.width(x0), arc) / arc[-1]
        area = coverage(picture, strand).sum() / per_mm**2
        assert area / arc[-1] == pytest.approx(mean_width, abs=0.003)


def test_width_in_the_truth_is_that_of_the_middle_ninety_per_cent():
    scene = scenes.Scene(3, count=6, curvature=0.0, taper=0.1, **FROM_ABOVE)
    picture, camera, strands = rendered(scene)
    truth = scenes.truth_of(scene, camera, strands, [])

    for strand, row in zip(strands, truth["strands"], strict=True):
        # Rows of pixels cut a straight, upright strand into sections.
        ends = camera.project(np.array([[*p, 0.0] for p in row["centreline"]]))[[0, -1], 1]
        rim = 0.05 * (ends[1] - ends[0])
        rows = coverage(picture, strand)[math.ceil(ends[0] + rim) : int(ends[1] - rim) + 1]
        widths = rows.sum(axis=1) / (camera.fpx / 1e5)
        assert widths.mean() == pytest.approx(row["mean_width_mm"], abs=0.003)
        assert widths.std() == pytest.approx(row["sd_along_mm"], abs=0.003)


def test_outline_seen_from_the_side_runs_from_top_edge_to_foot():
    scene = scenes.Scene(
        4, count=5, edge_radius_mm=(0.0, 0.0), tilt_deg=14.0, tilt_azimuth_deg=20.0, k1=0.02
    )
    picture, camera, strands = rendered(scene)

    for strand in strands:
        x0 = np.linspace(0, strand.axis_mm, 4000)
        edges = [
            camera.project(np.column_stack([strand.points(x0, v), np.full(len(x0), z)]))
            for v in (-strand.width(x0) / 2, strand.width(x0) / 2)
            for z in (0.0, strand.thickness)
        ]
        low = max(edge[:, 1].min() for edge in edges) + 12
        high = min(edge[:, 1].max() for edge in edges) - 12
        rows = np.arange(math.ceil(low), int(high))
        crossings = []
        for edge in edges:
            order = np.argsort(edge[:, 1])
            crossings.append(np.interp(rows, edge[order, 1], edge[order, 0]))
        expected = np.max(crossings, axis=0) - np.min(crossings, axis=0)
        off = coverage(picture, strand)[rows].sum(axis=1) - expected
        assert abs(off.mean()) < 0.01
        assert np.abs(off).max() < 0.06


@pytest.mark.parametrize("card", [A4, LETTER])
def test_markers_lie_where_the_camera_sees_them(card):
    scene = scenes.Scene(
        5, card=card.name, count=0, tilt_deg=12.0, tilt_azimuth_deg=300.0, roll_deg=17.0, k1=-0.02,
        height_mm=420.0,
    )  # fmt: skip
    picture, camera, _ = rendered(scene)
    grey = picture.light.mean(axis=2)
    reach = np.linspace(-2, 2, 161)
    offsets = []
    for left, top in card.markers_mm.values():
        corners = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * MARKER_MM + (left, top)
        for start, end in zip(corners, np.roll(corners, -1, axis=0), strict=True):
            along = (end - start) / MARKER_MM
            outwards = np.array([along[1], -along[0]])
            shares = np.linspace(0.15, 0.85, 60)[:, None]
            edge = start + shares * (end - start)
            points = edge[:, None] + reach[None, :, None] * outwards
            flat = np.column_stack([points.reshape(-1, 2), np.zeros(points[..., 0].size)])
            pixels = camera.project(flat).astype(np.float32).reshape(*points.shape)
            seen = cv2.remap(grey, pixels[..., 0], pixels[..., 1], cv2.INTER_LINEAR).mean(axis=0)
            black, white = seen[:20].mean(), seen[-20:].mean()
            # The step that has as much light: how far the white reaches inwards.
            white_mm = np.trapezoid(seen - black, reach) / (white - black)
            px_per_mm = camera.fpx / camera.position[2]
            offsets.append((white_mm - 2.0) * px_per_mm)
    assert np.abs(np.mean(offsets)) < 0.02
    assert np.abs(offsets).max() < 0.05


def test_photo_says_what_the_phone_did():
    scene = scenes.Scene(6, orientation=6, focal_35mm=28.0, height_mm=400.0)
    data, truth = scenes.render(scene)
    image = Image.open(io.BytesIO(data))

    assert image.format == "JPEG"
    assert list(image.size) == truth["image_size"]
    assert image.getexif()[0x0112] == 6
    assert image.getexif().get_ifd(0x8769)[0xA405] == 28
    settings = cv2.aruco.DetectorParameters()
    settings.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    detector = cv2.aruco.ArucoDetector(dictionary, settings)
    corners, ids, _ = detector.detectMarkers(np.asarray(image)[..., ::-1].copy())
    assert sorted(ids.ravel()) == truth["markers_visible"] == [0, 1, 2, 3]
    matrix = np.array(truth["camera"]["P"])
    for number, found in zip(ids.ravel(), corners, strict=True):
        left, top = A4.markers_mm[int(number)]
        square = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * MARKER_MM + (left, top)
        seen = np.column_stack([square, np.zeros(4), np.ones(4)]) @ matrix.T
        assert np.abs(found[0] - seen[:, :2] / seen[:, 2:]).max() < 1.5


def test_mirrored_tag_stores_a_mirrored_picture():
    plain = scenes.Scene(7, card=None, count=2, jpeg_quality=92, size=(800, 600))
    images = []
    for orientation in (1, 2):
        data, truth = scenes.render(scenes.replace(plain, orientation=orientation))
        images.append(np.asarray(Image.open(io.BytesIO(data)), float))
        middle = truth["strands"][0]["centreline"][5]
        seen = np.array(truth["camera"]["P"]) @ [*middle, truth["strands"][0]["thickness_mm"], 1]
        column, row = np.round(seen[:2] / seen[2]).astype(int)
        assert images[-1][row, column].mean() > 120
    assert np.abs(images[0] - images[1][:, ::-1]).mean() < 2


def test_same_scene_gives_the_same_file():
    scene = scenes.Scene(8, count=3, size=(800, 600), flour=0.3, gloss=2.0)
    assert scenes.render(scene)[0] == scenes.render(scene)[0]
    assert scenes.render(scene)[0] != scenes.render(scenes.replace(scene, seed=9))[0]


def test_strands_lie_apart_unless_the_truth_says_otherwise():
    touching = free = 0
    for seed in range(12):
        scene = scenes.random_scene(seed)
        strands, over = scenes.strands_of(scene)
        truth = scenes.truth_of(scene, scenes.camera_of(scene), strands, over)
        for first, second in itertools.pairwise(strands):
            assert scenes.clearance(first, second) > -0.02
        touching += sum(row["touching"] for row in truth["strands"])
        free += sum(not row["touching"] for row in truth["strands"])
        assert len(strands) == len(truth["strands"]) - len(over)
        card = LETTER if scene.card == "Letter" else A4
        for strand in strands:
            rim = strand.points(np.linspace(0, strand.axis_mm, 50))
            assert (rim > 1).all()
            assert (rim < np.array(card.page_mm) - 1).all()
            for left, top in card.markers_mm.values():
                middle = np.array([left, top]) + MARKER_MM / 2
                far = np.abs(rim - middle).max(axis=1) - strand.half_max
                assert far.min() > PAD_MM / 2
    assert free > 2 * touching > 0


def test_refusals_are_what_they_say():
    refused = scenes.refusal_scenes()
    assert {scene.reason for scene in refused.values()} == {
        Reason.NO_CARD, Reason.MARKERS_HIDDEN, Reason.BLURRED, Reason.DARK, Reason.FAR,
        Reason.STEEP, Reason.GLARE, Reason.NOTHING, Reason.HEAPED,
    }  # fmt: skip
    for scene in refused.values():
        seen = scenes.visible_markers(scene, scenes.camera_of(scene))
        if scene.reason == Reason.NO_CARD:
            assert seen == []
        elif scene.reason == Reason.MARKERS_HIDDEN:
            assert len(seen) in (1, 2)
        else:
            assert len(seen) >= 3
        strands, _ = scenes.strands_of(scene)
        assert (strands == []) == (scene.reason == Reason.NOTHING)
        if scene.reason == Reason.FAR:
            camera = scenes.camera_of(scene)
            assert camera.fpx / camera.position[2] < 3
