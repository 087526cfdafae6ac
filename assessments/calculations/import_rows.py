"""Rows of a file of readings, read and checked; each fault keeps its line and its reason."""

import codecs
import csv
import difflib
import math
import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import Final

from assessments.calculations.reading_entry import ReadingError, implausible, parse_measure

COLUMNS: Final = ("batch", "date", "style", "quantity", "position", "value", "unit", "instrument")
"""The columns of a file, all of them wanted, in any order."""

MAX_BYTES: Final = 5_000_000
MAX_ROWS: Final = 100_000
MAX_NAME: Final = 60
MAX_VALUE_LENGTH: Final = 20
MAX_POSITION: Final = 2**16 - 1
MAX_WEIGHT_G: Final = 500_000
_SMALLEST: Final = Decimal("0.001")
_ISO_DAY: Final = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_LINE_END: Final = re.compile(r"\r\n|\n|\r")
_OTHER_FILES: Final = (b"PK\x03\x04", b"%PDF", b"\xd0\xcf\x11\xe0", codecs.BOM_UTF16_LE)
_OTHER_FILES_TOO: Final = (codecs.BOM_UTF16_BE, b"\x89PNG", b"\xff\xd8\xff", b"GIF8")


class Quantity(StrEnum):
    """What a row may hold, as a file names it."""

    WIDTH = "strand width"
    THICKNESS = "sheet thickness"
    FLOUR = "flour"
    WATER = "water"
    SALT = "salt"

    @property
    def unit(self) -> str:
        """Unit in which the quantity is read."""
        return "mm" if self.is_length else "g"

    @property
    def is_length(self) -> bool:
        """Whether it is measured in mm, at several places."""
        return self in (Quantity.WIDTH, Quantity.THICKNESS)


class FileFault(StrEnum):
    """Why a file as a whole cannot be read."""

    EMPTY = "empty"
    TOO_LARGE = "too_large"
    TOO_MANY_ROWS = "too_many_rows"
    NOT_TEXT = "not_text"
    NOT_UTF8 = "not_utf8"
    NO_HEADER = "no_header"
    UNKNOWN_COLUMN = "unknown_column"
    NO_ROWS = "no_rows"


class RowFault(StrEnum):
    """Why a row is refused."""

    QUOTES = "quotes"
    TOO_FEW_COLUMNS = "too_few_columns"
    TOO_MANY_COLUMNS = "too_many_columns"
    NO_BATCH = "no_batch"
    NAME = "name"
    NOT_A_DAY = "not_a_day"
    IN_THE_FUTURE = "in_the_future"
    UNKNOWN_STYLE = "unknown_style"
    NO_STANDARD = "no_standard"
    UNKNOWN_QUANTITY = "unknown_quantity"
    POSITION = "position"
    ONE_WEIGHT = "one_weight"
    EMPTY_VALUE = "empty_value"
    NOT_A_NUMBER = "not_a_number"
    NEGATIVE = "negative"
    ZERO = "zero"
    UNIT = "unit"
    IMPLAUSIBLE = "implausible"
    TOO_HEAVY = "too_heavy"
    WATER = "water"
    REPEATED = "repeated"
    CONTRADICTED = "contradicted"
    OTHER_DAY = "other_day"
    OTHER_STYLE = "other_style"
    OTHER_INSTRUMENT = "other_instrument"
    UNMEASURED = "unmeasured"
    ALREADY_OTHER = "already_other"
    ALREADY_DIFFERENT = "already_different"


class FileRefused(ValueError):  # noqa: N818
    """A file that cannot be read as readings; `fault` tells why, `details` the figures."""

    def __init__(self, fault: FileFault, **details: str) -> None:
        super().__init__(fault.value)
        self.fault = fault
        self.details = details


@dataclass(frozen=True, slots=True)
class Problem:
    """A refused row: its line in the file, why, and what is needed to say so."""

    line: int
    fault: RowFault
    details: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Table:
    """The rows of a file, each with its line number (the heading is line 1), and their faults."""

    rows: tuple[tuple[int, dict[str, str]], ...]
    problems: tuple[Problem, ...]

    @property
    def rows_read(self) -> int:
        """Rows that hold anything, the heading left out."""
        return len(self.rows) + len(self.problems)


