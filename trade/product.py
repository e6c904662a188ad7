"""What the tile is: the class of its body, and where it may be walked on.  Water and friction as Decimal."""

from decimal import Decimal
from typing import Literal, get_args

from trade.limits import Outcome
from trade.shop_limits import DEFAULTS, ShopLimits
from trade.sources import Rule
from trade.verdicts import Verdict
from trade.words import gettext_noop

AnsiClass = Literal["impervious", "vitreous", "semi-vitreous", "non-vitreous"]
IsoGroup = Literal["Ia", "Ib", "IIa", "IIb", "III"]
Walk = Literal["interior dry", "interior wet", "interior wet plus", "exterior wet", "oils and greases"]

_ANSI: tuple[tuple[Decimal, AnsiClass], ...] = (
    (Decimal("0.5"), "impervious"),
    (Decimal(3), "vitreous"),
    (Decimal(7), "semi-vitreous"),
)
_ISO: tuple[tuple[Decimal, IsoGroup], ...] = (
    (Decimal("0.5"), "Ia"),
    (Decimal(3), "Ib"),
    (Decimal(6), "IIa"),
    (Decimal(10), "IIb"),
)
_FRICTION: dict[Walk, str] = {
    "interior dry": "friction_indoors",
    "interior wet": "friction_indoors",
    "interior wet plus": "friction_wet_plus",
    "exterior wet": "friction_outdoors",
    "oils and greases": "friction_oil",
}
"""Which of the shop's limits says how much."""


def ansi_class(absorption_percent: Decimal) -> AnsiClass:
    """Return the ANSI A137.1 class of a tile that takes up so much water, percent of its mass by ASTM C373."""
    _share(absorption_percent)
    return next((name for most, name in _ANSI if absorption_percent <= most), "non-vitreous")


def iso_group(absorption_percent: Decimal) -> IsoGroup:
    """Return the ISO 13006 group of a tile that takes up so much water, percent; above 3 it differs from ANSI."""
    _share(absorption_percent)
    return next((name for most, name in _ISO if absorption_percent <= most), "III")


def least_friction(walk: Walk, *, limits: ShopLimits = DEFAULTS) -> tuple[Decimal, Rule]:
    """Return the least dynamic coefficient of friction for a use, and its rule; dry use is tested dry.

    Raises ValueError for a use there isn't.
    """
    if walk not in get_args(Walk):
        raise ValueError(f"no such use: {walk}")
    return limits.value(_FRICTION[walk]), limits.rule(_FRICTION[walk])


def judge_friction(
    *, walk: Walk, friction: Decimal | None, declared: bool | None = None, limits: ShopLimits = DEFAULTS
) -> Verdict:
    """Return whether a floor tile may be walked on so.  `declared`: whether its maker declares it fit for the use.

    A declaration outranks the figures beyond level indoor floors; without figure and declaration nobody can tell.
    """
    least, rule = least_friction(walk, limits=limits)
    figures = {"least": least}
    outcome: Outcome
    if walk not in ("interior dry", "interior wet") and declared is not None:
        outcome = "holds" if declared else "fails"
        template = (
            gettext_noop("The maker declares this tile fit for the use.")
            if declared
            else gettext_noop("The maker says that this tile isn't for this use: choose another.")
        )
        return Verdict(rule=rule, outcome=outcome, figures=figures, template=template)
    if friction is None:
        template = gettext_noop("Ask the maker for the tile's coefficient of friction: at least %(least)s is needed.")
        return Verdict(rule=rule, outcome="can't tell", figures=figures, template=template)
    if not (friction.is_finite() and 0 <= friction <= 2):
        raise ValueError(f"a coefficient of friction lies between 0 and 2, got {friction}")
    figures["friction"] = friction
    outcome = "holds" if friction >= least else "fails"
    template = (
        gettext_noop("A coefficient of friction of %(friction)s meets the %(least)s needed.")
        if outcome == "holds"
        else gettext_noop(
            "A coefficient of friction of %(friction)s is under the %(least)s needed here: somebody will slip. Choose "
            "another tile or finish."
        )
    )
    return Verdict(rule=rule, outcome=outcome, figures=figures, template=template)


def _share(percent: Decimal) -> None:
    if not (percent.is_finite() and 0 <= percent <= 100):
        raise ValueError(f"what a tile takes up lies between 0 and 100 percent, got {percent}")
