"""Between stored values and light.

Blur, shading and the share of a pixel that an edge covers add up in light; files store it on a
curve. Edges are therefore looked for at the stored value of half the light, not at half the
stored value.
"""

from typing import Final

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

LUMA: Final = (0.299, 0.587, 0.114)
"""Weights of stored red, green, blue in JPEG's luma (ITU-R BT.601): it keeps full resolution
where a file stores colour at half of it, so edges are placed in it."""


def to_light(stored: ArrayLike) -> NDArray[np.float64]:
    """Return light 0..1 of stored values 0..255 (sRGB, IEC 61966-2-1)."""
    v = np.asarray(stored, dtype=np.float64) / 255
    return np.where(v <= 0.04045, v / 12.92, ((np.maximum(v, 0) + 0.055) / 1.055) ** 2.4)


def to_stored(light: ArrayLike) -> NDArray[np.float64]:
    """Return stored values 0..255 of light, the inverse of `to_light`."""
    v = np.asarray(light, dtype=np.float64)
    return 255 * np.where(
        v <= 0.0031308, 12.92 * v, 1.055 * np.maximum(v, 1e-9) ** (1 / 2.4) - 0.055
    )


LIGHT_OF: Final = to_light(np.arange(256)).astype(np.float32)
"""Light of each stored value."""


def luma_of(rgb: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return the luma of a picture, shape (height, width)."""
    return np.asarray(cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY), dtype=np.uint8)


def light_between(
    dark_rgb: NDArray[np.float64], bright_rgb: NDArray[np.float64]
) -> NDArray[np.float32]:
    """Return the light of each luma 0..255 along an edge between two stored colours.

    Luma is a sum of stored values, not of light, so that halfway in light is not halfway in luma's
    own light when the colours differ: each luma between the two colours' gets the light of the
    mixture that has it, others the light of grey.
    """
    grey = to_light(np.arange(256))
    weights = np.array(LUMA)
    low, high = float(dark_rgb @ weights), float(bright_rgb @ weights)
    if high - low < 20:
        return np.asarray(grey, dtype=np.float32)
    share = np.linspace(0, 1, 201)[:, None]
    mixture = to_light(dark_rgb) * (1 - share) + to_light(bright_rgb) * share
    luma = to_stored(mixture) @ weights
    levels = np.arange(256)
    ends = to_light(np.array([low, high]))
    between = ends[0] + np.interp(levels, luma, share[:, 0]) * (ends[1] - ends[0])
    return np.where((levels > low) & (levels < high), between, grey).astype(np.float32)


def look_up(
    image: NDArray[np.generic], at: NDArray[np.float32], *, cubic: bool = False
) -> NDArray[np.generic]:
    """Return `image` at the pixels `at`, shape (rows, columns, 2); outside, its nearest edge."""
    method = cv2.INTER_CUBIC if cubic else cv2.INTER_LINEAR
    # The one array of both coordinates is documented; the stub asks for two.
    return cv2.remap(image, at, None, method, borderMode=cv2.BORDER_REPLICATE)  # type: ignore[call-overload, no-any-return]
