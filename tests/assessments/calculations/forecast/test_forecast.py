import math
from datetime import date, timedelta
from statistics import NormalDist, median

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assessments.benchmark.operating_characteristic import batches_until_shown
from assessments.calculations.forecast import (
    FAN_QUANTILES,
    WINDOW,
    Forecast,
    ForecastStatus,
    PartHistory,
    WaterHistory,
    exponential,
    fan,
    forecast,
    forecast_dates,
    power_law,
    practice_rate,
    ready_probability,
    stuck,
    typical_miss,
)
from assessments.calculations.requirements import BRISK_RULE

NORMAL = NormalDist()
LEARNING = [0.70, 0.78, 0.80, 0.86, 0.88, 0.91, 0.90, 0.93, 0.95, 0.94]
STILL = [0.80, 0.84, 0.78, 0.86, 0.82, 0.79, 0.85, 0.81, 0.83, 0.80] * 2


def history(shares, *, n=20, balance=0.0, shown=False, index=None):
    index = range(1, len(shares) + 1) if index is None else index
    return PartHistory(index, shares, [n] * len(shares), balance, shown)


def water(*points, balance=0.0, shown=False):
    return WaterHistory(points, balance, shown)


@pytest.mark.parametrize(
    ("share", "miss"),
    # One standard deviation to each side holds 0.682689 of a normal distribution, 1.959964 hold
    # 0.95, 1.644854 hold 0.90: standard normal table, NIST/SEMATECH e-Handbook 1.3.6.7.1.
    [(0.682689, 1.0), (0.95, 1 / 1.959964), (0.90, 1 / 1.644854)],
)
def test_miss_of_very_many_readings(share, miss):
    assert typical_miss(share, 10**9) == pytest.approx(miss, abs=1e-5)


@pytest.mark.parametrize(("share", "n"), [(1.0, 20), (0.0, 20), (0.5, 9), (0.93, 1)])
def test_miss_of_few_readings_is_finite(share, n):
    p = (n * share + 0.5) / (n + 1)
    assert typical_miss(share, n) == pytest.approx(1 / NORMAL.inv_cdf((1 + p) / 2))


def test_power_of_practice():
    # Wright (1936), Journal of the Aeronautical Sciences 3, 122-128: an 80 % curve, by unit.
    units = np.array([1.0, 2, 3, 4, 8, 16, 100])
    expected = [1, 0.8, 0.702104, 0.64, 0.512, 0.4096, 0.227062]
    assert power_law(units, -math.log2(0.8)) == pytest.approx(expected, abs=1e-6)


def test_exponential_loses_the_same_share_each_batch():
    left = exponential(np.arange(1.0, 8), 5)
    assert left[0] == 1
    assert left[5] == pytest.approx(math.exp(-1))
    assert left[1:] / left[:-1] == pytest.approx([math.exp(-0.2)] * 6)


def weighted_levels(shares, n, at):
    """Return levels at a batch and their weights, cell by cell and without arrays."""

    def values(centre, spread):
        return [centre * math.exp(spread * NORMAL.inv_cdf((i + 0.5) / 9)) for i in range(9)]

    shapes = [(lambda j, c=c: j**-c, 1 / 6) for c in (0.3, 0.5, 0.8)]
    shapes += [(lambda j, t=t: math.exp(-(j - 1) / t), 1 / 8) for t in (3, 5, 9, 16)]
    cells = []
    for shape, prior in shapes:
        for final in values(0.46, 0.35):
            for first in values(0.9, 0.35):

                def level(j, shape=shape, final=final, first=first):
                    return 2 * NORMAL.cdf(1 / (final + max(0, first - final) * shape(j))) - 1

                lack = 0.0
                for j, share in enumerate(shares, start=1):
                    p = level(j)
                    for seen, curve in ((share, p), (1 - share, 1 - p)):
                        if seen > 0:
                            lack += 1.4 * n * seen * math.log(seen / curve)
                for precision in (0.3, 0.5, 0.75, 1.0):
                    weight = prior * precision ** (len(shares) / 2) * math.exp(-precision * lack)
                    cells.append((level(at), weight))
    return cells


