"""What stands in the fields of the entry page, as typed: where it comes from, one more of something, one less."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Any, cast

from django import forms
from django.http import QueryDict

from rooms.corners import corner_rows
from rooms.forms import CornerForm, OpeningForm, RoomForm, SurfaceForm, TileForm, exact_text
from rooms.models import Room, SurfaceKind
from rooms.outlines import box_of, outline_of
from rooms.shapes import Shape
from trade.lengths import Unit, parse_length

MOST_SURFACES = 60
MOST_OPENINGS = 20
MOST_FIELDS = 900
"""On one page: a request of more than 1000 is refused (Django's DATA_UPLOAD_MAX_NUMBER_FIELDS)."""

# What the engine, too, calls an opening of which the file says no kind.
NO_KIND = "opening"

Values = dict[str, Any]


@dataclass(frozen=True, slots=True)
class SurfaceState:
    """What stands in one surface's fields."""

    values: Values = field(default_factory=dict)
    openings: tuple[Values, ...] = ()


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
    fields += surfaces * (len(SurfaceForm.base_fields) + 1)
    fields += sum(openings) * len(OpeningForm.base_fields) + corners * len(CornerForm.base_fields)
    counts = surfaces <= MOST_SURFACES and corners <= 2 * MOST_SURFACES and max(openings, default=0) <= MOST_OPENINGS
    return counts and fields <= MOST_FIELDS


# ---------------------------------------------------------------- from where


def state_of_shape(shape: Shape) -> State:
    """A new room, with nothing measured yet."""
    return State(
        room={"place": str(shape.place), "pattern": "stack", "run": "alternate", "axis": "rows"},
        surfaces=tuple(SurfaceState({key: _plain(each[key]) for key in each}) for each in shape.surfaces),
        corners=tuple({"left": str(a), "right": str(b), "first": first} for a, b, first in shape.corners),
    )


def state_of_room(room: Room, base: Mapping[str, Any], *, unit: Unit) -> State:
    """A room as it was saved; `base` is its file."""
    values = {
        "name": room.name,
        "place": room.place,
        "demolition": room.demolition,
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


def state_of_post(post: QueryDict) -> State:
    """What came back from the page."""
    surfaces = []
    for index in range(_count(post, "surfaces", MOST_SURFACES)):
        at = f"surface-{index}"
        openings = range(_count(post, f"{at}-openings", MOST_OPENINGS))
        typed = tuple(_typed(OpeningForm, post, f"{at}-opening-{number}") for number in openings)
        surfaces.append(SurfaceState(_typed(SurfaceForm, post, at), typed))
    corners = range(_count(post, "corners", 2 * MOST_SURFACES))
    return State(
        room=_typed(RoomForm, post, "room"),
        tile=_typed(TileForm, post, "tile"),
        surfaces=tuple(surfaces),
        corners=tuple(_typed(CornerForm, post, f"corner-{index}") for index in corners),
    )


# ---------------------------------------------------------------- more and less of it


def grown(state: State, what: str) -> tuple[State, str]:
    """One more: "surface:wall", "surface:floor", "opening:<surface>" or "corner"; and the field to type into next.

    What the page has no room for isn't added.
    """
    more, focus = _grown(state, what)
    return (more, focus) if fits_the_page(more) else (state, "")


def _grown(state: State, what: str) -> tuple[State, str]:
    kind, _colon, which = what.partition(":")
    surfaces = state.surfaces
    if kind == "surface" and which in SurfaceKind.values:
        wet = bool(surfaces and surfaces[-1].values.get("wet"))
        new = SurfaceState({"kind": which, "wet": wet})
        return replace(state, surfaces=(*surfaces, new)), f"surface-{len(surfaces)}-name"
    at = _index(which, len(surfaces))
    if kind == "opening" and at is not None:
        openings = surfaces[at].openings
        more = replace(surfaces[at], openings=(*openings, {"kind": "niche"}))
        focus = f"surface-{at}-opening-{len(openings)}-kind"
        return replace(state, surfaces=(*surfaces[:at], more, *surfaces[at + 1 :])), focus
    if kind == "corner":
        return replace(state, corners=(*state.corners, {"first": "left"})), f"corner-{len(state.corners)}-left"
    return state, ""


def shrunk(state: State, what: str) -> State:
    """One less: "surface:<n>", "opening:<surface>:<n>" or "corner:<n>". A surface takes its corners along."""
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
    if kind == "corner" and (at := _index(which, len(state.corners))) is not None:
        return replace(state, corners=_less(state.corners, at))
    return state


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


def _typed(form: type[forms.Form], post: QueryDict, prefix: str) -> Values:
    """What was typed into a form, by the name of the field."""
    fields = form.base_fields
    return {name: each.widget.value_from_datadict(post, {}, f"{prefix}-{name}") for name, each in fields.items()}


def _count(post: QueryDict, name: str, most: int) -> int:
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
    left, bottom, right, top = box_of(outline_of(raw, units) or [])
    build_up = raw.get("build_up")
    values = {
        "key": raw["id"],
        "name": raw.get("name", ""),
        "kind": raw["kind"],
        "wet": raw.get("wet", False),
        "focal": raw.get("focal", False),
        "width": right - left,
        "height": top - bottom,
        "build_up": None if build_up is None else parse_length(build_up, unit=cast(Unit, units)),
    }
    openings = tuple(_opening_values(each, units, left, bottom, unit) for each in raw.get("openings", ()))
    return SurfaceState(_shown(values, unit), openings)


def _opening_values(raw: Mapping[str, Any], units: str, left: Decimal, bottom: Decimal, unit: Unit) -> Values:
    values: Values = {"key": raw["id"], "kind": raw.get("kind") or NO_KIND}
    points = outline_of(raw, units)
    if points:
        x, y, right, top = box_of(points)
        values |= {"left": x - left, "bottom": y - bottom, "width": right - x, "height": top - y}
    return _shown(values, unit)


def _shown(values: Values, unit: Unit) -> Values:
    """Lengths as the page shows them."""
    return {
        name: exact_text(value, unit=unit) if isinstance(value, Decimal) else value for name, value in values.items()
    }


def _plain(value: Any) -> Any:
    return value if isinstance(value, bool) else str(value)
