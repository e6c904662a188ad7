"""What a room usually consists of: where the entry form starts. Widths and heights are measured, never filled in."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.utils.translation import gettext_lazy as _

from rooms.models import Place, SurfaceKind

Values = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Shape:
    """A beginning: values of the surface forms and of the corners between them (wall left, wall right, set first).
    `name` is what the room is called unless somebody says otherwise."""

    key: str
    label: Any
    name: Any
    place: Place | str
    surfaces: Sequence[Mapping[str, Any]]
    corners: Sequence[tuple[int, int, str]] = field(default=())


def _wall(key: str, name: Any, **more: Any) -> Values:
    return {"key": key, "name": name, "kind": SurfaceKind.WALL.value, **more}


def _floor(**more: Any) -> Values:
    return {"key": "floor", "name": _("Floor"), "kind": SurfaceKind.FLOOR.value, "focal": True, **more}


# The back wall is set first and the side walls run into it, whose outer edges end in a profile: common practice, no
# source.
_THREE = ((0, 1, "right"), (1, 2, "left"))
_END = "profile"

SHAPES = (
    Shape(
        "shower",
        _("Shower, three walls"),
        _("Shower"),
        Place.SHOWER,
        (
            _wall("left", _("Left wall"), wet=True, left=_END),
            _wall("back", _("Back wall"), wet=True, focal=True),
            _wall("right", _("Right wall"), wet=True, right=_END),
        ),
        _THREE,
    ),
    Shape(
        "tub",
        _("Tub surround, three walls"),
        _("Tub surround"),
        Place.TUB_SURROUND,
        (
            _wall("left", _("Left end"), wet=True, left=_END),
            _wall("back", _("Long wall"), wet=True, focal=True),
            _wall("right", _("Right end"), wet=True, right=_END),
        ),
        _THREE,
    ),
    Shape("floor", _("Floor"), _("Floor"), Place.DRY_FLOOR, (_floor(),)),
    Shape(
        "wall",
        _("One wall or backsplash"),
        _("Wall"),
        Place.DRY_WALL,
        (_wall("wall", _("Wall"), focal=True),),
    ),
    Shape(
        "fireplace",
        _("Fireplace"),
        _("Fireplace"),
        Place.DRY_WALL,
        (_wall("face", _("Face"), focal=True, openings=({"kind": "opening", "corner": "lower left", "bottom": "0"},)),),
    ),
    Shape("free", _("Floor of any outline, side by side"), _("Floor"), Place.DRY_FLOOR, (_floor(walked="1"),)),
    Shape(
        "free-wall",
        _("Wall of any outline, side by side"),
        _("Wall"),
        Place.DRY_WALL,
        (_wall("wall", _("Wall"), focal=True, walked="1"),),
    ),
)

BY_KEY = {shape.key: shape for shape in SHAPES}
