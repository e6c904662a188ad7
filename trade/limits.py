"""Limits as plain data: what a reading is judged by, on the server and on a phone without signal."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from typing import Literal, get_args

Compare = Literal["at most", "at least", "between"]
Over = Literal["each", "mean"]
Outcome = Literal["holds", "fails", "can't tell"]

_BOUNDS: dict[Compare, tuple[bool, bool]] = {
    "at most": (False, True),
    "at least": (True, False),
    "between": (True, True),
}
"""Whether a comparison has a lower and an upper bound."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """Bounds belong to what is allowed.  `over` says whether each reading must hold or their mean; `count` is how many
    readings there must be before anything can be said.  Raises ValueError for bounds that don't fit `compare`."""

    compare: Compare
    low: Decimal | None = None
    high: Decimal | None = None
    over: Over = "each"
    count: int = 1

    def __post_init__(self) -> None:
        if self.compare not in get_args(Compare) or self.over not in get_args(Over):
            raise ValueError(f"no such limit: {self.compare}, over {self.over}")
        if (self.low is not None, self.high is not None) != _BOUNDS[self.compare]:
            raise ValueError(f"{self.compare}: low {self.low} and high {self.high} don't fit")
        if any(bound is not None and not bound.is_finite() for bound in (self.low, self.high)):
            raise ValueError(f"{self.compare}: bounds must be numbers, got {self.low} and {self.high}")
        if self.low is not None and self.high is not None and self.low > self.high:
            raise ValueError(f"between {self.low} and {self.high} there is nothing")
        if isinstance(self.count, bool) or not isinstance(self.count, int) or self.count < 1:
            raise ValueError(f"count must be 1 or more, got {self.count}")

    def to_json(self) -> dict[str, str | int | None]:
        """Return JSON-ready data; numbers as strings, so that no double comes between."""
        return {
            "compare": self.compare,
            "low": None if self.low is None else str(self.low),
            "high": None if self.high is None else str(self.high),
            "over": self.over,
            "count": self.count,
        }

    @classmethod
    def from_json(cls, data: Mapping[str, object]) -> "Limit":
        """Return the limit that `to_json` wrote.  Raises ValueError for anything else."""
        unknown = set(data) - {"compare", "low", "high", "over", "count"}
        if unknown:
            raise ValueError(f"a limit has no {', '.join(sorted(unknown))}")
        count = data.get("count", 1)
        if not isinstance(count, int):
            raise ValueError(f"count must be a whole number, got {count!r}")
        compare, over = data.get("compare"), data.get("over", "each")
        low, high = _bound(data.get("low")), _bound(data.get("high"))
        return cls(compare=compare, low=low, high=high, over=over, count=count)  # type: ignore[arg-type]  # checked there


def judge(limit: Limit, value: Decimal) -> bool:
    """Return whether one `value`, in the limit's unit, is allowed; a value on the bound is.

    Raises ValueError for what is not a finite number: a reading without a number proves nothing.
    """
    if not value.is_finite():
        raise ValueError(f"a reading must be a number, got {value}")
    return _allows(limit, Fraction(value))


def judge_all(limit: Limit, values: Sequence[Decimal]) -> Outcome:
    """Return what `values` together prove: `can't tell` while there are fewer than the limit's count.

    Under `each`, one reading out of bounds fails at once. The mean is exact: 94.999 doesn't round up to 95.
    Raises ValueError for what is not a finite number.
    """
    single = [judge(limit, value) for value in values]
    if limit.over == "each" and not all(single):
        return "fails"
    if len(values) < limit.count:
        return "can't tell"
    if limit.over == "each":
        return "holds"
    mean = sum((Fraction(value) for value in values), Fraction(0)) / len(values)
    return "holds" if _allows(limit, mean) else "fails"


def _allows(limit: Limit, value: Fraction) -> bool:
    return (limit.low is None or value >= Fraction(limit.low)) and (limit.high is None or value <= Fraction(limit.high))


def _bound(value: object) -> Decimal | None:
    if value is None:
        return None
    if not isinstance(value, str | int) or isinstance(value, bool):
        raise ValueError(f"a bound must be a number in quotes, got {value!r}")
    try:
        return Decimal(value)
    except InvalidOperation:
        raise ValueError(f"a bound must be a number in quotes, got {value!r}") from None
