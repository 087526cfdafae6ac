"""Measure picture files in processes of their own, one to a core.

Nothing of Django is imported here: every process starts by importing this module.
"""

import multiprocessing
import os
from collections import deque
from collections.abc import Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from pathlib import Path

import cv2

from assessments.calculations.measuring.annotate import annotated
from assessments.calculations.measuring.measure import measure_strands
from assessments.calculations.measuring.pictures import MAX_FILE_MB, open_picture
from assessments.calculations.measuring.refusals import Reason, RefusedError
from assessments.calculations.measuring.results import PhotoReading

# Why a file gives no widths, beside the reasons for which a picture is refused.
MISSING, FOLDER, UNREADABLE, FAILED = "missing", "folder", "unreadable", "failed"
JPEG_QUALITY = 90


@dataclass(frozen=True, slots=True)
class Order:
    """One file to measure, and where its annotated picture is to be written."""

    name: str
    path: Path
    thickness_mm: float | None = None
    bar_mm: float | None = None
    annotated: Path | None = None


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one file.

    ``reading`` is what was measured; otherwise ``rejected`` is the reason's code, with what was
    ``found`` and the ``limit`` where one was missed, and ``why`` what the system said.
    ``unwritten`` is why the annotated picture could not be written.
    """

    order: Order
    reading: PhotoReading | None = None
    rejected: str = ""
    found: float | None = None
    limit: float | None = None
    why: str = ""
    unwritten: str = ""


def measure_files(orders: Iterable[Order]) -> Iterator[Outcome]:
    """Measure files with all cores; outcomes come as they are ready, in any order.

    A process that dies (the system ends those that take too much memory) takes its whole pool with
    it. Files that were under way then get a process each, so that only the one at fault is lost.
    """
    waiting = deque(orders)
    workers = min(cores(), len(waiting))
    while waiting:
        under_way: dict[Future[Outcome], Order] = {}
        with pool_of(workers) as pool:
            try:
                while waiting or under_way:
                    while waiting and len(under_way) < workers:
                        future = pool.submit(measure_file, waiting[0])
                        under_way[future] = waiting.popleft()
                    done, _others = wait(under_way, return_when=FIRST_COMPLETED)
                    for future in done:
                        outcome = future.result()
                        del under_way[future]
                        yield outcome
            except BrokenProcessPool:
                pass
        yield from (measure_alone(order) for order in under_way.values())


def measure_alone(order: Order) -> Outcome:
    """Measure one file in a process that may die."""
    with pool_of(1) as pool:
        try:
            return pool.submit(measure_file, order).result()
        except BrokenProcessPool:
            return Outcome(order, rejected=FAILED, why="BrokenProcessPool")


def pool_of(workers: int) -> ProcessPoolExecutor:
    """Return a pool of fresh processes; each of several keeps to one core."""
    # Forked, a process could inherit locks that threads of the parent hold.
    fresh = multiprocessing.get_context("spawn")
    threads = 1 if workers > 1 else cores()
    return ProcessPoolExecutor(workers, fresh, cv2.setNumThreads, (threads,))


def cores() -> int:
    """Return how many cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def measure_file(order: Order) -> Outcome:
    """Measure one file; whatever goes wrong is an outcome, never an error."""
    try:
        data = read(order.path)
    except IsADirectoryError:
        return Outcome(order, rejected=FOLDER)
    except FileNotFoundError:
        return Outcome(order, rejected=MISSING)
    except OSError as error:
        return Outcome(order, rejected=UNREADABLE, why=error.strerror or type(error).__name__)
    except RefusedError as refusal:
        return refused(order, refusal)
    try:
        picture = open_picture(data)
        reading = measure_strands(picture, order.thickness_mm, bar_mm=order.bar_mm)
        drawn = None if order.annotated is None else annotated(picture, reading)
    except RefusedError as refusal:
        return refused(order, refusal)
    except Exception as error:  # one photo, memory included, must not end the others
        return Outcome(order, rejected=FAILED, why=type(error).__name__)
    unwritten = ""
    if drawn is not None and order.annotated is not None:
        coded = cv2.imencode(
            ".jpg", cv2.cvtColor(drawn, cv2.COLOR_RGB2BGR), [cv2.IMWRITE_JPEG_QUALITY, JPEG_QUALITY]
        )[1]
        try:
            order.annotated.write_bytes(coded.tobytes())
        except OSError as error:
            unwritten = error.strerror or type(error).__name__
    return Outcome(order, reading, unwritten=unwritten)


def read(path: Path) -> bytes:
    """Return the bytes of a file, unless it is longer than any picture may be."""
    size_mb = path.stat().st_size / 1e6
    if path.is_dir():
        raise IsADirectoryError
    if not path.is_file():
        raise OSError(0, "not a file")
    if size_mb > MAX_FILE_MB:
        raise RefusedError(Reason.FILE_TOO_LARGE, found=size_mb, limit=MAX_FILE_MB)
    return path.read_bytes()


def refused(order: Order, refusal: RefusedError) -> Outcome:
    """Return the outcome of a photo that is refused."""
    return Outcome(order, rejected=refusal.reason.value, found=refusal.found, limit=refusal.limit)
