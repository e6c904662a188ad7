"""Curb, liner, sills and steam ceiling of a shower.  Lengths are Decimal mm, slopes percent, perms as printed.

Every figure is a default with its source; the local code and its inspector decide.
"""

from decimal import Decimal

from trade import sources
from trade.figures import not_negative
from trade.lengths import inches
from trade.limits import Outcome
from trade.verdicts import Verdict
from trade.words import gettext_noop

CURB_LEAST_MM, CURB_MOST_MM = inches(2), inches(9)
CURB_ACCESSIBLE_MM = inches("1/2")
CURB_BELOW_PAN_MM = inches(1)
LINER_ABOVE_MM = inches(3)
LINER_OTHER_CODES_MM = inches(2)
SILL_LEAST, SILL_MOST = Decimal("2.08"), Decimal("4.17")
"""1/4 and 1/2 in in 12 in, percent, rounded so that both ends themselves hold."""
STEAM_CEILING_LEAST = Decimal("16.66")
"""2 in in 12 in, percent, rounded down so that it itself holds."""
STEAM_PERMS = Decimal("0.5")


def judge_curb(*, above_drain_mm: Decimal, below_pan_mm: Decimal | None, accessible: bool = False) -> Verdict:
    """Return whether the finished curb's top is right: its height above the drain, and how far it lies below the pan's
    sides and back (None: not measured).  ValueError for a negative height."""
    not_negative(above_drain_mm=above_drain_mm)
    figures = {"curb_mm": above_drain_mm}
    if accessible:
        figures["most_mm"] = CURB_ACCESSIBLE_MM
        holds = above_drain_mm <= CURB_ACCESSIBLE_MM
        template = gettext_noop("The threshold is %(curb_mm)s high; an accessible one is at most %(most_mm)s.")
        return Verdict(
            rule=sources.CURB_ACCESSIBLE, outcome="holds" if holds else "fails", figures=figures, template=template
        )
    figures |= {"least_mm": CURB_LEAST_MM, "most_mm": CURB_MOST_MM, "rim_mm": CURB_BELOW_PAN_MM}
    outcome: Outcome = "holds"
    template = gettext_noop(
        "The curb stands %(curb_mm)s above the drain: %(least_mm)s to %(most_mm)s is asked for, and %(rim_mm)s below "
        "the pan's sides."
    )
    if not CURB_LEAST_MM <= above_drain_mm <= CURB_MOST_MM:
        outcome = "fails"
    elif below_pan_mm is None:
        outcome = "can't tell"
    elif below_pan_mm < CURB_BELOW_PAN_MM:
        outcome = "fails"
    if below_pan_mm is not None:
        figures["below_pan_mm"] = below_pan_mm
    return Verdict(rule=sources.CURB_HEIGHT, outcome=outcome, figures=figures, template=template)


def judge_liner(*, above_curb_mm: Decimal | None, above_seat_mm: Decimal | None = None, seat: bool = False) -> Verdict:
    """Return whether the liner runs high enough above the finished curb, and above a built-in seat.

    3 in, the stricter; the 2 in of other codes are among the figures.  None: not measured.
    """
    figures = {"least_mm": LINER_ABOVE_MM, "other_mm": LINER_OTHER_CODES_MM}
    for name, value in (("curb_mm", above_curb_mm), ("seat_mm", above_seat_mm)):
        if value is not None:
            not_negative(**{name: value})
            figures[name] = value
    low_curb = above_curb_mm is not None and above_curb_mm < LINER_ABOVE_MM
    low_seat = seat and above_seat_mm is not None and above_seat_mm < LINER_ABOVE_MM
    rule = sources.LINER_SEAT if low_seat and not low_curb else sources.LINER_HEIGHT
    outcome: Outcome = "holds"
    template = gettext_noop("The liner is high enough: %(least_mm)s above curb and seat is asked for.")
    if low_curb or low_seat:
        outcome = "fails"
        template = gettext_noop(
            "The liner is too low: %(least_mm)s above the finished curb and seat is asked for; some codes ask "
            "%(other_mm)s above the curb. Lap on more before it is covered; your inspector decides."
        )
    elif above_curb_mm is None or (seat and above_seat_mm is None):
        outcome = "can't tell"
        template = gettext_noop("Measure the liner above the finished curb and seat: at least %(least_mm)s.")
    return Verdict(rule=rule, outcome=outcome, figures=figures, template=template)


