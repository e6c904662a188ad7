"""The judge's part on cut plans: each piece once, inside its tile, apart by the kerf, partable, on the right edges."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from shapely import affinity
from shapely.geometry import Polygon

from layout.room import Room, Surface, Tile

CLOSE = 0.01
"""mm. The engine's tolerance."""

Found = tuple[Surface, Mapping[str, Any], tuple[float, float]]
"""A piece with its surface and where its tile stands on it."""

HiddenLine = tuple[int, float, float, float]
"""A hidden edge of the field: axis (0: x = at), at, from, to."""


def cut_plan_faults(
    room: Room,
    plan: Sequence[Mapping[str, Any]],
    pieces: Mapping[str, Found],
    hidden: Mapping[str, Sequence[HiddenLine]],
) -> list[str]:
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
        found += [f"tile {number}: {fault}" for fault in _tile_faults(room, cuts, hidden)]
    for name in pieces:
        if used.get(name, 0) != 1:
            found.append(f"cut plan: {name} is cut {used.get(name, 0)} times")
    return found


def _tile_faults(
    room: Room, cuts: Sequence[tuple[Mapping[str, Any], Found]], hidden: Mapping[str, Sequence[HiddenLine]]
) -> Iterator[str]:
    if not cuts:
        yield "nothing is cut from it"
        return
    tile = cuts[0][1][0].tile
    shapes: list[Polygon] = []
    for cut, (surface, piece, corner) in cuts:
        name = piece["id"]
        if surface.tile != tile:
            yield f"{name} needs another tile"
            continue
        if cut["turn"] not in tile.turns:
            yield f"{name} is turned {cut['turn']}, which this tile doesn't allow"
        shape = _placed(Polygon(piece["outline"], piece["holes"]), cut)
        shapes.append(shape)
        x0, y0, x1, y1 = shape.bounds
        if x0 < -CLOSE or y0 < -CLOSE or x1 > tile.width + CLOSE or y1 > tile.height + CLOSE:
            yield f"{name} reaches over the tile's edge"
        if room.reuse == "factory-edge":
            yield from _factory_faults(tile, cut, surface, piece, corner, hidden[surface.id])
    if room.reuse == "none" and len(cuts) > 1:
        yield "more than one piece, though offcuts aren't reused"
    for n, shape in enumerate(shapes):
        for other in shapes[:n]:
            if shape.distance(other) < room.kerf - CLOSE:
                yield f"two pieces are {shape.distance(other):.2f} mm apart, the kerf is {room.kerf:g} mm"
    if not _partable([shape.bounds for shape in shapes], room.kerf):
        yield "no cuts from edge to edge part its pieces"


def _placed(shape: Polygon, cut: Mapping[str, Any]) -> Polygon:
    """Return a piece as it lies in its tile."""
    turned = affinity.rotate(shape, cut["turn"], origin=(0, 0))
    x, y, _, _ = turned.bounds
    return affinity.translate(turned, cut["at"][0] - x, cut["at"][1] - y)


def _factory_faults(
    tile: Tile,
    cut: Mapping[str, Any],
    surface: Surface,
    piece: Mapping[str, Any],
    corner: tuple[float, float],
    hidden: Sequence[HiddenLine],
) -> Iterator[str]:
    """Yield where an uncut side of a piece doesn't lie on the tile's own edge."""
    x, y = corner
    at_home = {"left": (0, x), "right": (0, x + tile.width), "bottom": (1, y), "top": (1, y + tile.height)}
    outline = [*piece["outline"], piece["outline"][0]]
    turned = [_moved(point, cut["turn"], (0.0, 0.0)) for point in outline]
    offset = cut["at"][0] - min(x for x, _ in turned), cut["at"][1] - min(y for _, y in turned)
    for n in range(len(outline) - 1):
        a, b = outline[n], outline[n + 1]
        side = next(
            (name for name, (axis, at) in at_home.items() if abs(a[axis] - at) <= CLOSE and abs(b[axis] - at) <= CLOSE),
            None,
        )
        if side is None or _hides(a, b, hidden):
            continue
        p, q = (_moved(point, cut["turn"], offset) for point in (a, b))
        on_edge = any(
            abs(p[axis] - at) <= CLOSE and abs(q[axis] - at) <= CLOSE
            for axis, at in ((0, 0.0), (0, tile.width), (1, 0.0), (1, tile.height))
        )
        if not on_edge:
            yield f"the uncut {side} side of {piece['id']} is cut"


def _moved(point: Sequence[float], turn: int, offset: tuple[float, float]) -> tuple[float, float]:
    x, y = point
    turned = {0: (x, y), 90: (-y, x), 180: (-x, -y), 270: (y, -x)}.get(turn, (x, y))
    return turned[0] + offset[0], turned[1] + offset[1]


def _hides(a: Sequence[float], b: Sequence[float], hidden: Sequence[HiddenLine]) -> bool:
    """Whether a side lies at a hidden edge, within rule 1's 1 mm."""
    for axis, at, low, high in hidden:
        lies = abs(a[axis] - at) <= 1.0 + CLOSE and abs(b[axis] - at) <= 1.0 + CLOSE
        if lies and min(a[1 - axis], b[1 - axis]) >= low and max(a[1 - axis], b[1 - axis]) <= high:
            return True
    return False


def _partable(boxes: Sequence[tuple[float, float, float, float]], kerf: float) -> bool:
    """Whether straight cuts from edge to edge, each a kerf wide, leave one box in each part."""
    if len(boxes) <= 1:
        return True
    for axis in (0, 1):
        ordered = sorted(boxes, key=lambda each: each[axis])
        reach = ordered[0][axis + 2]
        for n in range(1, len(ordered)):
            if ordered[n][axis] >= reach + kerf - CLOSE:
                return _partable(ordered[:n], kerf) and _partable(ordered[n:], kerf)
            reach = max(reach, ordered[n][axis + 2])
    return False
