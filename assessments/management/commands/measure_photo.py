"""Measure the strands of photos and print their widths."""

import json
import math
import statistics
import sys
from collections import Counter
from dataclasses import asdict
from itertools import count
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from tqdm import tqdm

from assessments.benchmark.measures import table
from assessments.management.photo_files import (
    FAILED,
    FOLDER,
    MISSING,
    UNREADABLE,
    Order,
    measure_files,
)
from assessments.summaries.photographs import FLAGS, REMARKS, refusal

MOST_THICKNESS_MM = 20.0
BAR_LIMITS_MM = (90.0, 110.0)
UNDONE = {MISSING, FOLDER, UNREADABLE, FAILED}
BLANK = "-"


class Command(BaseCommand):
    help = (
        "Measure strands on photos of the measuring card (JPEG, HEIC, PNG, WebP) and print every "
        "strand's width with its standard uncertainty. Nothing is stored. Ends with code 1 when a "
        "file could not be read; a photo that is refused says why."
    )
    requires_system_checks = []

    def add_arguments(self, parser):
        parser.add_argument("photos", nargs="+", metavar="PHOTO")
        parser.add_argument(
            "--thickness",
            type=float,
            metavar="MM",
            help="thickness of the sheet; without it 2 mm are taken and the widths are less sure",
        )
        parser.add_argument(
            "--bar",
            type=float,
            metavar="MM",
            help="length of the card's 100 mm bar as printed, by a ruler",
        )
        parser.add_argument(
            "--json",
            action="store_true",
            dest="as_json",
            help="print one JSON object: photo to strands, or to the reason of its refusal",
        )
        parser.add_argument(
            "--annotate",
            type=Path,
            metavar="DIR",
            help="write each photo with what was measured into this folder, as NAME.annotated.jpg",
        )

    def handle(self, *args, photos, thickness, bar, as_json, annotate, **options):
        check_lengths(thickness, bar)
        if annotate is not None:
            make_folder(annotate)
        orders = orders_for(photos, thickness, bar, annotate)
        outcomes = {}
        silent = True if len(orders) == 1 else None  # on several: silent where no terminal is
        with tqdm(total=len(orders), unit=_("photo"), file=sys.stderr, disable=silent) as bar_:
            for outcome in measure_files(orders):
                outcomes[outcome.order.name] = outcome
                bar_.update()
        outcomes = [outcomes[order.name] for order in orders]
        if as_json:
            found = {outcome.order.name: as_plain(outcome) for outcome in outcomes}
            lines = (f"{json.dumps(name)}: {json.dumps(told)}" for name, told in found.items())
            self.stdout.write("{\n" + ",\n".join(lines) + "\n}")
        else:
            self.stdout.write("\n\n".join(as_text(outcome) for outcome in outcomes))
        for outcome in outcomes:
            if outcome.unwritten:
                self.stderr.write(
                    _("%(path)s cannot be written: %(why)s.")
                    % {"path": shown(outcome.order.annotated), "why": outcome.unwritten}
                )
        if any(outcome.rejected in UNDONE or outcome.unwritten for outcome in outcomes):
            sys.exit(1)


def check_lengths(thickness, bar):
    """Refuse lengths that cannot be."""
    if thickness is not None and not 0 < thickness <= MOST_THICKNESS_MM:
        raise CommandError(
            _("--thickness must be above 0 and at most %(most)g mm, not %(given)g.")
            % {"most": MOST_THICKNESS_MM, "given": thickness}
        )
    low, high = BAR_LIMITS_MM
    if bar is not None and not low <= bar <= high:
        raise CommandError(
            _("--bar must be %(low)g to %(high)g mm, not %(given)g.")
            % {"low": low, "high": high, "given": bar}
        )


def make_folder(path):
    """Make the folder for annotated pictures, unless it is there."""
    try:
        path.mkdir(parents=True, exist_ok=True)
    except FileExistsError as error:
        raise CommandError(
            _("%(path)s is a file. Name a folder for the pictures.") % {"path": shown(path)}
        ) from error
    except OSError as error:
        raise CommandError(
            _("The folder %(path)s cannot be made: %(why)s.")
            % {"path": shown(path), "why": error.strerror}
        ) from error


def orders_for(photos, thickness, bar, folder):
    """Return one order per file: by its name, or as given where two have the same name."""
    photos = list(dict.fromkeys(photos))
    names = Counter(Path(photo).name for photo in photos)
    orders, taken = [], set()
    for photo in photos:
        path = Path(photo)
        name = path.name if names[path.name] == 1 and path.name else photo
        orders.append(Order(name, path, thickness, bar, folder and free_name(folder, path, taken)))
    return orders


