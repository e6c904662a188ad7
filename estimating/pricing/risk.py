"""How far the cost of labor may stray from the estimate: hours given as low, likely and high.

A line's hours are taken as a beta distribution between low and high with its peak at likely (beta-PERT), and lines as
independent of each other. Mean (l + 4m + h) / 6 and standard deviation (h - l) / 6 are the usual figures of PERT
(netmba.com/operations/project/pert); the simulation draws from the distribution itself, whose variance is
(mean - l)(h - mean) / 7.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import sqrt

import numpy as np

SEED = 20_260_101
RUNS = 10_000
ENOUGH = Decimal("0.5")
"""The part of the labor hours that must carry a range before a chance is told. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranged:
    """One labor line. `low` and `high` are None where nobody said; `hour` is what one hour costs."""

    name: str
    likely: Decimal
    hour: Decimal
    low: Decimal | None = None
    high: Decimal | None = None

    @property
    def has_range(self) -> bool:
        return self.low is not None and self.high is not None and self.high > self.low

    @property
    def mean_hours(self) -> float:
        """(l + 4m + h) / 6; the hours as they stand without a range."""
        if not self.has_range:
            return float(self.likely)
        return float((self.low + 4 * self.likely + self.high) / 6)  # type: ignore[operator]

    @property
    def variance_hours(self) -> float:
        """((h - l) / 6)²."""
        return float((self.high - self.low) / 6) ** 2 if self.has_range else 0.0  # type: ignore[operator]

    @property
    def beta_variance_hours(self) -> float:
        """Of the beta distribution that is drawn from."""
        if not self.has_range:
            return 0.0
        return (self.mean_hours - float(self.low)) * (float(self.high) - self.mean_hours) / 7  # type: ignore[arg-type]


@dataclass(frozen=True, slots=True, kw_only=True)
class Driver:
    """A line, and the part of all variance that it brings, percent."""

    name: str
    percent: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """Of the whole cost, in money. `low` and `high`: of ten jobs, eight would cost between them. `loss_percent`: of the
    runs, how many cost more than the price; None where fewer hours than `ENOUGH` carry a range."""

    covered_percent: int
    mean: Decimal
    deviation: Decimal
    low: Decimal
    high: Decimal
    drivers: tuple[Driver, ...]
    loss_percent: Decimal | None


def spread_of(*, lines: Sequence[Ranged], fixed: Decimal, price: Decimal) -> Spread | None:
    """The spread of `fixed` cost and labor lines against the `price` before tax; None where no line has a range.

    Same input, same figures: the seed is fixed. Raises ValueError for a range that doesn't hold its likely hours.
    """
    ranged = [line for line in lines if line.has_range]
    for line in ranged:
        if not line.low <= line.likely <= line.high:  # type: ignore[operator]
            raise ValueError(f"{line.name}: likely hours lie between low and high")
    if not ranged:
        return None
    variances = [line.variance_hours * float(line.hour) ** 2 for line in ranged]
    mean = float(fixed) + sum(line.mean_hours * float(line.hour) for line in lines)
    costs = simulated(lines=lines, fixed=fixed)
    low, high = np.quantile(costs, (0.1, 0.9))
    covered = covered_part(lines)
    loss = Decimal(int((costs > float(price)).sum())) * 100 / RUNS
    return Spread(
        covered_percent=int(covered * 100),
        mean=_money(mean),
        deviation=_money(sqrt(sum(variances))),
        low=_money(low),
        high=_money(high),
        drivers=_drivers(ranged, variances),
        loss_percent=round(loss, 1) if covered >= ENOUGH else None,
    )


def simulated(*, lines: Iterable[Ranged], fixed: Decimal, runs: int = RUNS, seed: int = SEED) -> np.ndarray:
    """`runs` whole costs, drawn line by line."""
    draw = np.random.default_rng(seed)
    costs = np.full(runs, float(fixed))
    for line in lines:
        if not line.has_range:
            costs += float(line.likely * line.hour)
            continue
        low, likely, high = float(line.low), float(line.likely), float(line.high)  # type: ignore[arg-type]
        width = high - low
        hours = low + width * draw.beta(1 + 4 * (likely - low) / width, 1 + 4 * (high - likely) / width, runs)
        costs += hours * float(line.hour)
    return costs


def covered_part(lines: Iterable[Ranged]) -> Decimal:
    """The part of the likely hours that carry a range, 0 to 1."""
    total = with_range = Decimal(0)
    for line in lines:
        total += line.likely
        with_range += line.likely if line.has_range else 0
    return with_range / total if total else Decimal(0)


def _drivers(lines: Sequence[Ranged], variances: Sequence[float]) -> tuple[Driver, ...]:
    """The three lines that bring most of the variance, the largest first."""
    total = sum(variances)
    order = sorted(range(len(lines)), key=lambda index: -variances[index])[:3]
    return tuple(
        Driver(name=lines[index].name, percent=round(variances[index] / total * 100)) for index in order if total
    )


def _money(amount: float) -> Decimal:
    return round(Decimal(amount), 2)
