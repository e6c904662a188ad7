"""What a room usually consists of: where the entry form starts. Widths and heights are measured, never filled in."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.utils.translation import gettext_lazy as _

from rooms.models import Place, SurfaceKind

Values = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Shape:
    """A beginning: values of the surface forms and of the corners between them (wall left, wall right, set first)."""

    key: str
    label: Any
    place: Place | str
    surfaces: Sequence[Mapping[str, Any]]
    corners: Sequence[tuple[int, int, str]] = field(default=())


def _wall(key: str, name: Any, **more: Any) -> Values:
    return {"key": key, "name": name, "kind": SurfaceKind.WALL.value, **more}


# The back wall is set first and the side walls run into it: common practice, no source.
_THREE = ((0, 1, "right"), (1, 2, "left"))

SHAPES = (
    Shape(
        "shower",
        _("Shower, three walls"),
        Place.SHOWER,
        (
            _wall("left", _("Left wall"), wet=True),
            _wall("back", _("Back wall"), wet=True, focal=True),
            _wall("right", _("Right wall"), wet=True),
        ),
        _THREE,
    ),
    Shape(
        "tub",
        _("Tub surround, three walls"),
        Place.TUB_SURROUND,
        (
            _wall("left", _("Left end"), wet=True),
            _wall("back", _("Long wall"), wet=True, focal=True),
            _wall("right", _("Right end"), wet=True),
        ),
        _THREE,
    ),
    Shape(
        "floor", _("Floor"), Place.DRY_FLOOR, ({"key": "floor", "name": _("Floor"), "kind": "floor", "focal": True},)
    ),
    Shape("wall", _("One wall or backsplash"), Place.DRY_WALL, (_wall("wall", _("Wall"), focal=True),)),
)

BY_KEY = {shape.key: shape for shape in SHAPES}
