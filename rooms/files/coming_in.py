"""From a room file to rows: checked by the engine first, then kept to the last key."""

import math
import re
from collections.abc import Iterable, Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any, cast

from django.core.exceptions import ValidationError
from django.db.models import Model
from django.utils.translation import gettext as _

from jobs.models import Job
from layout import RoomError, read_room
from rooms.files.going_out import measures_to_file, mm_text
from rooms.models import Corner, Opening, Place, Room, Surface, Tile
from rooms.tiles.worn import MEASURES, SHEET_FACTS, SHEET_FIGURES
from trade.lengths import LengthError, Unit, format_length, parse_length

_DEEPEST = 40
_Data = dict[str, Any]

# The keys that have columns of their own; everything else goes to `more`.
_ROOM = {"format", "name", "place", "demolition", "tile", "joint", "joint_high", "pattern", "edge_gap"}
_ROOM |= {"surfaces", "corners"}
_TILE = {"name", *MEASURES}
_PATTERN = {"kind", "share", "run", "axis"}
_SURFACE = {"id", "name", "kind", "wet", "focal", "outline", "openings", "build_up"}
_OPENING = {"id", "kind", "outline", "circle"}
_CORNER = {"first", "second", "soft"}


def check_file(data: Any) -> Mapping[str, Any]:
    """`data`, if a room can be made and laid out from it; else RoomError, whose `place` names where it is wrong."""
    _refuse_unstorable(data)
    read_room(data)
    return cast(Mapping[str, Any], data)


def room_from_file(
    data: Mapping[str, Any],
    *,
    job: Job,
    place: str = "",
    position: int = 0,
    demolition: bool | None = None,
    tile: Tile | None = None,
) -> Room:
    """A new room of `job` from a room file, saved with its surfaces, openings, corners and tile.

    `place` and `demolition` go before what the file says of them; `tile` before looking for one like the file's.
    Raises RoomError, whose `place` names where the file is wrong. The caller holds the transaction.
    """
    room = Room(job=job, position=position)
    return write_room(room, data, place=place, demolition=demolition, tile=tile)


def write_room(
    room: Room,
    data: Mapping[str, Any],
    *,
    place: str = "",
    demolition: bool | None = None,
    tile: Tile | None = None,
) -> Room:
    """The room, new or kept before, made to say what the file says. Surfaces and openings keep their rows by id."""
    data = check_file(data)
    units = cast(Unit, data["units"])
    read = _Reader(units)
    place = place or data.get("place") or room.place
    if place not in Place.values:
        known = ", ".join(Place.values)
        raise RoomError("place", _("say what is tiled: one of %(known)s") % {"known": known})
    _refuse_place_without_surface(place, data["surfaces"])

    named = data.get("tile")
    pattern = data.get("pattern") or {"kind": "stack"}
    share = Fraction(str(pattern["share"]).strip()) if pattern["kind"] == "offset" else None
    joint, joint_at = data.get("joint"), "joint"
    if joint is None:
        joint, joint_at = data["surfaces"][0]["joint"], "surfaces[0].joint"
    room.name = data["name"].strip()
    room.place = place
    room.demolition = data.get("demolition") is True if demolition is None else demolition
    room.tile = tile or _room_tile(data, units)
    room.joint = read.length(joint, joint_at)
    room.joint_high = read.maybe(data.get("joint_high"), "joint_high")
    room.pattern = pattern["kind"]
    room.share_of, room.share_in = (share.numerator, share.denominator) if share else (None, None)
    room.run = pattern.get("run", "alternate")
    room.axis = pattern.get("axis", "rows")
    room.edge_gap = read.maybe(data.get("edge_gap"), "edge_gap")
    room.more = read.room_more(data)
    if isinstance(named, Mapping):
        own = _rest(named, _TILE) | _differences(named, room.tile, units)
        if own:
            room.more["tile"] = own
    elif isinstance(named, str):
        room.more["tile"] = named
    # A stack has no use for a share, but the file that came in may have named one.
    if rest := _rest(pattern, _PATTERN if share else _PATTERN - {"share"}):
        room.more["pattern"] = rest
    if room.joint <= 0:
        raise RoomError(joint_at, _("a joint of nothing can't be set; 1/16\" is the smallest"))
    if room.joint_high is not None and room.joint_high < room.joint:
        raise RoomError("joint_high", _("the widest joint is below the joint"))
    _fits(room, "")
    room.save()
    surfaces = _write_surfaces(room, data["surfaces"], read)
    _write_corners(room, data.get("corners") or (), surfaces, read)
    # What was prefetched is no longer true.
    room._prefetched_objects_cache = {}  # type: ignore[attr-defined]
    return room