@dataclass(frozen=True, slots=True)
class Version:
    """What a check needs of a version of a house standard; `water_percent` by month, 1..12."""

    in_force_from: date
    width_mm: Decimal
    thickness_mm: Decimal
    water_percent: Mapping[int, Decimal] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class KnownStyle:
    """A style of the house with its published versions, oldest first."""

    name: str
    versions: tuple[Version, ...]

    def in_force(self, day: date) -> Version | None:
        """Return the version in force on a day."""
        return next((v for v in reversed(self.versions) if v.in_force_from <= day), None)


@dataclass(frozen=True, slots=True)
class Reading:
    """A row in order; `value` in the unit of its quantity, `style` as the house calls it."""

    line: int
    batch: str
    day: date
    style: str
    quantity: Quantity
    position: int
    value: Decimal
    instrument: str


@dataclass(frozen=True, slots=True)
class Checked:
    """The good rows of a table and the problems of the others, both in the order of the file."""

    rows_read: int
    readings: tuple[Reading, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class QuantityRows:
    """All readings of one quantity of a batch, by position."""

    quantity: Quantity
    instrument: str
    positions: tuple[int, ...]
    values: tuple[float, ...]
    lines: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class BatchRows:
    """All readings of one batch of the file."""

    name: str
    day: date
    style: str
    quantities: tuple[QuantityRows, ...]

    @property
    def lines(self) -> tuple[int, ...]:
        """Lines of the file that the batch is made of."""
        return tuple(line for rows in self.quantities for line in rows.lines)


@dataclass(frozen=True, slots=True)
class StoredBatch:
    """A batch that the cook has already, with its readings: positions and values by quantity."""

    day: date
    style: str
    readings: Mapping[Quantity, tuple[tuple[int, ...], tuple[float, ...]]]


@dataclass(frozen=True, slots=True)
class Compared:
    """Batches of a file against those already stored.

    Attributes
    ----------
    new : tuple of BatchRows
        Batches that are not stored yet.
    added : tuple of BatchRows
        Stored batches with the quantities that they lack.
    already : int
        Rows that are stored as they are.
    problems : tuple of Problem
        Rows that differ from what is stored, and rows of new batches that hold weights only.
    """

    new: tuple[BatchRows, ...]
    added: tuple[BatchRows, ...]
    already: int
    problems: tuple[Problem, ...]


def check_size(size_bytes: int) -> None:
    """Refuse a file that is too large, before it is read.

    Parameters
    ----------
    size_bytes : int

    Raises
    ------
    FileRefused
        Above 5 MB, with the size in MB, rounded up.
    """
    if size_bytes > MAX_BYTES:
        raise FileRefused(FileFault.TOO_LARGE, size_mb=f"{math.ceil(size_bytes / 1e5) / 10:.1f}")


def read_table(data: bytes) -> Table:
    """Read a file of readings.

    Parameters
    ----------
    data : bytes
        UTF-8 with or without byte order mark; lines end in LF, CR LF or CR; comma or semicolon
        between columns, as the heading has it. Empty lines are passed over.

    Returns
    -------
    Table
        Each row by column name, in the order of the file.

    Raises
    ------
    FileRefused
        When the file is empty, too large, not text, or its heading is not the wanted one.

    Notes
    -----
    Quotation marks as in RFC 4180, but no line end inside them, so that a mark that is never
    closed spoils one line and not the rest of the file.

    Examples
    --------
    >>> heading = "batch;date;style;quantity;position;value;unit;instrument"
    >>> table = read_table(f"{heading}\\nb1;2026-03-01;wide;salt;1;3,5;g;scale".encode())
    >>> table.rows[0][1]["value"]
    '3,5'
    """
    check_size(len(data))
    lines = [
        (number, line)
        for number, line in enumerate(_LINE_END.split(_decode(data)), start=1)
        if line.strip(" \t,;")
    ]
    if not lines:
        raise FileRefused(FileFault.EMPTY)
    (_, heading), body = lines[0], lines[1:]
    delimiter = ";" if heading.count(";") > heading.count(",") else ","
    names = _heading(heading, delimiter)
    if not body:
        raise FileRefused(FileFault.NO_ROWS)
    if len(body) > MAX_ROWS:
        raise FileRefused(FileFault.TOO_MANY_ROWS, rows=str(len(body)))
    rows: list[tuple[int, dict[str, str]]] = []
    problems: list[Problem] = []
    for number, line in body:
        try:
            cells = next(csv.reader([line], delimiter=delimiter, strict=True))
        except csv.Error:
            problems.append(Problem(number, RowFault.QUOTES))
            continue
        few, beyond = len(cells) < len(COLUMNS), "".join(cells[len(COLUMNS) :]).strip()
        if few or beyond or len(cells) > len(names):
            fault = RowFault.TOO_FEW_COLUMNS if few else RowFault.TOO_MANY_COLUMNS
            details = {"found": str(len(cells)), "wanted": str(len(COLUMNS)), "sign": delimiter}
            problems.append(Problem(number, fault, details))
            continue
        texts = (unicodedata.normalize("NFC", cell.strip()) for cell in cells)
        rows.append((number, dict(zip(names, texts, strict=False))))
    return Table(tuple(rows), tuple(problems))


def check_rows(table: Table, styles: Sequence[KnownStyle], today: date) -> Checked:
    """Check every row by itself, then the rows of each batch against one another.

    Parameters
    ----------
    table : Table
    styles : sequence of KnownStyle
        The styles of the house; names are compared without regard to case and spaces.
    today : date
        Later days are refused.

    Returns
    -------
    Checked
        Each row is either among the readings or has exactly one problem, the first found. Of a
        row given twice the first is kept; where two rows give different values for one place,
        both are refused, for nobody knows which is right.

    Notes
    -----
    Lengths are compared with the target of the version in force on the day, water with flour and
    the version's water for the month (`reading_entry.implausible`).
    """
    by_name = {_plain(style.name): style for style in styles}
    problems = list(table.problems)
    readings: list[Reading] = []
    for line, cells in table.rows:
        found = _check_row(line, cells, by_name, today)
        if isinstance(found, Problem):
            problems.append(found)
        else:
            readings.append(found)
    for check in (_one_heading_each, _each_place_once, _plausible_water):
        refused = check(readings, by_name)
        gone = {problem.line for problem in refused}
        readings = [reading for reading in readings if reading.line not in gone]
        problems += refused
    problems.sort(key=lambda problem: problem.line)
    return Checked(table.rows_read, tuple(readings), tuple(problems))


def group_batches(readings: Sequence[Reading]) -> tuple[BatchRows, ...]:
    """Gather checked rows by batch and quantity.

    Parameters
    ----------
    readings : sequence of Reading
        As `check_rows` leaves them.

    Returns
    -------
    tuple of BatchRows
        By day, those of one day in the order of the file; positions ascend.
    """
    batches: dict[str, dict[Quantity, list[Reading]]] = {}
    for reading in readings:
        batches.setdefault(reading.batch, {}).setdefault(reading.quantity, []).append(reading)
    grouped = []
    for name, quantities in batches.items():
        gathered = []
        for quantity, rows in quantities.items():
            rows.sort(key=lambda reading: reading.position)
            gathered.append(
                QuantityRows(
                    quantity,
                    rows[0].instrument,
                    tuple(reading.position for reading in rows),
                    tuple(float(reading.value) for reading in rows),
                    tuple(reading.line for reading in rows),
                )
            )
        first = next(iter(quantities.values()))[0]
        grouped.append(BatchRows(name, first.day, first.style, tuple(gathered)))
    return tuple(sorted(grouped, key=lambda batch: batch.day))


def compare(batches: Sequence[BatchRows], stored: Mapping[str, StoredBatch]) -> Compared:
    """Tell new readings from those that are stored already.

    Parameters
    ----------
    batches : sequence of BatchRows
    stored : mapping of str to StoredBatch
        The cook's batches by name.

    Returns
    -------
    Compared
        A quantity is compared as a whole: the same positions and values are there already, any
        others are refused, for a file never changes what is stored.
    """
    new: list[BatchRows] = []
    added: list[BatchRows] = []
    already = 0
    problems: list[Problem] = []
    for batch in batches:
        known = stored.get(batch.name)
        if known is None:
            if any(rows.quantity.is_length for rows in batch.quantities):
                new.append(batch)
            else:
                problems += [Problem(line, RowFault.UNMEASURED) for line in batch.lines]
            continue
        if (known.day, known.style) != (batch.day, batch.style):
            details = {"batch": batch.name, "day": known.day.isoformat(), "style": known.style}
            problems += [Problem(line, RowFault.ALREADY_OTHER, details) for line in batch.lines]
            continue
        missing = []
        for rows in batch.quantities:
            there = known.readings.get(rows.quantity)
            if there is None:
                missing.append(rows)
            elif there == (rows.positions, rows.values):
                already += len(rows.lines)
            else:
                details = {"batch": batch.name, "quantity": rows.quantity.value}
                problems += [
                    Problem(line, RowFault.ALREADY_DIFFERENT, details) for line in rows.lines
                ]
        if missing:
            added.append(replace(batch, quantities=tuple(missing)))
    return Compared(tuple(new), tuple(added), already, tuple(problems))


def _decode(data: bytes) -> str:
    if not data.strip():
        raise FileRefused(FileFault.EMPTY)
    if data.startswith(_OTHER_FILES + _OTHER_FILES_TOO) or b"\0" in data:
        raise FileRefused(FileFault.NOT_TEXT)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise FileRefused(FileFault.NOT_UTF8, line=str(line)) from error
    if any(unicodedata.category(sign) == "Cc" for sign in set(text) - {"\t", "\r", "\n"}):
        raise FileRefused(FileFault.NOT_TEXT)
    return text


def _heading(line: str, delimiter: str) -> list[str]:
    try:
        cells = next(csv.reader([line], delimiter=delimiter, strict=True))
    except csv.Error as error:
        raise FileRefused(FileFault.NO_HEADER, missing=", ".join(COLUMNS)) from error
    names = [_plain(cell) for cell in cells]
    missing = [column for column in COLUMNS if names.count(column) != 1]
    if missing:
        raise FileRefused(FileFault.NO_HEADER, missing=", ".join(missing))
    # Spreadsheets may leave empty columns at the right.
    unknown = [name or "-" for name in names if name not in COLUMNS]
    if any(names[len(COLUMNS) :]):
        raise FileRefused(FileFault.UNKNOWN_COLUMN, found=", ".join(unknown))
    return names


def _plain(text: str) -> str:
    return " ".join(unicodedata.normalize("NFKC", text).split()).casefold()


def _close(wanted: str, names: Mapping[str, str]) -> str:
    near = difflib.get_close_matches(_plain(wanted)[:MAX_NAME], names, n=3, cutoff=0.6)
    return ", ".join(names[name] for name in near)


def _check_row(
    line: int, cells: Mapping[str, str], styles: Mapping[str, KnownStyle], today: date
) -> Reading | Problem:
    batch, instrument = cells["batch"], cells["instrument"]
    if not batch:
        return Problem(line, RowFault.NO_BATCH)
    for column in ("batch", "instrument"):
        if len(cells[column]) > MAX_NAME or not cells[column].isprintable():
            return Problem(line, RowFault.NAME, {"column": column, "most": str(MAX_NAME)})
    day = _day(cells["date"])
    if day is None:
        return Problem(line, RowFault.NOT_A_DAY, {"text": _short(cells["date"])})
    if day > today:
        return Problem(line, RowFault.IN_THE_FUTURE, {"text": day.isoformat()})
    style = styles.get(_plain(cells["style"]))
    if style is None:
        close = _close(cells["style"], {name: known.name for name, known in styles.items()})
        details = {"text": _short(cells["style"]), "close": close}
        return Problem(line, RowFault.UNKNOWN_STYLE, details)
    version = style.in_force(day)
    if version is None:
        details = {"style": style.name, "day": day.isoformat()}
        return Problem(line, RowFault.NO_STANDARD, details)
    try:
        quantity = Quantity(_plain(cells["quantity"]))
    except ValueError:
        close = _close(cells["quantity"], {name.value: name.value for name in Quantity})
        details = {"text": _short(cells["quantity"]), "close": close}
        return Problem(line, RowFault.UNKNOWN_QUANTITY, details)
    position = _position(cells["position"])
    if position is None:
        return Problem(line, RowFault.POSITION, {"text": _short(cells["position"])})
    if position != 1 and not quantity.is_length:
        return Problem(line, RowFault.ONE_WEIGHT, {"quantity": quantity.value})
    value = _value(line, cells["value"], cells["unit"], quantity, version)
    if isinstance(value, Problem):
        return value
    return Reading(line, batch, day, style.name, quantity, position, value, instrument)


def _day(text: str) -> date | None:
    if not _ISO_DAY.fullmatch(text):
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def _position(text: str) -> int | None:
    if not (text.isascii() and text.isdecimal() and len(text) <= MAX_VALUE_LENGTH):
        return None
    return int(text) if 1 <= int(text) <= MAX_POSITION else None


def _value(
    line: int, text: str, unit: str, quantity: Quantity, version: Version
) -> Decimal | Problem:
    details = {"text": _short(text), "unit": quantity.unit, "quantity": quantity.value}
    if not text:
        return Problem(line, RowFault.EMPTY_VALUE, details)
    if _plain(unit) != quantity.unit:
        return Problem(line, RowFault.UNIT, {**details, "found": _short(unit)})
    if len(text) > MAX_VALUE_LENGTH:
        return Problem(line, RowFault.NOT_A_NUMBER, details)
    try:
        # Readings are kept to a thousandth of their unit.
        value = parse_measure(text, quantity.unit).quantize(_SMALLEST)
    except ReadingError as error:
        faults = {"negative": RowFault.NEGATIVE, "wrong_unit": RowFault.UNIT}
        found = {**details, "found": _short(text)}
        return Problem(line, faults.get(error.code, RowFault.NOT_A_NUMBER), found)
    if value == 0 and (quantity.is_length or quantity is Quantity.FLOUR):
        return Problem(line, RowFault.ZERO, details)
    if not quantity.is_length:
        if value > MAX_WEIGHT_G:
            return Problem(line, RowFault.TOO_HEAVY, {**details, "most_kg": "500"})
        return value
    target = version.width_mm if quantity is Quantity.WIDTH else version.thickness_mm
    doubt = implausible(value, target)
    if doubt is not None:
        suggestion = "" if doubt.suggestion is None else str(doubt.suggestion)
        wanted = {**details, "target": str(target), "suggestion": suggestion}
        return Problem(line, RowFault.IMPLAUSIBLE, wanted)
    return value


def _short(text: str) -> str:
    return text if len(text) <= MAX_NAME else text[: MAX_NAME - 1] + "…"


def _one_heading_each(
    readings: Sequence[Reading], styles: Mapping[str, KnownStyle]
) -> list[Problem]:
    """Refuse rows that give their batch another day or style, or its quantity another tool."""
    first: dict[str, Reading] = {}
    first_of_quantity: dict[tuple[str, Quantity], Reading] = {}
    refused = []
    for reading in readings:
        batch = first.setdefault(reading.batch, reading)
        if reading.day != batch.day:
            fault, other = RowFault.OTHER_DAY, batch.day.isoformat()
        elif reading.style != batch.style:
            fault, other = RowFault.OTHER_STYLE, batch.style
        else:
            batch = first_of_quantity.setdefault((reading.batch, reading.quantity), reading)
            if _plain(reading.instrument) == _plain(batch.instrument):
                continue
            fault, other = RowFault.OTHER_INSTRUMENT, batch.instrument
        refused.append(Problem(reading.line, fault, {"other": other, "first": str(batch.line)}))
    return refused


def _each_place_once(
    readings: Sequence[Reading], styles: Mapping[str, KnownStyle]
) -> list[Problem]:
    first: dict[tuple[str, Quantity, int], Reading] = {}
    refused: dict[int, Problem] = {}
    for reading in readings:
        earlier = first.setdefault((reading.batch, reading.quantity, reading.position), reading)
        if earlier is reading:
            continue
        if reading.value == earlier.value:
            details = {"first": str(earlier.line)}
            refused[reading.line] = Problem(reading.line, RowFault.REPEATED, details)
            continue
        for row, other in ((earlier, reading), (reading, earlier)):
            details = {"other": str(other.value), "first": str(other.line)}
            refused.setdefault(row.line, Problem(row.line, RowFault.CONTRADICTED, details))
    return list(refused.values())


def _plausible_water(
    readings: Sequence[Reading], styles: Mapping[str, KnownStyle]
) -> list[Problem]:
    flour_g = {r.batch: r.value for r in readings if r.quantity is Quantity.FLOUR}
    refused = []
    for reading in readings:
        if reading.quantity is not Quantity.WATER or reading.batch not in flour_g:
            continue
        version = styles[_plain(reading.style)].in_force(reading.day)
        percent = version.water_percent.get(reading.day.month) if version else None
        if percent is None:
            continue
        wanted_g = flour_g[reading.batch] * percent / 100
        if implausible(reading.value, wanted_g) is not None:
            details = {"text": str(reading.value), "wanted": f"{wanted_g:.0f}"}
            refused.append(Problem(reading.line, RowFault.WATER, details))
    return refused
