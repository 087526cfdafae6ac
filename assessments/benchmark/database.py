"""A database for the run alone: made by the migrations, filled with the demo house, destroyed."""

import os
import tempfile
from contextlib import contextmanager
from pathlib import Path

from django.db import connection

from assessments.demo_house.build import build_people, live
from assessments.demo_house.histories import HISTORIES, WHEAT, Practise

# Whose pages are measured.
COOK, HEAD_CHEF, OWNER = "edda", "isbel", "maruk"


@contextmanager
def temporary_database():
    """Make an empty database of the kind that DATABASE_URL names, and destroy it at the end.

    The house's own database is left alone: the connection points elsewhere in between.
    """
    own_name = connection.settings_dict["NAME"]
    with tempfile.TemporaryDirectory() as folder:
        name = f"evenhand_benchmark_{os.getpid()}"
        if connection.vendor == "sqlite":
            name = str(Path(folder) / f"{name}.sqlite3")
        test_name = connection.settings_dict["TEST"]["NAME"]
        connection.settings_dict["TEST"]["NAME"] = name
        connection.creation.create_test_db(verbosity=0, autoclobber=True, serialize=False)
        try:
            yield
        finally:
            connection.creation.destroy_test_db(own_name, verbosity=0)
            connection.settings_dict["TEST"]["NAME"] = test_name


def multiply(bench, cook, factor, progress=None):
    """Bring a demo house to about ``factor`` times the data.

    Every trainee of ``HISTORIES`` is there ``factor`` times, with batches, decisions and reading
    of their own, in the same branches; and the cook whose pages are measured has ``factor`` times
    the batches of the first style. ``progress`` is called after each of the ``factor`` steps.
    """
    usernames = {history.username for history in HISTORIES}
    measured = next(history for history in HISTORIES if history.username == COOK)
    of_one_style = [
        happening
        for happening in measured.story
        if isinstance(happening, Practise) and happening.style == WHEAT
    ]
    for copy in range(2, factor + 1):
        people = build_people(bench.now, only=usernames, suffix=f"-{copy}")
        for history in HISTORIES:
            live(bench, history, people[history.username])
        if progress is not None:
            progress()
    more = (factor - 1) * sum(happening.batches for happening in of_one_style)
    if more:
        live(bench, more_of(measured, more), cook)
    if progress is not None:
        progress()


def more_of(history, count):
    """Return the history of a cook who only makes ``count`` more batches of the first style."""
    return type(history)(
        username=history.username,
        since_days=history.since_days,
        stations=(),
        hand=history.hand,
        story=(Practise(WHEAT, count, 195, 1),),
    )
