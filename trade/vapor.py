"""Vapor retarders behind the tile of an outside wall: their class, and where they belong.  Permeance in perms.

The local code and the wall's designer decide.
"""

from decimal import Decimal
from typing import Literal, get_args

from trade import sources
from trade.figures import not_negative
from trade.limits import Outcome
from trade.showers import judge_barriers
from trade.specification import ClimateZone
from trade.verdicts import Verdict
from trade.words import gettext_noop

RetarderClass = Literal["I", "II", "III"]

TIGHT: tuple[RetarderClass, ...] = ("I", "II")
WARM: tuple[ClimateZone, ...] = ("1", "2")
COLD: tuple[ClimateZone, ...] = ("marine 4", "5", "6", "7", "8")

_CLASSES: tuple[tuple[Decimal, RetarderClass], ...] = (
    (Decimal("0.1"), "I"),
    (Decimal(1), "II"),
    (Decimal(10), "III"),
)
"""The most that each class lets through, by `sources.RETARDER_CLASSES`."""


def retarder_class(perms: Decimal) -> RetarderClass | None:
    """Return the class of a layer that lets so much vapor through; None where it is no retarder."""
    not_negative(perms=perms)
    return next((name for most, name in _CLASSES if perms <= most), None)


def judge_retarder(
    *, zone: ClimateZone, retarder_behind: bool | None, perms: Decimal | None, membrane: bool
) -> Verdict:
    """Return whether an outside wall has the vapor retarder its climate asks for behind the board, and no second one.

    `retarder_behind`: None where nobody has looked; `perms`: its permeance, None where nobody knows; `membrane`: the
    board's face is waterproofed.  A membrane in front of a retarder that the code calls for is the designer's to judge.
    ValueError for a zone there isn't.
    """
    if zone not in get_args(ClimateZone):
        raise ValueError(f"no such climate zone: {zone}")
    of_class = None if perms is None else retarder_class(perms)
    figures = {} if perms is None else {"perms": perms}
    if retarder_behind is None or (retarder_behind and perms is None and zone in WARM + COLD):
        template = gettext_noop("Look for a vapor retarder behind the board and ask its maker for its perms.")
        return Verdict(rule=sources.RETARDER_CLASSES, outcome="can't tell", figures=figures, template=template)
    tight = retarder_behind and of_class in TIGHT
    outcome: Outcome | None = None
    template = ""
    if zone in WARM and tight:
        outcome = "fails"
        template = gettext_noop(
            "In this climate the code forbids a retarder of %(perms)s perm on the room's side: take it out before the "
            "wall is closed. Your local code decides."
        )
    elif zone in COLD and tight and membrane:
        outcome = "can't tell"
        template = gettext_noop(
            "The climate calls for the retarder of %(perms)s perm, and with the membrane on the board it traps water: "
            "the wall's designer or the local code decides which one stays."
        )
    elif zone in COLD and not tight and membrane:
        outcome = "can't tell"
        template = gettext_noop(
            "The climate calls for a vapor retarder of 1 perm at most, and one behind this membrane would trap water: "
            "ask the local code whether the membrane counts."
        )
    elif zone in COLD and not tight:
        outcome = "fails"
        template = gettext_noop(
            "The climate calls for a vapor retarder of 1 perm at most on the room's side of this wall; your local code "
            "decides."
        )
    if outcome is None:
        return judge_barriers(membrane=membrane, retarder_behind=retarder_behind)
    return Verdict(rule=sources.RETARDER_ZONES, outcome=outcome, figures=figures, template=template)
