"""Files of readings: what is read, what is refused, on which line and why."""

import string
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assessments.calculations.import_rows import (
    COLUMNS,
    MAX_BYTES,
    MAX_ROWS,
    FileFault,
    FileRefused,
    KnownStyle,
    Quantity,
    RowFault,
    StoredBatch,
    Version,
    check_rows,
    compare,
    group_batches,
    read_table,
)

READINGS = Path(__file__).parents[1] / "readings"
TODAY = date(2026, 5, 1)
HEADING = ",".join(COLUMNS)
WATER = dict.fromkeys(range(1, 13), Decimal(46))
THICK = KnownStyle(
    "thick wheat",
    (
        Version(date(2025, 1, 1), Decimal("3.20"), Decimal("3.00"), WATER),
        Version(date(2026, 4, 1), Decimal("32.0"), Decimal("3.00"), WATER),
    ),
)
THIN = KnownStyle(
    "Thin Buckwheat", (Version(date(2026, 3, 1), Decimal("1.40"), Decimal("1.50"), WATER),)
)
STYLES = (THICK, THIN)


def row(**cells):
    """Return one line in the order of the columns, a good one unless ``cells`` say otherwise."""
    good = {
        "batch": "b1",
        "date": "2026-03-01",
        "style": "thick wheat",
        "quantity": "strand width",
        "position": "1",
        "value": "3.1",
        "unit": "mm",
        "instrument": "caliper",
    }
    return ",".join({**good, **cells}.values())


def check(*lines, heading=HEADING, end="\n"):
    return check_rows(read_table(end.join([heading, *lines]).encode()), STYLES, TODAY)


def faults(checked):
    return [(problem.line, problem.fault) for problem in checked.problems]


@pytest.mark.parametrize(
    ("name", "rows", "batches"), [("first", 261, 9), ("second", 203, 7), ("third", 348, 12)]
)
def test_caliper_files_are_read_whole(name, rows, batches):
    data = (READINGS / f"{name}.csv").read_bytes()
    checked = check_rows(
        read_table(data), (KnownStyle(THICK.name, THICK.versions[:1]), THIN), TODAY
    )
    assert (checked.rows_read, checked.problems) == (rows, ())
    grouped = group_batches(checked.readings)
    assert len(grouped) == batches
    assert [batch.day for batch in grouped] == sorted(batch.day for batch in grouped)
    for batch in grouped:
        width, thickness = batch.quantities
        assert (width.quantity, len(width.values)) == (Quantity.WIDTH, 20)
        assert (thickness.quantity, thickness.positions) == (
            Quantity.THICKNESS,
            tuple(range(1, 10)),
        )


def test_every_faulty_row_is_reported_with_its_line_and_reason():
    checked = check_rows(
        read_table((READINGS / "faulty.csv").read_bytes()), STYLES, date(2026, 3, 2)
    )
    assert faults(checked) == [
        (31, RowFault.UNIT),
        (32, RowFault.UNKNOWN_QUANTITY),
        (33, RowFault.NEGATIVE),
        (34, RowFault.IMPLAUSIBLE),
        (35, RowFault.TOO_MANY_COLUMNS),
        (36, RowFault.EMPTY_VALUE),
        (37, RowFault.TOO_FEW_COLUMNS),
        (38, RowFault.REPEATED),
    ]
    assert checked.rows_read == 37
    assert len(checked.readings) == 29
    details = {problem.line: problem.details for problem in checked.problems}
    assert details[31]["found"] == "cm"
    assert (details[34]["suggestion"], details[34]["target"]) == ("3.21", "3.20")
    assert details[35]["found"] == "9"
    assert details[38]["first"] == "4"


