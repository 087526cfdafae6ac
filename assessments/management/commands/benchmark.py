"""``manage.py benchmark``: what pages, scoring and photos cost, and how well the rule decides."""

import platform
import sys

from django.core.management.base import BaseCommand, CommandError
from django.db import connection
from tqdm import tqdm

from assessments.benchmark.database import COOK, multiply, temporary_database
from assessments.benchmark.measures import Run, side_by_side, table
from assessments.benchmark.operating_characteristic import (
    BETWEEN,
    EXPECTED,
    LOOKS,
    SEED,
    STRANDS,
    operating_characteristic,
)
from assessments.benchmark.pages import measure_pages, site_without_files
from assessments.benchmark.photos import PHOTO, photo_costs, photo_report
from assessments.benchmark.scoring import measure_one_batch, measure_one_cook
from assessments.demo_house.build import build_house
from assessments.models import Batch
from training.models import Role, User


class Command(BaseCommand):
    """Prints one line for each measure, with its ratio to a floor of the same run."""

    help = (
        "Measure pages, scoring and the sign-off rule in a database of its own, and the measuring "
        "of photos."
    )

    def add_arguments(self, parser):
        parser.add_argument(
            "--factor", type=int, default=10, help="How many times the data, for the second run."
        )
        parser.add_argument(
            "--requests", type=int, default=30, help="Timed requests per page, and photos."
        )
        parser.add_argument("--cooks", type=int, default=2000, help="Simulated cooks per share.")

    def handle(self, *, factor, requests, cooks, **options):
        if min(factor - 1, requests, cooks) < 1:
            raise CommandError("--factor must be at least 2, --requests and --cooks at least 1.")
        with progress("house", factor + 2) as bar, temporary_database(), site_without_files():
            bar.update()
            bench = build_house()
            bar.update()
            cook = User.objects.get(username=COOK)
            sizes = [size()]
            runs = [measured_run("1x", cook, requests)]
            multiply(bench, cook, factor, progress=bar.update)
            sizes.append(size())
            runs.append(measured_run(f"{factor}x", cook, requests))
        self.stdout.write(report(runs, sizes, requests))
        if PHOTO.exists():
            self.stdout.write(photo_report(photo_costs(requests)))
        else:
            self.stdout.write(f"Photos are not measured: there is no {PHOTO}.\n")
        with progress("cooks", cooks * len(EXPECTED)) as bar:
            rows = operating_characteristic(cooks, advance=bar.update)
        self.stdout.write(rule_report(rows, cooks))


def progress(what, total):
    """Return a progress bar on standard error; silent where that is no terminal."""
    return tqdm(total=total, desc=what, file=sys.stderr, disable=None, leave=False)


def size():
    """Return how many trainees and batches there are."""
    return Role.objects.filter(kind=Role.Kind.TRAINEE).count(), Batch.objects.count()


def measured_run(label, cook, requests):
    """Return all measures at the present size of the data."""
    run = Run(label)
    run.measures += measure_pages(requests)
    run.measures.append(measure_one_batch(cook, requests))
    run.measures.append(measure_one_cook(cook, requests))
    return run


def report(runs, sizes, requests):
    """Return the measures as a table, with what they were taken on and against."""
    data = ", ".join(
        f"{run.label}: {cooks} cooks, {batches} batches"
        for run, (cooks, batches) in zip(runs, sizes, strict=True)
    )
    return "\n".join(
        [
            f"Python {platform.python_version()} on {connection.vendor}. {data}.",
            f"Medians of {requests} after a few to warm up. Floor of a page: an empty signed-in",
            "page on the same stack; of scoring: one numpy.sum of the same numbers. Bytes are as",
            "sent, compressed by gzip.",
            "",
            side_by_side(runs),
            "\n",
        ]
    )


def rule_report(rows, cooks):
    """Return the operating characteristic beside the expected figures."""
    head = ["true share"]
    for looks in LOOKS:
        head += [f"within {looks}", "expected"]
    lines = [head]
    for row in rows:
        line = [f"{row.true_share:g}"]
        for found, expected in zip(row.found, row.expected, strict=True):
            line += [f"{found:.3f}", f"{expected:.3f}"]
        lines.append(line)
    return "\n".join(
        [
            f"Chance that a part is shown within {LOOKS[0]} and {LOOKS[1]} batches, looked at",
            f"after each: {cooks} cooks a line, {STRANDS} strands a batch, widths normal around",
            f"the target with {BETWEEN:g} of their variance between batches, one batch a day,",
            f"seed {SEED}.",
            "",
            table(lines),
        ]
    )
