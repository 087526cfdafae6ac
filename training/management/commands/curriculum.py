"""Count what the modules hold, and fail where something is missing."""

from django.core.management.base import BaseCommand, CommandError

from training.catalogues import missing_translations, other_languages
from training.curriculum import MODULES
from training.curriculum_check import (
    counts_of,
    problems_of,
    sheet_of_module,
    sheet_of_page,
)
from training.curriculum_pages import load_curriculum
from training.models import ModulePage

HEADINGS = (
    "steps",
    "drawings",
    "faults",
    "questions",
    "cautions",
    "words",
    "grade",
    "longest sentence",
)


class Command(BaseCommand):
    help = (
        "Prints what each module that comes with the site holds, and fails on a step without a "
        "drawing, a drawing without alternative text, a typed number, a missing source note or a "
        "missing translation."
    )

    def add_arguments(self, parser):
        parser.add_argument(
            "--pages", action="store_true", help="Look at the published pages of this house."
        )
        parser.add_argument(
            "--load",
            action="store_true",
            help="First publish what this house does not have yet: modules, words, translations.",
        )

    def handle(self, *, pages, load, **options):
        if load:
            there = ModulePage.objects.count()
            load_curriculum(languages=other_languages())
            self.stdout.write(f"{ModulePage.objects.count() - there} pages are new.")
        if pages:
            originals = ModulePage.objects.originals().live().order_by("path")
            sheets = [sheet_of_page(page) for page in originals]
            untranslated = []
        else:
            sheets = [sheet_of_module(module) for module in MODULES]
            untranslated = missing_translations()
        self.write_table(sheets)
        problems = [problem for sheet in sheets for problem in problems_of(sheet)] + untranslated
        if problems:
            raise CommandError(
                "\n".join([f"{len(problems)} to mend:", *map(str, problems)]), returncode=1
            )

    def write_table(self, sheets):
        rows = [("module", *HEADINGS)]
        totals = [0] * 6
        for sheet in sheets:
            counts = counts_of(sheet)
            totals = [sum(pair) for pair in zip(totals, counts[:6], strict=True)]
            rows.append((sheet.slug, *counts[:6], f"{counts.grade:.1f}", counts.longest_sentence))
        rows.append((f"{len(sheets)} modules", *totals, "", ""))
        first = max(len(row[0]) for row in rows)
        for row in rows:
            cells = [
                f"{cell!s:>{len(heading)}}" for cell, heading in zip(row[1:], HEADINGS, strict=True)
            ]
            self.stdout.write("  ".join([f"{row[0]:<{first}}", *cells]).rstrip())
