"""What measuring one photo gives."""

from dataclasses import asdict, dataclass
from typing import Any, Final

METHOD_VERSION: Final = "1.0"
"""Kept with every reading; raised whenever the same photo may give other numbers."""

# Flags of a strand. The first three leave it without a width.
TOUCHING: Final = "touching"
CROSSING: Final = "crossing"
GLARE: Final = "glare"
OFF_FIELD: Final = "off_field"


@dataclass(frozen=True, slots=True)
class StrandReading:
    """One strand found on the card.

    Attributes
    ----------
    number : int
        Place in the order across the card, from 1: strands that run from left to right are
        counted from the top, others from the left.
    centre_mm : tuple of float
        Middle of its centreline, (x, y) on the card.
    direction_deg : float
        Direction of the strand on the card, 0 along x, 90 along y, in [0, 180).
    length_mm : float
        Length seen.
    width_mm : float or None
        Mean width of the dough's top face, ends left out; None where it cannot be told.
    u_mm : float or None
        Standard uncertainty of `width_mm` (GUM), all parts.
    random_mm : float or None
        The part of `u_mm` that differs from strand to strand: what a repeated photo would scatter.
    profile_mm : tuple of (float, float)
        Distance along the strand from its first end, and width there.
    taper_mm : float or None
        Change of width from one end of the profile to the other, by a straight line.
    spread_mm : float or None
        Standard deviation of the width along the strand, noise of the edges taken off.
    flags : tuple of str
        `TOUCHING`, `CROSSING`, `GLARE`: not measured; `OFF_FIELD`: measured where it lies within
        the field.
    outline_px : tuple of (float, float)
        Polygon around its top face in the picture, upright, for drawing and tapping.
    """

    number: int
    centre_mm: tuple[float, float]
    direction_deg: float
    length_mm: float
    width_mm: float | None
    u_mm: float | None
    random_mm: float | None
    profile_mm: tuple[tuple[float, float], ...]
    taper_mm: float | None
    spread_mm: float | None
    flags: tuple[str, ...]
    outline_px: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class CameraReading:
    """Where the photo was taken from.

    Attributes
    ----------
    height_mm : float
        Height of the lens above the card.
    tilt_deg : float
        Angle between the view and straight down.
    focal_px : float
        Focal length in pixels.
    focal_from : str
        ``'exif'`` or ``'markers'``.
    distortion : float
        First radial coefficient, 0 where the residuals ask for none.
    px_per_mm : float
        Resolution in the middle of the field.
    reprojection_px : float
        Root mean square of the corners' residuals.
    blur_px : float
        Standard deviation of the blur at the markers' edges.
    """

    height_mm: float
    tilt_deg: float
    focal_px: float
    focal_from: str
    distortion: float
    px_per_mm: float
    reprojection_px: float
    blur_px: float


@dataclass(frozen=True, slots=True)
class PhotoReading:
    """All that one photo gives.

    Attributes
    ----------
    card : str
        Name of the card, see `card.CARDS`.
    markers : tuple of int
        Numbers of the markers used.
    size_px : tuple of int
        Width and height of the upright picture.
    camera : CameraReading
    thickness_mm, thickness_u_mm : float
        Thickness that was reckoned with, and its standard uncertainty.
    strands : tuple of StrandReading
        In their order across the card.
    verdict : str
        ``'good'``, or ``'poor'`` where the widths are less sure than usual; `remarks` say why.
    remarks : tuple of str
        Codes: ``'soft'``, ``'coarse'``, ``'tilted'``, ``'thickness_assumed'``, ``'marker_hidden'``,
        ``'glare'``, ``'some_not_measured'``.
    version : str
        `METHOD_VERSION`.
    """

    card: str
    markers: tuple[int, ...]
    size_px: tuple[int, int]
    camera: CameraReading
    thickness_mm: float
    thickness_u_mm: float
    strands: tuple[StrandReading, ...]
    verdict: str
    remarks: tuple[str, ...]
    version: str = METHOD_VERSION

    @property
    def measured(self) -> tuple[StrandReading, ...]:
        """The strands with a width."""
        return tuple(strand for strand in self.strands if strand.width_mm is not None)

    def as_dict(self) -> dict[str, Any]:
        """Return plain numbers, lists and dicts, ready for JSON."""
        return asdict(self)
