"""Money: rounded in one place, half up, to the cent, and shared out to the cent."""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

MOST = Decimal("9999999999.99")
"""The largest amount that a row can hold."""
MOST_HOURS, MOST_QUANTITY, MOST_PACKAGES = Decimal("99999999.99"), Decimal("999999999.999"), 2**31 - 1
"""And the largest of the other figures of a line."""


class TooMuch(ValueError):
    """An amount, or a count of anything, that no row can hold: a slipped decimal point."""


def rounded(value: Decimal | Fraction, places: int) -> Decimal:
    """Half up, exactly: a Fraction isn't turned into a Decimal before it is rounded."""
    scaled = Fraction(value) * 10**places
    sign = -1 if scaled < 0 else 1
    return sign * Decimal(int(abs(scaled) + Fraction(1, 2))).scaleb(-places)


def cents(amount: Decimal | Fraction) -> Decimal:
    """`amount` to the cent, half up (from zero: -0.005 gives -0.01). Raises TooMuch beyond `MOST`."""
    amount = rounded(amount, 2)
    if abs(amount) > MOST:
        raise TooMuch
    return amount


def hours_of(worked: Decimal | Fraction) -> Decimal:
    """Hours to a hundredth, half up. Raises TooMuch beyond `MOST_HOURS`."""
    worked = rounded(worked, 2)
    if worked > MOST_HOURS:
        raise TooMuch
    return worked


def share_out(*, amount: Decimal, weights: Sequence[Decimal]) -> list[Decimal]:
    """`amount` in cents, shared by `weights`, so that the shares add up to it exactly.

    Each gets its cents rounded down; what is left goes, a cent each, to those who lost most by that, the first of
    equals first. All zero weights: the first gets everything. Raises ValueError for no or negative weights.
    """
    if not weights or any(weight < 0 for weight in weights):
        raise ValueError("shares go by weights of 0 or more")
    total = sum(weights, Decimal(0))
    if total == 0:
        return [amount, *[Decimal(0)] * (len(weights) - 1)]
    exact = [Fraction(amount) * 100 * Fraction(weight) / Fraction(total) for weight in weights]
    whole = [int(share) for share in exact]
    left = int(amount * 100) - sum(whole)
    for index in sorted(range(len(exact)), key=lambda i: whole[i] - exact[i])[:left]:
        whole[index] += 1
    return [Decimal(share).scaleb(-2) for share in whole]
