"""The judge's part on cut plans: each piece once, inside its tile, apart by the kerf, partable, on the right edges."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from typing import Any

import shapely
from shapely import affinity
from shapely.geometry import Polygon

from layout.room import Room, Surface, Tile
from layout.verify_field import CLOSE, gaps_at
from layout.verify_tiles import tile_at

Spot = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Blank:
    """A piece as it lies in its own tile, mm from the tile's lower left as it comes out of the box."""

    name: str
    tile: Tile
    shape: Polygon
    hull: Polygon
    """The whole tile's outline, by its pattern."""
    hidden: tuple[tuple[Spot, Spot], ...]
    """The field's hidden edges, in the same axes."""


def blank_of(room: Room, surface: Surface, datum: Sequence[float], piece: Mapping[str, Any]) -> Blank:
    tile, turn, corner = tile_at(surface, datum, piece["course"], piece["column"])
    cos, sin = math.cos(math.radians(turn)), math.sin(math.radians(turn))

    def home(point: Sequence[float]) -> Spot:
        x, y = point[0] - corner[0], point[1] - corner[1]
        return x * cos + y * sin, y * cos - x * sin

    shape = Polygon([home(point) for point in piece["outline"]], [[home(p) for p in hole] for hole in piece["holes"]])
    hidden = tuple((home(a), home(b)) for a, b in _hidden(room, surface))
    return Blank(piece["id"], surface.tile, shape, Polygon([home(p) for p in tile.exterior.coords[:-1]]), hidden)


def _hidden(room: Room, surface: Surface) -> Iterator[tuple[Spot, Spot]]:
    """Yield the hidden edges of a surface's field, each where its gap puts it."""
    if not any(edge.hidden for edge in surface.edges):
        return
    gaps, _ = gaps_at(room, surface)
    way = 1.0 if Polygon(surface.outline).exterior.is_ccw else -1.0
    for index, edge in enumerate(surface.edges):
        if not edge.hidden:
            continue
        (ax, ay), (bx, by) = surface.outline[index], surface.outline[(index + 1) % len(surface.outline)]
        length = math.hypot(bx - ax, by - ay)
        x, y = -(by - ay) / length * gaps[index] * way, (bx - ax) / length * gaps[index] * way
        yield (ax + x, ay + y), (bx + x, by + y)


def cut_plan_faults(room: Room, plan: Sequence[Mapping[str, Any]], pieces: Mapping[str, Blank]) -> list[str]:
    """Return what is wrong with a cut plan, in words."""
    found: list[str] = []
    used: dict[str, int] = {}
    if [each["tile"] for each in plan] != list(range(1, len(plan) + 1)):
        found.append("cut plan: the tiles aren't numbered from 1")
    for each in plan:
        number = each["tile"]
        cuts = []
        for cut in each["cuts"]:
            name = cut["piece"]
            used[name] = used.get(name, 0) + 1
            if name not in pieces:
                found.append(f"tile {number}: there is no piece {name}")
            else:
                cuts.append((cut, pieces[name]))
        found += [f"tile {number}: {fault}" for fault in _tile_faults(room, cuts)]
    for name in pieces:
        if used.get(name, 0) != 1:
            found.append(f"cut plan: {name} is cut {used.get(name, 0)} times")
    return found


def _tile_faults(room: Room, cuts: Sequence[tuple[Mapping[str, Any], Blank]]) -> Iterator[str]:
    if not cuts:
        yield "nothing is cut from it"
        return
    tile = cuts[0][1].tile
    shapes: list[Polygon] = []
    for cut, blank in cuts:
        if blank.tile != tile:
            yield f"{blank.name} needs another tile"
            continue
        if cut["turn"] not in tile.turns:
            yield f"{blank.name} is turned {cut['turn']}, which this tile doesn't allow"
        shape = _placed(blank.shape, cut)
        shapes.append(shape)
        if shape.difference(blank.hull).buffer(-CLOSE, join_style="mitre").area > 0 or _past(shape, blank.hull):
            yield f"{blank.name} reaches over the tile's edge"
        if room.reuse == "factory-edge":
            yield from _factory_faults(cut, blank)
    if room.reuse == "none" and len(cuts) > 1:
        yield "more than one piece, though offcuts aren't reused"
    for one, other in combinations(shapes, 2):
        if one.distance(other) < room.kerf - CLOSE:
            yield f"two pieces are {one.distance(other):.2f} mm apart, the kerf is {room.kerf:g} mm"
        elif room.kerf == 0 and one.intersection(other).buffer(-CLOSE).area > 0:
            yield "two pieces lie over each other"
    if not _partable(shapes, room.kerf):
        yield "no cuts from edge to edge part its pieces"


