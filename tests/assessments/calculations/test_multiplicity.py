"""Correction of several tests at once, against statsmodels."""

import doctest

import numpy as np
import pytest
from statsmodels.stats.multitest import multipletests

from assessments.calculations import multiplicity
from assessments.calculations.multiplicity import holm


@pytest.mark.parametrize("n", [1, 2, 5, 12])
def test_holm_agrees_with_statsmodels(n):
    probabilities = np.random.default_rng(n).beta(0.3, 1, n).tolist()
    expected = multipletests(probabilities, method="holm")[1]
    assert holm(probabilities) == pytest.approx(expected.tolist())


def test_holm_of_nothing():
    assert holm([]) == []


def test_examples_hold():
    result = doctest.testmod(multiplicity)
    assert result.attempted > 0
    assert result.failed == 0
