"""Size, curb, liner, flange, sills and steam ceiling of a shower.  Lengths are Decimal mm, slopes percent, perms as
printed.

Every figure is a default with its source; the local code and its inspector decide.
"""

from decimal import Decimal

from trade import sources
from trade.figures import not_negative, positive
from trade.lengths import inches
from trade.limits import Outcome
from trade.shop_limits import DEFAULTS, ShopLimits
from trade.verdicts import Verdict
from trade.words import gettext_noop

LINER_OTHER_CODES_MM = inches(2)
WATER_PSF = Decimal("5.19")
"""What an inch of water weighs on a square foot: ASTM D5957, as summarized in standards.iteh.ai."""


def water_test_psf(*, depth_mm: Decimal) -> Decimal:
    """Return what the water of a test weighs on the floor, lb on a square foot.  ValueError for a negative depth."""
    not_negative(depth_mm=depth_mm)
    return depth_mm / inches(1) * WATER_PSF


def judge_stall(
    *,
    area_sq_in: Decimal | None,
    circle_mm: Decimal | None,
    clear_mm: Decimal | None,
    receptor_mm: tuple[Decimal, Decimal] | None = None,
    limits: ShopLimits = DEFAULTS,
) -> Verdict:
    """Return whether a shower is large enough between its finished walls, at the height of its threshold.

    `area_sq_in`: square inches; `circle_mm`: across the largest circle with room in it, which in a rectangle is its
    short side; `clear_mm`: how far above the drain nothing stands in it but valves, shower heads, dishes, shelves and
    grab bars.  None: not measured.  `receptor_mm`: a receptor's sides, overall: no least size binds a large enough one.
    ValueError unless all are positive.
    """
    given = {"area": area_sq_in, "circle_mm": circle_mm, "clear_mm": clear_mm}
    wanted = {"area": limits.stall_area_sq_in, "circle_mm": limits.stall_circle_mm, "clear_mm": limits.stall_clear_mm}
    measured = {name: value for name, value in given.items() if value is not None}
    positive(**measured)
    figures = {f"least_{name}": least for name, least in wanted.items()} | measured
    rule = limits.rule(
        "stall_area_sq_in", "stall_circle_mm", "stall_clear_mm", "receptor_width_mm", "receptor_length_mm"
    )
    if receptor_mm is not None:
        positive(receptor_one_mm=receptor_mm[0], receptor_other_mm=receptor_mm[1])
        width, length = sorted(receptor_mm)
        if width >= limits.receptor_width_mm and length >= limits.receptor_length_mm:
            template = gettext_noop(
                "A receptor of %(width_mm)s by %(length_mm)s overall is excepted from the least size of a shower; your "
                "local code decides."
            )
            sides = {"width_mm": width, "length_mm": length}
            return Verdict(rule=rule, outcome="holds", figures=sides, template=template)
    outcome: Outcome = "holds"
    template = gettext_noop(
        "The shower is large enough: %(area)s sq in of %(least_area)s, a circle of %(circle_mm)s of "
        "%(least_circle_mm)s, clear to %(clear_mm)s above the drain."
    )
    if any(value < wanted[name] for name, value in measured.items()):
        outcome = "fails"
        template = gettext_noop(
            "The shower is too small: %(least_area)s sq in and a circle of %(least_circle_mm)s are asked for between "
            "finished walls, clear to %(least_clear_mm)s above the drain. Ask your inspector before anything is built; "
            "your local code decides."
        )
    elif len(measured) < len(wanted):
        outcome = "can't tell"
        template = gettext_noop(
            "Measure the shower between finished walls at the threshold's top: at least %(least_area)s sq in and a "
            "circle of %(least_circle_mm)s, clear to %(least_clear_mm)s above the drain. Your local code decides."
        )
    return Verdict(rule=rule, outcome=outcome, figures=figures, template=template)


def judge_curb(
    *, above_drain_mm: Decimal, below_pan_mm: Decimal | None, accessible: bool = False, limits: ShopLimits = DEFAULTS
) -> Verdict:
    """Return whether the finished curb's top is right: its height above the drain, and how far it lies below the pan's
    sides and back (None: not measured).  ValueError for a negative height."""
    not_negative(above_drain_mm=above_drain_mm)
    figures = {"curb_mm": above_drain_mm}
    if accessible:
        figures["most_mm"] = limits.curb_accessible_mm
        holds = above_drain_mm <= limits.curb_accessible_mm
        rule = limits.rule("curb_accessible_mm")
        template = gettext_noop("The threshold is %(curb_mm)s high; an accessible one is at most %(most_mm)s.")
        return Verdict(rule=rule, outcome="holds" if holds else "fails", figures=figures, template=template)
    least, most, rim = limits.curb_low_mm, limits.curb_high_mm, limits.curb_below_pan_mm
    figures |= {"least_mm": least, "most_mm": most, "rim_mm": rim}
    outcome: Outcome = "holds"
    template = gettext_noop(
        "The curb stands %(curb_mm)s above the drain: %(least_mm)s to %(most_mm)s is asked for, and %(rim_mm)s below "
        "the pan's sides."
    )
    if not least <= above_drain_mm <= most:
        outcome = "fails"
    elif below_pan_mm is None:
        outcome = "can't tell"
    elif below_pan_mm < rim:
        outcome = "fails"
    if below_pan_mm is not None:
        figures["below_pan_mm"] = below_pan_mm
    rule = limits.rule("curb_low_mm", "curb_high_mm", "curb_below_pan_mm")
    return Verdict(rule=rule, outcome=outcome, figures=figures, template=template)


