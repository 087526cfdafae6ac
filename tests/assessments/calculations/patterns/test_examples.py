"""The examples in the docstrings give what they say."""

import doctest
import importlib

import pytest


@pytest.mark.parametrize("name", ["null", "strands", "sheet", "findings"])
def test_examples(name):
    module = importlib.import_module(f"assessments.calculations.patterns.{name}")
    failed, tried = doctest.testmod(module)
    assert tried > 0
    assert failed == 0