def _past(shape: Polygon, tile: Polygon) -> bool:
    """Whether a shape passes its tile's box by more than the tolerance."""
    (a, b, c, d), (x0, y0, x1, y1) = shape.bounds, tile.bounds
    return min(a - x0, b - y0, x1 - c, y1 - d) < -CLOSE


def _placed(shape: Polygon, cut: Mapping[str, Any]) -> Polygon:
    """Return a piece as it lies in its tile."""
    turned = affinity.rotate(shape, cut["turn"], origin=(0, 0))
    x, y, _, _ = turned.bounds
    return affinity.translate(turned, cut["at"][0] - x, cut["at"][1] - y)


def _factory_faults(cut: Mapping[str, Any], blank: Blank) -> Iterator[str]:
    """Yield where an uncut side of a piece doesn't lie on the tile's own edge."""
    ring = list(blank.shape.exterior.coords)
    turned = [_moved(point, cut["turn"], (0.0, 0.0)) for point in ring]
    offset = cut["at"][0] - min(x for x, _ in turned), cut["at"][1] - min(y for _, y in turned)
    edges = list(pairwise(blank.hull.exterior.coords))
    for a, b in pairwise(ring):
        if not _on_one(a, b, edges, 2 * CLOSE) or _on_one(a, b, blank.hidden, 1.0 + CLOSE):
            continue
        p, q = (_moved(point, cut["turn"], offset) for point in (a, b))
        if not _on_one(p, q, edges, 2 * CLOSE):
            yield f"an uncut side of {blank.name} is cut"
            return


def _on_one(a: Sequence[float], b: Sequence[float], edges: Sequence[tuple[Sequence[float], Sequence[float]]],
            off: float) -> bool:  # fmt: skip
    """Whether a side lies on one of the edges, within `off` mm."""
    for (px, py), (qx, qy) in ((p[:2], q[:2]) for p, q in edges):
        length = math.hypot(qx - px, qy - py)
        along = ((qx - px) / length, (qy - py) / length)
        if all(
            abs((x - px) * along[1] - (y - py) * along[0]) <= off
            and -off <= (x - px) * along[0] + (y - py) * along[1] <= length + off
            for x, y in (a[:2], b[:2])
        ):
            return True
    return False


def _moved(point: Sequence[float], turn: int, offset: tuple[float, float]) -> tuple[float, float]:
    x, y = point[:2]
    turned = {0: (x, y), 90: (-y, x), 180: (-x, -y), 270: (y, -x)}.get(turn, (x, y))
    return turned[0] + offset[0], turned[1] + offset[1]


def _partable(shapes: Sequence[Polygon], kerf: float) -> bool:
    """Whether straight cuts from edge to edge, each a kerf wide, level, plumb or slanting, leave each piece alone.

    Which cut is made first doesn't matter: what a cut parts, it parts in any subset as well.
    """
    if len(shapes) <= 1:
        return True
    points = [shapely.get_coordinates(shape.convex_hull) for shape in shapes]
    for x, y in _directions(points, slanting=False):
        if parts := _parted(points, (x, y), kerf):
            return all(_partable([shapes[n] for n in part], kerf) for part in parts)
    for way in _directions(points, slanting=True):
        if parts := _parted(points, way, kerf):
            return all(_partable([shapes[n] for n in part], kerf) for part in parts)
    return False


def _directions(points: Sequence[Any], *, slanting: bool) -> Iterator[Spot]:
    """Yield the ways, square to a cut, in which pieces may be parted: two cuts, or those that corners give."""
    if not slanting:
        yield from ((1.0, 0.0), (0.0, 1.0))
        return
    corners = [tuple(point) for each in points for point in each.tolist()]
    for (ax, ay), (bx, by) in combinations(sorted(set(corners)), 2):
        length = math.hypot(bx - ax, by - ay)
        yield (by - ay) / length, (ax - bx) / length
        yield (bx - ax) / length, (by - ay) / length


def _parted(points: Sequence[Any], way: Spot, kerf: float) -> tuple[list[int], list[int]] | None:
    """Return which pieces lie on either side of a cut square to `way`, if one fits between them."""
    spans = [(float((each @ way).min()), float((each @ way).max()), n) for n, each in enumerate(points)]
    spans.sort()
    reach = spans[0][1]
    for n in range(1, len(spans)):
        if spans[n][0] >= reach + kerf - CLOSE:
            return [each[2] for each in spans[:n]], [each[2] for each in spans[n:]]
        reach = max(reach, spans[n][1])
    return None
