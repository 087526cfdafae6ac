"""A pinhole camera above the card: from card millimetres to pixels and back."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Camera:
    """Position and lens of one photo.

    Attributes
    ----------
    rotation : ndarray, shape (3, 3)
        From card axes (x right, y down, depth into the card) to camera axes.
    translation_mm : ndarray, shape (3,)
    focal_px : float
        Focal length.
    centre_px : tuple of float
        Middle of the picture; the centre of the first pixel is (0, 0).
    distortion : float
        Radial coefficient k: a point moves from the centre by 1 + k r^2, r in focal lengths
        (the first term of Brown's model, Photogrammetric Engineering 37, 1971, from memory).
    """

    rotation: Floats
    translation_mm: Floats
    focal_px: float
    centre_px: tuple[float, float]
    distortion: float

    def project(self, points_mm: Floats) -> Floats:
        """Return pixels, shape (..., 2), of card points (x, y, z up), shape (..., 3)."""
        at = points_mm * np.array([1.0, 1.0, -1.0])
        seen = at @ self.rotation.T + self.translation_mm
        flat = seen[..., :2] / seen[..., 2:]
        bent = flat * (1 + self.distortion * (flat**2).sum(-1, keepdims=True))
        return np.asarray(self.focal_px * bent + np.asarray(self.centre_px))

    def on_card(self, pixels: Floats, z_mm: float = 0.0) -> Floats:
        """Return the points (x, y), shape (..., 2), at height `z_mm` that are seen at `pixels`."""
        bent = (pixels - np.asarray(self.centre_px)) / self.focal_px
        flat = bent
        for _ in range(4):  # fixed point; the coefficient is far below 1
            flat = bent / (1 + self.distortion * (flat**2).sum(-1, keepdims=True))
        rays = np.concatenate([flat, np.ones_like(flat[..., :1])], axis=-1) @ self.rotation
        x, y, height = self.position_mm
        reach = (height - z_mm) / rays[..., 2:]
        return np.asarray(np.array([x, y]) + rays[..., :2] * reach)

    @property
    def position_mm(self) -> Floats:
        """Place of the lens: x, y and its height above the card."""
        place: Floats = -self.rotation.T @ self.translation_mm
        return np.asarray(place * np.array([1.0, 1.0, -1.0]))

    @property
    def tilt_deg(self) -> float:
        """Angle between the optical axis and straight down."""
        return float(np.degrees(np.arccos(np.clip(self.rotation[2, 2], -1, 1))))

    def px_per_mm(self, x_mm: float, y_mm: float, z_mm: float = 0.0) -> float:
        """Return the resolution at a point of the card: the root of the area of a square mm."""
        corner = np.array([[x_mm, y_mm, z_mm], [x_mm + 1, y_mm, z_mm], [x_mm, y_mm + 1, z_mm]])
        a, b, c = self.project(corner)
        return float(np.sqrt(abs(np.cross(np.append(b - a, 0), np.append(c - a, 0))[2])))
