"""How the tiles of a drawing are drawn: each by itself, or, where there are thousands, the full ones as a fill.

A floor of 30,000 tiles drawn one by one is a megabyte; its full tiles repeat, so that one period of the pattern,
repeated by the viewer, shows the same. The cut pieces, of which there are few, are drawn by themselves in any case.
"""

from __future__ import annotations

import math
from zlib import crc32

from layout.lattice import lattice_of
from layout.result import SurfaceLayout
from layout.room import Point, Room, Surface
from layout.sheet import Sheet, outlines

MOST_DRAWN = 2_000
"""Full tiles on one drawing that are drawn one by one."""


def draw_tiles(sheet: Sheet, room: Room, surface: Surface, laid: SurfaceLayout) -> None:
    """Draw the ground, the full tiles and the cut pieces of a surface, in this order."""
    sheet.path("gap", outlines(sheet, [surface.outline]))
    whole = [piece.outline for piece in laid.pieces if piece.whole]
    if len(whole) > MOST_DRAWN:
        fill_tiles(sheet, room, surface, laid.datum)
    elif whole:
        sheet.path("tile", outlines(sheet, whole))
    loops = [loop for piece in laid.pieces if not piece.whole for loop in (piece.outline, *piece.holes)]
    if loops:
        sheet.path("cut", outlines(sheet, loops))


def fill_tiles(sheet: Sheet, room: Room, surface: Surface, datum: Point) -> None:
    """Fill the surface with one period of its pattern, repeated from a datum."""
    wide, high, turn, tiles = _period(room, surface)
    scale = sheet.scale
    x, y = sheet.x(datum[0]), sheet.y(datum[1])
    # One of its own for each drawing that stands on a page.
    key = f"tiles-{crc32(repr((surface.id, x, y, scale, wide, high)).encode()):08x}"
    # One period as a cell with y down, anchored at the datum; what passes its rim comes in again at the other side.
    said = []
    for outline in tiles:
        xs, ys = [px for px, _ in outline], [py for _, py in outline]
        for n in range(math.floor(min(xs) / wide), math.ceil(max(xs) / wide)):
            for m in range(math.floor(min(ys) / high), math.ceil(max(ys) / high)):
                points = [((px - n * wide) * scale, (high - py + m * high) * scale) for px, py in outline]
                said.append("M" + "L".join(f"{px:.3f},{py:.3f}" for px, py in points) + "Z")
    rotated = f" rotate({-turn:.4f})" if turn else ""
    sheet.marks.append(
        f'<pattern id="{key}" patternUnits="userSpaceOnUse" width="{wide * scale:.4f}" height="{high * scale:.4f}" '
        f'patternTransform="translate({x:.3f} {y:.3f}){rotated} translate(0 {-high * scale:.4f})">'
        f'<path d="{"".join(said)}" {sheet.look["patch"]}/></pattern>'
        f'<path d="{outlines(sheet, [surface.outline])}" class="fill" fill="url(#{key})"/>'
    )


def _period(room: Room, surface: Surface) -> tuple[float, float, float, list[tuple[Point, ...]]]:
    """Return a pattern's period from its datum, mm: width, height, degrees it is turned, outlines of its full tiles."""
    tile, joint, pattern = surface.tile, surface.joint, surface.pattern
    wide, high = tile.width + joint, tile.height + joint
    if pattern.square:
        tiles: list[tuple[Point, ...]] = []
        for number in range(pattern.cycle):
            apart = float(pattern.shift(number) % 1)
            x, y = (apart * wide, number * high) if pattern.axis == "rows" else (number * wide, apart * high)
            tiles.append(((x, y), (x + tile.width, y), (x + tile.width, y + tile.height), (x, y + tile.height)))
        return (
            (wide, high * pattern.cycle, 0.0, tiles)
            if pattern.axis == "rows"
            else (wide * pattern.cycle, high, 0.0, tiles)
        )
    # The two ways in which such a pattern repeats stand square to each other (of hexagons every second course).
    lattice = lattice_of(surface, room.regrid)
    turn = math.atan2(lattice.along[1], lattice.along[0])
    cos, sin = math.cos(turn), math.sin(turn)
    places = [(stand, (0.0, 0.0)) for stand in lattice.stands]
    if lattice.staggered:
        places.append((lattice.stands[0], (lattice.along[0] / 2, lattice.up[1])))
    stood = [
        [(x + stand.apart[0] + off[0], y + stand.apart[1] + off[1]) for x, y in stand.outline] for stand, off in places
    ]
    found = [tuple((x * cos + y * sin, y * cos - x * sin) for x, y in outline) for outline in stood]
    return math.hypot(*lattice.along), math.hypot(*lattice.up) * (1 + lattice.staggered), math.degrees(turn), found
