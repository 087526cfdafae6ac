import contextlib
import csv
import math
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assessments.calculations.reading_entry import (
    EmptyReading,
    NegativeReading,
    NotANumber,
    ReadingError,
    TooManySeparators,
    WrongUnit,
    implausible,
    parse_measure,
    split_readings,
)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("3.5", "3.5"),
        ("3,5", "3.5"),
        ("3.50", "3.50"),
        ("12", "12"),
        ("0", "0"),
        (".5", "0.5"),
        (",5", "0.5"),
        ("3.", "3"),
        ("+3.5", "3.5"),
        ("  3.5\n", "3.5"),
        ("3.5mm", "3.5"),
        ("3,5 mm", "3.5"),
        ("3.5 MM", "3.5"),
        ("3.5\u00a0mm", "3.5"),  # no-break space
        ("3.5\u2009mm", "3.5"),  # thin space
        ("3.5\u202fmm", "3.5"),  # narrow no-break space
        ("\u30003.5\u3000mm", "3.5"),  # ideographic space
        ("３．５", "3.5"),
        ("３，５ｍｍ", "3.5"),
        ("3.5㎜", "3.5"),
        ("٣٫٥", "3.5"),
    ],
)
def test_parse_measure(text, value):
    result = parse_measure(text)
    assert result == Decimal(value)
    assert -result.as_tuple().exponent == len(value.partition(".")[2])


def test_parse_measure_in_another_unit():
    assert parse_measure("450 g", unit="g") == 450
    with pytest.raises(WrongUnit):
        parse_measure("450 mm", unit="g")


@given(st.decimals(0, 9999, places=3), st.sampled_from([".", ","]), st.sampled_from(["", " mm"]))
def test_parse_measure_reads_what_was_written(value, sign, suffix):
    assert parse_measure(f"{value:f}".replace(".", sign) + suffix) == value


@pytest.mark.parametrize(
    ("text", "error", "code"),
    [
        ("", EmptyReading, "empty"),
        (" \u00a0\n", EmptyReading, "empty"),
        ("abc", NotANumber, "not_a_number"),
        ("mm", NotANumber, "not_a_number"),
        (".", NotANumber, "not_a_number"),
        ("-", NotANumber, "not_a_number"),
        ("3 5", NotANumber, "not_a_number"),
        ("1e3", NotANumber, "not_a_number"),
        ("3.5²", NotANumber, "not_a_number"),
        ("3½", NotANumber, "not_a_number"),
        ("3.5/2", NotANumber, "not_a_number"),
        ("3-5", NotANumber, "not_a_number"),
        ("nan", NotANumber, "not_a_number"),
        ("inf", NotANumber, "not_a_number"),
        ("3.5 cm", WrongUnit, "wrong_unit"),
        ("3.5 µm", WrongUnit, "wrong_unit"),
        ("3.5 %", WrongUnit, "wrong_unit"),
        ('0.14"', WrongUnit, "wrong_unit"),
        ("-3.1", NegativeReading, "negative"),
        ("\u22123,1 mm", NegativeReading, "negative"),  # minus sign
        ("\u20133.1", NegativeReading, "negative"),  # dash
        ("1,234.5", TooManySeparators, "too_many_separators"),
        ("3.1.2", TooManySeparators, "too_many_separators"),
        ("3..1", TooManySeparators, "too_many_separators"),
        ("3,1,2,9", TooManySeparators, "too_many_separators"),
    ],
)
def test_parse_measure_refuses(text, error, code):
    with pytest.raises(error) as refusal:
        parse_measure(text)
    assert refusal.value.code == code
    assert isinstance(refusal.value, ValueError)


@given(st.text(max_size=12))
def test_parse_measure_reads_or_refuses_and_never_breaks(text):
    with contextlib.suppress(ReadingError):
        assert parse_measure(text) >= 0


@pytest.mark.parametrize(
    ("value", "target", "suggestion"),
    [
        ("35", "3.5", "3.5"),
        ("0.35", "3.5", "3.5"),
        ("350", "3.5", "3.5"),
        ("0.035", "3.5", "3.5"),
        ("32.1", "3.2", "3.21"),
        ("305", "3.0", "3.05"),
        ("14", "1.4", "1.4"),
        ("400", "30", "40"),
        ("0", "3.5", None),
        ("3500", "3.5", None),
    ],
)
def test_implausible_reading_is_questioned(value, target, suggestion):
    result = implausible(Decimal(value), Decimal(target))
    assert result.value == Decimal(value)
    assert str(result.suggestion) == str(suggestion)