@pytest.mark.parametrize("shares", [LEARNING, [0.8, 1.0, 0.9, 1.0], STILL[:10]])
def test_fan_agrees_with_weights_worked_out_cell_by_cell(shares):
    result = fan({"width": history(shares, n=12)}, horizon=20, draws=4000)["width"]
    for at in (1, len(shares), len(shares) + 20):
        cells = sorted(weighted_levels(shares, 12, at))
        total = sum(weight for _, weight in cells)
        column = result.level[:, at - 1]
        for quantile, found in zip(FAN_QUANTILES, column, strict=True):
            below = sum(weight for level, weight in cells if level < found - 0.002) / total
            above = sum(weight for level, weight in cells if level > found + 0.002) / total
            assert below <= quantile + 0.01
            assert above <= 1 - quantile + 0.01


def test_forecast_of_a_settled_cook_agrees_with_the_rule_itself():
    # Independent of the forecast's model: strands are drawn, measured and run through the rule.
    rng = np.random.default_rng(5)
    took = [batches_until_shown(0.97, rng) for _ in range(150)]
    shares = [0.97, 0.99, 0.94, 0.98, 0.97, 0.96, 0.99, 0.97, 0.95, 0.98] * 3
    result = forecast({"width": history(shares)})
    assert result.status == "interval"
    assert result.median == pytest.approx(median(took), abs=1)
    assert result.low <= np.quantile(took, 0.2)
    assert result.high >= np.quantile(took, 0.8)


def test_batches_of_a_single_forecast_lie_about_the_curve():
    result = fan({"width": history(LEARNING)}, horizon=5, draws=2000)["width"]
    assert result.batch.shape == (5, 5)
    spread = (result.batch[4] - result.batch[0]) / 2.563
    # Binomial spread of 28 strands, or wider by the precision, together with the curve's own.
    floor = np.sqrt(result.level[2, 10:] * (1 - result.level[2, 10:]) / 28)
    assert (spread > 0.9 * floor).all()
    assert (spread < 2.5 * floor).all()


def test_nothing_open():
    done = {"width": history(LEARNING, balance=90, shown=True)}
    result = forecast(done, water(20, balance=100, shown=True))
    assert (result.status, result.low, result.median, result.high) == ("met", 0, 0, 0)
    assert result.limiting is None


@pytest.mark.parametrize(
    ("features", "hydration"),
    [
        ({"width": history(LEARNING[:3])}, None),
        ({"width": history([])}, None),
        ({"width": history(LEARNING), "thickness": history(LEARNING[:3])}, None),
        ({"width": history(LEARNING)}, water(20, 20, 20)),
    ],
)
def test_too_few_batches_tell_nothing(features, hydration):
    nothing = Forecast(ForecastStatus.CANNOT_TELL, None, None, None, None, None)
    assert forecast(features, hydration) == nothing


def test_learning_cook_gets_an_interval():
    result = forecast({"width": history(LEARNING, balance=30)})
    assert result.status is ForecastStatus.INTERVAL
    # 70 points are four batches at least.
    assert 4 <= result.low <= result.median <= result.high <= 40
    for chance, batches in ((0.1, result.low), (0.5, result.median), (0.9, result.high)):
        assert result.cdf[batches - 1] >= chance
        assert batches == 1 or result.cdf[batches - 2] < chance


def test_slow_cook_is_told_what_is_excluded():
    result = forecast({"width": history(STILL)})
    assert result.status is ForecastStatus.NOT_BEFORE
    assert result.low == 41
    assert (result.median, result.high) == (None, None)
    assert result.cdf[-1] < 0.1


def test_between_both_the_upper_end_stays_open():
    result = forecast({"width": history([0.75, 0.82, 0.80, 0.86, 0.85, 0.89])})
    assert result.status is ForecastStatus.OPEN
    assert 5 <= result.low <= result.median <= 40
    assert result.high is None


def test_where_hardly_anything_is_excluded_nothing_is_told():
    result = forecast(
        {"width": history([0.78, 0.85, 0.82, 0.84, 0.83, 0.80, 0.85, 0.81], balance=55)}
    )
    assert result.status is ForecastStatus.CANNOT_TELL
    assert (result.low, result.median, result.high) == (None, None, None)
    assert 0.1 < result.cdf[-1] < 0.5


def test_short_horizon_excludes_all_of_it():
    result = forecast({"width": history(STILL)}, horizon=3)
    assert (result.status, result.low) == ("not before", 4)


