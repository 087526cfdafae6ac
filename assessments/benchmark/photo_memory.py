"""``python -m assessments.benchmark.photo_memory PHOTO THICKNESS_MM``: print the peak memory in MB.

In a process of its own, without Django: what is printed is what one measuring takes.
"""

import resource
import sys
from pathlib import Path

from assessments.calculations.measuring.measure import measure_strands
from assessments.calculations.measuring.pictures import open_picture


def peak_mb() -> float:
    """Return the most memory this process has held, in 10⁶ bytes."""
    status = Path("/proc/self/status")
    if status.exists():
        # What getrusage gives on Linux includes the process that this one was started from.
        line = next(row for row in status.read_text().splitlines() if row.startswith("VmHWM"))
        return int(line.split()[1]) * 1024 / 1e6
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / 1e6 if sys.platform == "darwin" else peak * 1024 / 1e6


if __name__ == "__main__":
    reading = measure_strands(open_picture(Path(sys.argv[1]).read_bytes()), float(sys.argv[2]))
    if not reading.measured:
        sys.exit("No strand was measured.")
    print(f"{peak_mb():.1f}")
