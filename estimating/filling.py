"""From the chosen layouts to what has to be bought and done: quantities with how they were got, before any price."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from uuid import UUID

from django.utils.translation import gettext as _

from estimating.catalogue import BY_KEY, TILE, class_key, class_name
from estimating.models import Option
from estimating.needs import Need, areas_of, need
from estimating.working import labor_of, return_visits, surveyed
from jobs.models import Job
from rooms.materials import classes_of
from rooms.models import Layout, Place, Room, Tile
from trade.phases import Phase
from trade.shop_limits import ShopLimits

__all__ = ["PRICED", "TELLS", "Need", "areas_of", "needs_of"]

# What a takeoff's lines are priced as. The keys of TELLS cost nothing by themselves: they tell how others were got, or
# are in another's price.
PRICED = {
    "tile": TILE,
    "mortar": "mortar",
    "grout": "grout",
    "membrane_area": "membrane",
    "membrane_band_length": "membrane-band",
    "membrane_corners": "membrane-corner",
    "board_area": "board",
    "board_fasteners": "fastener",
    "sealant_length": "sealant",
    "edge_trim_length": "edge-trim",
    "leveling_clips": "clip",
    "spacers": "spacer",
    "leveling_volume": "leveling",
    "primer_area": "primer",
    "mud_bed_volume": "mud-bed",
    "sealer_area": "sealer",
}
TELLS = {
    *("joint_length", "grout_volume", "tile_weight", "movement_joint_length", "board_sheets", "membrane_laps"),
}
# The signs that a takeoff prints, as the units of `pricing`.
SIGNS = {"m²": "m2", "m³": "m3", "L": "l", "pieces": "piece", "tiles": "piece", "ea": "each"}


def needs_of(
    *,
    job: Job,
    rooms: Sequence[Room],
    layouts: Mapping[UUID, Layout],
    phases: Mapping[UUID, Sequence[Phase]],
    limits: ShopLimits,
) -> list[Need]:
    """What every room with a chosen layout needs, materials before labor. Rooms without one give nothing.

    `rooms` come with their parts (`rooms.queries.with_parts`), `phases` as `working.phases_of` gives them by the
    shop's `limits`. Visits that waits cost are needed by each option apart, and once by the rooms that are none:
    `choices.lines_in` counts the most of them.
    """
    found: list[Need] = []
    read = surveyed(job)
    for room in rooms:
        if layout := layouts.get(room.pk):
            found += _by_class(_materials(room, layout), room, layout, limits)
            found += labor_of(room, layout, phases=phases[room.pk], read=read.get(room.pk))
    options = set(Option.objects.filter(group__job=job).values_list("room_id", flat=True))
    together = [room for room in rooms if room.pk not in options]
    for sharing in (together, *([room] for room in rooms if room.pk in options)):
        found += return_visits(sharing, phases)
    return found


def _materials(room: Room, layout: Layout) -> Iterator[Need]:
    board = False
    across = next(
        (Decimal(str(line["quantity"])) for line in layout.takeoff["lines"] if line["key"] == "movement_joint_length"),
        Decimal(0),
    )
    for line in layout.takeoff["lines"]:
        key = line["key"]
        if key in TELLS:
            continue
        board = board or key == "board_area"
        quantity, how = Decimal(str(line["quantity"])), line.get("how", "")
        if key == "sealant_length" and across:
            quantity += across
            how = _("%(edges)s; and soft joints across floors") % {"edges": how}
        priced_as = PRICED.get(key, key.replace("_", "-"))
        tile = _tile_of(room, line) if priced_as == TILE else None
        if priced_as == TILE:
            text = _("Tile: %(name)s") % {"name": tile.name if tile else line.get("tile", room.tile.name)}
        else:
            text = str(BY_KEY[priced_as].name) if priced_as in BY_KEY else key.replace("_", " ")
        yield Need(
            room=room,
            key=priced_as,
            text=text[:200],
            quantity=quantity,
            unit=SIGNS.get(line["unit"], line["unit"]),
            how=how,
            source=line.get("source", "")[:300],
            tile=tile,
        )
    areas = areas_of(layout)
    if not board and areas.walls and room.place in (Place.SHOWER, Place.TUB_SURROUND):
        yield need(
            room, "board", areas.walls, "m2", _("Walls, less openings: the walls of a shower or tub get a board.")
        )


def _by_class(needs: Iterable[Need], room: Room, layout: Layout, limits: ShopLimits) -> Iterator[Need]:
    """The same, each with the class that the room asks for, where it asks for one: of mortar, one for all of a room."""
    found = classes_of(room, layout, limits=limits)
    classes = {"mortar": found.mortar, "grout": found.grout, "membrane": found.membrane, "board": found.substrate}
    for each in needs:
        asked = classes.get(each.key) or ""
        name = asked.rstrip("HT")  # what makes a mortar thick or hold on a wall costs no other price
        told = class_name(each.key, name)
        if told:
            text = _("%(material)s, %(told)s") % {"material": each.text, "told": told}
            each = replace(each, text=text[:200], by_class=class_key(each.key, name))
        if told and name != asked:
            each = replace(each, how=_("%(how)s; asked for: %(class)s") % {"how": each.how, "class": asked})
        yield each


def _tile_of(room: Room, line: Mapping[str, object]) -> Tile | None:
    """The shop's tile that a takeoff's line means: the room's, or the one of the name that the line gives."""
    name = line.get("tile") or line.get("name")
    if not name or name in (room.tile.name, "tile"):
        return room.tile
    named = (room.more or {}).get("tiles", {})
    if name in named and named[name].get("name"):
        name = named[name]["name"]
    return Tile.objects.filter(name=name).order_by("created_at", "id").first()
