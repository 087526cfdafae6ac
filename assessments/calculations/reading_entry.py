"""What a cook types or pastes, read as numbers: decimal comma or point, units, slips."""

import math
import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

_NUMBER: Final = re.compile(r"([+-]?)(\d*[.,]?\d*)\s*(.*)", re.DOTALL)
_SEPARATOR_RUN: Final = re.compile(r"[+-]?[\d.,]*\d[\d.,]*")
_DASHES: Final = dict.fromkeys(map(ord, "\u2010\u2011\u2012\u2013\u2212\ufe63\uff0d"), "-")
_DECIMAL_SIGNS: Final = {ord("\u066b"): ".", ord("\uff0e"): ".", ord("\uff0c"): ","}
_LIST_SIGNS: Final = re.compile(r"[\s;\uff1b\u3001]+")
_SLIPS: Final = (Decimal("0.1"), Decimal(10), Decimal("0.01"), Decimal(100))


class ReadingError(ValueError):
    """A typed reading that cannot be used; `code` tells why.

    Attributes
    ----------
    code : str
        ``'empty'``, ``'not_a_number'``, ``'wrong_unit'``, ``'negative'`` or
        ``'too_many_separators'``.
    """

    code = ""


class EmptyReading(ReadingError):  # noqa: N818
    """Nothing was typed."""

    code = "empty"


class NotANumber(ReadingError):  # noqa: N818
    """What was typed is no decimal number."""

    code = "not_a_number"


class WrongUnit(ReadingError):  # noqa: N818
    """The number carries another unit than the field."""

    code = "wrong_unit"


class NegativeReading(ReadingError):  # noqa: N818
    """The number is below 0."""

    code = "negative"


class TooManySeparators(ReadingError):  # noqa: N818
    """More than one decimal comma or point: thousands signs are not read."""

    code = "too_many_separators"


@dataclass(frozen=True, slots=True)
class Implausible:
    """A reading far from its target, and the reading that was perhaps meant, or None."""

    value: Decimal
    suggestion: Decimal | None


def parse_measure(text: str, unit: str = "mm") -> Decimal:
    """Read one measured value as typed.

    Parameters
    ----------
    text : str
        A decimal number with comma or point, any kind of digits (full width too), with or
        without `unit` after it, and any kind of space around and between.
    unit : str
        The field's unit.

    Returns
    -------
    Decimal
        The number exactly as typed, 0 or more.

    Raises
    ------
    EmptyReading, NotANumber, WrongUnit, NegativeReading, TooManySeparators
        Each a ValueError with a reason `code`. Exponents, thousands signs, fractions and
        superscripts are not numbers here.

    Notes
    -----
    Unicode compatibility forms (NFKC) but for superscripts and fractions.

    Examples
    --------
    >>> parse_measure("3,5 mm"), parse_measure("3.12")
    (Decimal('3.5'), Decimal('3.12'))
    """
    plain = _plain(text).strip()
    if not plain:
        raise EmptyReading("A number is missing.")
    run = _SEPARATOR_RUN.match(plain)
    if run and run.group().count(".") + run.group().count(",") > 1:
        raise TooManySeparators(f"{text!r} has more than one decimal sign.")
    match = _NUMBER.fullmatch(plain)
    if match is None or not any(character.isdigit() for character in match[2]):
        raise NotANumber(f"{text!r} is not a number.")
    sign, digits, rest = match.groups()
    if rest.casefold() not in ("", unit.casefold()):
        if any(character.isnumeric() for character in rest) or rest[0] in "+-/.,":
            raise NotANumber(f"{text!r} is not a number.")
        raise WrongUnit(f"{rest!r} is not {unit}.")
    if sign == "-":
        raise NegativeReading(f"{text!r} is below 0.")
    return Decimal(digits.replace(",", "."))


