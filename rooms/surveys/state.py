"""What stands in the fields of a survey's page, as typed: where it comes from, one line more, one less."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, cast

from django.http import QueryDict

from rooms.forms import exact_text
from rooms.models import Room, Surface, SurfaceKind, SurveyKind
from rooms.outlines import Point, box_of, is_rectangle
from rooms.tiles.worn import room_tile, worn_by
from trade.lengths import LengthError, Unit, parse_length

MOST_LINES = 40
MOST_PLACES = 30
MOST_CELLS = 800
"""Readings on one page: a request of more than 1000 fields is refused (Django's DATA_UPLOAD_MAX_NUMBER_FIELDS)."""

_FIRST_LINES = 12
"""A new page has no more lines, and no more places on each, than one reads in a few minutes."""

APART: Mapping[str, Mapping[Unit, tuple[str, str]]] = {
    SurveyKind.STUDS: {"in": ("16", "24"), "mm": ("400", "600")},
    SurveyKind.WALL: {"in": ("24", "24"), "mm": ("600", "600")},
    SurveyKind.FLOOR: {"in": ("24", "24"), "mm": ("600", "600")},
    SurveyKind.BED: {"in": ("12", "12"), "mm": ("300", "300")},
}
"""How far lines, and readings on a line, stand apart on a new page; both can be changed. Common practice, no source."""

SETTINGS = (
    *("tile_longest_edge", "across", "along", "aim", "to", "fall", "fall_in", "toward", "grind", "width", "depth"),
    *("drain_x", "drain_y", "drain_radius", "drain_x2", "drain_y2", "slope", "slope_in"),
    *("least_bed", "pre_slope", "bag_liters"),
)


@dataclass(frozen=True, slots=True)
class State:
    """What stands in all fields of the page, by their names; how many lines there are, and places on each."""

    kind: str
    lines: int
    places: int
    values: Mapping[str, str]


def surfaces_for(room: Room, kind: str) -> list[Surface]:
    """The surfaces that can be surveyed so. Reads what `with_parts` has prefetched."""
    floors = kind in (SurveyKind.FLOOR, SurveyKind.BED)
    return [each for each in room.surfaces.all() if (each.kind == SurfaceKind.FLOOR) == floors]


def state_of_start(
    room: Room, kind: str, surface: Surface | None, *, unit: Unit, apart: Decimal | None = None
) -> State:
    """A grid over the surface, nothing read yet; without a surface a small one. `apart`, mm: the farthest that readings
    on a line may stand apart."""
    across, along = APART[kind][unit]
    if apart is not None and parse_length(along, unit=unit) > apart:
        along = exact_text(apart, unit=unit)
    tile = worn_by(surface, room) if surface else room_tile(room)
    values = {
        "tile_longest_edge": exact_text(max(tile.width, tile.height), unit=unit),
        "across": across,
        "along": along,
        "aim": "least-total",
        "to": "level",
        "toward": "end",
        "fall_in": "per_foot" if unit == "in" else "percent",
        "slope_in": "per_foot" if unit == "in" else "percent",
    }
    lines, places = 3, 5
    if surface:
        left, bottom, right, top = box_of(cast(list[Point], surface.outline))
        lines, places = (
            min(int(size // parse_length(step, unit=unit)) + 1, _FIRST_LINES)
            for size, step in ((right - left, across), (top - bottom, along))
        )
        if is_rectangle([(x, y) for x, y in surface.outline]):
            values |= {"width": exact_text(right - left, unit=unit), "depth": exact_text(top - bottom, unit=unit)}
    if kind == SurveyKind.BED:
        lines = 0
    return spaced(State(kind, lines, places, values), unit=unit)


def state_of_post(post: QueryDict, kind: str) -> State:
    """What came back from the page."""
    places = max(_count(post, "places", MOST_PLACES), 1)
    lines = min(_count(post, "lines", MOST_LINES), MOST_CELLS // places)
    names = [*SETTINGS, *_names(lines, places)]
    return State(kind, lines, places, {name: post.get(name, "") for name in names})


def state_of_data(data: Mapping[str, Any], kind: str, start: State, *, readings: bool) -> State:
    """A survey that was made on such a page, on top of a new page's state; with its `readings`, or to be read anew."""
    values = {**start.values, "tile_longest_edge": data.get("tile_longest_edge", "")}
    values |= {name: data[name] for name in ("aim",) if name in data}
    values |= _leveling_values(data.get("leveling") or {}) | _bed_values(data.get("bed") or {})
    unit = cast(Unit, data["units"])
    listed: dict[Decimal, str] = {}
    for line in data["lines"]:
        for along, _out in line["readings"]:
            listed.setdefault(parse_length(along, unit=unit), along)
    order = sorted(listed)
    if order:
        values |= {f"place-{number}": listed[mm] for number, mm in enumerate(order)}
    for index, line in enumerate(data["lines"]):
        values[f"line-{index}-at"] = line["at"]
        for along, out in line["readings"] if readings else ():
            values[f"line-{index}-{order.index(parse_length(along, unit=unit))}"] = out
    return State(kind, len(data["lines"]), len(order) or start.places, values)


def grown(state: State, what: str, *, unit: Unit) -> tuple[State, str]:
    """One more "line", or one more "place" on each; and the field to type into next. No more than the page takes."""
    lines, places = state.lines + (what == "line"), state.places + (what == "place")
    if what not in ("line", "place") or lines > MOST_LINES or places > MOST_PLACES or lines * places > MOST_CELLS:
        return state, ""
    name, before, step = (
        (f"line-{lines - 1}-at", f"line-{lines - 2}-at", "across")
        if what == "line"
        else (f"place-{places - 1}", f"place-{places - 2}", "along")
    )
    values = {**state.values, name: _after(state.values.get(before, ""), state.values[step], unit=unit)}
    return replace(state, lines=lines, places=places, values=values), name


def shrunk(state: State, what: str) -> State:
    """Without the last line, or the last place on each."""
    if what == "line" and state.lines > 0:
        return replace(state, lines=state.lines - 1)
    if what == "place" and state.places > 1:
        return replace(state, places=state.places - 1)
    return state


def spaced(state: State, *, unit: Unit) -> State:
    """Lines and places evenly apart, as asked for. Raises LengthError for a distance that can't be read."""
    across, along = (parse_length(state.values[name], unit=unit) for name in ("across", "along"))
    at = {f"line-{number}-at": exact_text(across * number, unit=unit) for number in range(state.lines)}
    places = {f"place-{number}": exact_text(along * number, unit=unit) for number in range(state.places)}
    return replace(state, values={**state.values, **at, **places})


def _names(lines: int, places: int) -> list[str]:
    found = [f"place-{number}" for number in range(places)]
    for index in range(lines):
        found += [f"line-{index}-at", *(f"line-{index}-{number}" for number in range(places))]
    return found


def _after(before: str, step: str, *, unit: Unit) -> str:
    """The place one step on; nothing where that can't be told."""
    try:
        return exact_text(parse_length(before or "0", unit=unit) + parse_length(step, unit=unit), unit=unit)
    except LengthError:
        return ""


def _count(post: QueryDict, name: str, most: int) -> int:
    text = post.get(name, "")
    return min(int(text), most) if text.isascii() and text.isdigit() and len(text) < 6 else 0


def _leveling_values(raw: Mapping[str, Any]) -> dict[str, str]:
    found = {name: raw[name] for name in ("to", "grind", "toward") if name in raw}
    if "bag_liters" in raw:
        found["bag_liters"] = f"{raw['bag_liters']:g}"
    return found | _slope_values(raw.get("fall") or {}, "fall")


def _bed_values(raw: Mapping[str, Any]) -> dict[str, str]:
    found = {name: raw[name] for name in ("least_bed", "pre_slope") if name in raw}
    if "bag_liters" in raw:
        found["bag_liters"] = f"{raw['bag_liters']:g}"
    # One that was typed as width and depth; a surface's own outline begins with "0 mm", if with 0 at all.
    if raw.get("outline", [None])[0] == ["0", "0"]:
        found |= {"width": raw["outline"][2][0], "depth": raw["outline"][2][1]}
    drain = raw.get("drain") or {}
    ends = drain["line"] if "line" in drain else [drain.get("point") or drain.get("circle", ["", ""])[:2]]
    for (x, y), number in zip(ends, ("", "2"), strict=False):
        found |= {f"drain_x{number}": x, f"drain_y{number}": y}
    if "circle" in drain:
        found["drain_radius"] = drain["circle"][2]
    return found | _slope_values(raw.get("slope") or {}, "slope")


def _slope_values(raw: Mapping[str, Any], name: str) -> dict[str, str]:
    for how in raw:
        return {name: f"{raw[how]:g}" if how == "percent" else raw[how], f"{name}_in": how}
    return {}
