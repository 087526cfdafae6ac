"""Measure the strands of one photo: the way in."""

from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from assessments.calculations.measuring.field import (
    Dough,
    direction_of,
    dough_in,
    view_of,
    white_of,
)
from assessments.calculations.measuring.light import light_between, luma_of, to_light
from assessments.calculations.measuring.pictures import Picture
from assessments.calculations.measuring.pose import Pose, find_pose
from assessments.calculations.measuring.refusals import Reason, RefusedError
from assessments.calculations.measuring.results import (
    GLARE,
    CameraReading,
    PhotoReading,
    StrandReading,
)
from assessments.calculations.measuring.shading import shadows_beside
from assessments.calculations.measuring.strands import readings_of
from assessments.calculations.measuring.tracks import Track, follow
from assessments.calculations.measuring.widths import line_of, measure_sections

# Limits of a photo. Those named SOFT, COARSE and TILTED are told, the others refuse.
MOST_BLUR_MM: Final = 0.45
SOFT_MM: Final = 0.25
MOST_MISFIT_MM: Final = 0.1
"""Root mean square by which the markers' edges miss their places on a flat card."""
LEAST_PX_PER_MM: Final = 2.4
COARSE_PX_PER_MM: Final = 3.0
MOST_TILT_DEG: Final = 35.0
TILTED_DEG: Final = 20.0
LEAST_WHITE: Final = 50.0
"""Stored value of the markers' white below which noise hides the edges."""
LEAST_DOUGH: Final = 0.003
"""Part of the field below which there is nothing on the card."""
LEAST_EXPLAINED: Final = 0.4
"""Part of the dough in the field that must belong to strands told apart."""
LEAST_MEASURED: Final = 0.25
"""Part of the strands that must have a width."""
GLARING: Final = 0.34
"""Part of the strands lost in a reflection from which on a photo is refused."""
MOSTLY_HIDDEN: Final = 0.5
SATURATED: Final = 0.95
"""Light over the markers' white above which a place may be a lamp's reflection."""

ASSUMED_MM: Final = 2.0
ASSUMED_U_MM: Final = 0.7
"""Thickness where none is known: sheets for noodles are 1 to 4 mm (common practice)."""
GIVEN_U: Final = 0.02
"""Relative standard uncertainty of a thickness given without one."""

_COARSE_VIEW: Final = 3.0
_ALONG: Final = 2.0
_ACROSS: Final = 8.0


def measure_strands(
    picture: Picture,
    thickness_mm: float | None = None,
    *,
    thickness_u_mm: float | None = None,
    bar_mm: float | None = None,
) -> PhotoReading:
    """Measure every strand on the card.

    Parameters
    ----------
    picture : Picture
        Upright, see `pictures.open_picture`.
    thickness_mm : float, optional
        Thickness of the sheet, above 0 and at most 20. Without it 2 mm are assumed and the
        uncertainty grows.
    thickness_u_mm : float, optional
        Its standard uncertainty; by default a fiftieth of it.
    bar_mm : float, optional
        Length of the card's 100 mm bar as printed, by a ruler, 90 to 110.

    Returns
    -------
    PhotoReading

    Raises
    ------
    RefusedError
        When the photo gives no numbers that could be relied on.
    ValueError
        For a thickness or bar outside its range.
    """
    if thickness_mm is not None and not 0 < thickness_mm <= 20:
        raise ValueError(f"The thickness must be above 0 and at most 20 mm, not {thickness_mm}.")
    if bar_mm is not None and not 90 <= bar_mm <= 110:
        raise ValueError(f"The bar must be 90 to 110 mm long, not {bar_mm}.")
    if thickness_u_mm is not None and not thickness_u_mm >= 0:
        raise ValueError(f"An uncertainty cannot be below zero, not {thickness_u_mm}.")
    assumed = thickness_mm is None
    if thickness_mm is None:
        thickness_mm, usual_u_mm = ASSUMED_MM, ASSUMED_U_MM
    else:
        usual_u_mm = GIVEN_U * thickness_mm
    u_mm = usual_u_mm if thickness_u_mm is None else thickness_u_mm
    luma = luma_of(picture.pixels)
    pose = pose_or_refusal(luma, picture.focal_35mm, bar_mm)
    camera = camera_reading(pose)
    white = white_of(picture.pixels, pose.camera, pose.card, pose.markers)
    coarse = view_of(
        picture.pixels,
        pose.camera,
        pose.card,
        white,
        z_mm=thickness_mm,
        along_per_mm=_COARSE_VIEW,
        across_per_mm=_COARSE_VIEW,
    )
    first = dough_in(coarse)
    if first.top.mean() < LEAST_DOUGH:
        raise RefusedError(Reason.NOTHING)
    view = view_of(
        picture.pixels,
        pose.camera,
        pose.card,
        white,
        z_mm=thickness_mm,
        angle_deg=direction_of(first.top, _COARSE_VIEW),
        along_per_mm=_ALONG,
        across_per_mm=_ACROSS,
    )
    dough = dough_in(view)
    tracks = follow(view, dough)
    if not tracks:
        raise RefusedError(without_strands(dough))
    lines = [line_of(track, view) for track in tracks]
    sections = None
    if any(len(line.at_mm) for line in lines):
        light_of = light_between(dough.card_rgb, dough.top_rgb)
        shadows = shadows_beside(tracks, view, dough, thickness_mm)
        sections = measure_sections(luma, light_of, pose, lines, thickness_mm, shadows)
    strands = readings_of(
        tracks,
        lines,
        sections,
        view,
        pose.camera,
        pose.card.field_mm,
        thickness_mm=thickness_mm,
        thickness_u_mm=u_mm,
        top_light=float(np.median(dough.light[dough.top > 0])),
    )
    refuse_unmeasured(strands, tracks, dough, view.along_per_mm * view.across_per_mm)
    remarks = remarks_on(camera, pose, strands, assumed=assumed)
    height, width = luma.shape
    poor = {"soft", "coarse", "tilted", "glare"} & set(remarks)
    return PhotoReading(
        card=pose.card.name,
        markers=pose.markers,
        size_px=(width, height),
        camera=camera,
        thickness_mm=round(thickness_mm, 4),
        thickness_u_mm=round(u_mm, 4),
        strands=strands,
        verdict="poor" if poor else "good",
        remarks=remarks,
    )


