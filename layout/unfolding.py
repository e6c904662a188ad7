"""Surfaces that meet, unfolded side by side on one level line at one scale, their courses running through.

Each surface is a group of marks that can be drawn anew by itself while its datum is moved: the `ghost` is the bare
pattern, which a page shifts under the hand until the pieces are there.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

from layout.result import Piece, SurfaceLayout
from layout.room import HUNG, Point, Room, Surface
from layout.sheet import LOOK, Sheet, num, outlines, shown
from layout.tiling import draw_tiles, fill_tiles

WIDE, TALL = 660.0, 520.0
"""Units that a group of surfaces is fitted into: about as many pixels on a desk; a phone pans over them."""

APART = 10.0
"""Units between two surfaces: the corner."""

MARGIN, FOOT = 30.0, 46.0
"""Units around the picture, and under it for names."""

REACH = 30.0
"""Units. Radius of what takes hold of a datum."""

_ON_TILES = 'paint-order="stroke" stroke="#fffdf9" stroke-width="4"'


@dataclass(frozen=True, slots=True)
class Placed:
    """A surface in the picture: `sheet` has its scale and where its coordinates begin."""

    surface: Surface
    sheet: Sheet

    def at(self, point: Point) -> Point:
        """A point of the surface, mm, in units of the picture."""
        return self.sheet.x(point[0]), self.sheet.y(point[1])


@dataclass(frozen=True, slots=True)
class Unfolded:
    """One group of surfaces in a picture `width` by `height` units, from left to right."""

    room: Room
    placed: tuple[Placed, ...]
    width: float
    height: float
    scale: float
    """Units to a mm."""


def unfolded(room: Room, *, scale: float | None = None) -> tuple[Unfolded, ...]:
    """Return the room's groups of surfaces as pictures, walls first; all at one `scale`, by default as fits."""
    groups = [_in_order(room, group) for group in room.groups]
    groups.sort(key=lambda group: not any(surface.kind in HUNG for surface in group))
    fitting = scale or min(_fitting(group) for group in groups)
    return tuple(_placed(room, group, fitting) for group in groups)


def picture(
    unfolded: Unfolded,
    surfaces: Mapping[str, SurfaceLayout],
    smallest: tuple[str, str],
    *,
    handles: Mapping[str, Surface] | None = None,
    label: str = "",
) -> str:
    """Return the picture as an `svg` element: the surfaces laid. `smallest`: the smallest cut's piece and its measure.

    `handles`: by id the surface whose datum a surface hangs on, for a picture whose datums can be moved. `label`: its
    name for those who hear the page; without one the picture is hidden from them.
    """
    wide, high = num(unfolded.width), num(unfolded.height)
    face = quoteattr("Atkinson Hyperlegible Next, system-ui, sans-serif")
    told = f'role="group" aria-label={quoteattr(label)}' if label else 'aria-hidden="true"'
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="drawn unfolded" viewBox="0 0 {wide} {high}" width="{wide}" '
        f'height="{high}" font-family={face} data-scale="{unfolded.scale:.6f}" {told}>'
    ]
    index = {surface.id: number for number, surface in enumerate(unfolded.room.surfaces)}
    for each in unfolded.placed:
        name = each.surface.id
        lead = f' data-lead="{index[handles[name].id]}"' if handles else ""
        laid = surfaces[name]
        marks = face_marks(each, laid, ground_marks(unfolded, each, laid), smallest)
        parts.append(f'<g class="face" data-surface="{index[name]}"{lead}>{marks}</g>')
    for each in unfolded.placed:
        parts.append(_name(each))
    if handles:
        parts += [
            _handle(each, surfaces, index) for each in unfolded.placed if handles[each.surface.id] is each.surface
        ]
    return "".join([*parts, "</svg>"])


def face_marks(placed: Placed, laid: SurfaceLayout, ground: str, smallest: tuple[str, str]) -> str:
    """Return the marks of one surface on its datum, given its `ground_marks`."""
    least = next((piece for piece in laid.pieces if piece.id == smallest[0]), None)
    lines = _lines(placed, laid.datum) if laid.pieces else ""
    return f'{ground}<g class="smallest">{_least(placed, least, smallest[1])}</g><g class="lines">{lines}</g>'


def ground_marks(unfolded: Unfolded, placed: Placed, laid: SurfaceLayout) -> str:
    """Return what of a surface's marks hangs on its own pieces alone: ghost, pieces and openings."""
    surface, sheet = placed.surface, _fresh(placed.sheet)
    if laid.pieces:
        fill_tiles(sheet, unfolded.room, surface, laid.datum)
    ghost = "".join(sheet.marks)
    sheet = _fresh(placed.sheet)
    draw_tiles(sheet, unfolded.room, surface, laid)
    ground, pieces = sheet.marks[0], "".join(sheet.marks[1:])
    sheet = _fresh(placed.sheet)
    if surface.openings:
        sheet.path("open", outlines(sheet, [opening.outline for opening in surface.openings]))
    openings = "".join(sheet.marks)
    return f'{ground}<g class="ghost">{ghost}</g><g class="pieces">{pieces}</g>{openings}'


def _fresh(sheet: Sheet) -> Sheet:
    return Sheet(sheet.scale, sheet.left, sheet.top, sheet.width, sheet.height, sheet.units)


