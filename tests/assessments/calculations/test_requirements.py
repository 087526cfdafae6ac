import math
from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import betabinom

from assessments.calculations.requirements import (
    BRISK_RULE,
    DEFAULT_RULE,
    EvidenceBatch,
    SignOffRule,
    evidence_points,
    hydration_points,
    log_likelihood_ratio,
    signoff_state,
)

PARTS = ("width", "thickness", "hydration")


def batch(day, width=None, thickness=None, hydration=None, **more):
    points = {"width": width, "thickness": thickness, "hydration": hydration}
    return {"day": f"2026-03-{day:02}", "points": points, **more}


def even(points, days, **more):
    return [batch(day, points, points, points, **more) for day in days]


@given(
    st.integers(1, 60).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))),
    st.floats(0.01, 0.4),
)
def test_ratio_agrees_with_the_beta_binomial_distribution(counts, rho):
    within, n = counts
    total = (1 - rho) / rho
    expected = betabinom.logpmf(within, n, 0.95 * total, 0.05 * total) - betabinom.logpmf(
        within, n, 0.80 * total, 0.20 * total
    )
    result = log_likelihood_ratio(within / n, n, 0.95, 0.80, rho)
    assert result == pytest.approx(expected, abs=1e-8)


def test_ratio_of_the_worked_examples():
    assert log_likelihood_ratio(0.90, 20, 0.95, 0.80, 0.05) == pytest.approx(-0.148019908, abs=1e-9)
    assert log_likelihood_ratio(1.0, 9, 0.95, 0.80, 0.05) == pytest.approx(1.265871183, abs=1e-9)


@pytest.mark.parametrize(
    ("share", "n", "points"),
    [
        (0.928812583, 20, 10.901845413),
        (0.997417581, 9, 20),
        (0.90, 20, -4.229140238),
        (None, 20, 0),
        (0.2, 4, 0),
        (1.0, 5, 0),  # too few to earn
        (1.0, 7, 0),
        (1.0, 8, 20),
    ],
)
def test_evidence_points(share, n, points):
    assert evidence_points(share, n) == pytest.approx(points, abs=1e-6)


@pytest.mark.parametrize("n", [5, 7])
def test_few_readings_are_enough_to_lose(n):
    assert evidence_points(0.2, n) < -50


def test_brisk_rule_earns_a_quarter():
    assert evidence_points(1.0, 20, rule=BRISK_RULE) == pytest.approx(25)


def test_points_by_other_shares():
    own = log_likelihood_ratio(0.85, 20, 0.9, 0.7, 0.05)
    assert own < 0.7
    assert evidence_points(0.85, 20, 0.9, 0.7) == pytest.approx(100 * own / 3.5)
    rule = SignOffRule(p_ready=0.9, p_not=0.7)
    assert evidence_points(0.85, 20, rule=rule) == evidence_points(0.85, 20, 0.9, 0.7)


@given(st.floats(0, 1), st.floats(0, 1), st.integers(5, 60))
def test_a_better_share_never_earns_less(one, other, n):
    worse, better = sorted((one, other))
    assert evidence_points(better, n) >= evidence_points(worse, n) - 1e-9


@given(st.floats(0, 1), st.integers(0, 200))
def test_a_batch_never_earns_more_than_a_fifth(share, n):
    assert evidence_points(share, n) <= 20


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((1.01, 20), "share"),
        ((-0.01, 20), "share"),
        ((math.nan, 20), "share"),
        ((0.9, -1), "n must"),
        ((0.9, 20, 0.8, 0.9), "p_not"),
        ((0.9, 20, 1.0, 0.8), "p_ready"),
    ],
)
def test_evidence_points_refuses(arguments, message):
    with pytest.raises(ValueError, match=message):
        evidence_points(*arguments)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((1.5, 20, 0.95, 0.8, 0.05), "share"),
        ((0.9, 0, 0.95, 0.8, 0.05), "n must"),
        ((0.9, 20, 0.8, 0.8, 0.05), "p_not"),
        ((0.9, 20, 0.95, 0.8, 0.0), "resemblance"),
    ],
)
def test_ratio_refuses(arguments, message):
    with pytest.raises(ValueError, match=message):
        log_likelihood_ratio(*arguments)


@pytest.mark.parametrize(
    ("actual", "tolerances", "points"),
    [
        (46, (1, 1), 20),
        (46.3, (1, 1), 11.111111111),
        (45.7, (1, 1), 11.111111111),
        (46.45, (1, 1), 0),
        (47, (1, 1), -78.765432099),
        (46.3, (1, 2), 20 * (1 - (0.15 / 0.45) ** 2)),
        (45.7, (2, 1), 20 * (1 - (0.15 / 0.45) ** 2)),
    ],
)
def test_hydration_points(actual, tolerances, points):
    assert hydration_points(actual, 46, *tolerances) == pytest.approx(points, abs=1e-6)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((math.nan, 46, 1, 1), "finite"),
        ((46, 46, 0, 1), "tol_minus"),
        ((46, 46, 1, math.inf), "tol_plus"),
    ],
)
def test_hydration_points_refuses(arguments, message):
    with pytest.raises(ValueError, match=message):
        hydration_points(*arguments)


