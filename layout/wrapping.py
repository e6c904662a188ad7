"""Walls that continue one pattern round their corners: how far each one's plumb line stands from its neighbor's.

What a corner's cut leaves of a tile goes on round the corner: seen + hidden + kerf + rest make one tile. So the second
wall's field begins where the first one's ends, a kerf on, the strip that the build-up hides counted in.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from layout.room import HUNG, Room, Surface


@dataclass(frozen=True, slots=True)
class Bundle:
    """Surfaces whose x hangs together: each with how far its datum stands from the first's. One, or some wrapped."""

    surfaces: tuple[tuple[Surface, float], ...]

    @property
    def lead(self) -> Surface:
        return self.surfaces[0][0]


def bundles_of(room: Room, laid: Sequence[Surface], wrapped: Mapping[str, tuple[str, float]]) -> list[Bundle]:
    """Return the laid surfaces in bundles. `wrapped`: by id the surface it continues, and how far from its datum."""
    apart: dict[str, tuple[str, float]] = {}
    for surface in laid:
        name, total = surface.id, 0.0
        while name in wrapped:
            name, step = wrapped[name]
            total += step
        apart[surface.id] = (name, total)
    found: dict[str, list[tuple[Surface, float]]] = {}
    for surface in laid:
        lead, total = apart[surface.id]
        found.setdefault(lead, []).append((surface, total))
    rooted = [sorted(each, key=lambda pair: pair[1] != 0.0) for each in found.values()]
    return [Bundle(tuple((surface, total - each[0][1]) for surface, total in each)) for each in rooted]


def wraps_of(room: Room) -> dict[str, tuple[str, float]]:
    """Return by id the surface whose pattern each wrapped one continues, and its datum x less that one's, mm.

    A wall continues its neighbor's pattern where both have one tile, joint and pattern. The walls of a group hang on
    its focal one, or on the first by id; of walls that close a ring the last corner doesn't wrap.
    """
    if not room.wrap:
        return {}
    meetings = sorted(_meetings(room), key=lambda each: (each[0].id, each[1].id))
    found: dict[str, tuple[str, float]] = {}
    order = sorted(room.surfaces, key=lambda surface: (not surface.focal, surface.id))
    placed: set[str] = set()
    for root in order:
        if root.id in placed:
            continue
        placed.add(root.id)
        queue = [root]
        while queue:
            here = queue.pop(0)
            for left_one, right_one, step in meetings:
                other = right_one if here.id == left_one.id else left_one
                if here.id not in (left_one.id, right_one.id) or other.id in placed:
                    continue
                placed.add(other.id)
                found[other.id] = (here.id, step if other is right_one else -step)
                queue.append(other)
    return found


def _meetings(room: Room) -> list[tuple[Surface, Surface, float]]:
    """Return (wall, the wall right of it, how much further right the second one's datum stands) for each corner."""
    ends = [(c.first, c.first_edge, c.second, c.second_edge) for c in room.corners]
    for surface in room.surfaces:
        for edge, name in surface.joins:
            other = room.surface(name)
            back = [at for at, mine in other.joins if mine == surface.id]
            side = {"left": "right", "right": "left"}.get(surface.edges[edge].name, "")
            at = back[0] if back else other.edge_named(side)
            if at is not None:
                ends.append((surface.id, edge, name, at))
    found: dict[tuple[str, str], tuple[Surface, Surface, float]] = {}
    for first, first_edge, second, second_edge in ends:
        pair = [(room.surface(first), first_edge), (room.surface(second), second_edge)]
        sides = {surface.edges[edge].name: (surface, edge) for surface, edge in pair}
        if set(sides) != {"left", "right"} or not _alike(pair[0][0], pair[1][0]):
            continue
        (before, at_right), (after, at_left) = sides["right"], sides["left"]
        ending = _at(before, at_right) - _gap(room, before, at_right)
        starting = _at(after, at_left) + _gap(room, after, at_left)
        found[before.id, after.id] = (before, after, starting - ending - room.kerf)
    return list(found.values())


def _alike(one: Surface, other: Surface) -> bool:
    same = (one.tile, one.joint, one.joint_high, one.pattern) == (
        other.tile,
        other.joint,
        other.joint_high,
        other.pattern,
    )
    return same and one.kind in HUNG and other.kind in HUNG


def _at(surface: Surface, edge: int) -> float:
    """Where a plumb edge stands; halfway up one that leans."""
    return (surface.outline[edge][0] + surface.outline[(edge + 1) % len(surface.outline)][0]) / 2


def _gap(room: Room, surface: Surface, edge: int) -> float:
    for corner in room.corners:
        if (corner.second, corner.second_edge) == (surface.id, edge):
            return room.surface(corner.first).build_up + corner.soft
    return surface.edges[edge].gap