@pytest.mark.parametrize(
    ("value", "target"), [("3.5", "3.0"), ("1", "3.0"), ("9", "3.0"), ("1.2", "1.4")]
)
def test_plausible_reading_passes(value, target):
    assert implausible(Decimal(value), Decimal(target)) is None


def test_implausible_takes_floats_and_other_factors():
    assert implausible(5.0, 3.0) is None
    assert implausible(5.0, 3.0, 0.5, 1.5).suggestion is None
    assert implausible(30.0, 3.0, 0.5, 1.5).suggestion == 3


@given(st.floats(0.5, 50), st.floats(0.001, 10000))
def test_a_suggestion_is_plausible_and_a_shift_of_the_decimal_sign(target, value):
    result = implausible(value, target)
    if result is None:
        assert target / 3 * 0.999 <= value <= target * 3 * 1.001
    elif result.suggestion is not None:
        assert implausible(result.suggestion, target) is None
        shift = math.log10(float(result.suggestion) / value)
        assert shift == pytest.approx(round(shift), abs=1e-9)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((Decimal("-1"), Decimal(3)), "value"),
        ((math.nan, 3.0), "value"),
        ((3.0, 0.0), "target"),
        ((3.0, math.inf), "target"),
        ((3.0, 3.0, 1.5, 3.0), "must hold"),
        ((3.0, 3.0, 0.3, 0.9), "must hold"),
    ],
)
def test_implausible_refuses(arguments, message):
    with pytest.raises(ValueError, match=message):
        implausible(*arguments)


@pytest.mark.parametrize(
    ("text", "pieces"),
    [
        ("", []),
        (" \n\t;", []),
        ("3.1", ["3.1"]),
        ("3.1\n2.9\r\n3.0\n", ["3.1", "2.9", "3.0"]),
        ("3.1\t2.9\t3.0", ["3.1", "2.9", "3.0"]),
        ("3,1; 2,9;3,0", ["3,1", "2,9", "3,0"]),
        ("3.1 2.9\u00a03.0\u30003.2", ["3.1", "2.9", "3.0", "3.2"]),
        ("3.1,2.9,3.0", ["3.1", "2.9", "3.0"]),
        ("3.1, 2.9, 3", ["3.1", "2.9", "3"]),
        ("3,1, 2,9, 3", ["3,1", "2,9", "3"]),
        ("3,1 2,9", ["3,1", "2,9"]),
        ("3.1,3", ["3.1", "3"]),
        ("3,1,2,9", ["3,1,2,9"]),
        ("３．１、２．９；３．０", ["3.1", "2.9", "3.0"]),
        ("3.1 mm 2.9 mm", ["3.1 mm", "2.9 mm"]),
        ("3.1mm 2.9", ["3.1mm", "2.9"]),
        ("mm 3.1", ["mm", "3.1"]),
        ("3.1 mm mm", ["3.1 mm", "mm"]),
        ("3.1 none 2.9", ["3.1", "none", "2.9"]),
    ],
)
def test_split_readings(text, pieces):
    assert split_readings(text) == pieces


@given(
    st.lists(st.decimals(0, 99, places=2), max_size=30),
    st.sampled_from(["\n", "\r\n", "\t", ";", "; ", " ", " \n", ", "]),
    st.sampled_from([".", ","]),
)
def test_split_readings_finds_every_reading(values, separator, sign):
    text = separator.join(f"{value:.2f}".replace(".", sign) for value in values)
    assert [parse_measure(piece) for piece in split_readings(text)] == values


def test_points_may_be_divided_by_commas_alone():
    assert [parse_measure(piece) for piece in split_readings("3.10,2.95,3.02")] == [
        Decimal("3.10"), Decimal("2.95"), Decimal("3.02"),
    ]  # fmt: skip


def test_faulty_values_of_an_imported_file_are_told_apart():
    path = Path(__file__).parents[1] / "readings" / "faulty.csv"
    with path.open(newline="") as file:
        rows = {row["position"]: row for row in list(csv.DictReader(file))[29:] if row["value"]}
    with pytest.raises(NegativeReading):
        parse_measure(rows["7"]["value"])
    with pytest.raises(WrongUnit):
        parse_measure(f"{rows['5']['value']} {rows['5']['unit']}")
    assert implausible(parse_measure(rows["8"]["value"]), 3.2).suggestion == Decimal("3.21")