def free_name(folder, path, taken):
    """Return a file name of its own for a photo's annotated picture."""
    for number in count(1):
        stem = path.stem if number == 1 else f"{path.stem}-{number}"
        if stem not in taken:
            taken.add(stem)
            return folder / f"{stem}.annotated.jpg"


def shown(path):
    """Return a path as a text that any terminal can show."""
    return str(path).encode("utf-8", "backslashreplace").decode()


def message_of(outcome):
    """Say in words why a file gives no widths, and what to do."""
    words = {"path": shown(outcome.order.path), "why": outcome.why}
    if outcome.rejected == MISSING:
        return _("There is no file %(path)s.") % words
    if outcome.rejected == FOLDER:
        return _("%(path)s is a folder. Name the photos in it, such as %(path)s/*.jpg.") % words
    if outcome.rejected == UNREADABLE:
        return _("%(path)s cannot be read: %(why)s.") % words
    if outcome.rejected == FAILED:
        return (
            _(
                "Measuring this photo failed (%(why)s). Try again; if it fails again, take "
                "another one."
            )
            % words
        )
    return str(refusal(outcome.rejected, outcome.found, outcome.limit))


def remarks_of(reading):
    """Return what makes the widths less sure, in words."""
    own = {
        "thickness_assumed": _(
            "The sheet's thickness is not known; %(mm)g mm were taken. Give it with --thickness, "
            "and the widths get surer."
        )
        % {"mm": reading.thickness_mm}
    }
    words = {**REMARKS, **own}
    return [str(words[code]) for code in reading.remarks]


def as_plain(outcome):
    """Return an outcome as plain values for JSON."""
    reading = outcome.reading
    if reading is None:
        return {"rejected": outcome.rejected, "message": message_of(outcome)}
    return {
        "strands": [
            {
                "number": strand.number,
                "centre": strand.centre_mm,
                "width_mm": strand.width_mm,
                "u_mm": strand.u_mm,
                "random_mm": strand.random_mm,
                "direction_deg": strand.direction_deg,
                "length_mm": strand.length_mm,
                "taper_mm": strand.taper_mm,
                "spread_mm": strand.spread_mm,
                "profile_mm": strand.profile_mm,
                "flags": strand.flags,
            }
            for strand in reading.measured
        ],
        "left": [
            {
                "number": strand.number,
                "centre": strand.centre_mm,
                "direction_deg": strand.direction_deg,
                "length_mm": strand.length_mm,
                "flags": strand.flags,
            }
            for strand in reading.strands
            if strand.width_mm is None
        ],
        "thickness_mm": reading.thickness_mm,
        "thickness_u_mm": reading.thickness_u_mm,
        "card": reading.card,
        "markers": reading.markers,
        "camera": asdict(reading.camera),
        "verdict": reading.verdict,
        "remarks": reading.remarks,
        "version": reading.version,
    }


def as_text(outcome):
    """Return an outcome as a table with a few lines around it."""
    name, reading = shown(outcome.order.name), outcome.reading
    if reading is None:
        return f"{name}: {message_of(outcome)}"
    camera = reading.camera
    lines = [
        _(
            "%(name)s: %(card)s card, %(per_mm).1f pixels per mm, from %(height).0f mm, tilted by "
            "%(tilt).0f°; sheet of %(thickness).2f mm."
        )
        % {
            "name": name,
            "card": reading.card,
            "per_mm": camera.px_per_mm,
            "height": camera.height_mm,
            "tilt": camera.tilt_deg,
            "thickness": reading.thickness_mm,
        },
        *remarks_of(reading),
    ]
    head = [_("strand"), _("width mm"), "u mm", _("taper mm"), _("spread mm"), _("length mm"), ""]
    rows = [head]
    for strand in reading.strands:
        lengths = (strand.width_mm, strand.u_mm, strand.taper_mm, strand.spread_mm)
        rows.append(
            [
                str(strand.number),
                *(BLANK if length is None else f"{length:.3f}" for length in lengths),
                f"{strand.length_mm:.0f}",
                "; ".join(str(FLAGS[flag]) for flag in strand.flags),
            ]
        )
    lines.append(table(rows))
    widths = [strand.width_mm for strand in reading.measured]
    if widths:
        lines.append(
            ngettext(
                "%(n)d strand measured: mean %(mean).3f mm, standard deviation %(sd)s mm.",
                "%(n)d strands measured: mean %(mean).3f mm, standard deviation %(sd)s mm.",
                len(widths),
            )
            % {
                "n": len(widths),
                "mean": math.fsum(widths) / len(widths),
                "sd": f"{statistics.stdev(widths):.3f}" if len(widths) > 1 else BLANK,
            }
        )
    return "\n".join(lines)