def tile_from_file(raw: Mapping[str, Any], *, units: Unit, place: str = "tile") -> Tile:
    """The shop's tile of these measures (and this name, where the file gives one); made if there is none."""
    name = raw.get("name")
    name = name.strip() if isinstance(name, str) else ""
    fields = _measures_of(raw, units=units, place=place)
    same = Tile.objects.filter(**fields)
    if found := (same.filter(name=name) if name else same).order_by("archived", "created_at", "id").first():
        return found
    tile = Tile(name=name or tile_name(fields["width"], fields["height"], fields["edge"], units=units), **fields)
    _fits(tile, place)
    tile.save(force_insert=True)
    return tile


def _measures_of(raw: Mapping[str, Any], *, units: Unit, place: str) -> _Data:
    """What a file says of a tile, as `Tile` keeps it."""
    read = _Reader(units)
    return {
        "width": read.length(raw["width"], f"{place}.width"),
        "height": read.length(raw["height"], f"{place}.height"),
        "thickness": read.maybe(raw.get("thickness"), f"{place}.thickness"),
        "edge": raw.get("edge", "calibrated"),
        "size_spread": read.maybe(raw.get("size_spread"), f"{place}.size_spread", unit="mm"),
        "warp": read.maybe(raw.get("warp"), f"{place}.warp", unit="mm"),
        "turns": [int(turn) for turn in raw.get("turns") or ()],
        "per_box": None if raw.get("per_box") is None else int(raw["per_box"]),
        "finish": raw.get("finish", ""),
        "stone": raw.get("stone") is True,
    }


def _differences(raw: Mapping[str, Any], tile: Tile, units: Unit) -> _Data:
    """What a file says otherwise of its tile than the shop does."""
    said = measures_to_file(Tile(**_measures_of(raw, units=units, place="tile")))
    shops = measures_to_file(tile)
    return {key: said[key] for key in MEASURES if said[key] != shops[key]}


def tile_name(width: Decimal, height: Decimal, edge: str, *, units: Unit) -> str:
    """What a tile is called that nobody named: its measures and its edge."""
    sides = " \N{MULTIPLICATION SIGN} ".join(format_length(side, unit=units, feet=False) for side in (width, height))
    return f"{sides}, {Tile(edge=edge).get_edge_display()}"


