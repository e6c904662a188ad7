"""What lumber and air must be like before tile is set.  Moisture in percent, temperatures °F."""

from collections.abc import Sequence
from decimal import Decimal

from trade.figures import not_negative
from trade.limits import Outcome
from trade.shop_limits import DEFAULTS, ShopLimits
from trade.verdicts import Verdict
from trade.words import gettext_noop


def judge_framing_moisture(*, readings_percent: Sequence[Decimal], limits: ShopLimits = DEFAULTS) -> Verdict:
    """Return whether framing lumber is dry enough for a tile backer: every reading counts, and without any nobody can
    tell.  ValueError for a negative reading."""
    not_negative(**{f"reading_{n}": each for n, each in enumerate(readings_percent)})
    figures = {"most_percent": limits.framing_moisture_percent}
    rule = limits.rule("framing_moisture_percent")
    if not readings_percent:
        template = gettext_noop("Measure the framing's moisture: at most %(most_percent)s percent.")
        return Verdict(rule=rule, outcome="can't tell", figures=figures, template=template)
    figures["wettest_percent"] = max(readings_percent)
    holds = figures["wettest_percent"] <= figures["most_percent"]
    template = (
        gettext_noop("The wettest framing holds %(wettest_percent)s percent of the %(most_percent)s allowed.")
        if holds
        else gettext_noop(
            "The wettest framing holds %(wettest_percent)s percent of moisture, more than the %(most_percent)s "
            "allowed: let it dry before the board goes on."
        )
    )
    return Verdict(rule=rule, outcome="holds" if holds else "fails", figures=figures, template=template)


def judge_temperature(
    *,
    lowest_f: Decimal | None,
    highest_f: Decimal | None,
    hours_after: Decimal | None,
    limits: ShopLimits = DEFAULTS,
) -> Verdict:
    """Return whether it was warm enough from before the setting on, and for long enough after it.

    `lowest_f`, `highest_f`: what a thermometer in the room showed; `hours_after`: how long since the last tile was set.
    None: not read, or nothing set yet.  Too cold fails; above the band the mortar's instructions decide.  ValueError
    for no number, a highest below the lowest, or negative hours.
    """
    for name, value in (("lowest_f", lowest_f), ("highest_f", highest_f)):
        if value is not None and not value.is_finite():
            raise ValueError(f"{name} must be a number, got {value}")
    if lowest_f is not None and highest_f is not None and highest_f < lowest_f:
        raise ValueError(f"the highest can't be under the lowest, got {highest_f} and {lowest_f}")
    given = {"lowest": lowest_f, "highest": highest_f, "after_hours": hours_after}
    least, most, hours = limits.setting_low_f, limits.setting_high_f, limits.setting_hours
    figures = {"least": least, "most": most, "least_hours": hours}
    figures |= {name: value for name, value in given.items() if value is not None}
    if hours_after is not None:
        not_negative(hours_after=hours_after)
    outcome: Outcome = "can't tell"
    if lowest_f is not None and lowest_f < least:
        outcome = "fails"
        template = gettext_noop(
            "It was %(lowest)s °F where at least %(least)s is needed: heat the room before more is set, and tap what "
            "was set in the cold."
        )
    elif highest_f is not None and highest_f > most:
        template = gettext_noop(
            "It was %(highest)s °F; %(least)s to %(most)s is usual. The mortar's written instructions decide."
        )
    elif lowest_f is None or highest_f is None:
        template = gettext_noop("Read the room's lowest and highest temperature: %(least)s to %(most)s °F.")
    elif hours_after is None or hours_after < hours:
        template = gettext_noop(
            "Between %(lowest)s and %(highest)s °F so far: keep it at %(least)s to %(most)s for %(least_hours)s hours "
            "after the last tile."
        )
    else:
        outcome = "holds"
        template = gettext_noop("It stayed between %(lowest)s and %(highest)s °F for %(after_hours)s hours.")
    rule = limits.rule("setting_low_f", "setting_high_f", "setting_hours")
    return Verdict(rule=rule, outcome=outcome, figures=figures, template=template)