def judge_sill(*, slope_percent: Decimal) -> Verdict:
    """Return whether a seat, niche sill, shelf or curb top slopes right; away from the drain is negative.

    Level or backward fails by the standard.  The trainer's 1/4 to 1/2 in in 12 in is what holds.
    """
    if not slope_percent.is_finite():
        raise ValueError(f"a slope must be a number, got {slope_percent}")
    holds = SILL_LEAST <= slope_percent <= SILL_MOST
    template = (
        gettext_noop("It slopes %(slope_percent)s percent to the drain.")
        if holds
        else gettext_noop(
            "It slopes %(slope_percent)s percent to the drain: 1/4 to 1/2 in in 12 in (%(least_percent)s to "
            "%(most_percent)s percent) is wanted. Build it up before it is covered."
        )
    )
    figures = {"slope_percent": slope_percent, "least_percent": SILL_LEAST, "most_percent": SILL_MOST}
    return Verdict(rule=sources.SILL_SLOPE, outcome="holds" if holds else "fails", figures=figures, template=template)


def judge_steam_ceiling(*, slope_percent: Decimal) -> Verdict:
    """Return whether a steam shower's ceiling slopes at least 2 in per ft, percent."""
    if not slope_percent.is_finite():
        raise ValueError(f"a slope must be a number, got {slope_percent}")
    holds = slope_percent >= STEAM_CEILING_LEAST
    template = gettext_noop("The ceiling slopes %(slope_percent)s percent; 2 in per ft (16.67 percent) is the least.")
    return Verdict(
        rule=sources.STEAM_CEILING,
        outcome="holds" if holds else "fails",
        figures={"slope_percent": slope_percent},
        template=template,
    )


def judge_barriers(*, membrane: bool, retarder_behind: bool | None) -> Verdict:
    """Return whether a wall has one barrier, not two that trap water between them; None: nobody has looked."""
    outcome: Outcome = "holds"
    template = gettext_noop("No second barrier traps water in this wall.")
    if membrane and retarder_behind:
        outcome = "fails"
        template = gettext_noop(
            "A membrane on the board and a vapor retarder behind it trap water: take the retarder out, unless the "
            "wall's designer or the local code asks for it."
        )
    elif membrane and retarder_behind is None:
        outcome = "can't tell"
        template = gettext_noop("Look for plastic or faced insulation behind the board before it is closed.")
    return Verdict(rule=sources.DOUBLE_BARRIER, outcome=outcome, template=template)


def judge_steam_membrane(*, perms: Decimal | None, all_day: bool) -> Verdict:
    """Return whether a steam shower's membrane is tight enough; one used all day needs a second retarder otherwise."""
    figures = {"most": STEAM_PERMS}
    if perms is None:
        template = gettext_noop("Ask the membrane's maker for its permeance: at most %(most)s perm for steam.")
        return Verdict(rule=sources.STEAM_MEMBRANE, outcome="can't tell", figures=figures, template=template)
    not_negative(perms=perms)
    figures["perms"] = perms
    outcome: Outcome = "fails" if perms > STEAM_PERMS else "holds"
    template = gettext_noop("The membrane lets %(perms)s perm through; %(most)s is the most for steam.")
    if outcome == "fails" and all_day:
        template = gettext_noop(
            "The membrane lets %(perms)s perm through, more than %(most)s: in use all day it needs a second vapor "
            "retarder, which the steam room's designer decides."
        )
    return Verdict(rule=sources.STEAM_MEMBRANE, outcome=outcome, figures=figures, template=template)
