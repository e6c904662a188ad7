"""A room as a proposal offers it: what it is set with, what is done in it, how it will look."""

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext as _

from estimating.drawn import drawings_of
from estimating.texts.blocks import scope_key
from estimating.texts.current import Filled
from rooms.chosen import chosen_room, pattern_text
from rooms.models import Layout, Room
from shop.templatetags.look import length_text
from trade.phases import Phase


def offered_room(room: Room, layout: Layout, phases: Sequence[Phase], texts: Filled) -> dict[str, Any]:
    """A room as a proposal has it, its texts as a person reads them.

    Raises BadText for a sentence that can't be filled in.
    """
    counts = layout.result["options"][layout.option - 1]["counts"]
    chosen = chosen_room(layout)
    tile = room.tile.name
    if chosen.tile and chosen.tile_is_turned:
        size = {"width": length_text(chosen.tile.width), "height": length_text(chosen.tile.height)}
        tile = _("%(name)s, hung turned: %(width)s wide, %(height)s high") % {"name": tile, **size}
    elif "\N{MULTIPLICATION SIGN}" not in tile:  # a tile that nobody named goes by its measures already
        size = {"width": length_text(room.tile.width), "height": length_text(room.tile.height)}
        tile = _("%(name)s, %(width)s x %(height)s") % {"name": tile, **size}
    pattern = room.get_pattern_display()
    if room.way_text:
        pattern = f"{pattern}, {room.way_text}"
    if "share" in layout.asked:
        pattern = pattern_text(chosen.room.surfaces[0].pattern)
    elif room.share_of:
        pattern = _("%(pattern)s by %(share)s") % {"pattern": pattern, "share": f"{room.share_of}/{room.share_in}"}
    least = layout.result["options"][layout.option - 1].get("least_cut") or {}
    facts = [
        (_("Tile"), tile),
        (_("Joint"), length_text(chosen.joint(room.joint, room.joint_high), "1/32")),
        (_("Pattern"), pattern),
        (_("Layout"), f"{layout.title}: {layout.why}" if layout.why else layout.title),
        (
            _("Pieces"),
            _("%(whole)s full, %(cut)s cut") % {"whole": counts["whole"], "cut": counts["cut"]},
        ),
    ]
    if least.get("text"):
        facts.append((_("Smallest cut"), least["text"]))
    if changes := chosen.texts():
        facts.append((_("Changed for the layout"), " ".join(changes)))
    return {
        "name": room.name,
        "place": room.get_place_display(),
        "facts": [{"name": name, "text": text} for name, text in facts],
        "scope": [{"name": _(phase.name), "text": texts.text(scope_key(phase.key))} for phase in phases],
        "drawings": drawings_of(layout, chosen),
        # Cautions stand once for the whole proposal.
        "watch_for": [
            _(finding["text"])
            for finding in layout.result.get("findings", [])
            if finding["level"] in ("stop", "care") and not finding["rule"].startswith("safety.")
        ],
    }
