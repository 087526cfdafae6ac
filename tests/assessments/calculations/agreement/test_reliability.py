import doctest
import importlib
import pkgutil

import numpy as np
import pytest
from statsmodels.stats.multitest import multipletests

from assessments.calculations import agreement
from assessments.calculations.agreement.reliability import Reliability, holm


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


@pytest.mark.parametrize("n", [1, 2, 5, 12])
def test_holm_agrees_with_statsmodels(n):
    probabilities = np.random.default_rng(n).beta(0.3, 1, n).tolist()
    expected = multipletests(probabilities, method="holm")[1]
    assert holm(probabilities) == pytest.approx(expected.tolist())


def test_holm_of_nothing():
    assert holm([]) == []


@pytest.mark.parametrize(
    "name", [module.name for module in pkgutil.iter_modules(agreement.__path__)]
)
def test_examples_hold(name):
    result = doctest.testmod(importlib.import_module(f"{agreement.__name__}.{name}"))
    assert result.attempted > 0
    assert result.failed == 0
