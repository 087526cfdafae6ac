"""QR codes as one path, drawn by the page itself: no picture to fetch, sharp at any size."""

from dataclasses import dataclass
from itertools import groupby

from qrcode.constants import ERROR_CORRECT_M
from qrcode.main import QRCode

# Light modules around the code, which a reader needs (ISO/IEC 18004: four).
QUIET = 4


@dataclass(frozen=True, slots=True)
class Code:
    """A code ``size`` modules wide with its quiet zone; ``path`` fills its dark modules."""

    size: int
    path: str


def qr_code(text: str) -> Code:
    """Return the QR code of ``text``, with 15 % of it allowed to be damaged (level M)."""
    code = QRCode(error_correction=ERROR_CORRECT_M, border=QUIET)
    code.add_data(text)
    code.make(fit=True)
    matrix = code.get_matrix()
    runs = (run for y, row in enumerate(matrix) for run in _runs(row, y))
    return Code(len(matrix), "".join(runs))


def _runs(row, y):
    """Yield the dark runs of a row, each as a closed part of a path."""
    x = 0
    for is_dark, group in groupby(row):
        width = len(list(group))
        if is_dark:
            yield f"M{x} {y}h{width}v1h-{width}z"
        x += width
