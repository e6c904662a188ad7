"""What an hour of work costs the shop: of one person, and of several together.

Burdened hourly wage, and the average of a crew whose wages differ: Estimating in Building Construction, p. 59, formula
7-6 and section 7-5 (issuhub.com/view/index/4050?pageIndex=72). That each person of a crew counts the same is common
practice, no source.
"""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from estimating.pricing.money import cents


def burdened(*, wage: Decimal, burden_percent: Decimal) -> Decimal:
    """An hour with all that comes on top of the wage, to the cent. Raises TooMuch for an absurd amount."""
    return cents(Fraction(wage) * (100 + Fraction(burden_percent)) / 100)


def mean_hour(costs: Sequence[Decimal]) -> Decimal:
    """The mean of what an hour of each costs, to the cent. Raises ValueError for nobody."""
    if not costs:
        raise ValueError("a mean takes somebody's hour")
    return cents(Fraction(sum(costs)) / len(costs))
