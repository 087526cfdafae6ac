"""Mean changes with their intervals, against Student's own example."""

import pytest

from assessments.calculations.changes import change_beyond, mean_change

# Additional hours of sleep of ten patients by two drugs: Student (1908), Biometrika 6, 1-25,
# section IX; as `sleep` in R, whose help page (t.test) prints the intervals below.
FIRST = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0]
SECOND = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4]


def test_paired_interval_of_students_sleep_data():
    change = mean_change([a - b for a, b in zip(FIRST, SECOND, strict=True)])
    assert change.mean == pytest.approx(-1.58)
    assert (change.low, change.high) == pytest.approx((-2.4598858, -0.7001142), abs=1e-7)
    assert (change.n, change.verdict) == (10, "smaller")


def test_welchs_interval_of_students_sleep_data():
    beyond = change_beyond(FIRST, SECOND)
    assert beyond.mean == pytest.approx(-1.58)
    assert (beyond.low, beyond.high) == pytest.approx((-3.3654832, 0.2054832), abs=1e-7)
    assert (beyond.n, beyond.verdict) == (20, "cannot_tell")


def test_turned_around_it_is_larger():
    change = mean_change([b - a for a, b in zip(FIRST, SECOND, strict=True)])
    assert change.verdict == "larger"


@pytest.mark.parametrize("changes", [[], [0.3]])
def test_one_person_tells_nothing(changes):
    assert mean_change(changes) is None
    assert change_beyond(changes, SECOND) is None
    assert change_beyond(SECOND, changes) is None


def test_all_alike_have_no_scatter():
    assert mean_change([0.1, 0.1, 0.1]).low == pytest.approx(0.1)
    assert change_beyond([0.5, 0.5], [0.25, 0.25]).mean == 0.25


def test_not_a_number_is_refused():
    with pytest.raises(ValueError, match="finite"):
        mean_change([0.1, float("nan")])
