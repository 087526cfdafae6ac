"""Evidence in the form in which it is kept, and its fingerprint."""

import hashlib
import json
from collections.abc import Mapping
from typing import Any, Final

DECIMALS: Final = 9


def storable(value: Any) -> Any:
    """Return a JSON-ready value whose numbers every database gives back as they were stored.

    Parameters
    ----------
    value : dict, list, str, int, float, bool or None
        Nested as it may be; dicts have strings as keys.

    Returns
    -------
    object
        The same with floats rounded to nine decimals and without a negative zero, which a
        database may give back as zero.

    Notes
    -----
    House definition.

    Examples
    --------
    >>> storable({"balances": [100 / 3, -0.0]})
    {'balances': [33.333333333, 0.0]}
    """
    if isinstance(value, dict):
        return {key: storable(item) for key, item in value.items()}
    if isinstance(value, list):
        return [storable(item) for item in value]
    if isinstance(value, float):
        return round(value, DECIMALS) + 0.0
    return value


def fingerprint(evidence: Mapping[str, Any]) -> str:
    """Return the SHA-256 of evidence, by which a later change would be seen.

    Parameters
    ----------
    evidence : mapping
        JSON-ready values, as `storable` returns them.

    Returns
    -------
    str
        64 hexadecimal digits. The order of keys does not matter.

    Raises
    ------
    ValueError
        For a number that is not finite: JSON has none.
    TypeError
        For a value that JSON does not know.

    Notes
    -----
    SHA-256 (FIPS 180-4) of the evidence as JSON in UTF-8: keys sorted, no spaces.

    Examples
    --------
    >>> fingerprint({"a": 1, "b": 2}) == fingerprint({"b": 2, "a": 1})
    True
    """
    text = json.dumps(
        evidence, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
    )
    return hashlib.sha256(text.encode()).hexdigest()
