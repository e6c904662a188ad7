"""A heating cable's resistance against its tag.  The tag and the cable's instructions govern."""

from decimal import Decimal
from fractions import Fraction

from trade.figures import not_negative, positive


def off_tag_percent(*, tag_ohms: Decimal, read_ohms: Decimal) -> Decimal:
    """Return how far a reading lies off the tag either way, percent of the tag, four places rounded up, so that one
    just over its limit isn't shown as the limit.

    An open circuit reads 0 here: nothing came through.  ValueError for a tag of nothing or a negative reading.
    """
    positive(tag_ohms=tag_ohms)
    not_negative(read_ohms=read_ohms)
    off = abs(Fraction(read_ohms) - Fraction(tag_ohms)) / Fraction(tag_ohms) * 100
    return Decimal(-(-off.numerator * 10_000 // off.denominator)).scaleb(-4)
