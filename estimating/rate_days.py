"""From which day a rate holds, and what that means for those that stand."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.utils.translation import gettext as _

from estimating.models import Rate
from estimating.rate_figures import BadRate, same_rate

Pair = tuple[str, UUID | None]
"""The key of a rate, and that of its tile."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """The rows of one rate, none of which has ended: that `now` in force, and those of days `ahead`, in their order."""

    now: Rate | None = None
    ahead: Sequence[Rate] = ()

    def same(self, rate: Rate, *, today: date) -> Rate | None:
        """The row that says what `rate` says, of its day; None where there is none. Before it began a row said nothing.

        Raises BadRate where nothing would hold until the day of `rate`.
        """
        day = rate.valid_from
        if self.now is None and day > today:
            raise BadRate(_("Nothing holds until that day: give a price from today on first."))
        there = next((each for each in reversed(self.ahead) if each.valid_from <= day), self.now)
        said_nothing = there and day < there.valid_from and day != today
        return there if there and same_rate(there, rate) and not said_nothing else None

    def until(self, rate: Rate, *, today: date) -> date | None:
        """The day on which the next row takes the place of `rate`."""
        return next((each.valid_from for each in self.ahead if each.valid_from > max(rate.valid_from, today)), None)


def standing_rates(rates: Iterable[Rate]) -> dict[Pair, Standing]:
    """By their keys, of rows that haven't ended."""
    rows: dict[Pair, list[Rate]] = {}
    for rate in sorted(rates, key=lambda rate: rate.valid_from):
        rows.setdefault((rate.key, rate.tile_id), []).append(rate)
    return {pair: Standing(now=now, ahead=ahead) for pair, (now, *ahead) in rows.items()}