def judge_liner(
    *,
    above_curb_mm: Decimal | None,
    above_seat_mm: Decimal | None = None,
    seat: bool = False,
    limits: ShopLimits = DEFAULTS,
) -> Verdict:
    """Return whether the liner runs high enough above the finished curb, and above a built-in seat.

    3 in, the stricter; the 2 in of other codes are among the figures.  None: not measured.
    """
    least = limits.liner_height_mm
    figures = {"least_mm": least, "other_mm": LINER_OTHER_CODES_MM}
    for name, value in (("curb_mm", above_curb_mm), ("seat_mm", above_seat_mm)):
        if value is not None:
            not_negative(**{name: value})
            figures[name] = value
    low_curb = above_curb_mm is not None and above_curb_mm < least
    low_seat = seat and above_seat_mm is not None and above_seat_mm < least
    named = sources.LINER_SEAT if low_seat and not low_curb else None
    rule = limits.rule("liner_height_mm", named=named)
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


def judge_flange(*, flange_mm: Decimal | None, lapped: bool | None, limits: ShopLimits = DEFAULTS) -> Verdict:
    """Return whether a tub's or receptor's flange stands high enough and the wall's barrier laps over it; None: nobody
    has measured or looked."""
    figures = {"least_mm": limits.flange_mm}
    if flange_mm is not None:
        not_negative(flange_mm=flange_mm)
        figures["flange_mm"] = flange_mm
    outcome: Outcome = "holds"
    template = gettext_noop("The flange stands %(flange_mm)s up and the wall's barrier laps over it.")
    if lapped is False:
        outcome = "fails"
        template = gettext_noop("The wall's barrier must lap over the flange, not end behind or above it.")
    elif flange_mm is not None and flange_mm < limits.flange_mm:
        outcome = "fails"
        template = gettext_noop(
            "The flange stands only %(flange_mm)s up, %(least_mm)s is needed: ask the tub's maker for a flange that "
            "can be fitted before the wall is closed."
        )
    elif flange_mm is None or lapped is None:
        outcome = "can't tell"
        template = gettext_noop(
            "Measure the flange, at least %(least_mm)s, and see that the wall's barrier laps over it."
        )
    return Verdict(rule=limits.rule("flange_mm"), outcome=outcome, figures=figures, template=template)


def judge_sill(*, slope_percent: Decimal, limits: ShopLimits = DEFAULTS) -> Verdict:
    """Return whether a seat, niche sill, shelf or curb top slopes right; away from the drain is negative.

    Level or backward fails by the standard.  The trainer's 1/4 to 1/2 in in 12 in is what holds.
    """
    if not slope_percent.is_finite():
        raise ValueError(f"a slope must be a number, got {slope_percent}")
    least, most = limits.sill_low_percent, limits.sill_high_percent
    holds = least <= slope_percent <= most
    template = (
        gettext_noop("It slopes %(slope_percent)s percent to the drain.")
        if holds
        else gettext_noop(
            "It slopes %(slope_percent)s percent to the drain: %(least_percent)s to %(most_percent)s percent is wanted "
            "(1/4 in in 12 in is 2.08). Build it up before it is covered."
        )
    )
    figures = {"slope_percent": slope_percent, "least_percent": least, "most_percent": most}
    rule = limits.rule("sill_low_percent", "sill_high_percent")
    return Verdict(rule=rule, outcome="holds" if holds else "fails", figures=figures, template=template)


def judge_steam_ceiling(*, slope_percent: Decimal, limits: ShopLimits = DEFAULTS) -> Verdict:
    """Return whether a steam shower's ceiling slopes at least 2 in per ft, percent."""
    if not slope_percent.is_finite():
        raise ValueError(f"a slope must be a number, got {slope_percent}")
    least = limits.steam_ceiling_percent
    holds = slope_percent >= least
    template = gettext_noop(
        "The ceiling slopes %(slope_percent)s percent; %(least_percent)s is the least (2 in per ft is 16.67)."
    )
    return Verdict(
        rule=limits.rule("steam_ceiling_percent"),
        outcome="holds" if holds else "fails",
        figures={"slope_percent": slope_percent, "least_percent": least},
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


def judge_steam_membrane(*, perms: Decimal | None, all_day: bool, limits: ShopLimits = DEFAULTS) -> Verdict:
    """Return whether a steam shower's membrane is tight enough; one used all day needs a second retarder otherwise."""
    figures, rule = {"most": limits.steam_perms}, limits.rule("steam_perms")
    if perms is None:
        template = gettext_noop("Ask the membrane's maker for its permeance: at most %(most)s perm for steam.")
        return Verdict(rule=rule, outcome="can't tell", figures=figures, template=template)
    not_negative(perms=perms)
    figures["perms"] = perms
    outcome: Outcome = "fails" if perms > limits.steam_perms else "holds"
    template = gettext_noop("The membrane lets %(perms)s perm through; %(most)s is the most for steam.")
    if outcome == "fails" and all_day:
        template = gettext_noop(
            "The membrane lets %(perms)s perm through, more than %(most)s: in use all day it needs a second vapor "
            "retarder, which the steam room's designer decides."
        )
    return Verdict(rule=rule, outcome=outcome, figures=figures, template=template)
