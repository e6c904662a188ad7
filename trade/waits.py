"""Waits and water: how long before the next phase may cover this one, and the dangers to speak of first."""

from decimal import Decimal
from typing import Literal

from trade import sources
from trade.limits import Limit, Outcome
from trade.rules import ASBESTOS_YEAR, LEAD_YEAR
from trade.shop_limits import DEFAULTS, ShopLimits
from trade.sources import Rule
from trade.verdicts import Verdict
from trade.words import gettext_noop

Wait = Literal[
    "mortar to grout",
    "grout to water",
    "grout to sealer",
    "membrane to water test",
    "leveler to tile",
    "grout to feet",
    "grout to loads",
]
Product = Literal["standard", "rapid", "epoxy", "large tile or stone"]
"""What was used, or over what: rapid mortar or leveler, epoxy grout, mortar under large tile or stone."""

_WAITS: dict[Wait, str] = {
    "mortar to grout": "mortar_hours",
    "grout to water": "grout_hours",
    "grout to sealer": "sealer_hours",
    "membrane to water test": "membrane_hours",
    "leveler to tile": "leveler_hours",
    "grout to feet": "traffic_hours",
    "grout to loads": "heavy_traffic_hours",
}
_OTHERS: dict[tuple[Wait, Product], str] = {
    ("mortar to grout", "rapid"): "mortar_rapid_hours",
    ("mortar to grout", "large tile or stone"): "mortar_large_hours",
    ("grout to water", "epoxy"): "grout_epoxy_hours",
    ("leveler to tile", "rapid"): "leveler_rapid_hours",
}
"""Which of the shop's limits says how long. The defaults are the strict end of each source's minimum; the
manufacturer's figure governs."""

WATER_TEST_CODE_HOURS = Decimal("0.25")
COLDEST_F = Decimal(50)


def least_wait(
    wait: Wait,
    *,
    product: Product = "standard",
    temperature_f: Decimal | None = None,
    limits: ShopLimits = DEFAULTS,
) -> tuple[Limit, Rule]:
    """Return the least wait in hours and its rule; for a product that has no figure of its own the standard one's.
    Below 70 °F cement cures slower: see `cold_hours`; a membrane has a
    wait of its own below 50 °F, as its standard says."""
    key = _OTHERS.get((wait, product), _WAITS[wait])
    if temperature_f is None:
        return Limit(compare="at least", low=limits.value(key)), limits.rule(key)
    if wait == "membrane to water test":
        key = "membrane_cold_hours" if temperature_f < COLDEST_F else key
        base = limits.value(key)
    else:
        base = cold_hours(base_hours=limits.value(key), temperature_f=temperature_f)
    return Limit(compare="at least", low=base), limits.rule(key)


def cold_hours(*, base_hours: Decimal, temperature_f: Decimal) -> Decimal:
    """Return the cure time in hours, one place, for a base at room temperature: the longer of the two rules there are,
    doubled for each 8 °C below 21 °C (a reseller's page) and for each 18 °F below 70 °F (from memory).  From 70 °F up,
    the base."""
    return max(cold_hours_by_rule(base_hours=base_hours, temperature_f=temperature_f))


def cold_hours_by_rule(*, base_hours: Decimal, temperature_f: Decimal) -> tuple[Decimal, Decimal]:
    """Return the cure time in hours, one place, by the rule of 8 °C and by that of 18 °F."""
    if temperature_f >= 70:
        return base_hours, base_hours
    celsius = (temperature_f - 32) * 5 / 9
    by_8 = base_hours * Decimal(2) ** (max(21 - celsius, Decimal(0)) / 8)
    return round(by_8, 1), round(base_hours * Decimal(2) ** ((70 - temperature_f) / 18), 1)


def judge_wait(
    wait: Wait,
    *,
    hours: Decimal,
    product: Product = "standard",
    temperature_f: Decimal | None = None,
    limits: ShopLimits = DEFAULTS,
) -> Verdict:
    """Return whether enough hours have passed.  Raises ValueError for negative hours."""
    if not (hours.is_finite() and hours >= 0):
        raise ValueError(f"hours must be 0 or more, got {hours}")
    limit, rule = least_wait(wait, product=product, temperature_f=temperature_f, limits=limits)
    least = limit.low or Decimal(0)
    figures = {"waited_hours": hours, "least_hours": least, "left_hours": max(least - hours, Decimal(0))}
    if hours >= least:
        template = gettext_noop("%(waited_hours)s hours have passed, %(least_hours)s were needed.")
        return Verdict(rule=rule, outcome="holds", figures=figures, template=template)
    template = gettext_noop("Wait %(left_hours)s hours more: %(waited_hours)s of %(least_hours)s have passed.")
    return Verdict(rule=rule, outcome="fails", figures=figures, template=template)


def judge_water_test(
    *,
    hours: Decimal,
    dropped: bool | None,
    needed_hours: Decimal | None = None,
    limits: ShopLimits = DEFAULTS,
) -> Verdict:
    """Return whether a water test is passed: the level held (`dropped` is False) for `needed_hours`, by default the
    shop's limit.

    Both it and the code's 15 minutes are among the figures. A level nobody read (None) leaves a test of full length
    undecided. Raises ValueError for negative hours or a wait below the code's.
    """
    practice = limits.rule("water_test_hours") if needed_hours is None else sources.WATER_TEST_PRACTICE
    needed_hours = limits.water_test_hours if needed_hours is None else needed_hours
    if not (hours.is_finite() and hours >= 0):
        raise ValueError(f"hours must be 0 or more, got {hours}")
    if not (needed_hours.is_finite() and needed_hours >= WATER_TEST_CODE_HOURS):
        raise ValueError(f"a water test takes at least the code's {WATER_TEST_CODE_HOURS} h, got {needed_hours}")
    rule = practice if needed_hours > WATER_TEST_CODE_HOURS else sources.WATER_TEST_CODE
    figures = {"stood_hours": hours, "needed_hours": needed_hours, "code_minutes": WATER_TEST_CODE_HOURS * 60}
    outcome: Outcome = "fails"
    if dropped:
        template = gettext_noop(
            "The level dropped after %(stood_hours)s hours: find the leak, mend it and test again from the start."
        )
    elif hours < WATER_TEST_CODE_HOURS:
        template = gettext_noop("Water stood %(stood_hours)s hours: even the code asks %(code_minutes)s minutes.")
    elif hours < needed_hours:
        template = gettext_noop(
            "Water stood %(stood_hours)s hours: more than the code's %(code_minutes)s minutes, less than the "
            "%(needed_hours)s hours asked here."
        )
    elif dropped is None:
        outcome = "can't tell"
        template = gettext_noop("Read the water's level against its mark.")
    else:
        outcome = "holds"
        template = gettext_noop(
            "The level held for %(stood_hours)s hours; the code's minimum is %(code_minutes)s minutes, here "
            "%(needed_hours)s hours are asked."
        )
    return Verdict(rule=rule, outcome=outcome, figures=figures, template=template)


def cautions(*, demolition: bool, year_built: int | None) -> tuple[Rule, ...]:
    """Return the dangers to speak of before work starts.  A year nobody knows counts as old."""
    old_paint = year_built is None or year_built < LEAD_YEAR
    old_floor = year_built is None or year_built < ASBESTOS_YEAR
    found = [sources.SILICA, sources.WIRING, sources.LIFTING]
    if demolition:
        found += [sources.STRUCTURE, sources.PLUMBING]
        found += [sources.LEAD] if old_paint else []
        found += [sources.ASBESTOS] if old_floor else []
    return tuple(found)
