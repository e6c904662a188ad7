"""What the law of a place allows, as the shop has entered it: payments, and days in which a client may cancel.

Local law applies. The examples to begin from are those of trade.contract, each with its source.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import QuerySet
from django.utils.text import slugify
from django.utils.translation import gettext as _

from estimating.models import LocalLimit
from trade.contract import COOLING_OFF_DAYS, DEPOSITS, DepositRule, last_day_to_cancel
from trade.holidays import federal_holidays
from trade.lengths import plain_decimal
from trade.places import PROVINCES, STATES

ELSEWHERE = "elsewhere"


@dataclass(frozen=True, slots=True, kw_only=True)
class Local:
    """The limits of one place. `number` 0: an example that the shop hasn't made its own."""

    key: str
    place: str
    code: str
    share: str
    most: Decimal | None
    cancel_days: int
    note: str
    number: int = 0
    by_value: bool = False
    special_order: bool = False

    @property
    def deposit(self) -> DepositRule | None:
        """The limit of a deposit; None where there is none."""
        if not self.share and self.most is None:
            return None
        share = read_share(self.share) if self.share else Fraction(1)
        return DepositRule(
            place=self.place,
            code=self.code,
            share=share,
            most=self.most,
            source=self.note,
            confidence="seen",
            special_order=self.special_order,
        )


def read_share(text: str) -> Fraction:
    """A share of the price, typed as "10", "10 %" or "1/3". Raises ValueError that says what to type."""
    plain = text.replace(" ", "").rstrip("%")
    try:
        share = Fraction(plain) if "/" in plain else Fraction(plain_decimal(plain)) / 100
    except (ValueError, ZeroDivisionError):
        share = Fraction(-1)
    if not 0 <= share <= 1:
        raise ValueError(_("“%(text)s” is no share of the price. Type percent, like 10, or 1/3.") % {"text": text})
    return share


def _examples() -> dict[str, Local]:
    known = [
        Local(
            key=slugify(rule.place),
            place=rule.place,
            code=rule.code,
            share=str(rule.share)
            if rule.share.numerator == 1 and rule.share.denominator == 3
            else f"{rule.share * 100} %",
            most=rule.most,
            cancel_days=COOLING_OFF_DAYS,
            note=rule.source,
            by_value=rule.by_value,
            special_order=rule.special_order,
        )
        for rule in DEPOSITS
    ]
    known.append(
        Local(
            key=ELSEWHERE,
            place=_("Everywhere else"),
            code="",
            share="",
            most=None,
            cancel_days=COOLING_OFF_DAYS,
            note=_("16 CFR 429 for the days; no limit of deposits is known here"),
        )
    )
    return {local.key: local for local in known}


def local_limits() -> dict[str, Local]:
    """Every place by its key, in their order, everywhere else last. One query."""
    newest = LocalLimit.objects.order_by("key", "-number").distinct("key")
    found = _examples()
    rest = found.pop(ELSEWHERE)
    return dict(sorted((found | {row.key: _own(row) for row in newest if row.key != ELSEWHERE}).items())) | {
        ELSEWHERE: next((_own(row) for row in newest if row.key == ELSEWHERE), rest)
    }


def _own(row: LocalLimit) -> Local:
    return Local(
        key=row.key,
        place=row.place,
        code=row.code,
        share=row.share,
        most=row.most,
        cancel_days=row.cancel_days,
        note=row.note,
        number=row.number,
        by_value=row.by_value,
        special_order=row.special_order,
    )


def bare_name(region: str) -> str:
    """The name or code of a place for comparison: small letters, single spaces, no points."""
    return " ".join(region.replace(".", "").split()).casefold()


def names_of(limits: Iterable[Local]) -> dict[str, str]:
    """The names of places by what they may be called, bare: by name and by code; a place that the shop entered by the
    name that it has there."""
    names = {bare_name(called): name for code, name in (STATES | PROVINCES).items() for called in (code, name)}
    for local in limits:
        if local.key != ELSEWHERE:
            called = [bare_name(each) for each in (local.place, local.code) if each]
            before = {names[each] for each in called if each in names}
            names = {each: local.place if name in before else name for each, name in names.items()}
            names |= dict.fromkeys(called, local.place)
    return names


def same_place(one: str, other: str, names: Mapping[str, str]) -> bool:
    """Whether two texts mean one place. `names`: as `names_of` has them."""
    one, other = bare_name(one), bare_name(other)
    return names.get(one, one) == names.get(other, other)


def limit_named(region: str, limits: Mapping[str, Local]) -> Local:
    """What counts at a site, of these limits by their key."""
    names = names_of(limits.values())
    place = names.get(bare_name(region))
    return next((local for local in limits.values() if place and local.place == place), limits[ELSEWHERE])


def limit_of(region: str) -> Local:
    """What counts at a site, by its state or region as it was typed, "California" or "CA". One query."""
    return limit_named(region, local_limits())


def limit_history(key: str) -> QuerySet[LocalLimit]:
    """What the shop ever entered for a place, the newest first."""
    return LocalLimit.objects.filter(key=key).select_related("by").order_by("-number")


def cancel_until(signed: date, *, days: int) -> date | None:
    """The day at whose midnight a client's right to cancel ends; None where there is none."""
    if not days:
        return None
    holidays = federal_holidays(signed.year) | federal_holidays(signed.year + 1)
    return last_day_to_cancel(signed, days=days, holidays=holidays)
