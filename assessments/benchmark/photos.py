"""Time, memory and accuracy of measuring strands in a photo."""

import subprocess
import sys
import tempfile
import textwrap
from dataclasses import dataclass
from pathlib import Path

import cv2
from django.conf import settings

from assessments.benchmark.accuracy import Total, folder_scores, total
from assessments.benchmark.measures import Measure, median_ms
from assessments.calculations.measuring.light import luma_of
from assessments.calculations.measuring.measure import measure_strands
from assessments.calculations.measuring.pictures import open_picture
from assessments.calculations.measuring.pose import DICTIONARY

PHOTOGRAPHS = settings.BASE_DIR / "media" / "photographs"
PHOTO = PHOTOGRAPHS / "buckwheat-thin-12-megapixels.jpg"
THICKNESS_MM = 1.5
MOST_TIMES = 3.0
"""Times of the floor, decoding a photo and finding its markers, that measuring may take."""
MOST_MB = 600.0
"""Memory that measuring a photo of 12 megapixels may take, Python and libraries included."""
LARGE_PX = (8160, 6120)
"""Nearly 50 megapixels, the largest picture that is read."""
LARGE_QUALITY = 90


@dataclass(frozen=True, slots=True)
class PhotoCosts:
    """What photos cost and how well they are measured.

    ``time`` is that of a photo of 12 megapixels over its floor; ``peak_mb`` the most memory of a
    fresh process that measures it, ``large_peak_mb`` the same for one of 50 megapixels.
    """

    time: Measure
    peak_mb: float
    large_peak_mb: float
    accuracy: Total


def photo_costs(repeats: int) -> PhotoCosts:
    """Return all measures of photos."""
    with tempfile.TemporaryDirectory() as folder:
        large = Path(folder) / "large.jpg"
        write_large(large)
        large_peak_mb = peak_mb(large)
    return PhotoCosts(
        time=measure_time(repeats),
        peak_mb=peak_mb(PHOTO),
        large_peak_mb=large_peak_mb,
        accuracy=total(folder_scores(PHOTOGRAPHS)),
    )


def measure_time(repeats: int) -> Measure:
    """Return the time of measuring the photo; the floor decodes it and finds its markers.

    The floor is OpenCV's own, in the picture's full size: measuring looks for them in a reduced
    one, and may spend on widths what it saves.
    """
    data = PHOTO.read_bytes()
    detector = cv2.aruco.ArucoDetector(DICTIONARY)
    ms, floor_ms = median_ms(
        lambda: measure_strands(open_picture(data), THICKNESS_MM),
        lambda: detector.detectMarkers(luma_of(open_picture(data).pixels)),
        repeats=repeats,
    )
    return Measure("measure a photo (12 megapixels)", ms, floor_ms)


def write_large(path: Path) -> None:
    """Write the photo enlarged to nearly 50 megapixels."""
    large = cv2.resize(open_picture(PHOTO.read_bytes()).pixels, LARGE_PX)
    bgr = cv2.cvtColor(large, cv2.COLOR_RGB2BGR)
    coded = cv2.imencode(".jpg", bgr, [cv2.IMWRITE_JPEG_QUALITY, LARGE_QUALITY])[1]
    path.write_bytes(coded.tobytes())


def peak_mb(photo: Path) -> float:
    """Return the most memory, in 10⁶ bytes, that a fresh process takes to measure a photo."""
    done = subprocess.run(  # noqa: S603  (our own module, and a file of ours)
        [sys.executable, "-m", "assessments.benchmark.photo_memory", str(photo), str(THICKNESS_MM)],
        cwd=settings.BASE_DIR,
        capture_output=True,
        text=True,
        check=True,
    )
    return float(done.stdout)


def photo_report(costs: PhotoCosts) -> str:
    """Return the measures of photos as lines of text."""
    time = costs.time
    return "\n".join(
        [
            "Photos. Floor: decoding the photo and finding its markers.",
            "",
            f"{time.name}: {time.ms:#.3g} ms, floor {time.floor_ms:#.3g} ms: {time.ratio:.1f} x "
            f"(limit {MOST_TIMES:g})",
            f"peak memory of a process that measures it: {costs.peak_mb:.0f} MB "
            f"(limit {MOST_MB:g}); 50 megapixels: {costs.large_peak_mb:.0f} MB",
            textwrap.fill(f"accuracy on {costs.accuracy}", 100),
            "\n",
        ]
    )
