"""Which piece comes out of which tile: a legal greedy plan, and a proven lower bound under the same rule.

A piece lies in its tile as its bounding box: a straight cut from edge to edge can't pass through a connected piece's
box. Each tile is kept as free rectangles, split by such cuts. The proven minimum can take this one function's place.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from dataclasses import field as data_field

from layout.result import Cut, CutTile
from layout.room import Point, Reuse, Tile

NEAR = 1e-3
"""mm. Sides closer than this are one line: coordinates have four places, and rule 1 leaves no cut nearer than 1 mm."""

Box = tuple[float, float, float, float]
Sides = tuple[bool, bool, bool, bool]
"""Left, bottom, right, top: which must be the tile's own edge."""


@dataclass(frozen=True, slots=True)
class Blank:
    """A cut piece as the plan sees it: its box's size as it hangs, its uncut sides, where it lies in its own tile."""

    piece: str
    width: float
    height: float
    sides: Sides
    home: Point
    hull: float
    """Area within a string around the piece, mm²: no straight cut from edge to edge passes through it."""
    corners: int
    """Corners of the tile that it must keep."""

    @property
    def area(self) -> float:
        return self.width * self.height

    def turned(self, turn: int) -> tuple[float, float, Sides]:
        """Width, height and uncut sides when turned counter-clockwise."""
        left, bottom, right, top = self.sides
        if turn == 90:
            return self.height, self.width, (top, left, bottom, right)
        if turn == 180:
            return self.width, self.height, (right, top, left, bottom)
        if turn == 270:
            return self.height, self.width, (bottom, right, top, left)
        return self.width, self.height, self.sides


@dataclass(slots=True)
class _Open:
    """A tile under way: its free rectangles and its cuts."""

    free: list[Box]
    cuts: list[Cut] = data_field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Place:
    waste: float
    tile: int
    rect: int
    turn: int
    at: Point


def plan_cuts(
    tile: Tile, whole: Sequence[str], cut: Sequence[Blank], *, kerf: float, reuse: Reuse, first: int = 1
) -> list[CutTile]:
    """Return a tile for each whole piece, then for the cut ones, numbered from `first`. Each piece is there once."""
    plan = [CutTile(first + n, tile.name, (Cut(piece, (0.0, 0.0), 0),)) for n, piece in enumerate(whole)]
    tiles: list[_Open] = []
    if reuse == "none":
        tiles = [_Open([], [Cut(blank.piece, blank.home, 0)]) for blank in cut]
    else:
        tiles = _greedy(tile, sorted(cut, key=lambda blank: (-blank.area, blank.piece)), kerf, reuse)
    return plan + [CutTile(first + len(plan) + n, tile.name, tuple(each.cuts)) for n, each in enumerate(tiles)]


def at_least(tile: Tile, whole: int, cut: Sequence[Blank], *, reuse: Reuse) -> int:
    """Return a number of tiles below which no plan can go.

    Straight cuts from edge to edge part the pieces' hulls: so their area counts, and of hulls over half a tile each
    needs its own. Under factory-edge each corner of a tile serves one piece that has a corner of its own left.
    """
    if reuse == "none":
        return whole + len(cut)
    bounds = [
        math.ceil(sum(blank.hull for blank in cut) / tile.area - 1e-9),
        sum(blank.hull > tile.area / 2 + NEAR for blank in cut),
    ]
    if reuse == "factory-edge":
        corners = sum(blank.corners for blank in cut)
        bounds.append(math.ceil(corners / 4))
    return whole + max(bounds)


def blank_of(piece: str, outline: Sequence[Point], corner: Point, tile: Tile, *, hides: bool = False) -> Blank:
    """Return a cut piece (its id, its outline) as the plan sees it; `corner`: its tile's lower left on the surface.

    `hides`: its surface has edges out of sight, where an uncut side may be cut after all. Then it's proven of no corner
    that it must be the tile's own.
    """
    xs, ys = [x - corner[0] for x, _ in outline], [y - corner[1] for _, y in outline]
    left, bottom, right, top = min(xs), min(ys), max(xs), max(ys)
    sides = (left <= NEAR, bottom <= NEAR, right >= tile.width - NEAR, top >= tile.height - NEAR)
    home = (round(max(left, 0.0), 4), round(max(bottom, 0.0), 4))
    points = list(zip(xs, ys, strict=True))
    corners = 0 if hides else sum(_own_corner(points, n, tile) for n in range(len(points)))
    return Blank(piece, right - left, top - bottom, sides, home, _hull_area(points), corners)


def _own_corner(points: Sequence[Point], n: int, tile: Tile) -> bool:
    """Whether a point of an outline is the tile's corner and both sides that meet there are the tile's own."""
    x, y = points[n]
    if min(abs(x), abs(x - tile.width)) > NEAR or min(abs(y), abs(y - tile.height)) > NEAR:
        return False
    ends = [points[n - 1], points[(n + 1) % len(points)]]
    return any(abs(end[0] - x) <= NEAR for end in ends) and any(abs(end[1] - y) <= NEAR for end in ends)


