"""Evidence as it is kept, against SHA-256 as published."""

import json
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assessments.calculations.freezing import fingerprint, storable

VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**40), 2**40) | st.text()
    | st.floats(-1e6, 1e6, allow_nan=False),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
    max_leaves=8,
)  # fmt: skip


def test_the_fingerprint_is_sha256_of_sorted_json_in_utf8():
    # Value of `printf '{"a":"ü","b":[1,2.5,null]}' | sha256sum` (GNU coreutils 9.1).
    assert (
        fingerprint({"b": [1, 2.5, None], "a": "ü"})
        == "91ff63a7ddb19a1b9c7a2e722d40ba9baba03223f291c89743abfd71bb743cb5"
    )


@pytest.mark.parametrize("number", [math.nan, math.inf, -math.inf])
def test_a_number_that_json_does_not_have_is_refused(number):
    with pytest.raises(ValueError, match="JSON"):
        fingerprint({"score": number})


@pytest.mark.parametrize(
    "changed",
    [
        {"balances": {"width": 99.9}, "missing": []},
        {"balances": {"width": 100.0}, "missing": ["modules"]},
        {"balances": {"width": 100.0}},
    ],
)
def test_any_change_changes_the_fingerprint(changed):
    assert fingerprint(changed) != fingerprint({"balances": {"width": 100.0}, "missing": []})


@pytest.mark.parametrize(
    ("value", "stored"),
    [
        (-0.0, 0.0),
        (100 / 3, 33.333333333),
        ([-0.0, {"a": 1e-12}], [0.0, {"a": 0.0}]),
        (True, True),
        ("-0.0", "-0.0"),
        (7, 7),
        (None, None),
    ],
)
def test_storable(value, stored):
    assert json.dumps(storable(value)) == json.dumps(stored)


@given(VALUES)
def test_what_is_stored_comes_back_with_the_same_fingerprint(value):
    kept = {"value": storable(value)}
    assert fingerprint(json.loads(json.dumps(kept))) == fingerprint(kept)