class _Reader:
    """Reads the lengths of one file, bare numbers in its units."""

    def __init__(self, units: Unit) -> None:
        self.units = units

    def length(self, value: Any, place: str, *, unit: Unit | None = None) -> Decimal:
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            raise RoomError(place, _("a length is needed here"))
        try:
            return parse_length(value, unit=unit or self.units)
        except LengthError as error:
            raise RoomError(place, _(error.template) % error.params) from None

    def maybe(self, value: Any, place: str, *, unit: Unit | None = None) -> Decimal | None:
        return None if value is None else self.length(value, place, unit=unit)

    def points(self, value: Any, place: str) -> list[list[Decimal]]:
        return [[self.length(part, f"{place}[{i}]") for part in point] for i, point in enumerate(value)]

    def text(self, value: Any, place: str, *, unit: Unit | None = None) -> Any:
        """A length of `more` as it is kept: text in mm. Nothing stays nothing."""
        return None if value is None else mm_text(self.length(value, place, unit=unit))

    def room_more(self, data: Mapping[str, Any]) -> _Data:
        more = _rest(data, _ROOM)
        self._turn(more, "kerf", "kerf", unit="mm")
        self._turn(more, "regrid", "regrid")
        self._turn_pin(more, "pin")
        if isinstance(more.get("tiles"), Mapping):
            more["tiles"] = {name: self._tile_more(raw, f"tiles.{name}") for name, raw in more["tiles"].items()}
        return more

    def surface_more(self, raw: Mapping[str, Any], place: str) -> _Data:
        more = _rest(raw, _SURFACE)
        for key in ("joint", "joint_high", "edge_gap", "level"):
            self._turn(more, key, f"{place}.{key}")
        self._turn_pin(more, f"{place}.pin")
        if isinstance(more.get("edges"), Mapping):
            more["edges"] = {side: dict(edge) for side, edge in more["edges"].items()}
            for side, edge in more["edges"].items():
                self._turn(edge, "gap", f"{place}.edges.{side}.gap")
        for key in ("aim", "blocking"):
            if isinstance(more.get(key), list):
                more[key] = [
                    {**each, "at": [self.text(part, f"{place}.{key}[{i}].at") for part in each["at"]]}
                    for i, each in enumerate(more[key])
                ]
        return more

    def opening_more(self, raw: Mapping[str, Any], place: str) -> _Data:
        more = _rest(raw, _OPENING)
        if isinstance(more.get("movable"), Mapping):
            more["movable"] = {
                axis: [self.text(part, f"{place}.movable.{axis}") for part in pair]
                for axis, pair in more["movable"].items()
            }
        return more

    def _tile_more(self, raw: Mapping[str, Any], place: str) -> _Data:
        tile = dict(raw)
        for key in ("width", "height", "thickness"):
            self._turn(tile, key, f"{place}.{key}")
        for key in ("size_spread", "warp"):
            self._turn(tile, key, f"{place}.{key}", unit="mm")
        if "data_sheet" in tile:
            tile["data_sheet"] = _data_sheet(tile["data_sheet"], f"{place}.data_sheet")
        return tile

    def _turn(self, more: _Data, key: str, place: str, *, unit: Unit | None = None) -> None:
        if key in more:
            more[key] = self.text(more[key], place, unit=unit)

    def _turn_pin(self, more: _Data, place: str) -> None:
        """A pin is a place by name or a length."""
        if isinstance(more.get("pin"), Mapping):
            more["pin"] = {
                axis: each if isinstance(each, str) and each.strip()[:1].isalpha() else self.text(each, place)
                for axis, each in more["pin"].items()
            }


def _data_sheet(raw: Any, place: str) -> _Data:
    """A data sheet whose figures and facts can be; RoomError names the one that can't."""
    if not isinstance(raw, Mapping):
        raise RoomError(place, _("figures by their names are needed here"))
    for key, most in SHEET_FIGURES.items():
        value = raw.get(key)
        if value is not None and not (_is_number(value) and 0 <= Decimal(str(value)) <= most):
            raise RoomError(f"{place}.{key}", _("a number from 0 to %(most)s is needed here") % {"most": most})
    for key in SHEET_FACTS:
        if not isinstance(raw.get(key), bool | None):
            raise RoomError(f"{place}.{key}", _("true or false is needed here"))
    return {key: str(value) if key in SHEET_FIGURES and value is not None else value for key, value in raw.items()}


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float | str) and bool(re.fullmatch(r"[0-9]{1,6}(\.[0-9]{1,6})?", str(value)))


def _room_tile(data: Mapping[str, Any], units: Unit) -> Tile:
    """The room's own tile; where it has none, the tile of its first surface."""
    tile = data.get("tile")
    if tile is None:
        tile = data["surfaces"][0]["tile"]
    if isinstance(tile, str):
        return tile_from_file({"name": tile, **data["tiles"][tile]}, units=units, place=f"tiles.{tile}")
    return tile_from_file(tile, units=units)


def _write_surfaces(room: Room, raws: Iterable[Mapping[str, Any]], read: _Reader) -> dict[str, Surface]:
    kept = {each.key: each for each in Surface.objects.filter(room=room).prefetch_related("openings")}
    found: dict[str, Surface] = {}
    for index, raw in enumerate(raws):
        place = f"surfaces[{index}]"
        surface = kept.get(raw["id"]) or Surface(room=room, key=raw["id"])
        _put(
            surface,
            place,
            position=index,
            name=raw.get("name") or "",
            kind=raw["kind"],
            wet=raw.get("wet", False),
            focal=raw.get("focal", False),
            outline=read.points(raw["outline"], f"{place}.outline"),
            build_up=read.maybe(raw.get("build_up"), f"{place}.build_up"),
            more=read.surface_more(raw, place),
        )
        _write_openings(surface, raw.get("openings") or (), read, place)
        found[surface.key] = surface
    Surface.objects.filter(room=room).exclude(key__in=found).delete()
    return found


