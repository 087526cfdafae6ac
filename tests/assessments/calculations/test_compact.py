import csv
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assessments.calculations.compact import (
    Summary,
    pack_positions,
    pack_values,
    summary,
    unpack_positions,
    unpack_values,
)

PUBLISHED = Path(__file__).parent / "published"


def published(name):
    with (PUBLISHED / name).open(newline="") as file:
        return list(csv.DictReader(file))


NUM_ACC = {
    "NumAcc1": [10000001, 10000003, 10000002],
    "NumAcc2": [1.2, *[1.1, 1.3] * 500],
}


def certified_readings(name):
    if name in NUM_ACC:
        return NUM_ACC[name]
    return [float(row["y"]) for row in published(f"strd_{name.lower()}.csv")]


@pytest.mark.parametrize("row", published("strd_certified.csv"), ids=lambda row: row["set"])
def test_summary_meets_certified_values(row):
    values = certified_readings(row["set"])
    result = summary(values)
    assert result.n == int(row["n"])
    assert result.mean == pytest.approx(float(row["mean"]), rel=1e-14)
    # The data are not binary fractions: their own rounding leaves about 12 digits in Mavro.
    assert result.sd == pytest.approx(float(row["sd"]), rel=1e-12)
    assert (result.minimum, result.maximum) == (min(values), max(values))


@pytest.mark.parametrize(
    ("values", "expected"),
    [
        ([], Summary(0, None, None, None, None)),
        ([None, math.nan], Summary(0, None, None, None, None)),
        ([3.1], Summary(1, 3.1, None, 3.1, 3.1)),
        ([None, 3.0, math.nan, 3.0], Summary(2, 3.0, 0.0, 3.0, 3.0)),
        (np.array([1.0, np.nan, 3.0]), Summary(2, 2.0, math.sqrt(2), 1.0, 3.0)),
    ],
)
def test_summary_leaves_missing_readings_out(values, expected):
    assert summary(values) == expected


@given(st.lists(st.floats(-1e6, 1e6), min_size=2, max_size=50))
def test_summary_agrees_with_numpy(values):
    result = summary(values)
    assert result.mean == pytest.approx(np.mean(values), rel=1e-12, abs=1e-6)
    assert result.sd == pytest.approx(np.std(values, ddof=1), rel=1e-9, abs=1e-6)


def test_summary_refuses_an_infinite_reading():
    with pytest.raises(ValueError, match="finite"):
        summary([3.0, math.inf])


@given(st.lists(st.one_of(st.none(), st.integers(-(2**31) + 1, 2**31 - 1)), max_size=60))
def test_thousandths_come_back_exactly(thousandths):
    values = [None if k is None else k / 1000 for k in thousandths]
    packed = pack_values(values)
    assert len(packed) == 4 * len(values)
    back = unpack_values(packed)
    assert back.dtype == np.float64
    assert [None if math.isnan(v) else v for v in back.tolist()] == values


@pytest.mark.parametrize("text", ["3.07", "0.001", "0.1", "1.317", "2.675", "1e3", "2147483.647"])
def test_written_decimals_come_back_exactly(text):
    assert unpack_values(pack_values([float(text)]))[0] == float(text)


def test_finer_readings_are_kept_to_a_thousandth():
    assert unpack_values(pack_values([3.14159]))[0] == 3.142


def test_values_are_little_endian():
    assert pack_values([0.258, -0.001, None]) == bytes.fromhex("02010000 ffffffff 00000080")


def test_unpacked_readings_may_be_changed():
    values = unpack_values(pack_values([3.0]))
    values[0] = 4.0
    assert values[0] == 4


@pytest.mark.parametrize("wrap", [bytes, bytearray, memoryview])
def test_any_bytes_are_unpacked(wrap):
    assert unpack_values(wrap(pack_values([3.5]))).tolist() == [3.5]
    assert unpack_positions(wrap(pack_positions([7]))).tolist() == [7]


@pytest.mark.parametrize(
    ("value", "message"),
    [
        (math.nan, "Reading 2 must be a finite"),
        (math.inf, "Reading 2 must be a finite"),
        (2147483.648, "Reading 2 is too large"),
        (-2147483.648, "Reading 2 is too large"),
        (1e300, "Reading 2 is too large"),
    ],
)
def test_pack_values_refuses(value, message):
    with pytest.raises(ValueError, match=message):
        pack_values([3.0, value])


@given(st.lists(st.integers(0, 65535), max_size=60))
def test_positions_come_back(positions):
    packed = pack_positions(positions)
    assert len(packed) == 2 * len(positions)
    assert unpack_positions(packed).tolist() == positions


@pytest.mark.parametrize("position", [-1, 65536, 1.5, True, None])
def test_pack_positions_refuses(position):
    with pytest.raises(ValueError, match="position"):
        pack_positions([1, position])


def test_torn_bytes_are_refused():
    with pytest.raises(ValueError, match="four bytes"):
        unpack_values(b"\x00" * 6)
    with pytest.raises(ValueError, match="two bytes"):
        unpack_positions(b"\x00" * 3)
