"""What a process that measures photos may run into; imported by the processes of the tests."""

import os

from assessments.management import photo_files

measure_really = photo_files.measure_file


def measure_file(order):
    """Measure, but die, or run out of memory, at a file whose name says so."""
    if order.path.name == "kill.jpg":
        os._exit(9)
    if order.path.name == "memory.jpg":
        photo_files.measure_strands = out_of_memory
    return measure_really(order)


def out_of_memory(*_args, **_options):
    """Fail as a large picture on a small machine does."""
    raise MemoryError