@pytest.mark.parametrize(
    ("points", "balance", "batches"),
    [
        ((20, 20, 20, 20), 0, 5),
        ((-300, 20, 20, 20, 20, 20), 0, 5),  # only the last five
        ((10, 10, 10, 10), 75, 3),
        ((8, 8, 8, 8), 100, 1),  # full, but not yet on enough days
    ],
)
def test_water(points, balance, batches):
    result = forecast({}, water(*points, balance=balance))
    assert (result.low, result.median, result.high) == (batches,) * 3
    assert result.limiting == "hydration"


@pytest.mark.parametrize("points", [(0, 0, 0, 0), (20, -30, 5, -10)])
def test_water_that_earns_nothing_is_never_complete(points):
    result = forecast({"width": history(LEARNING)}, water(*points))
    assert (result.status, result.low, result.cdf[-1]) == ("not before", 41, 0)
    assert result.limiting == "hydration"


def test_the_last_part_counts_and_is_named():
    quick, slow = history([0.97] * 10, balance=80), history(LEARNING, n=9)
    both = forecast({"width": quick, "thickness": slow})
    assert both.limiting == "thickness"
    alone = forecast({"thickness": slow})
    assert all(b <= a for a, b in zip(alone.cdf, both.cdf, strict=True))
    shown = forecast({"width": history(LEARNING, shown=True, balance=90), "thickness": slow})
    assert shown == alone


def test_the_order_of_parts_does_not_matter():
    width, thickness = history(LEARNING), history(LEARNING, n=9)
    one = forecast({"width": width, "thickness": thickness})
    assert one == forecast({"thickness": thickness, "width": width})


@given(st.floats(0, 95), st.floats(0, 95))
@settings(max_examples=15)
def test_a_fuller_balance_is_never_later(one, other):
    less, more = sorted((one, other))
    later = forecast({"width": history(LEARNING, balance=less)}).cdf
    sooner = forecast({"width": history(LEARNING, balance=more)}).cdf
    assert all(a <= b for a, b in zip(later, sooner, strict=True))


def test_the_brisk_rule_is_sooner():
    features = {"width": history(LEARNING)}
    assert forecast(features, rule=BRISK_RULE).median < forecast(features).median


@given(
    st.lists(st.tuples(st.floats(0, 1), st.integers(1, 60)), min_size=4, max_size=40),
    st.floats(0, 100),
)
@settings(max_examples=40)
def test_any_batches_give_a_forecast(batches, balance):
    shares, n = zip(*batches, strict=True)
    result = forecast({"width": PartHistory(range(1, len(n) + 1), shares, n, balance, False)})
    assert list(result.cdf) == sorted(result.cdf)
    assert 0 <= result.cdf[0] <= result.cdf[-1] <= 1
    told = [k for k in (result.low, result.median, result.high) if k is not None]
    assert told == sorted(told)


def test_only_the_last_batches_are_fitted():
    shares = LEARNING * 4
    whole = fan({"width": history(shares)})["width"]
    last = fan({"width": history(shares[-WINDOW:], index=range(11, 41))})["width"]
    assert whole.past == WINDOW
    assert whole.index.tolist() == list(range(11, 81))
    assert whole.level.tolist() == last.level.tolist()


def test_fan():
    features = {
        "width": history(LEARNING[:5], index=[1, 2, 4, 7, 9]),
        "thickness": history(LEARNING[:3]),
    }
    fans = fan(features, horizon=6)
    assert list(fans) == ["width"]
    result = fans["width"]
    assert result.index.tolist() == [1, 2, 4, 7, 9, 10, 11, 12, 13, 14, 15]
    assert (result.past, result.level.shape, result.batch.shape) == (5, (5, 11), (5, 6))
    assert (np.diff(result.level, axis=0) >= 0).all()
    assert (np.diff(result.batch, axis=0) >= 0).all()
    # A learning curve never falls.
    assert (np.diff(result.level, axis=1) >= -1e-12).all()


TODAY = date(2026, 3, 28)


def test_practice_rate():
    days = [TODAY, TODAY, TODAY - timedelta(27), TODAY - timedelta(28), TODAY + timedelta(1)]
    assert practice_rate(days, TODAY) == 3 / 28
    assert practice_rate(days, TODAY, window=1) == 2
    assert practice_rate([], TODAY) == 0


def told(low, median, high, status=ForecastStatus.INTERVAL):
    return Forecast(status, median, low, high, None, None)