def _write_openings(surface: Surface, raws: Iterable[Mapping[str, Any]], read: _Reader, at: str) -> None:
    kept = {} if surface._state.adding else {opening.key: opening for opening in surface.openings.all()}
    found = set()
    for index, raw in enumerate(raws):
        place = f"{at}.openings[{index}]"
        circle = raw.get("circle")
        _put(
            kept.get(raw["id"]) or Opening(surface=surface, key=raw["id"]),
            place,
            position=index,
            kind=raw.get("kind") or "",
            outline=None if circle else read.points(raw["outline"], f"{place}.outline"),
            circle=[read.length(part, f"{place}.circle") for part in circle] if circle else None,
            more=read.opening_more(raw, place),
        )
        found.add(raw["id"])
    for key, opening in kept.items():
        if key not in found:
            opening.delete()


def _write_corners(
    room: Room, raws: Iterable[Mapping[str, Any]], surfaces: Mapping[str, Surface], read: _Reader
) -> None:
    kept = list(Corner.objects.filter(room=room))
    count = 0
    for count, raw in enumerate(raws, start=1):
        place = f"corners[{count - 1}]"
        (first, first_side), (second, second_side) = (_end(raw[key]) for key in ("first", "second"))
        _put(
            kept[count - 1] if count <= len(kept) else Corner(room=room),
            place,
            position=count - 1,
            first=surfaces[first],
            first_side=first_side,
            second=surfaces[second],
            second_side=second_side,
            soft=read.maybe(raw.get("soft"), f"{place}.soft"),
            more=_rest(raw, _CORNER),
        )
    for corner in kept[count:]:
        corner.delete()


def _end(text: str) -> tuple[str, str]:
    surface, _dot, side = text.rpartition(".")
    return surface, side


def _put(row: Surface | Opening | Corner, place: str, **values: Any) -> None:
    """Saves a row, if it is new or something of it changed."""
    changed = [name for name, value in values.items() if row._state.adding or getattr(row, name) != value]
    for name in changed:
        setattr(row, name, values[name])
    if row._state.adding:
        _fits(row, place)
        row.save(force_insert=True)
    elif changed:
        _fits(row, place)
        row.save(update_fields=changed)


def _rest(raw: Mapping[str, Any], known: set[str]) -> _Data:
    return {key: value for key, value in raw.items() if key not in known}


def _fits(row: Model, place: str) -> None:
    """RoomError where a column can't hold what the file says, such as a name that is too long."""
    try:
        row.clean_fields(exclude=[field.name for field in row._meta.fields if field.is_relation])
    except ValidationError as error:
        name, messages = next(iter(error.message_dict.items()))
        where = ".".join(part for part in (place, {"key": "id"}.get(name, name)) if part)
        raise RoomError(where, " ".join(messages)) from None


def _refuse_place_without_surface(place: str, surfaces: Iterable[Mapping[str, Any]]) -> None:
    kinds = {surface["kind"] for surface in surfaces}
    if place in (Place.WET_FLOOR, Place.DRY_FLOOR) and "floor" not in kinds:
        raise RoomError("place", _("this is a floor, but no surface of the room is one; add the floor"))
    if place in (Place.TUB_SURROUND, Place.DRY_WALL) and kinds == {"floor"}:
        raise RoomError("place", _("this is a wall, but the room has only a floor; add the wall"))


def _refuse_unstorable(data: Any) -> None:
    """RoomError for what JSON text can say and no table can keep: endless numbers, broken characters, deep nesting."""
    stack: list[tuple[Any, str, int]] = [(data, "", 0)]
    while stack:
        value, place, depth = stack.pop()
        if depth > _DEEPEST:
            raise RoomError(place[:80], _("this is nested deeper than any room"))
        if isinstance(value, float) and not math.isfinite(value):
            raise RoomError(place, _("this is not a number that a tape shows"))
        if isinstance(value, str):
            _refuse_broken_text(value, place)
        elif isinstance(value, Mapping):
            for key, each in value.items():
                _refuse_broken_text(key, place)
                stack.append((each, f"{place}.{key}" if place else str(key), depth + 1))
        elif isinstance(value, list | tuple):
            stack.extend((each, f"{place}[{index}]", depth + 1) for index, each in enumerate(value))


def _refuse_broken_text(text: Any, place: str) -> None:
    if isinstance(text, str) and ("\0" in text or any("\ud800" <= char <= "\udfff" for char in text)):
        raise RoomError(place, _("this text has characters that can't be kept"))