def pose_or_refusal(
    luma: NDArray[np.uint8], focal_35mm: float | None, bar_mm: float | None
) -> Pose:
    """Return the pose, or refuse the photo for what its markers show."""
    try:
        pose = find_pose(luma, focal_35mm, bar_mm)
    except RefusedError as refusal:
        if refusal.reason == Reason.NO_CARD:
            raise RefusedError(without_card(luma)) from None
        raise
    left, top, right, bottom = pose.card.field_mm
    per_mm = pose.camera.px_per_mm((left + right) / 2, (top + bottom) / 2)
    white = float(np.interp(pose.white, to_light(np.arange(256)), np.arange(256)))
    if white < LEAST_WHITE:
        raise RefusedError(Reason.DARK, found=round(white), limit=LEAST_WHITE)
    if pose.camera.tilt_deg > MOST_TILT_DEG:
        found = round(pose.camera.tilt_deg, 1)
        raise RefusedError(Reason.STEEP, found=found, limit=MOST_TILT_DEG)
    if per_mm < LEAST_PX_PER_MM:
        raise RefusedError(Reason.FAR, found=round(per_mm, 1), limit=LEAST_PX_PER_MM)
    if pose.residual_px / per_mm > MOST_MISFIT_MM:
        found = round(pose.residual_px / per_mm, 2)
        raise RefusedError(Reason.CARD_BENT, found=found, limit=MOST_MISFIT_MM)
    if pose.blur_px / per_mm > MOST_BLUR_MM:
        found = round(pose.blur_px / per_mm, 2)
        raise RefusedError(Reason.BLURRED, found=found, limit=MOST_BLUR_MM)
    return pose


def without_card(luma: NDArray[np.uint8]) -> Reason:
    """Tell why no marker is found: darkness, blur, or no card."""
    scale = 800 / max(luma.shape)
    small = cv2.resize(luma, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    if np.quantile(small, 0.98) < LEAST_WHITE:
        return Reason.DARK
    # The steepest places of a sharp picture rise by most of their range within two pixels.
    rise = abs(cv2.Sobel(small, cv2.CV_32F, 1, 0)) / 8
    range_ = float(np.quantile(small, 0.98)) - float(np.quantile(small, 0.02))
    return Reason.BLURRED if np.quantile(rise, 0.9995) < 0.17 * range_ else Reason.NO_CARD


def without_strands(dough: Dough) -> Reason:
    """Tell why dough-like places hold no strand: lamp light on the card, or a heap."""
    there = dough.top > 0
    bright = there & (dough.light > SATURATED)
    return Reason.GLARE if bright.sum() > 0.5 * there.sum() else Reason.HEAPED


def refuse_unmeasured(
    strands: tuple[StrandReading, ...], tracks: list[Track], dough: Dough, px_per_mm2: float
) -> None:
    """Refuse a photo on which most of the dough belongs to no strand that could be measured."""
    if sum(GLARE in strand.flags for strand in strands) > GLARING * len(strands):
        raise RefusedError(Reason.GLARE)
    measured = [strand for strand in strands if strand.width_mm is not None]
    told_apart = sum(
        track.length_mm * track.width
        for track in tracks
        if len(track.hidden) < MOSTLY_HIDDEN * len(track.at)
    )
    matte = float((dough.top * (dough.light < SATURATED)).sum()) / px_per_mm2
    if len(measured) < LEAST_MEASURED * len(strands) or told_apart < LEAST_EXPLAINED * matte:
        raise RefusedError(Reason.HEAPED)


def camera_reading(pose: Pose) -> CameraReading:
    """Return what is told of the camera."""
    left, top, right, bottom = pose.card.field_mm
    camera = pose.camera
    return CameraReading(
        height_mm=round(float(camera.position_mm[2]), 1),
        tilt_deg=round(camera.tilt_deg, 2),
        focal_px=round(camera.focal_px, 1),
        focal_from=pose.focal_from,
        distortion=round(camera.distortion, 5),
        px_per_mm=round(camera.px_per_mm((left + right) / 2, (top + bottom) / 2), 3),
        reprojection_px=round(pose.residual_px, 3),
        blur_px=round(pose.blur_px, 3),
    )


def remarks_on(
    camera: CameraReading, pose: Pose, strands: tuple[StrandReading, ...], *, assumed: bool
) -> tuple[str, ...]:
    """Return the codes of what makes the widths less sure."""
    told = {
        "soft": camera.blur_px / camera.px_per_mm > SOFT_MM,
        "coarse": camera.px_per_mm < COARSE_PX_PER_MM,
        "tilted": camera.tilt_deg > TILTED_DEG,
        "thickness_assumed": assumed,
        "marker_hidden": len(pose.markers) < len(pose.card.markers_mm),
        "glare": any(GLARE in strand.flags for strand in strands),
        "some_not_measured": any(strand.width_mm is None for strand in strands),
    }
    return tuple(code for code, holds in told.items() if holds)
