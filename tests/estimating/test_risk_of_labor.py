"""The spread of a cost whose labor hours carry a range."""

from decimal import Decimal
from math import sqrt

import pytest

from estimating.pricing.risk import Ranged, covered_part, simulated, spread_of


def ranged(low, likely, high, *, hour="1", name="work"):
    low, high = (None if each is None else Decimal(str(each)) for each in (low, high))
    return Ranged(name=name, low=low, likely=Decimal(str(likely)), high=high, hour=Decimal(hour))


# Worked examples as printed: calhub.xyz/other/pert (4, 6, 12 gives 6.67 and 1.33) and
# schematex.js.org/examples/pert-three-point-estimation (5, 8, 14 gives 8.5 and 1.5).
PRINTED = [((4, 6, 12), 6.67, 1.33), ((5, 8, 14), 8.5, 1.5)]


@pytest.mark.parametrize(("hours", "mean", "deviation"), PRINTED)
def test_mean_and_deviation_are_the_printed_ones(hours, mean, deviation):
    line = ranged(*hours)
    assert round(line.mean_hours, 2) == mean
    assert round(sqrt(line.variance_hours), 2) == deviation


def test_the_deviation_of_a_sum_is_that_of_the_printed_project():
    """schematex.js.org: four tasks of deviations 0.5, 1.5, 0.5 and 0.33 come to 17.83 days and 1.69. Of the tasks that
    it prints by mean and deviation alone, these are hours that give the same."""
    tasks = [ranged(2, 3, 5), ranged(5, 8, 14), ranged(3, 4, 6), ranged(1, 2, 3)]
    spread = spread_of(lines=tasks, fixed=Decimal(0), price=Decimal(30))
    assert (spread.mean, spread.deviation) == (Decimal("17.83"), Decimal("1.69"))


def test_the_simulation_agrees_with_the_closed_form():
    """Mean and variance of the beta distribution in closed form, (mean - l)(h - mean) / 7: identity, computed. Of
    200,000 runs the mean is off by less than four of its standard errors, the variance by less than 2 percent."""
    lines = [ranged(6, 8, 16, hour="62"), ranged(10, 12, 20, hour="55"), ranged(None, 5, None, hour="62")]
    costs = simulated(lines=lines, fixed=Decimal(1500), runs=200_000, seed=7)
    mean = 1500 + sum(line.mean_hours * float(line.hour) for line in lines)
    variance = sum(line.beta_variance_hours * float(line.hour) ** 2 for line in lines)
    assert abs(costs.mean() - mean) < 4 * sqrt(variance / 200_000)
    assert abs(costs.var() / variance - 1) < 0.02


def test_a_distribution_without_its_peak_would_be_noticed():
    """The check above fails for hours drawn evenly between low and high."""
    line = ranged(6, 8, 16)
    evenly = (line.high - line.low) ** 2 / 12
    assert abs(float(evenly) / line.beta_variance_hours - 1) > 0.5


def test_quantiles_agree_with_scipy():
    """One line alone: its tenth and ninetieth parts are those of scipy's beta distribution."""
    from scipy.stats import beta

    spread = spread_of(lines=[ranged(6, 8, 16, hour="100")], fixed=Decimal(0), price=Decimal(1200))
    law = beta(1 + 4 * 2 / 10, 1 + 4 * 8 / 10, loc=600, scale=1000)
    assert float(spread.low) == pytest.approx(law.ppf(0.1), abs=6)
    assert float(spread.high) == pytest.approx(law.ppf(0.9), abs=10)
    assert float(spread.loss_percent) == pytest.approx(law.sf(1200) * 100, abs=0.7)


def test_the_same_lines_give_the_same_figures():
    lines = [ranged(6, 8, 16), ranged(1, 2, 4)]
    first, second = (spread_of(lines=lines, fixed=Decimal(5), price=Decimal(14)) for _ in range(2))
    assert first == second


def test_the_three_largest_drivers_come_first():
    lines = [ranged(1, 2, 1 + width, name=f"width {width}") for width in (2, 8, 4, 6)]
    spread = spread_of(lines=lines, fixed=Decimal(0), price=Decimal(99))
    assert [driver.name for driver in spread.drivers] == ["width 8", "width 6", "width 4"]
    # 64, 36 and 16 of 120.
    assert [driver.percent for driver in spread.drivers] == [53, 30, 13]


@pytest.mark.parametrize(("ranged_hours", "told"), [("9.9", False), ("10", True)])
def test_no_chance_of_loss_is_told_of_too_few_ranges(ranged_hours, told):
    lines = [ranged(1, ranged_hours, 30), ranged(None, 10, None)]
    spread = spread_of(lines=lines, fixed=Decimal(0), price=Decimal(20))
    assert (spread.loss_percent is not None) == told


def test_without_any_range_there_is_no_spread():
    lines = [ranged(None, 10, None)]
    assert spread_of(lines=lines, fixed=Decimal(0), price=Decimal(20)) is None
    assert covered_part(lines) == covered_part([]) == 0


def test_a_range_that_does_not_hold_its_likely_hours_is_refused():
    with pytest.raises(ValueError, match="between"):
        spread_of(lines=[ranged(3, 2, 5)], fixed=Decimal(0), price=Decimal(20))
