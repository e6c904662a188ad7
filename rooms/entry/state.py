"""What stands in the fields of the entry page, as typed: where it comes from, one more of something, one less."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Any, cast

from django import forms
from django.http import QueryDict

from rooms.corners import corner_rows
from rooms.entry.forms import MORE_MEASURES, CornerForm, LegForm, OpeningForm, SurfaceForm
from rooms.entry.taken import (
    OwnOutline,
    edge_finish,
    edges_shown,
    measures_shown,
    moves_shown,
    openings_of,
    own_outline,
    place_shown,
)
from rooms.forms import RoomForm, TileForm, exact_text
from rooms.models import Room, SurfaceKind
from rooms.shapes import Shape
from trade.lengths import Unit, parse_length

MOST_SURFACES = 60
MOST_OPENINGS = 20
MOST_LEGS = 40
MOST_FIELDS = 900
"""On one page: a request of more than 1000 is refused (Django's DATA_UPLOAD_MAX_NUMBER_FIELDS)."""

# What the engine, too, calls an opening of which the file says no kind.
NO_KIND = "opening"

Values = dict[str, Any]
Typed = QueryDict | dict[str, str]

JOINTS: dict[Unit, tuple[str, str]] = {"in": ("1/8", "1/4"), "mm": ("3 mm", "6 mm")}
"""Soft joints on walls, and at floors. EJ171-09 (TRADE.md, perimeter joints): never less than 1/8 in of wall tile, and
1/4 in of interior floor tile. In whole millimeters: common practice, no source."""

NEW_OPENING: Values = {"kind": "niche", "corner": "lower left"}
NEW_LEG: Values = {"way": "right"}
NEW_CORNER: Values = {"first": "left"}
"""One more of each begins so."""

FIRST_LEGS = ("right", "up", "left", "down", "left")
"""Of an outline with one corner cut out; its last side closes by itself. Legs that stay empty don't count."""


@dataclass(frozen=True, slots=True)
class SurfaceState:
    """What stands in one surface's fields."""

    values: Values = field(default_factory=dict)
    openings: tuple[Values, ...] = ()
    legs: tuple[Values, ...] = ()


@dataclass(frozen=True, slots=True)
class State:
    """What stands in all fields of the page. Corners name surfaces by their index, as text."""

    room: Values = field(default_factory=dict)
    tile: Values = field(default_factory=dict)
    surfaces: tuple[SurfaceState, ...] = ()
    corners: tuple[Values, ...] = ()


def fits_the_page(state: State) -> bool:
    """Whether all of it comes back from one page. What doesn't must not be saved from there: the rest would be lost."""
    openings = [len(surface.openings) for surface in state.surfaces]
    surfaces, corners = len(state.surfaces), len(state.corners)
    fields = len(RoomForm.base_fields) + len(TileForm.base_fields) + 10
    # Its two counts beside its form, of which two fields at least are never shown together with the others.
    fields += surfaces * len(SurfaceForm.base_fields)
    fields += sum(len(surface.legs) for surface in state.surfaces) * len(LegForm.base_fields)
    fields += sum(openings) * len(OpeningForm.base_fields) + corners * len(CornerForm.base_fields)
    most = max((len(surface.legs) for surface in state.surfaces), default=0)
    counts = surfaces <= MOST_SURFACES and corners <= 2 * MOST_SURFACES
    counts = counts and most <= MOST_LEGS and max(openings, default=0) <= MOST_OPENINGS
    return counts and fields <= MOST_FIELDS


# ---------------------------------------------------------------- from where


def state_of_shape(shape: Shape, *, unit: Unit) -> State:
    """A new room, with nothing measured yet and the usual joints."""
    room = {"name": str(shape.name), "place": str(shape.place), "pattern": "stack", "run": "alternate", "axis": "rows"}
    return State(
        room={**room, "joint": JOINTS[unit][0], "edge_gap": JOINTS[unit][0]},
        surfaces=tuple(new_surface(each, unit) for each in shape.surfaces),
        corners=tuple({"left": str(a), "right": str(b), "first": first} for a, b, first in shape.corners),
    )


def new_surface(begun: Mapping[str, Any], unit: Unit) -> SurfaceState:
    """Nothing measured of it. A floor moves against what stands around it more than a wall does."""
    values = {key: _plain(value) for key, value in begun.items() if key != "openings"}
    if values["kind"] == SurfaceKind.FLOOR:
        values["edge_gap"] = JOINTS[unit][1]
    legs = FIRST_LEGS if values.get("walked") else ()
    return SurfaceState(values, tuple(begun.get("openings", ())), tuple({"way": way} for way in legs))


def state_of_room(room: Room, base: Mapping[str, Any], *, unit: Unit) -> State:
    """A room as it was saved; `base` is its file."""
    values = {
        "name": room.name,
        "place": room.place,
        "demolition": room.demolition,
        "outlines_of": base.get("outlines_of", "board"),
        "joint": room.joint,
        "joint_high": room.joint_high,
        "edge_gap": room.edge_gap,
        "pattern": _pattern_value(base["pattern"]),
        "run": room.run,
        "axis": room.axis,
    }
    rows = corner_rows(base)
    return State(
        room=_shown(values, unit),
        tile={"tile": str(room.tile_id)},
        surfaces=tuple(_surface_state(raw, base["units"], unit) for raw in base["surfaces"]),
        corners=tuple({"left": str(row.left), "right": str(row.right), "first": row.first} for row in rows),
    )


def state_of_post(post: Typed) -> State:
    """What came back from the page, now or when it was kept."""
    surfaces = []
    for index in range(_count(post, "surfaces", MOST_SURFACES)):
        at = f"surface-{index}"
        openings = range(_count(post, f"{at}-openings", MOST_OPENINGS))
        typed = tuple(_typed(OpeningForm, post, f"{at}-opening-{number}") for number in openings)
        walk = range(_count(post, f"{at}-legs", MOST_LEGS))
        legs = tuple(_typed(LegForm, post, f"{at}-leg-{number}") for number in walk)
        surfaces.append(SurfaceState(_typed(SurfaceForm, post, at), typed, legs))
    corners = range(_count(post, "corners", 2 * MOST_SURFACES))
    return State(
        room=_typed(RoomForm, post, "room"),
        tile=_typed(TileForm, post, "tile"),
        surfaces=tuple(surfaces),
        corners=tuple(_typed(CornerForm, post, f"corner-{index}") for index in corners),
    )


# ---------------------------------------------------------------- more and less of it


def grown(state: State, what: str, *, unit: Unit) -> tuple[State, str]:
    """One more: "surface:wall", "surface:floor", "opening:<surface>", "leg:<surface>" or "corner"; and the field to
    type into next.

    What the page has no room for isn't added.
    """
    more, focus = _grown(state, what, unit)
    return (more, focus) if fits_the_page(more) else (state, "")


def _grown(state: State, what: str, unit: Unit) -> tuple[State, str]:
    kind, _colon, which = what.partition(":")
    surfaces = state.surfaces
    if kind == "surface" and which in SurfaceKind.values:
        wet = bool(surfaces and surfaces[-1].values.get("wet"))
        new = new_surface({"kind": which, "wet": wet}, unit)
        return replace(state, surfaces=(*surfaces, new)), f"surface-{len(surfaces)}-name"
    at = _index(which, len(surfaces))
    if kind == "opening" and at is not None:
        openings = surfaces[at].openings
        more = replace(surfaces[at], openings=(*openings, dict(NEW_OPENING)))
        focus = f"surface-{at}-opening-{len(openings)}-kind"
        return replace(state, surfaces=(*surfaces[:at], more, *surfaces[at + 1 :])), focus
    if kind == "leg" and at is not None:
        more = replace(surfaces[at], legs=(*surfaces[at].legs, dict(NEW_LEG)))
        focus = f"surface-{at}-leg-{len(surfaces[at].legs)}-way"
        return replace(state, surfaces=(*surfaces[:at], more, *surfaces[at + 1 :])), focus
    if kind == "corner":
        return replace(state, corners=(*state.corners, dict(NEW_CORNER))), f"corner-{len(state.corners)}-left"
    return state, ""


def shrunk(state: State, what: str) -> State:
    """One less: "surface:<n>", "opening:<surface>:<n>", "leg:<surface>" (its last) or "corner:<n>". A surface takes its
    corners along."""
    kind, _colon, which = what.partition(":")
    surfaces = state.surfaces
    which, _colon, number = which.partition(":")
    if kind == "surface" and (at := _index(which, len(surfaces))) is not None:
        corners = tuple(row for each in state.corners if (row := _without(each, at)))
        return replace(state, surfaces=_less(surfaces, at), corners=corners)
    if kind == "opening" and (at := _index(which, len(surfaces))) is not None:
        openings = surfaces[at].openings
        gone = _index(number, len(openings))
        if gone is not None:
            less = replace(surfaces[at], openings=_less(openings, gone))
            return replace(state, surfaces=(*surfaces[:at], less, *surfaces[at + 1 :]))
    if kind == "leg" and (at := _index(which, len(surfaces))) is not None:
        less = replace(surfaces[at], legs=surfaces[at].legs[:-1])
        return replace(state, surfaces=(*surfaces[:at], less, *surfaces[at + 1 :]))
    if kind == "corner" and (at := _index(which, len(state.corners))) is not None:
        return replace(state, corners=_less(state.corners, at))
    return state


def says_nothing(state: State, what: str, *, base: Mapping[str, Any]) -> bool:
    """Whether a surface ("surface:<n>") can go unasked: it isn't in the room's file, and nothing was measured of it."""
    kind, _colon, which = what.partition(":")
    at = _index(which, len(state.surfaces))
    if kind != "surface" or at is None:
        return False
    surface = state.surfaces[at]
    names = ("width", "height", "build_up", *MORE_MEASURES)
    typed = [surface.values.get(name) for name in names] + [leg.get("length") for leg in surface.legs]
    is_filed = surface.values.get("key") in {raw["id"] for raw in base.get("surfaces", ())}
    return not (is_filed or surface.openings or any(typed))


def _less(items: tuple[Any, ...], index: int) -> tuple[Any, ...]:
    return (*items[:index], *items[index + 1 :])


def _index(text: str, count: int) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 6 and int(text) < count else None


def _without(corner: Values, gone: int) -> Values | None:
    """A corner's row after surface `gone` went: counted anew, or None where it was that surface's."""
    found = dict(corner)
    for side in ("left", "right"):
        text = found.get(side) or ""
        if text.isdecimal():
            if int(text) == gone:
                return None
            found[side] = str(int(text) - (int(text) > gone))
    return found


# ---------------------------------------------------------------- values


def _typed(form: type[forms.Form], post: Typed, prefix: str) -> Values:
    """What was typed into a form, by the name of the field."""
    fields = form.base_fields
    return {name: each.widget.value_from_datadict(post, {}, f"{prefix}-{name}") for name, each in fields.items()}


def _count(post: Typed, name: str, most: int) -> int:
    text = post.get(name, "")
    return min(int(text), most) if text.isascii() and text.isdigit() and len(text) < 6 else 0


def _pattern_value(raw: Mapping[str, Any]) -> str:
    """The pattern of a room file as the list of patterns has it."""
    if raw["kind"] == "offset":
        return str(raw["share"])
    if raw["kind"] == "herringbone" and raw.get("angle", 45) == 0:
        return "herringbone 0"
    return str(raw["kind"])


def _surface_state(raw: Mapping[str, Any], units: str, unit: Unit) -> SurfaceState:
    outline = own_outline(raw, units)
    build_up, gap = raw.get("build_up"), raw.get("edge_gap")
    values = {
        "key": raw["id"],
        "walked": "1" if outline.legs else "",
        "name": raw.get("name", ""),
        "kind": raw["kind"],
        "sure": outline.sure,
        "wet": raw.get("wet", False),
        "focal": raw.get("focal", False),
        "build_up": None if build_up is None else parse_length(build_up, unit=cast(Unit, units)),
        "edge_gap": None if gap is None else parse_length(gap, unit=cast(Unit, units)),
        **edges_shown(raw),
        "closing": edge_finish(raw, len(outline.legs)),
        **measures_shown(outline),
    }
    openings = tuple(_opening_values(each, units, outline, unit) for each in openings_of(raw))
    legs = tuple(_shown({**leg, "finish": edge_finish(raw, n)}, unit) for n, leg in enumerate(outline.legs))
    return SurfaceState(_shown(values, unit), openings, legs)


def _opening_values(raw: Mapping[str, Any], units: str, outline: OwnOutline, unit: Unit) -> Values:
    values: Values = {"key": raw["id"], "kind": raw.get("kind") or NO_KIND, **moves_shown(raw, units)}
    return _shown({**values, **place_shown(raw, units, outline)}, unit)


def _shown(values: Values, unit: Unit) -> Values:
    """Lengths as the page shows them."""
    return {
        name: exact_text(value, unit=unit) if isinstance(value, Decimal) else value for name, value in values.items()
    }


def _plain(value: Any) -> Any:
    return value if isinstance(value, bool) else str(value)