@pytest.mark.parametrize(
    "data",
    [
        pytest.param(f"{HEADING}\n{row()}".encode(), id="plain"),
        pytest.param(f"\ufeff{HEADING}\n{row()}\n".encode(), id="byte order mark"),
        pytest.param(f"{HEADING}\r\n{row()}\r\n\r\n".encode(), id="CR LF"),
        pytest.param(f"{HEADING}\r{row()}\r".encode(), id="CR"),
        pytest.param(f"{HEADING}\n\n{row()}\n,,,,,,,\n".encode(), id="empty lines"),
        pytest.param(f"{HEADING},,\n{row()},,\n".encode(), id="empty columns at the right"),
        pytest.param(f"{HEADING.upper()}\n{row()}".encode(), id="capital heading"),
        pytest.param(
            f"{HEADING}\n{row(style='  Thick   WHEAT ', quantity='Strand width')}".encode(),
            id="case and spaces",
        ),
        pytest.param(f"{HEADING}\n{row(value=chr(34) + '3,1' + chr(34))}".encode(), id="quoted"),
        pytest.param(
            f"{HEADING};\n{row(value='3_1')};".replace(",", ";").replace("_", ",").encode(),
            id="semicolons with decimal comma",
        ),
        pytest.param(f"{HEADING}\n{row(value='3.1 mm')}".encode(), id="unit beside the value"),
        pytest.param(f"{HEADING}\n{row(value='３．１')}".encode(), id="full width digits"),
    ],
)
def test_spellings_of_one_row(data):
    checked = check_rows(read_table(data), STYLES, TODAY)
    assert checked.problems == ()
    (reading,) = checked.readings
    assert (reading.batch, reading.day, reading.style) == ("b1", date(2026, 3, 1), "thick wheat")
    assert (reading.quantity, reading.position, reading.value) == (
        Quantity.WIDTH,
        1,
        Decimal("3.1"),
    )


def test_columns_in_another_order():
    heading = ",".join(reversed(COLUMNS))
    checked = check(",".join(reversed(row().split(","))), heading=heading)
    assert checked.problems == ()
    assert checked.readings[0].value == Decimal("3.1")


@pytest.mark.parametrize(
    ("data", "fault"),
    [
        (b"", FileFault.EMPTY),
        (b" \r\n \n", FileFault.EMPTY),
        (b"\xef\xbb\xbf", FileFault.EMPTY),
        (HEADING.encode(), FileFault.NO_ROWS),
        (b"PK\x03\x04 and so on", FileFault.NOT_TEXT),
        (b"%PDF-1.7", FileFault.NOT_TEXT),
        (f"{HEADING}\n\0".encode(), FileFault.NOT_TEXT),
        (f"{HEADING}\n\x07".encode(), FileFault.NOT_TEXT),
        (f"{HEADING}\n{row()}".encode("utf-16"), FileFault.NOT_TEXT),
        (f"{HEADING}\n{row(instrument='Messschieber ü')}".encode("latin-1"), FileFault.NOT_UTF8),
        (row().encode(), FileFault.NO_HEADER),
        (b"hello", FileFault.NO_HEADER),
        (HEADING.replace(",", "\t").encode(), FileFault.NO_HEADER),
        (f"{HEADING},batch\n{row()},b1".encode(), FileFault.NO_HEADER),
        (f"{HEADING},note\n{row()},soft".encode(), FileFault.UNKNOWN_COLUMN),
        (f"{HEADING}\n".encode() + b"x" * MAX_BYTES, FileFault.TOO_LARGE),
        (f"{HEADING}\n".encode() + b"x\n" * (MAX_ROWS + 1), FileFault.TOO_MANY_ROWS),
    ],
    ids=lambda value: value.value if isinstance(value, FileFault) else "",
)
def test_files_that_are_refused_as_a_whole(data, fault):
    with pytest.raises(FileRefused) as refused:
        read_table(data)
    assert refused.value.fault is fault


def test_letters_that_are_not_utf8_name_their_line():
    data = f"{HEADING}\n{row()}\n{row(instrument='ü')}".encode("latin-1")
    with pytest.raises(FileRefused) as refused:
        read_table(data)
    assert refused.value.details == {"line": "3"}