def test_dates():
    days = [TODAY - timedelta(i) for i in range(0, 28, 2)]  # one in two days
    dates = forecast_dates(told(4, 7, 12), days, TODAY)
    assert dates.rate_per_day == 0.5
    assert (dates.low, dates.median, dates.high) == (
        date(2026, 4, 5),
        date(2026, 4, 11),
        date(2026, 4, 21),
    )


def test_dates_do_not_gain_a_day_by_rounding():
    days = [TODAY - timedelta(i) for i in range(12)]
    assert forecast_dates(told(12, None, None), days, TODAY).low == TODAY + timedelta(28)
    days = [TODAY - timedelta(i) for i in range(11)]
    assert forecast_dates(told(12, None, None), days, TODAY).low == TODAY + timedelta(31)


def test_without_practice_there_is_no_date():
    dates = forecast_dates(told(4, 7, None), [], TODAY)
    assert (dates.low, dates.median, dates.high) == (None, None, None)
    assert forecast_dates(told(0, 0, 0, ForecastStatus.MET), [], TODAY).median == TODAY


@pytest.mark.parametrize(
    ("batches", "chance"),
    [(-3, 0), (0, 0), (0.99, 0), (1, 0.1), (2.99, 0.4), (3, 0.8), (500, 0.8)],
)
def test_ready_probability(batches, chance):
    assert ready_probability((0.1, 0.4, 0.8), batches) == chance


def test_ready_probability_of_nothing_told():
    assert ready_probability(None, 5) is None


def test_stuck_names_part_and_batches():
    features = {"width": history(STILL), "thickness": history([0.97, 0.95, 0.99] * 6, n=9)}
    result = stuck(features)
    assert result.part == "width"
    assert 8 <= result.batches <= 20
    assert result.share == pytest.approx(np.mean(STILL[-result.batches :]))
    assert result.parts == {"width": result.batches}


@pytest.mark.parametrize(
    "features",
    [
        {"width": history(LEARNING)},
        {"width": history(STILL[:7])},  # too few
        {"width": history(STILL, shown=True, balance=70)},
        {"width": history([0.97, 0.95, 0.99, 0.96] * 5)},  # flat, and earns
        {"width": history([0.5 + 0.02 * i for i in range(18)])},  # earns nothing, and rises
        {},
    ],
)
def test_not_stuck(features):
    assert stuck(features) is None


def test_stuck_with_water():
    result = stuck({"width": history(STILL)}, water(*[-5.0] * 25))
    assert (result.part, result.batches, result.share) == ("hydration", 25, None)
    assert set(result.parts) == {"width", "hydration"}
    assert stuck({}, water(*[-5.0] * 7)) is None
    assert stuck({}, water(*[-5.0] * 15, shown=True, balance=70)) is None
    assert stuck({}, water(*[-5.0] * 10, *[9.0] * 8)) is None


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: forecast({"salt": history(LEARNING)}), "Unknown part 'salt'"),
        (lambda: forecast({"width": PartHistory([1, 2], [0.9], [20], 0, False)}), "same length"),
        (lambda: forecast({"width": history([0.9, 1.1])}), "from 0 to 1, not 1.1"),
        (lambda: forecast({"width": history([0.9, math.nan])}), "from 0 to 1"),
        (lambda: forecast({"width": history([0.9], n=0)}), "n must be at least 1"),
        (lambda: forecast({"width": history([0.9, 0.9], index=[2, 2])}), "must rise"),
        (lambda: forecast({"width": history([0.9], index=[0])}), "must rise, from 1"),
        (lambda: forecast({"width": history([0.9], balance=101)}), "balance"),
        (lambda: forecast({}, water(1, balance=-1)), "hydration: balance"),
        (lambda: forecast({}, water(math.inf)), "points must be finite"),
        (lambda: forecast({}, horizon=0), "horizon"),
        (lambda: forecast({}, draws=9), "draws"),
        (lambda: fan({"width": history([2.0])}), "from 0 to 1"),
        (lambda: stuck({}, fewest=4), "fewest"),
        (lambda: practice_rate([], TODAY, 0), "window"),
        (lambda: ready_probability((0.5,), math.nan), "finite"),
        (lambda: typical_miss(1.2, 20), "share"),
        (lambda: typical_miss(0.5, 0), "n must"),
    ],
)
def test_refusals(call, message):
    with pytest.raises(ValueError, match=message):
        call()