def _hull_area(points: Sequence[Point]) -> float:
    """Area of the convex hull, by going round it once below and once above."""
    ordered = sorted(points)
    hull: list[Point] = []
    for way in (ordered, ordered[::-1]):
        chain: list[Point] = []
        for x, y in way:
            while len(chain) > 1:
                (ax, ay), (bx, by) = chain[-2], chain[-1]
                if (bx - ax) * (y - ay) - (by - ay) * (x - ax) > 0:
                    break
                chain.pop()
            chain.append((x, y))
        hull += chain[:-1]
    return abs(sum(hull[n - 1][0] * y - x * hull[n - 1][1] for n, (x, y) in enumerate(hull))) / 2


def _greedy(tile: Tile, blanks: Sequence[Blank], kerf: float, reuse: Reuse) -> list[_Open]:
    """Return the tiles: each piece, largest first, into the free rectangle where it leaves least."""
    tiles: list[_Open] = []
    smallest = min((min(blank.width, blank.height) for blank in blanks), default=0.0)
    least_area = min((blank.area for blank in blanks), default=0.0)
    under_way: list[int] = []
    for blank in blanks:
        best: _Place | None = None
        for number in under_way:
            for rect, box in enumerate(tiles[number].free):
                for turn in tile.turns:
                    at = _fit(blank, turn, box, tile, reuse)
                    if at is None:
                        continue
                    waste = (box[2] - box[0]) * (box[3] - box[1]) - blank.area
                    if best is None or waste < best.waste - NEAR:
                        best = _Place(waste, number, rect, turn, at)
        if best is None:
            tiles.append(_Open([(0.0, 0.0, tile.width, tile.height)]))
            under_way.append(len(tiles) - 1)
            best = _Place(0.0, len(tiles) - 1, 0, *_alone(blank, tile, reuse))
        _put(tiles[best.tile], best, blank, kerf)
        free = [
            box
            for box in tiles[best.tile].free
            if min(box[2] - box[0], box[3] - box[1]) >= smallest - NEAR
            and (box[2] - box[0]) * (box[3] - box[1]) >= least_area - NEAR
        ]
        tiles[best.tile].free = free
        if not free:
            under_way.remove(best.tile)
    return tiles


def _alone(blank: Blank, tile: Tile, reuse: Reuse) -> tuple[int, Point]:
    """Return how a piece lies in a fresh tile: pushed to a corner where it's free to, else as it hangs."""
    whole = (0.0, 0.0, tile.width, tile.height)
    for turn in sorted(tile.turns):
        at = _fit(blank, turn, whole, tile, reuse)
        if at is not None:
            return turn, at
    # Its own place in its own tile is always legal.
    return 0, blank.home


def _fit(blank: Blank, turn: int, box: Box, tile: Tile, reuse: Reuse) -> Point | None:
    """Return where a turned piece goes in a free rectangle, or None."""
    width, height, sides = blank.turned(turn)
    if width > box[2] - box[0] + NEAR or height > box[3] - box[1] + NEAR:
        return None
    if reuse != "factory-edge":
        return box[0], box[1]
    left, bottom, right, top = sides
    x = _along(width, left, right, box[0], box[2], tile.width)
    y = _along(height, bottom, top, box[1], box[3], tile.height)
    return None if x is None or y is None else (x, y)


def _along(size: float, low_own: bool, high_own: bool, low: float, high: float, side: float) -> float | None:
    """Return where a piece starts in one direction so that the sides that must be are the tile's own, or None."""
    if low_own and low > NEAR:
        return None
    if high_own and high < side - NEAR:
        return None
    if low_own and high_own and abs(size - side) > NEAR:
        return None
    start = high - size if high_own and not low_own else low
    # Rounding must not push a side off the tile's own edge, nor over it.
    return max(0.0, min(start, side - size)) if size <= side else 0.0


def _put(tile: _Open, place: _Place, blank: Blank, kerf: float) -> None:
    """Cut the piece out of its free rectangle, and keep the two offcuts of the better way to part them."""
    width, height, _ = blank.turned(place.turn)
    x0, y0, x1, y1 = tile.free.pop(place.rect)
    left, bottom = place.at
    right, top = left + width, bottom + height
    beside: list[Box] = [(right + kerf, y0, x1, y1), (x0, y0, left - kerf, y1)]
    above: list[Box] = [(x0, top + kerf, x1, y1), (x0, y0, x1, bottom - kerf)]
    upright = [*beside, (left, top + kerf, right, y1), (left, y0, right, bottom - kerf)]
    level = [*above, (right + kerf, bottom, x1, top), (x0, bottom, left - kerf, top)]
    ways = [[box for box in way if box[2] - box[0] > NEAR and box[3] - box[1] > NEAR] for way in (upright, level)]
    areas = [max(((b[2] - b[0]) * (b[3] - b[1]) for b in way), default=0.0) for way in ways]
    tile.free += ways[0] if areas[0] >= areas[1] else ways[1]
    tile.cuts.append(Cut(blank.piece, (round(left, 4), round(bottom, 4)), place.turn))
