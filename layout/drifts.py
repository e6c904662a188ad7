"""What of each tile is seen where the joints end up as wide as they may: for the range that a cut piece can have."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from operator import itemgetter

import numpy as np

from layout.field import Field
from layout.grid import Grid
from layout.pieces import Laid, Leg, courses_near, covered, left_sides, levels_in, lower_sides
from layout.room import Point
from layout.shapes import Shape, shapes_of

Home = tuple[int, int]
"""Line and place of a tile."""

Least = tuple[float, float] | None
"""The share and the length in mm of a part's leg with the least share; None where nothing of it is cut."""

End = Sequence[Least] | None
"""The parts of a tile that are seen at one end of the drifts; None where all of it is."""

WHOLE: tuple[End, ...] = (None, None, None)


def drift_ends(grid: Grid, field: Field, seen: Field, datum: Point) -> dict[Home, list[End]]:
    """Return for the tiles of a field what is seen of each at the three far ends of the drifts (along, across, both).

    Tiles that stay whole at all of them are left out.
    """
    surface = grid.surface
    spread = surface.joint_high - surface.joint
    looked, own = grid.look(seen), grid.look(field)
    if own.empty:
        return {}
    found: dict[Home, list[End]] = {}
    courses = courses_near(grid, own, datum)
    xs, ys = looked.xs.tolist(), looked.ys.tolist()
    side_u, side_v = grid.u.side, grid.v.side
    every_v = {by: lower_sides(grid, courses, datum, by) for by in (0.0, spread)}
    across = {by: levels_in(looked.ys, vs, grid.v) for by, vs in every_v.items()}
    for index, places in courses.tiles():
        every_u = {by: left_sides(grid, courses, index, places, by) for by in (0.0, spread)}
        along = {by: levels_in(looked.xs, us, grid.u) for by, us in every_u.items()}
        numbers = courses.numbers[index]
        ends = ((spread, 0.0), (0.0, spread), (spread, spread))
        states = [covered(looked, along[by], across[up], index) for by, up in ends]
        some = np.flatnonzero(~(states[0][1] & states[1][1] & states[2][1]))
        at = index[some]
        homes = list(zip(numbers[some].tolist(), places[some].tolist(), strict=True))
        found.update((home, []) for home in homes)
        for (by, up), (touched, whole) in zip(ends, states, strict=True):
            columns = (
                *(touched[some], whole[some], every_u[by][some], every_v[up][at]),
                *(along[by].first[some], along[by].last[some], across[up].first[at], across[up].last[at]),
            )
            rows = zip(homes, *[column.tolist() for column in columns], strict=True)
            for home, is_touched, is_whole, u, v, i0, i1, j0, j1 in rows:
                if is_whole:
                    found[home].append(None)
                    continue
                shapes = shapes_of(looked, (i0, i1, j0, j1)) if is_touched else ()
                left_right, down_up = [u, *xs[i0:i1], u + side_u], [v, *ys[j0:j1], v + side_v]
                found[home].append([_least(shape, left_right, down_up, side_u, side_v) for shape in shapes])
    return found


def _least(shape: Shape, across: list[float], up: list[float], side_u: float, side_v: float) -> Least:
    best: Least = None
    for a, b, _ in shape.wide_legs:
        mm = across[b] - across[a]
        if best is None or mm / side_u < best[0]:
            best = mm / side_u, mm
    for a, b, _ in shape.tall_legs:
        mm = up[b] - up[a]
        if best is None or mm / side_v < best[0]:
            best = mm / side_v, mm
    return best


def laid_ends(planned: Laid, several: Sequence[Laid]) -> dict[Home, list[End]]:
    """Return what is seen of each planned tile at the ends of the drifts, from the field laid at each of them."""
    ends: list[dict[Home, End]] = []
    for laid in several:
        tiles: dict[Home, End] = {(line, place): None for line, place, _u, _v in laid.whole}
        for line, place, _u, _v, parts in laid.cut:
            tiles[line, place] = [least_of(part.legs) for part in parts]
        ends.append(tiles)
    homes = [each[:2] for each in planned.whole] + [each[:2] for each in planned.cut]
    return {home: [tiles.get(home, ()) for tiles in ends] for home in homes}


def least_of(legs: Iterable[Leg]) -> Least:
    """Return the share and length of the leg with the least share, of equal ones the shorter."""
    return min(((leg.share, leg.mm) for leg in legs), key=_rank, default=None)


def _rank(least: tuple[float, float]) -> tuple[float, float]:
    return round(least[0], 6), least[1]


def range_of(
    ends: Mapping[Home, Sequence[End]] | None, home: Home, part: tuple[int, int], least: Least, side: float
) -> Point:
    """Return the least leg in mm at the worst and the best end of the drifts; the tile's smaller side where uncut.

    `ends`: None where joints can't drift. `part`: its number and how many the tile falls into; `least`: its least leg
    at the planned joint.
    """
    number, count = part
    lengths = [least[1] if least else side]
    for end in () if ends is None else ends.get(home, WHOLE):
        if end is None:
            lengths.append(side)
            continue
        alike = end[number : number + 1] if len(end) == count else end
        legs = [each for each in alike if each]
        lengths.append(min(legs, key=itemgetter(0))[1] if legs else side if alike else 0.0)
    return round(min(lengths), 1), round(max(lengths), 1)