@pytest.mark.parametrize(
    ("cells", "fault"),
    [
        ({"batch": ""}, RowFault.NO_BATCH),
        ({"batch": "b" * 61}, RowFault.NAME),
        ({"instrument": "i" * 61}, RowFault.NAME),
        ({"date": "01.03.2026"}, RowFault.NOT_A_DAY),
        ({"date": "20260301"}, RowFault.NOT_A_DAY),
        ({"date": "2026-02-30"}, RowFault.NOT_A_DAY),
        ({"date": ""}, RowFault.NOT_A_DAY),
        ({"date": "2026-05-02"}, RowFault.IN_THE_FUTURE),
        ({"style": "thick rice"}, RowFault.UNKNOWN_STYLE),
        ({"style": ""}, RowFault.UNKNOWN_STYLE),
        ({"date": "2024-12-31"}, RowFault.NO_STANDARD),
        ({"quantity": "length"}, RowFault.UNKNOWN_QUANTITY),
        ({"position": "0"}, RowFault.POSITION),
        ({"position": "-1"}, RowFault.POSITION),
        ({"position": "1.5"}, RowFault.POSITION),
        ({"position": "65536"}, RowFault.POSITION),
        ({"position": "²"}, RowFault.POSITION),
        ({"position": ""}, RowFault.POSITION),
        ({"value": ""}, RowFault.EMPTY_VALUE),
        ({"value": "wide"}, RowFault.NOT_A_NUMBER),
        ({"value": "nan"}, RowFault.NOT_A_NUMBER),
        ({"value": "1e3"}, RowFault.NOT_A_NUMBER),
        ({"value": "3.1.2"}, RowFault.NOT_A_NUMBER),
        ({"value": "9" * 400}, RowFault.NOT_A_NUMBER),
        ({"value": "-3.1"}, RowFault.NEGATIVE),
        ({"value": "−3.1"}, RowFault.NEGATIVE),
        ({"value": "0"}, RowFault.ZERO),
        ({"value": "0.0001"}, RowFault.ZERO),
        ({"value": "0.31 cm"}, RowFault.UNIT),
        ({"unit": "cm"}, RowFault.UNIT),
        ({"unit": ""}, RowFault.UNIT),
        ({"value": "31"}, RowFault.IMPLAUSIBLE),
        ({"value": "0.31"}, RowFault.IMPLAUSIBLE),
        ({"quantity": "sheet thickness", "value": "30"}, RowFault.IMPLAUSIBLE),
        ({"value": '3"1'}, RowFault.NOT_A_NUMBER),
        ({"batch": '"b1'}, RowFault.QUOTES),
        ({"batch": '"b"1'}, RowFault.QUOTES),
        ({"value": "3,1"}, RowFault.TOO_MANY_COLUMNS),
        ({"value": "3,1", "instrument": ""}, RowFault.TOO_MANY_COLUMNS),
        ({"quantity": "flour", "unit": "g", "position": "2"}, RowFault.ONE_WEIGHT),
        ({"quantity": "flour", "unit": "g", "value": "0"}, RowFault.ZERO),
        ({"quantity": "flour", "unit": "kg"}, RowFault.UNIT),
        ({"quantity": "flour", "unit": "g", "value": "500001"}, RowFault.TOO_HEAVY),
    ],
)
def test_one_bad_row_is_refused_and_its_neighbours_are_kept(cells, fault):
    checked = check(row(position="7"), row(**cells), row(position="8"))
    assert faults(checked) == [(3, fault)]
    assert [reading.position for reading in checked.readings] == [7, 8]
    assert checked.rows_read == 3


def test_a_quantity_or_style_that_is_nearly_right_is_suggested():
    checked = check(row(style="thik wheat"), row(quantity="strand widht"))
    style, quantity = (problem.details["close"] for problem in checked.problems)
    assert style.startswith("thick wheat")
    assert quantity == "strand width"


def test_the_standard_of_the_day_decides_what_is_plausible():
    assert check(row(batch="b2", date="2026-04-01", value="32")).problems == ()
    assert faults(check(row(batch="b2", date="2026-03-31", value="32"))) == [
        (2, RowFault.IMPLAUSIBLE)
    ]


def test_two_values_for_one_place_are_both_refused():
    checked = check(row(), row(position="2"), row(value="3.2"), row())
    assert faults(checked) == [
        (2, RowFault.CONTRADICTED),
        (4, RowFault.CONTRADICTED),
        (5, RowFault.REPEATED),
    ]
    assert [reading.position for reading in checked.readings] == [2]