def worked_batches():
    made = [
        (0.72, 0.88, 0.5),
        (0.90, 0.97, 0.1),
        (0.96, 0.99, -0.2),
        (0.97, 0.94, 0.2),
        (0.99, 1.0, 0.1),
        (0.95, 0.98, 0),
    ]
    return [
        batch(
            day,
            evidence_points(width, 20),
            evidence_points(thickness, 9),
            hydration_points(46 + off, 46, 1, 1),
        )
        for day, (width, thickness, off) in enumerate(made, start=1)
    ]


def test_six_daily_batches_of_the_worked_example():
    state = signoff_state(worked_batches())
    assert state.balances == {
        "width": pytest.approx(80, abs=1e-6),
        "thickness": pytest.approx(90.382840247, abs=1e-6),
        "hydration": pytest.approx(90.123456790, abs=1e-6),
    }
    assert (state.complete, state.more_like_last, state.limiting) == (False, 1, "width")
    assert state.counted == 6
    assert state.shown == dict.fromkeys(PARTS, False)


def test_three_batches_of_the_worked_example():
    state = signoff_state(worked_batches()[:3])
    assert state.balances == {
        "width": pytest.approx(20),
        "thickness": pytest.approx(40),
        "hydration": pytest.approx(35.061728395, abs=1e-6),
    }
    assert (state.more_like_last, state.limiting) == (5, "hydration")


def test_no_batch_yet():
    state = signoff_state([])
    assert state.balances == dict.fromkeys(PARTS, 0)
    assert (state.complete, state.more_like_last, state.limiting) == (False, None, "width")
    assert state.counted == 0


def test_five_good_days_complete_the_evidence():
    state = signoff_state(even(20.0, days=[1, 2, 3, 4, 5]))
    assert state.complete
    assert (state.more_like_last, state.limiting) == (0, None)
    assert state.earning_days == dict.fromkeys(PARTS, 5)


def test_two_days_are_not_enough_whatever_the_balance():
    rule = SignOffRule(log_ratio_cap=1.75)
    state = signoff_state(even(50.0, days=[1, 2]), rule=rule)
    assert state.balances["width"] == 100
    assert not state.shown["width"]
    assert (state.more_like_last, state.limiting) == (1, "width")
    assert signoff_state(even(50.0, days=[1, 2, 3]), rule=rule).complete


def test_the_third_batch_of_a_day_can_only_lose():
    assert signoff_state(even(20.0, days=[1, 1, 1])).balances["width"] == 40
    assert signoff_state(even(20.0, days=[1, 1, 2])).balances["width"] == 60
    lost = signoff_state([*even(20.0, days=[1, 1]), batch(1, width=-5.0)])
    assert lost.balances["width"] == 35
    assert lost.counted == 3


def test_the_limit_of_a_day_does_not_spoil_the_forecast():
    state = signoff_state(even(20.0, days=[1, 1, 1]))
    assert state.more_like_last == 3


def test_an_abandoned_batch_does_not_use_up_the_day():
    state = signoff_state(
        [*even(20.0, [1]), batch(1, abandoned=True), *even(20.0, [1])],
    )
    assert state.balances["width"] == 20
    assert state.counted == 2


def test_an_abandoned_batch_costs_every_part_and_its_points_are_not_read():
    state = signoff_state([*even(20.0, [1, 2]), batch(3, width=20.0, abandoned=True)])
    assert state.balances == dict.fromkeys(PARTS, 20)
    assert state.more_like_last == 4


def test_a_part_that_was_not_measured_does_not_move():
    state = signoff_state([*even(20.0, [1, 2]), batch(3, width=20.0)])
    assert state.balances == {"width": 60, "thickness": 40, "hydration": 40}
    assert (state.more_like_last, state.limiting) == (3, "thickness")


def test_balance_zero_forgets_the_earning_days():
    state = signoff_state([*even(20.0, [1, 2]), *even(-90.0, [3]), *even(20.0, [4])])
    assert state.earning_days["width"] == 1
    assert state.balances["width"] == 20


def test_a_shown_part_stays_shown_down_to_sixty():
    good = even(20.0, days=[1, 2, 3, 4, 5])
    assert signoff_state([*good, batch(6, width=-40.0)]).shown["width"]
    assert not signoff_state([*good, batch(6, width=-40.1)]).shown["width"]


