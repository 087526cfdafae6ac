"""Draw what was measured into the photo."""

from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from assessments.calculations.measuring.pictures import Picture
from assessments.calculations.measuring.results import PhotoReading

MEASURED_RGB: Final = (0, 200, 120)
LEFT_RGB: Final = (255, 140, 0)


def annotated(picture: Picture, reading: PhotoReading) -> NDArray[np.uint8]:
    """Return the picture with every strand's outline, number and width drawn into it.

    Parameters
    ----------
    picture : Picture
        The one that was measured.
    reading : PhotoReading

    Returns
    -------
    ndarray of uint8, shape (height, width, 3)
        Red, green, blue. Strands without a width are drawn broken and marked "?".
    """
    drawn = picture.pixels.copy()
    size = max(drawn.shape) / 2000
    line = max(1, round(2 * size))
    for strand in reading.strands:
        outline = np.rint(np.array(strand.outline_px)).astype(np.int32)
        measured = strand.width_mm is not None
        colour = MEASURED_RGB if measured else LEFT_RGB
        if measured:
            cv2.polylines(drawn, [outline], True, colour, line, cv2.LINE_AA)
        else:
            for first, second in zip(outline[::2], outline[1::2], strict=False):
                cv2.line(drawn, first.tolist(), second.tolist(), colour, line, cv2.LINE_AA)
        text = f"{strand.number} {strand.width_mm:.2f}" if measured else f"{strand.number} ?"
        at = np.rint(outline[0]).astype(int)
        place = (int(at[0]), int(at[1]) - 3 * line)
        for ink, weight in (((0, 0, 0), 3 * line), (colour, line)):
            cv2.putText(
                drawn, text, place, cv2.FONT_HERSHEY_SIMPLEX, 0.6 * size, ink, weight, cv2.LINE_AA
            )
    return drawn
