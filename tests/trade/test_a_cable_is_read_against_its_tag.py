"""Ohms of a heating cable: how far off the tag, either way."""

from decimal import Decimal

import pytest

from trade.cable import off_tag_percent
from trade.limits import Limit, judge


@pytest.mark.parametrize(
    ("tag", "read", "off"),
    [
        # Arithmetic alone.
        ("50", "50", "0"),
        ("50", "55", "10"),
        ("50", "45", "10"),
        ("50", "55.01", "10.02"),
        ("12.4", "12.6", "1.6130"),
        # An open circuit, and a dead short.
        ("50", "0", "100"),
    ],
)
def test_off_the_tag_in_percent(tag: str, read: str, off: str) -> None:
    assert off_tag_percent(tag_ohms=Decimal(tag), read_ohms=Decimal(read)) == Decimal(off)


def test_a_tenth_holds_and_a_hair_more_fails() -> None:
    # Within 10 percent: from memory; the cable's maker states its figure.
    limit = Limit(compare="at most", high=Decimal(10))
    assert judge(limit, off_tag_percent(tag_ohms=Decimal(3), read_ohms=Decimal("3.3")))
    assert not judge(limit, off_tag_percent(tag_ohms=Decimal(3), read_ohms=Decimal("3.3000001")))


def test_a_tag_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="tag_ohms"):
        off_tag_percent(tag_ohms=Decimal(0), read_ohms=Decimal(1))
    with pytest.raises(ValueError, match="read_ohms"):
        off_tag_percent(tag_ohms=Decimal(1), read_ohms=Decimal(-1))