def test_a_part_lost_must_reach_the_full_balance_again():
    batches = [*even(20.0, [1, 2, 3, 4, 5]), batch(6, width=-50.0), batch(7, width=20.0)]
    state = signoff_state(batches)
    assert state.balances["width"] == 70
    assert not state.shown["width"]
    assert signoff_state([*batches, batch(8, width=20.0), batch(9, width=20.0)]).shown["width"]


@pytest.mark.parametrize("points", [0.0, 1e-9, -3.0, None])
def test_a_batch_that_brings_nothing_gives_no_forecast(points):
    state = signoff_state([batch(1, width=10.0, thickness=points, hydration=10.0)])
    assert (state.more_like_last, state.limiting) == (None, "thickness")


def test_the_forecast_is_not_thrown_off_by_rounding():
    # Three of nine equal batches leave 6.000000000000001 of them to come.
    assert signoff_state(even(100 / 9, [1, 2, 3])).more_like_last == 6


@pytest.mark.parametrize("count", range(5, 29))
def test_equal_batches_that_make_a_hundred_are_not_lost_to_rounding(count):
    assert signoff_state(even(100 / count, days=range(1, count + 1))).complete


def test_batches_may_be_dataclasses_with_dates():
    points = {"width": 20.0, "thickness": 20.0}
    as_objects = [EvidenceBatch(date(2026, 3, day), points) for day in (1, 2)]
    as_dicts = [{"day": f"2026-03-0{day}", "points": points} for day in (1, 2)]
    assert signoff_state(as_objects) == signoff_state(as_dicts)


numbers = st.one_of(st.none(), st.floats(-150, 25))


@given(
    st.lists(st.tuples(st.integers(1, 28), numbers, numbers, numbers, st.booleans()), max_size=40)
)
def test_balances_stay_between_none_and_all(rows):
    rows.sort(key=lambda row: row[0])
    state = signoff_state([batch(*row[:4], abandoned=row[4]) for row in rows])
    assert all(0 <= balance <= 100 for balance in state.balances.values())
    assert state.complete == all(state.shown.values())
    assert (state.more_like_last == 0) == state.complete
    for part in PARTS:
        if state.shown[part]:
            assert state.balances[part] >= 60


@given(st.floats(1.0, 20.0), st.integers(1, 4))
def test_the_forecast_keeps_its_word(points, done):
    made = even(points, days=range(1, done + 1))
    more = signoff_state(made).more_like_last
    days = [f"2026-{4 + i // 28:02}-{1 + i % 28:02}" for i in range(more)]
    same = made[-1]["points"]
    further = [{"day": day, "points": same} for day in days]
    assert signoff_state([*made, *further]).complete
    if done + more > 3:
        assert not signoff_state([*made, *further[:-1]]).complete


@pytest.mark.parametrize(
    ("batches", "message"),
    [
        ([batch(2), batch(1)], r"Batch 2: 2026-03-01 comes before 2026-03-02"),
        ([{"day": "yesterday"}], "Batch 1: 'yesterday' is no ISO date"),
        ([{"day": 20260301}], "Batch 1: day must be"),
        ([{"day": datetime(2026, 3, 1, tzinfo=UTC)}], "Batch 1: day must be"),
        ([{"points": {}}], "Batch 1: day, points and abandoned"),
        ([{"day": "2026-03-01", "score": 3}], "Batch 1: day, points and abandoned"),
        ([{"day": "2026-03-01", "points": {"length": 3.0}}], "Batch 1: unknown part 'length'"),
        ([batch(1), batch(1, width=math.nan)], "Batch 2: points for width"),
    ],
)
def test_signoff_state_refuses(batches, message):
    with pytest.raises(ValueError, match=message):
        signoff_state(batches)


def test_the_rule_can_be_frozen_into_evidence_and_taken_back():
    evidence = BRISK_RULE.as_evidence()
    assert evidence["p_ready"] == 0.95
    assert SignOffRule(**evidence) == BRISK_RULE


def test_only_the_simulated_settings_count_as_tested():
    assert DEFAULT_RULE.tested
    assert BRISK_RULE.tested
    assert not SignOffRule(p_ready=0.9).tested


@pytest.mark.parametrize(
    ("parameters", "message"),
    [
        ({"p_ready": 0.7}, "p_not < p_ready"),
        ({"p_not": 0.0}, "p_not < p_ready"),
        ({"resemblance": 1.0}, "resemblance"),
        ({"log_ratio_divisor": 0.0}, "log_ratio_divisor"),
        ({"hydration_zero": math.nan}, "hydration_zero"),
    ],
)
def test_rule_refuses(parameters, message):
    with pytest.raises(ValueError, match=message):
        SignOffRule(**parameters)
