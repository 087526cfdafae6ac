"""``manage.py benchmark``: what pages, scoring, patterns and photos cost, and what holds of the
figures by which the site judges."""

import platform
import sys

from django.core.management.base import BaseCommand, CommandError
from django.db import connection
from tqdm import tqdm

from assessments.benchmark.database import COOK, multiply, temporary_database
from assessments.benchmark.drawing import measure_drawing
from assessments.benchmark.measures import Run, side_by_side
from assessments.benchmark.pages import measure_pages, site_without_files
from assessments.benchmark.patterns import measure_all_findings, measure_findings
from assessments.benchmark.photos import PHOTO, photo_costs, photo_report
from assessments.benchmark.scoring import measure_one_batch, measure_one_cook
from assessments.benchmark.simulations import SIMULATIONS
from assessments.demo_house.build import build_house
from assessments.models import Batch
from training.models import Role, User


class Command(BaseCommand):
    """Prints one line for each measure, with its ratio to a floor of the same run."""

    help = (
        "Measure pages, scoring and patterns in a database of its own, and the measuring of "
        "photos; simulate the sign-off rule, patterns, forecast, chart and agreement."
    )

    def add_arguments(self, parser):
        parser.add_argument(
            "--factor", type=int, default=10, help="How many times the data, for the second run."
        )
        parser.add_argument(
            "--requests",
            type=int,
            default=30,
            help="Timed requests per page, and photos; 0 leaves out all that is timed.",
        )
        for one in SIMULATIONS:
            parser.add_argument(
                f"--{one.option}", type=int, default=one.size, help=f"{one.help} 0 leaves them out."
            )

    def handle(self, *, factor, requests, **options):
        sizes = [(one, options[one.option.replace("-", "_")]) for one in SIMULATIONS]
        if factor < 2 or min(requests, *(size for _one, size in sizes)) < 0:
            raise CommandError("--factor must be at least 2, all other sizes at least 0.")
        if requests:
            self.time_site(factor, requests)
            if PHOTO.exists():
                self.stdout.write(photo_report(photo_costs(requests)))
            else:
                self.stdout.write(f"Photos are not measured: there is no {PHOTO}.\n")
        for one, size in sizes:
            if size:
                with progress(one.option, one.steps(size)) as bar:
                    self.stdout.write(one.run(size, bar.update))

    def time_site(self, factor, requests):
        """Measure the site with the demo house, and with about so many times its data."""
        with progress("house", factor + 2) as bar, temporary_database(), site_without_files():
            bar.update()
            bench = build_house()
            bar.update()
            cook = User.objects.get(username=COOK)
            sizes = [size_of_house()]
            runs = [measured_run("1x", cook, requests)]
            multiply(bench, cook, factor, progress=bar.update)
            sizes.append(size_of_house())
            runs.append(measured_run(f"{factor}x", cook, requests))
        self.stdout.write(report(runs, sizes, requests))


def progress(what, total):
    """Return a progress bar on standard error; silent where that is no terminal."""
    return tqdm(total=total, desc=what, file=sys.stderr, disable=None, leave=False)


def size_of_house():
    """Return how many trainees and batches there are."""
    return Role.objects.filter(kind=Role.Kind.TRAINEE).count(), Batch.objects.count()


def measured_run(label, cook, requests):
    """Return all measures at the present size of the data."""
    run = Run(label)
    run.measures += measure_pages(requests)
    run.measures.append(measure_drawing(cook, requests))
    run.measures.append(measure_one_batch(cook, requests))
    run.measures.append(measure_one_cook(cook, requests))
    run.measures += measure_findings(cook, requests)
    run.measures.append(measure_all_findings(cook, requests))
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
            "page on the same stack; of a chart: two empty ones; of scoring and patterns: one",
            "numpy.sum of the same numbers.",
            "Bytes are as sent, compressed by gzip.",
            "",
            side_by_side(runs),
            "\n",
        ]
    )
