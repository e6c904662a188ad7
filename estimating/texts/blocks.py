"""The blocks of text that a proposal is made of, with the sentences to begin from: common practice, no source."""

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from trade.catalogue import PHASE_KINDS


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """`text` is what it says until the shop says it otherwise. `is_list`: each line is an item of a list; else blank
    lines part paragraphs."""

    key: str
    name: Promise | str
    text: Promise | str
    is_list: bool = False


def scope_key(phase: str) -> str:
    """The key of the block that says what a phase means."""
    return f"scope.{phase}"


# What each phase means to somebody who lives there.
_SCOPE: dict[str, Promise] = {
    "demolition": _("Take out the old tile and board where the new work goes, and clear it from the room."),
    "rough_in": _(
        "Check that valve, drain, boxes and blocking suit the finished tile, and photograph them before they are "
        "covered."
    ),
    "substrate": _("Bring walls and floor true within the tolerance for this tile, and fasten what carries it."),
    "slope": _("Build the slope that carries water to the drain."),
    "waterproofing": _("Waterproof what gets wet, corners and laps reinforced."),
    "water_test": _("Prove it with standing water before any tile covers it."),
    "heated_floor": _(
        "Lay the heating, and read its resistance before it is laid, after, and once it is covered. A licensed "
        "electrician connects it."
    ),
    "layout": _("Lay out from a level and a plumb line, as drawn here, and show you before setting."),
    "setting": _("Set the tile in mortar, with its coverage checked on lifted tiles."),
    "grout": _("Grout once the mortar has cured."),
    "soft_joints": _("Fill corners and edges with sealant, so that they can move, and seal what needs it."),
}

LETTER = (
    Block(
        key="greeting",
        name=_("Greeting"),
        text=_(
            "Dear {client},\n\n"
            "Thank you for letting us look at {site}. Here is what we propose: what we do in each room, how it will "
            "look, what it costs, and what the price rests on.\n\n"
            "The total is {total}, and it holds until {valid_until}. Please ask about anything that isn’t clear."
        ),
    ),
    Block(
        key="terms",
        name=_("What the price rests on"),
        is_list=True,
        text=_(
            "The price assumes framing and floors within the stated tolerance. Correction is billed at the unit prices "
            "below, after your approval.\n"
            "Another size, pattern or material of tile changes the labor, and is priced anew before it is done.\n"
            "The finished work is judged in normal light from standing height, not under light that grazes it. Shade "
            "and natural variation follow the sample that you sign.\n"
            "Concealed conditions stop the part of the work that they affect, until we have agreed on them in "
            "writing.\n"
            "A change is agreed in writing, with its price and its days, before it is done."
        ),
    ),
    Block(
        key="allowances",
        name=_("Allowances"),
        is_list=True,
        text=_("Where a line says allowance, it covers tile, tax and freight only."),
    ),
    Block(
        key="exclusions",
        name=_("Not included"),
        is_list=True,
        text=_(
            "Plumbing, electrical work and structure.\n"
            "Mold, lead and asbestos.\n"
            "Glass, painting, trimming of doors and moving of fixtures.\n"
            "Permits, unless they are listed."
        ),
    ),
    Block(
        key="duties",
        name=_("What we need from you"),
        is_list=True,
        text=_(
            "Heat, water, power, parking and a toilet.\n"
            "The room free of other trades and of traffic while mortar, membrane and grout cure.\n"
            "Tile that you supply yourself: we inspect and count it. Shortage, defects and lost days are yours to "
            "carry."
        ),
    ),
    Block(
        key="payment",
        name=_("Payment"),
        text=_("The final payment is due at the walk-through, less the value of what is still on the punch list."),
    ),
    Block(
        key="warranty",
        name=_("Warranty"),
        text=_("Our workmanship is warranted for {warranty_months} months from the closeout, in writing."),
    ),
    Block(
        key="cooling_off",
        name=_("Your right to think it over"),
        text=_(
            "Local law applies. Under the federal rule in the United States (16 CFR 429) you may cancel a contract "
            "signed at your home within {cancel_days} business days; Saturdays count, Sundays and federal holidays "
            "don’t. Your state may give you more. If you sign on {made_on}, the last moment is midnight of "
            "{cancel_until}. The notice that belongs to it stands at the end: on paper twice, one copy to send and "
            "one to keep."
        ),
    ),
    Block(key="closing", name=_("Closing"), text=_("With kind regards")),
)

PHASES = tuple(Block(key=scope_key(kind.key), name=kind.name, text=_SCOPE.get(kind.key, "")) for kind in PHASE_KINDS)

BLOCKS: dict[str, Block] = {block.key: block for block in (*LETTER, *PHASES)}
