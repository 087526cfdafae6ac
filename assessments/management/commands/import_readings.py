"""Read a file of readings into a cook's record and say what became of every row."""

import sys
from pathlib import Path

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils.text import slugify
from django.utils.translation import gettext as _

from assessments.actions.import_readings import home_branch, import_readings
from assessments.actions.import_reasons import file_reason
from assessments.calculations.import_rows import FileRefused, check_size
from training.access import can_import
from training.models import Branch, User

BLANK = "-"


class Command(BaseCommand):
    help = (
        "Read a CSV file of readings (batch, date, style, quantity, position, value, unit, "
        "instrument). Reading the same file again adds nothing. Ends with code 1 when a row was "
        "refused."
    )

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path, metavar="FILE.csv")
        parser.add_argument(
            "--cook",
            metavar="SIGN-IN-NAME",
            help="whose batches these are; without it they are kept under the file's name",
        )
        parser.add_argument(
            "--by", metavar="SIGN-IN-NAME", help="who reads them in; without it the cook"
        )
        choice = parser.add_mutually_exclusive_group()
        choice.add_argument(
            "--all-or-nothing",
            dest="keep_good",
            action="store_false",
            help="keep nothing when a row is refused (this is what happens without a choice)",
        )
        choice.add_argument(
            "--keep-good", action="store_true", help="keep the good rows and report the others"
        )

        parser.set_defaults(keep_good=False)

    def handle(self, *args, **options):
        path = options["file"]
        data = read_file(path)
        by = person_named(options["by"]) if options["by"] else None
        # Without a cook a person is made for the file; if nothing is kept, neither is the person.
        with transaction.atomic():
            cook, branch = self.cook_and_branch(options["cook"], by, path)
            try:
                report = import_readings(
                    data,
                    file_name=path.name,
                    cook=cook,
                    branch=branch,
                    by=by or cook,
                    keep_good=options["keep_good"],
                )
            except ValidationError as error:
                raise CommandError(" ".join(error.messages)) from error
            transaction.set_rollback(not report.batches)
        if report.batches and not options["cook"]:
            self.stdout.write(
                _(
                    "No cook was named: the readings are kept under “%(cook)s”, a name without a "
                    "sign-in (%(username)s). To give them to a cook, name one with --cook."
                )
                % {"cook": cook, "username": cook.username}
            )
        self.write_report(report, keep_good=options["keep_good"])
        if report.refused:
            sys.exit(1)

    def cook_and_branch(self, username, by, path):
        if username:
            cook = person_named(username)
            if by is not None and not can_import(by, cook):
                raise CommandError(
                    _("%(by)s may not bring in readings for %(cook)s.") % {"by": by, "cook": cook}
                )
            return cook, cook_branch(cook, by)
        return person_for_file(path), first_branch()

    def write_report(self, report, *, keep_good):
        for refused in report.refusals:
            self.stdout.write(
                _("line %(line)d: %(reason)s") % {"line": refused.line, "reason": refused.reason}
            )
        for notice in report.notices:
            self.stdout.write(notice)
        if report.batches:
            self.write_batches(report.batches)
        for balance in report.balances:
            self.stdout.write(
                _(
                    "Balances after the last batch of %(style)s: width %(width).3f, "
                    "thickness %(thickness).3f, water %(water).3f of 100."
                )
                % {
                    "style": balance.style,
                    "width": balance.width,
                    "thickness": balance.thickness,
                    "water": balance.hydration,
                }
            )
        self.stdout.write(
            _(
                "%(read)d rows read: %(kept)d kept, %(refused)d refused, %(already)d already "
                "there, %(held_back)d held back."
            )
            % {
                "read": report.rows_read,
                "kept": report.kept,
                "refused": report.refused,
                "already": report.already,
                "held_back": report.held_back,
            }
        )
        if report.held_back and not keep_good:
            self.stdout.write(
                _(
                    "Nothing was kept. Correct the file and read it again, or read it with "
                    "--keep-good."
                )
            )

    def write_batches(self, batches):
        heading = [
            _("batch"),
            _("day"),
            _("width share"),
            _("width points"),
            _("thickness share"),
            _("thickness points"),
            _("score"),
            _("here"),
        ]
        lines = [
            [
                batch.name,
                batch.day.isoformat(),
                decimals(batch.width_share, 6),
                decimals(batch.width_points, 3),
                decimals(batch.thickness_share, 6),
                decimals(batch.thickness_points, 3),
                decimals(batch.score, 3),
                _("new") if batch.is_new else _("already"),
            ]
            for batch in batches
        ]
        widths = [max(map(len, column)) for column in zip(heading, *lines, strict=True)]
        for line in [heading, *lines]:
            cells = [
                cell.ljust(width) if place in (0, 1, 7) else cell.rjust(width)
                for place, (cell, width) in enumerate(zip(line, widths, strict=True))
            ]
            self.stdout.write("  ".join(cells).rstrip())


def decimals(value, places):
    """Return a number with that many decimals, a dash for none."""
    return BLANK if value is None else f"{value:.{places}f}"


def read_file(path) -> bytes:
    """Return the bytes of the file."""
    try:
        check_size(path.stat().st_size)
        return path.read_bytes()
    except OSError as error:
        raise CommandError(
            _("%(path)s cannot be read: %(why)s.") % {"path": path, "why": error.strerror}
        ) from error
    except FileRefused as refused:
        raise CommandError(file_reason(refused)) from refused


def person_named(username):
    """Return the person of a sign-in name."""
    person = User.objects.filter(username=username).first()
    if person is None:
        raise CommandError(_("Nobody signs in as “%(name)s”.") % {"name": username})
    return person


def cook_branch(cook, by):
    """Return the branch where ``cook`` practises."""
    branch = home_branch(cook, by)
    if branch is None:
        raise CommandError(
            _("%(cook)s is a trainee of no branch. Add the role first, or leave --cook out.")
            % {"cook": cook}
        )
    return branch


def first_branch():
    """Return the branch under which readings without a cook are kept."""
    branch = Branch.objects.order_by("pk").first()
    if branch is None:
        raise CommandError(
            _("The house has no branch yet. Add one in the editor's pages, or run: manage.py demo")
        )
    return branch


def person_for_file(path):
    """Return the person without a sign-in under whom the readings of this file are kept."""
    username = f"import-{slugify(path.stem, allow_unicode=True) or 'file'}"[:150]
    person, made = User.objects.get_or_create(
        username=username,
        defaults={
            "first_name": _("Readings"),
            "last_name": path.stem[:150],
            "is_active": False,
            "password": "!",
        },
    )
    if made:
        person.set_unusable_password()
        person.save(update_fields=["password"])
    elif person.is_active or person.has_usable_password():
        raise CommandError(
            _("“%(name)s” is somebody's sign-in name. Give the file another name, or use --cook.")
            % {"name": username}
        )
    return person