def _least(placed: Placed, piece: Piece | None, measure: str) -> str:
    """Return the outline of the smallest cut with its size."""
    if piece is None:
        return ""
    sheet = _fresh(placed.sheet)
    sheet.path("least", outlines(sheet, [piece.outline, *piece.holes]))
    xs, ys = [sheet.x(x) for x, _ in piece.outline], [sheet.y(y) for _, y in piece.outline]
    x, y = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
    # Beside the piece, toward the middle of its surface.
    left, _bottom, right, _top = placed.surface.bounds
    middle = sheet.x((left + right) / 2)
    away, anchor = (max(xs) + 6, "start") if x < middle else (min(xs) - 6, "end")
    text = f'<text x="{num(away)}" y="{num(y + 5)}" class="dim" {LOOK["dim"]} text-anchor="{anchor}" {_ON_TILES}>'
    return f"{''.join(sheet.marks)}{text}{escape(measure)}</text>"


def _lines(placed: Placed, datum: Point) -> str:
    """Return the two lines through a datum: level ones meet those of the next surface."""
    sheet = _fresh(placed.sheet)
    left, bottom, right, top = placed.surface.bounds
    x, y = placed.at(datum)
    sheet.path("line", f"M{num(sheet.x(left) - APART / 2)},{num(y)} H{num(sheet.x(right) + APART / 2)}")
    sheet.path("line", f"M{num(x)},{num(sheet.y(top) - 8)} V{num(sheet.y(bottom) + 12)}")
    return "".join(sheet.marks)


def _name(placed: Placed) -> str:
    sheet, (left, bottom, right, _top) = placed.sheet, placed.surface.bounds
    x, y = sheet.x((left + right) / 2), sheet.y(bottom) + 30
    most = max(4, int((right - left) * sheet.scale / 7))
    return (
        f'<text x="{num(x)}" y="{num(y)}" class="lab" {LOOK["lab"]} text-anchor="middle">'
        f"{escape(shown(placed.surface.name, most))}</text>"
    )


def _handle(placed: Placed, surfaces: Mapping[str, SurfaceLayout], index: Mapping[str, int]) -> str:
    """Return what takes hold of a datum; nothing where nothing is laid."""
    laid = surfaces[placed.surface.id]
    if not laid.pieces:
        return ""
    x, y = placed.at(laid.datum)
    left, _bottom, right, _top = placed.surface.bounds
    return (
        f'<g class="handle" data-surface="{index[placed.surface.id]}" transform="translate({x:.2f} {y:.2f})" '
        f'data-wide="{right - left:.1f}" data-name={quoteattr(placed.surface.name)}>'
        f'<circle class="reach" r="{num(REACH)}"/><circle class="grip" r="11"/><path class="grip-mark" '
        f'd="M-6,0H6M0,-6V6"/></g>'
    )


def _placed(room: Room, surfaces: Sequence[Surface], scale: float) -> Unfolded:
    """Place surfaces from left to right on their common level line."""
    top = max(surface.bounds[3] + surface.level for surface in surfaces)
    foot = min(surface.bounds[1] + surface.level for surface in surfaces)
    x, found = MARGIN, []
    for surface in surfaces:
        left, _bottom, right, _top = surface.bounds
        origin = left - x / scale
        height = top - surface.level + MARGIN / scale
        found.append(Placed(surface, Sheet(scale, origin, height, 0.0, 0.0, room.units)))
        x += (right - left) * scale + APART
    return Unfolded(room, tuple(found), x - APART + MARGIN, (top - foot) * scale + MARGIN + FOOT, scale)


def _fitting(surfaces: Sequence[Surface]) -> float:
    wide = sum(surface.bounds[2] - surface.bounds[0] for surface in surfaces)
    tall = max(s.bounds[3] + s.level for s in surfaces) - min(s.bounds[1] + s.level for s in surfaces)
    return min((WIDE - 2 * MARGIN - APART * (len(surfaces) - 1)) / wide, TALL / tall)


def _in_order(room: Room, group: Sequence[str]) -> list[Surface]:
    """Return the surfaces of a group as somebody inside the room sees them, from left to right.

    Of walls that close a ring the focal one stands in the middle.
    """
    names = list(group)
    after = dict(_meetings(room, names))
    rest = [name for name in names if name not in set(after.values())]
    focal = next((name for name in names if room.surface(name).focal), names[0])
    found: list[str] = []
    for start in (*rest, _before(focal, after, len(names) // 2), *names):
        here: str | None = start
        while here is not None and here not in found:
            found.append(here)
            here = after.get(here)
    return [room.surface(name) for name in found]


def _before(name: str, after: Mapping[str, str], steps: int) -> str:
    """Return the surface some steps to the left of one, as far as there are any."""
    before = {then: first for first, then in after.items()}
    for _ in range(steps):
        name = before.get(name, name)
    return name


def _meetings(room: Room, names: Sequence[str]) -> Iterable[tuple[str, str]]:
    """Yield each surface with the one that begins where it ends, right edge to left edge."""
    ends = [((c.first, c.first_edge), (c.second, c.second_edge)) for c in room.corners]
    for surface in room.surfaces:
        for edge, other in surface.joins:
            back = next((at for at, mine in room.surface(other).joins if mine == surface.id), None)
            if back is not None:
                ends.append(((surface.id, edge), (other, back)))
            elif (side := _side(surface, edge)) is not None:
                pair = (surface.id, other) if side == "right" else (other, surface.id)
                if set(pair) <= set(names):
                    yield pair
    for pair_of_ends in ends:
        sides = {_side(room.surface(name), at): name for name, at in pair_of_ends}
        if set(sides) == {"left", "right"} and set(sides.values()) <= set(names):
            yield sides["right"], sides["left"]


def _side(surface: Surface, edge: int) -> str | None:
    """Return which end of a surface an edge is: `left`, `right`, or None of a level one."""
    (x0, y0), (x1, y1) = surface.outline[edge], surface.outline[(edge + 1) % len(surface.outline)]
    if abs(x1 - x0) >= abs(y1 - y0):
        return None
    left, _bottom, right, _top = surface.bounds
    return "left" if (x0 + x1) / 2 < (left + right) / 2 else "right"
