import doctest
import importlib
import pkgutil

import pytest

from assessments.calculations import agreement
from assessments.calculations.agreement.reliability import Reliability


@pytest.mark.parametrize(
    ("low", "high", "reason", "expected"),
    [
        (0.65, 0.9, None, "above"),
        (0.6, 0.9, None, "above"),
        (0.1, 0.59, None, "below"),
        (0.1, 0.6, None, "cannot tell"),
        (0.4, 0.9, None, "cannot tell"),
        (0.65, 0.9, "few", "cannot tell"),
        (None, None, "no_scatter", "cannot tell"),
    ],
)
def test_judge(low, high, reason, expected):
    one = Reliability(value=0.55, low=low, high=high, n=20, reason=reason)
    assert one.judge(0.6) == expected


@pytest.mark.parametrize(
    "name", [module.name for module in pkgutil.iter_modules(agreement.__path__)]
)
def test_examples_hold(name):
    result = doctest.testmod(importlib.import_module(f"{agreement.__name__}.{name}"))
    assert result.attempted > 0
    assert result.failed == 0
