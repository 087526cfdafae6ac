"""Why a file or a row of readings was refused, in words: what is wrong and what to do."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from assessments.calculations.import_rows import COLUMNS, FileFault, FileRefused, Problem, RowFault

FILE_REASONS = {
    FileFault.EMPTY: gettext_lazy("The file is empty. Export the readings again and choose it."),
    FileFault.TOO_LARGE: gettext_lazy(
        "The file has %(size_mb)s MB. At most 5 MB can be read at once: split it into several."
    ),
    FileFault.TOO_MANY_ROWS: gettext_lazy(
        "The file has %(rows)s rows. At most 100,000 can be read at once: split it into several."
    ),
    FileFault.NOT_TEXT: gettext_lazy(
        "This is no CSV text file. Open it in the program it comes from and save it as CSV (UTF-8)."
    ),
    FileFault.NOT_UTF8: gettext_lazy(
        "Line %(line)s has letters that are not UTF-8. Save the file as CSV (UTF-8)."
    ),
    FileFault.NO_HEADER: gettext_lazy(
        "The first line must name each column once: %(columns)s. Not found: %(missing)s."
    ),
    FileFault.UNKNOWN_COLUMN: gettext_lazy(
        "These columns are not known: %(found)s. Take them out; wanted are %(columns)s."
    ),
    FileFault.NO_ROWS: gettext_lazy("The file has a heading, but no row under it."),
}

ROW_REASONS = {
    RowFault.QUOTES: gettext_lazy(
        "A quotation mark is opened and not closed, or stands in the middle of a value."
    ),
    RowFault.TOO_FEW_COLUMNS: gettext_lazy("Columns found: %(found)s, wanted: %(wanted)s."),
    RowFault.TOO_MANY_COLUMNS: gettext_lazy(
        "%(found)s columns instead of %(wanted)s. If a value has a decimal comma, put it in "
        'quotation marks ("3,12") or write a point (3.12).'
    ),
    RowFault.NO_BATCH: gettext_lazy("The batch has no name."),
    RowFault.NAME: gettext_lazy(
        "The name in the column “%(column)s” is longer than %(most)s letters or has signs that "
        "cannot be printed."
    ),
    RowFault.NOT_A_DAY: gettext_lazy(
        "“%(text)s” is not a day written as year-month-day, for example 2026-03-01."
    ),
    RowFault.IN_THE_FUTURE: gettext_lazy("The day %(text)s lies in the future."),
    RowFault.UNKNOWN_STYLE: gettext_lazy("The house has no style “%(text)s”."),
    RowFault.NO_STANDARD: gettext_lazy(
        "No house standard of %(style)s was in force on %(day)s, so nothing says how even is "
        "even. Ask an editor for a version that begins earlier, or leave the batch out."
    ),
    RowFault.UNKNOWN_QUANTITY: gettext_lazy(
        "“%(text)s” is not measured here. Known are strand width, sheet thickness, flour, water "
        "and salt."
    ),
    RowFault.POSITION: gettext_lazy(
        "The position “%(text)s” is not a whole number from 1 to 65535."
    ),
    RowFault.ONE_WEIGHT: gettext_lazy(
        "A batch has one weight of %(quantity)s: give the total, at position 1."
    ),
    RowFault.EMPTY_VALUE: gettext_lazy("The value is empty. Leave out what was not measured."),
    RowFault.NOT_A_NUMBER: gettext_lazy("“%(text)s” is not a number, for example 3.12."),
    RowFault.NEGATIVE: gettext_lazy("%(text)s is below zero."),
    RowFault.ZERO: gettext_lazy("The value is zero. Leave out what was not measured."),
    RowFault.UNIT: gettext_lazy(
        "The unit is “%(found)s”, but %(quantity)s is read in %(unit)s. Convert the value."
    ),
    RowFault.IMPLAUSIBLE: gettext_lazy(
        "%(text)s %(unit)s is far from the house standard, %(target)s %(unit)s."
    ),
    RowFault.TOO_HEAVY: gettext_lazy(
        "%(text)s g is more than %(most_kg)s kg. Give the weight in grams."
    ),
    RowFault.WATER: gettext_lazy(
        "%(text)s g of water does not go with the flour: the house standard would take about "
        "%(wanted)s g."
    ),
    RowFault.REPEATED: gettext_lazy("The same reading stands on line %(first)s already."),
    RowFault.CONTRADICTED: gettext_lazy(
        "Line %(first)s gives %(other)s for the same place. Take out the one that is wrong."
    ),
    RowFault.OTHER_DAY: gettext_lazy(
        "The batch has another day, %(other)s, on line %(first)s. Give each batch its own name."
    ),
    RowFault.OTHER_STYLE: gettext_lazy(
        "The batch has another style, %(other)s, on line %(first)s. Give each batch its own name."
    ),
    RowFault.OTHER_INSTRUMENT: gettext_lazy(
        "The same quantity was read with another instrument, “%(other)s”, on line %(first)s. "
        "Read one quantity of a batch with one instrument."
    ),
    RowFault.UNMEASURED: gettext_lazy(
        "No width and no thickness of this batch could be read: without them there is no score."
    ),
    RowFault.ALREADY_OTHER: gettext_lazy(
        "A batch “%(batch)s” is there already, of %(day)s and %(style)s. Give this one another "
        "name."
    ),
    RowFault.ALREADY_DIFFERENT: gettext_lazy(
        "The batch “%(batch)s” is there already with other readings of %(quantity)s. A file "
        "changes nothing that is stored; another dough needs another name."
    ),
}


def file_reason(refused: FileRefused) -> str:
    """Say why a file as a whole cannot be read."""
    details = {"columns": ", ".join(COLUMNS), **refused.details}
    return str(FILE_REASONS[refused.fault]) % details


def row_reason(problem: Problem) -> str:
    """Say why a row is refused, with what was perhaps meant."""
    reason = str(ROW_REASONS[problem.fault]) % problem.details
    if problem.details.get("close"):
        return _("%(reason)s Did you mean: %(close)s?") % {
            "reason": reason,
            "close": problem.details["close"],
        }
    if problem.details.get("suggestion"):
        return _("%(reason)s Did you mean %(suggestion)s?") % {
            "reason": reason,
            "suggestion": problem.details["suggestion"],
        }
    return reason