def implausible(
    value: Decimal | float,
    target: Decimal | float,
    low_factor: float = 1 / 3,
    high_factor: float = 3.0,
) -> Implausible | None:
    """Question a reading that is far from its target.

    Parameters
    ----------
    value : Decimal or float
        The reading, 0 or more.
    target : Decimal or float
        Target of the house standard in the same unit, above 0.
    low_factor, high_factor : float
        Readings from `low_factor` to `high_factor` times the target are plausible (inclusive);
        ``0 < low_factor < 1 < high_factor``.

    Returns
    -------
    Implausible or None
        None for a plausible reading. Otherwise the suggestion is the reading with its decimal
        sign moved by one or two places, the plausible one nearest to the target (by ratio), or
        None when no move makes it plausible.

    Raises
    ------
    ValueError
        For a number that is not finite or outside its range.

    Notes
    -----
    House rule; a question, never a correction.

    Examples
    --------
    >>> implausible(Decimal("35"), Decimal("3.0")).suggestion
    Decimal('3.5')
    >>> implausible(Decimal("3.5"), Decimal("3.0")) is None
    True
    """
    read, wanted = Decimal(str(value)), Decimal(str(target))
    if not (read.is_finite() and read >= 0):
        raise ValueError(f"value must be 0 or more, not {value}.")
    if not (wanted.is_finite() and wanted > 0):
        raise ValueError(f"target must be above 0, not {target}.")
    if not 0 < low_factor < 1 < high_factor:
        raise ValueError(f"0 < {low_factor} < 1 < {high_factor} must hold.")

    def off(candidate: Decimal) -> float:
        return abs(math.log(candidate / wanted))

    def plausible(candidate: Decimal) -> bool:
        return low_factor - 1e-9 <= float(candidate / wanted) <= high_factor + 1e-9

    if plausible(read):
        return None
    candidates = [moved for slip in _SLIPS if plausible(moved := read * slip)]
    nearest = min(candidates, key=off, default=None)
    return Implausible(read, None if nearest is None else _without_trailing_zeros(nearest))


def split_readings(text: str, unit: str = "mm") -> list[str]:
    """Split pasted text into one piece for each reading.

    Parameters
    ----------
    text : str
        Readings between line ends, tabs, semicolons or spaces. A comma divides two readings
        where it cannot be a decimal comma: before a space, or in a piece that has a decimal
        point too.
    unit : str
        A unit standing alone stays with the reading before it.

    Returns
    -------
    list of str
        The pieces in order, none of them empty, for `parse_measure`. Nothing is dropped but
        separators, so that a piece that is no number can be shown to the cook.

    Notes
    -----
    A piece with several commas and no point (``3,1,2,9``) is left whole: it may be two readings
    or four, and `parse_measure` refuses it.

    Examples
    --------
    >>> split_readings("3,1; 2,9\\n3.0,3.2 3.1 mm")
    ['3,1', '2,9', '3.0', '3.2', '3.1 mm']
    """
    pieces: list[str] = []
    for chunk in _LIST_SIGNS.split(text):
        plain = _plain(chunk)
        for piece in plain.split(",") if "." in plain else [plain.strip(",")]:
            if not piece:
                continue
            if pieces and piece.casefold() == unit.casefold() and _bare_number(pieces[-1]):
                pieces[-1] = f"{pieces[-1]} {piece}"
            else:
                pieces.append(piece)
    return pieces


def _plain(text: str) -> str:
    characters: list[str] = []
    for character in text.translate(_DASHES).translate(_DECIMAL_SIGNS):
        # Superscripts and fractions would turn into plain digits: 3.5² must not become 3.52.
        is_other_number = unicodedata.category(character) == "No"
        characters.append(
            character if is_other_number else unicodedata.normalize("NFKC", character)
        )
    return "".join(characters)


def _bare_number(piece: str) -> bool:
    return piece[-1].isdigit() or piece[-1] == "."


def _without_trailing_zeros(value: Decimal) -> Decimal:
    tidy = value.normalize()
    return tidy.quantize(Decimal(1)) if tidy == tidy.to_integral_value() else tidy
