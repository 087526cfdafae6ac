"""Run a program with limits on its memory, its time and the files it writes.

As a script: ``python -I limited.py CPU_S PROGRAM [ARGUMENT...]``. Decoders of video are large, and
a file made to crash one, or to keep it busy, shall end a small process and not the server's. Set
here, in a process of its own, because nothing may run between fork and exec in a server with
threads.
"""

import contextlib
import os
import sys

MEMORY_BYTES = 2_000_000_000
"""Address space; a film of 3840 × 2160 at 10 bits takes about half of it."""
FILE_BYTES = 80_000_000
"""Longest file that it may write: a video as long as one may be uploaded, and some more."""


def main():
    """Set the limits and become the program; a system that lacks one of them goes without it."""
    cpu_s, *command = sys.argv[1:]
    limits = {"AS": MEMORY_BYTES, "CPU": int(cpu_s), "FSIZE": FILE_BYTES, "CORE": 0}
    for name, most in limits.items():
        with contextlib.suppress(ImportError, AttributeError, ValueError, OSError):
            import resource

            resource.setrlimit(getattr(resource, f"RLIMIT_{name}"), (most, most))
    os.execv(command[0], command)  # noqa: S606  (no shell, and a path of ours)


if __name__ == "__main__":
    main()