@pytest.mark.parametrize(
    ("cells", "fault"),
    [
        ({"date": "2026-03-02"}, RowFault.OTHER_DAY),
        ({"style": "thin buckwheat", "value": "1.4"}, RowFault.OTHER_STYLE),
        ({"instrument": "ruler"}, RowFault.OTHER_INSTRUMENT),
    ],
)
def test_rows_of_one_batch_agree(cells, fault):
    checked = check(row(), row(position="2", **cells), row(position="3"))
    assert faults(checked) == [(3, fault)]
    assert checked.problems[0].details["first"] == "2"


def test_each_quantity_may_have_its_own_instrument():
    thickness = row(quantity="sheet thickness", value="3.0", instrument="thickness gauge")
    assert check(row(), thickness).problems == ()


def weights(flour_g, water_g):
    return [
        row(quantity=name, value=value, unit="g", instrument="scale")
        for name, value in (("flour", flour_g), ("water", water_g))
    ]


def test_water_is_compared_with_the_flour():
    assert check(row(), *weights("1000", "460")).problems == ()
    checked = check(row(), *weights("1000", "4600"))
    assert faults(checked) == [(4, RowFault.WATER)]
    assert checked.problems[0].details["wanted"] == "460"


def stored(readings):
    return {"b1": StoredBatch(date(2026, 3, 1), "thick wheat", readings)}


def grouped(*lines):
    return group_batches(check(*lines).readings)


def test_the_same_readings_again_are_there_already():
    again = compare(
        grouped(row(), row(position="2", value="3.46")),
        stored({Quantity.WIDTH: ((1, 2), (3.1, 3.46))}),
    )
    assert (again.new, again.added, again.already, again.problems) == ((), (), 2, ())


@pytest.mark.parametrize(
    "there",
    [((1, 2), (3.1, 3.47)), ((1, 3), (3.1, 3.46)), ((1,), (3.1,)), ((1, 2, 3), (3.1, 3.46, 3.0))],
)
def test_other_readings_of_a_stored_batch_are_refused(there):
    differing = compare(
        grouped(row(), row(position="2", value="3.46")), stored({Quantity.WIDTH: there})
    )
    assert (differing.new, differing.added, differing.already) == ((), (), 0)
    assert [(p.line, p.fault) for p in differing.problems] == [
        (2, RowFault.ALREADY_DIFFERENT),
        (3, RowFault.ALREADY_DIFFERENT),
    ]


def test_a_name_that_belongs_to_a_batch_of_another_day_is_refused():
    other = {"b1": StoredBatch(date(2026, 3, 2), "thick wheat", {})}
    assert [p.fault for p in compare(grouped(row()), other).problems] == [RowFault.ALREADY_OTHER]


def test_a_stored_batch_takes_the_quantities_that_it_lacks():
    known = stored({Quantity.WIDTH: ((1,), (3.1,))})
    compared = compare(grouped(row(), *weights("1000", "460")), known)
    assert compared.already == 1
    (added,) = compared.added
    assert [rows.quantity for rows in added.quantities] == [Quantity.FLOUR, Quantity.WATER]


def test_weights_alone_make_no_batch():
    compared = compare(grouped(*weights("1000", "460")), {})
    assert compared.new == ()
    assert [p.fault for p in compared.problems] == [RowFault.UNMEASURED] * 2


PRINTABLE = "".join(sorted(set(string.printable) - {"\x0b", "\x0c"}))
cell = st.text(alphabet=PRINTABLE + "−３ü²\u2028", max_size=12)


@given(st.lists(st.lists(cell, min_size=1, max_size=10).map(",".join), min_size=1, max_size=8))
def test_every_row_of_any_text_is_either_good_or_has_one_problem(lines):
    checked = check(row(), *lines)
    seen = [problem.line for problem in checked.problems] + [r.line for r in checked.readings]
    assert len(seen) == len(set(seen)) == checked.rows_read
