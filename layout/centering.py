"""The layouts that are centered on a surface the eye goes to: where their datums may stand, and what they give."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from layout.lattice import Lattice
from layout.model import Floats
from layout.pins import AnyModel, allowed_x, extent
from layout.room import PinX, Point, Surface
from layout.sentences import listed
from trade.words import gettext_noop

Bounds = tuple[float, float, float, float]

TILE_CENTERED = gettext_noop("Tile centered on %s")
JOINT_CENTERED = gettext_noop("Joint centered on %s")
CENTERED = gettext_noop("Tiles centered on %s")
POINTS_CENTERED = gettext_noop("Points of the herringbone centered on %s")

TILE_ON_MIDDLE = gettext_noop("A tile is centered on %s.")
JOINT_ON_MIDDLE = gettext_noop("A joint is centered on %s.")


@dataclass(frozen=True, slots=True)
class Centering:
    """A title, what it gives, what an option that has it anyway says of it, and datums x allowed, by surface."""

    title: str
    gives: str
    also: str
    places: Mapping[str, tuple[float, ...]]


def centerings(focal: Sequence[Surface], models: Mapping[str, AnyModel]) -> Iterator[Centering]:
    """Yield a tile on the middle and a joint on the middle of the focal surfaces, all of them at once.

    Hexagons have both, in every other course; herringbone turned by 45 degrees has its points there; a straight one
    has no middle.
    """
    plain = [surface for surface in focal if surface.pattern.kind not in ("hex", "herringbone")]
    names: list[tuple[str, PinX, str]] = [
        (TILE_CENTERED, "tile-centered", TILE_ON_MIDDLE),
        (JOINT_CENTERED, "joint-centered", JOINT_ON_MIDDLE),
    ]
    if plain:
        even = all(surface.pattern.share in (0, Fraction(1, 2)) for surface in plain)
        gives = (
            gettext_noop("Even cuts left and right of the middle.")
            if even
            else gettext_noop("The courses that the offset starts from are even left and right of the middle.")
        )
        named = listed([surface.name for surface in plain])
        for title, name, also in names:
            places = {surface.id: allowed_x(name, surface, models[surface.id]) for surface in plain}
            yield Centering(title % named, gives, also % named, places)
        return
    for kind, title, also in (
        ("hex", CENTERED, gettext_noop("Its tiles are centered on %s.")),
        ("herringbone", POINTS_CENTERED, gettext_noop("Its points are centered on %s.")),
    ):
        mine = [surface for surface in focal if surface.pattern.kind == kind and surface.pattern.angle == 45]
        if mine:
            named = listed([surface.name for surface in mine])
            places = {surface.id: _points(surface, models[surface.id]) for surface in mine}
            yield Centering(title % named, gettext_noop("Even left and right of the middle."), also % named, places)
            return


def _points(surface: Surface, model: AnyModel) -> tuple[float, ...]:
    """Return the datums x that put a hexagon, or the points of a herringbone, on the middle of what is seen.

    Lying and standing tiles of a herringbone meet end to end in a strip one tile's width across the corner, whose
    middle the points straddle (`layout.lattice`: it begins left of the datum). Half a pattern on, they point down.
    """
    assert isinstance(model.grid, Lattice)
    low, high = extent(model, 0)
    if surface.pattern.kind == "hex":
        (first,) = allowed_x("tile-centered", surface, model)
        return first, first + model.grid.u.pitch / 2
    stair = math.hypot(*model.grid.up) / 2
    first = (low + high + stair) / 2
    return first, first + math.hypot(*model.grid.along) / 2


def middles_near(grid: Lattice, datum: Point, bounds: Bounds) -> Floats:
    """Return (n, 2) the middles of the tiles about some bounds."""
    found: Floats = _outlines(grid, datum, bounds).mean(axis=1)
    return found


def crossings_near(grid: Lattice, datum: Point, bounds: Bounds) -> Floats:
    """Return (n, 2) where joints meet at the tiles' corners, about some bounds.

    Where three hexagons meet that lies joint / √3 from each one's corner, where right angles meet joint / √2.
    """
    outlines = _outlines(grid, datum, bounds)
    out = outlines - outlines.mean(axis=1)[:, None, :]
    if not grid.staggered:
        # Away from both sides that meet in the corner, which the middle of an oblong isn't.
        before, after = np.roll(outlines, 1, axis=1), np.roll(outlines, -1, axis=1)
        sides = [outlines - before, outlines - after]
        out = sum(side / np.hypot(side[..., 0], side[..., 1])[..., None] for side in sides)
    out = out / np.hypot(out[..., 0], out[..., 1])[..., None]
    apart = grid.surface.joint / math.sqrt(3 if grid.staggered else 2)
    found: Floats = (outlines + out * apart).reshape(-1, 2)
    return found


def _outlines(grid: Lattice, datum: Point, bounds: Bounds) -> Floats:
    reach = 2 * max(grid.box)
    x0, y0, x1, y1 = bounds
    *_, found = grid.near((x0 - reach, y0 - reach, x1 + reach, y1 + reach), datum, (0.0, 0.0))
    return found
