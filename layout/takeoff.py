"""Quantities out of a layout: what has to be bought to set it (`gaugerod-takeoff/1`)."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any, Literal

from layout.boards import SHEET, plan_boards
from layout.changes import changed
from layout.fields import AnyField, fields_of
from layout.outline import signed_area
from layout.result import Piece, Result
from layout.room import Point, Room, Surface
from layout.values import decimal
from trade import sources
from trade.movement import Exposure, bays
from trade.quantities import GROUT_KG_PER_LITER, grout, mortar
from trade.rules import LARGE_EDGE_MM
from trade.words import gettext_noop

FORMAT = "gaugerod-takeoff/1"

SEALED = ("soft",)
"""Finishes of an edge that get sealant: the others end in a profile, a bullnose, a miter, or stand free."""

DEFAULT_TROWELS = ("1/2 x 1/2 square", "1/4 x 3/8 square", "1/4 x 1/4 square")
"""For an edge of 15 in and up, of 8 in and up, and below. Common practice, no source: the coverage decides on site."""

MEDIUM_EDGE_MM = 203.2

STICK_MM = 2438.4
"""A stick of profile, 8 ft. Common practice, no source."""

STUDS_MM = 406.4
FASTENER_MM = 203.2
"""Studs 16 in apart and a fastener every 8 in: ANSI A108.11 as reported (`sources.BOARD_FASTENERS`)."""

Line = dict[str, Any]
Side = tuple[float, float, float]
"""A side of a piece: where it stands, from, to."""


def take_off(room: Room, result: Result) -> dict[str, Any]:
    """Return the quantities of the chosen option as plain data.

    `grout_volume` is exact geometry: (field - pieces) x tile thickness; `grout` adds waste and packages. A line that
    lacks its figure, such as grout without the tile's thickness, is left out and a finding says so.
    """
    room = changed(room, result.option.changes)
    lines: list[Line] = []
    findings: list[dict[str, str]] = []
    lines += _tiles(result)
    lines += _joints(room, result, findings)
    lines += _mortar(room, result, findings)
    fields = fields_of(room)
    sealed = sum(_sealed_length(room, surface, fields[surface.id][0]) for surface in room.surfaces) / 1000
    if sealed:
        how = gettext_noop("inside corners once, edges against other planes, openings other than niches")
        lines.append(_line("sealant_length", _up(sealed, 2), "m", how, sources.MOVEMENT_JOINTS.source))
    lines += _trim(room, fields)
    lines += _boards(room)
    lines += _movement(room)
    wet = sum(_net_area(surface) for surface in room.surfaces if surface.wet) / 1e6
    if wet:
        how = gettext_noop("wet surfaces as measured, niches' own faces and laps not counted")
        lines.append(_line("membrane_area", _up(wet, 2), "m2", how, "geometry"))
    lines += _bands(room)
    findings.append(_caution())
    return {"format": FORMAT, "room": room.name, "option": result.chosen, "lines": lines, "findings": findings}


def _line(key: str, quantity: float, unit: str, how: str, source: str, **more: Any) -> Line:
    return {"key": key, "quantity": quantity, "unit": unit, **more, "how": how, "source": source}


def _trim(room: Room, fields: Mapping[str, tuple[AnyField, AnyField]]) -> Iterable[Line]:
    """Yield the profile along edges that end in one, and the sticks it takes, offcuts used again."""
    runs = [
        fields[surface.id][0].edge_lengths.get(edge.index, 0.0)
        for surface in room.surfaces
        for edge in surface.edges
        if edge.finish == "profile"
    ]
    runs = [run for run in runs if run > 0]
    if not runs:
        return
    sticks = sticks_for(runs)
    length = sum(runs) / 1000
    how = gettext_noop("edges that end in a profile; sticks of 8 ft, the longest runs first, offcuts used again")
    package = {"packages": sticks, "package": "stick", "left_over": round(sticks * STICK_MM / 1000 - length, 2)}
    source = gettext_noop("geometry; the stick's length: common practice, no source")
    yield _line("edge_trim_length", _up(length, 2), "m", how, source, **package)


def sticks_for(runs: Iterable[float], stick: float = STICK_MM) -> int:
    """Return how many sticks (mm) hold the runs (mm): whole ones first, then what is left of each, first fit, longest
    first. That is within a fifth of the least there is (first fit decreasing: 11/9 and 6/9, Dósa 2007, from memory).
    """
    whole, rests = 0, []
    for run in runs:
        count, rest = divmod(run, stick)
        whole += int(count)
        rests += [rest] if rest > 1e-6 else []
    left: list[float] = []
    for rest in sorted(rests, reverse=True):
        for number, room_left in enumerate(left):
            if room_left >= rest - 1e-6:
                left[number] -= rest
                break
        else:
            left.append(stick - rest)
    return whole + len(left)


def _boards(room: Room) -> Iterable[Line]:
    """Yield the board of wet walls: its area, sheets and fasteners."""
    walls = [surface for surface in room.surfaces if surface.wet and surface.kind == "wall"]
    if not walls:
        return
    area = sum(_net_area(surface) for surface in walls) / 1e6
    plan = plan_boards(
        [(surface.bounds[2] - surface.bounds[0], surface.bounds[3] - surface.bounds[1]) for surface in walls]
    )
    how = gettext_noop("wet walls as measured, less openings")
    yield _line("board_area", _up(area, 2), "m2", how, "geometry")
    how = gettext_noop(
        "3 x 5 ft sheets in rows, end joints 16 in apart, offcuts used again, openings cut in place; "
        "by area alone %(least)s"
    )
    sheet = SHEET[0] * SHEET[1] / 1e6
    package = {"packages": plan.sheets, "package": "sheet", "left_over": round(plan.sheets * sheet - area, 2)}
    source = sources.BOARD_FASTENERS.source
    yield _line("board_sheets", plan.sheets, "sheets", how % {"least": plan.at_least}, source, **package)
    how = gettext_noop("one every 8 in along studs 16 in apart, and along each board's two ends")
    fasteners = sum(_fasteners(piece) for piece in plan.pieces)
    yield _line("board_fasteners", fasteners, "pieces", how, source)


def _fasteners(piece: tuple[float, float]) -> int:
    """Return the fasteners of a board of (length, height) mm: lines of them 16 in apart at most, its ends included."""
    lines = math.ceil(round(piece[0] / STUDS_MM, 9)) + 1
    return lines * (math.ceil(round(piece[1] / FASTENER_MM, 9)) + 1)


def _movement(room: Room) -> Iterable[Line]:
    """Yield the soft joints that cross floors too long for one bay."""
    length = 0.0
    rule = sources.MOVEMENT_JOINTS
    for surface in room.surfaces:
        if surface.kind != "floor":
            continue
        left, bottom, right, top = surface.bounds
        wide, deep = right - left, top - bottom
        exposure: Exposure = "interior sun or moisture" if surface.wet else "interior"
        for along, across in ((wide, deep), (deep, wide)):
            length += (bays(length_mm=decimal(along), exposure=exposure) - 1) * across
    if length:
        how = gettext_noop("soft joints across floors too long for one bay, by the box around each floor")
        yield _line("movement_joint_length", _up(length / 1000, 2), "m", how, rule.source)


def _bands(room: Room) -> Iterable[Line]:
    """Yield the membrane's band over changes of plane, and how many inside corners it is folded in."""
    wet = {surface.id for surface in room.surfaces if surface.wet}
    order = [surface.id for surface in room.surfaces]
    length, folds = 0.0, 0
    for surface in room.surfaces:
        if surface.id not in wet:
            continue
        corners = {(c.first_edge, c.second) for c in room.corners if c.first == surface.id}
        for edge, other in surface.joins:
            # Named by both sides, a corner is counted with the surface that stands first in the room.
            mutual = any(name == surface.id for _, name in room.surface(other).joins)
            if not (mutual and order.index(other) < order.index(surface.id)):
                corners.add((edge, other))
        for edge, other in sorted(corners):
            if other in wet:
                length += _side(surface, edge)
                folds += 1
        for opening in surface.openings:
            if opening.kind == "niche" and not opening.circle:
                length += _around(opening.outline)
                folds += len(opening.outline)
    if length:
        how = gettext_noop("wet walls' inside corners, and around niches; a lap at each end not counted")
        yield _line("membrane_band_length", _up(length / 1000, 2), "m", how, "geometry")
        how = gettext_noop("one where a band starts in a corner of walls, one at each corner of a niche")
        yield _line("membrane_corners", folds, "pieces", how, "geometry")


def _side(surface: Surface, edge: int) -> float:
    a, b = surface.outline[edge], surface.outline[(edge + 1) % len(surface.outline)]
    return math.dist(a, b)


def _around(outline: Sequence[Point]) -> float:
    return sum(math.dist(a, outline[n - 1]) for n, a in enumerate(outline))


def _tiles(result: Result) -> Iterable[Line]:
    for need in result.option.tiles:
        how = gettext_noop("%(needed)s by the cut plan, and spares for breakage, culls and the attic")
        package: dict[str, Any] = {} if need.boxes is None else {"packages": need.boxes, "package": "box"}
        package["left_over"] = need.order - need.needed
        several = {"tile": need.name} if len(result.option.tiles) > 1 else {}
        source = gettext_noop("cut plan; spares: common practice, no source")
        yield _line("tile", need.order, "tiles", how % {"needed": need.needed}, source, **package, **several)


def _joints(room: Room, result: Result, findings: list[dict[str, str]]) -> Iterable[Line]:
    """Yield the joints' length, volume and grout."""
    length = area = volume = 0.0
    thick = True
    for surface in room.surfaces:
        laid = result.surface(surface.id)
        bare = laid.field_area - sum(piece_area(piece) for piece in laid.pieces)
        length += joint_length(surface, laid.pieces)
        if surface.tile.thickness is None:
            thick = False
        else:
            volume += bare * surface.tile.thickness / 1e6
        area += bare
    if not area:
        return
    how = gettext_noop("between pieces, each joint once, along its middle")
    yield _line("joint_length", round(length / 1000, 2), "m", how, "geometry of the pieces")
    if not thick:
        text = gettext_noop("Grout is left out: the thickness of the tile is missing.")
        findings.append(_finding("note", "takeoff.thickness", text))
        return
    liters = max(0.0, volume)
    how = gettext_noop("(field - pieces) x tile thickness")
    yield _line("grout_volume", round(liters, 6), "L", how, "geometry of the pieces")
    needed = grout(volume_liters=decimal(liters), density_kg_per_liter=GROUT_KG_PER_LITER)
    package = {"packages": needed.packages, "package": needed.package}
    yield _line("grout", float(needed.amount), needed.unit, needed.text, needed.source, **package)


def _mortar(room: Room, result: Result, findings: list[dict[str, str]]) -> Iterable[Line]:
    kilos = Decimal(0)
    told: dict[str, None] = {}
    source, packages, package = "", 0, ""
    areas: dict[str, float] = {}
    for surface in room.surfaces:
        trowel = room.setting.trowel or default_trowel(surface)
        areas[trowel] = areas.get(trowel, 0.0) + result.surface(surface.id).field_area / 1e6
    for trowel, area in areas.items():
        if not area:
            continue
        try:
            needed = mortar(area_m2=decimal(area), trowel=trowel, back_butter=room.setting.back_butter)
        except ValueError as error:
            findings.append(_finding("note", "takeoff.trowel", f"Mortar is left out: {error}"))
            continue
        kilos += needed.amount
        packages += needed.packages or 0
        package, source = needed.package, needed.source
        told[needed.text] = None
    if kilos:
        package_of = {"packages": packages, "package": package}
        yield _line("mortar", float(kilos), "kg", "; ".join(told), source, **package_of)


def default_trowel(surface: Surface) -> str:
    """Return the notch to start with where nobody chose one."""
    longest = max(surface.tile.width, surface.tile.height)
    if longest >= float(LARGE_EDGE_MM):
        return DEFAULT_TROWELS[0]
    return DEFAULT_TROWELS[1] if longest >= MEDIUM_EDGE_MM else DEFAULT_TROWELS[2]


def piece_area(piece: Piece) -> float:
    """Return a piece's area, mm², its holes off."""
    return abs(signed_area(piece.outline)) - sum(abs(signed_area(hole)) for hole in piece.holes)


def joint_length(surface: Surface, pieces: Sequence[Piece]) -> float:
    """Return the length of the joints between pieces, mm: where sides face each other a joint apart.

    Takes time about proportional to the pieces. Where sides don't all stand level and plumb, half of all the pieces'
    own sides counts: a side at the field's edge is a cut, but for a tile that just meets it.
    """
    if not surface.pattern.square:
        return _own_sides(surface, pieces) / 2
    total = 0.0
    for axis in (0, 1):
        fronts: dict[int, list[Side]] = {}
        backs: dict[int, list[Side]] = {}
        for piece in pieces:
            for at, low, high, faces_on in _facing(piece, axis):
                (fronts if faces_on else backs).setdefault(round(at), []).append((at, low, high))
        longest = max(surface.tile.width, surface.tile.height) + 1.0
        for sides in backs.values():
            sides.sort(key=lambda side: side[1])
        for sides in fronts.values():
            for at, low, high in sides:
                total += _met(at + surface.joint, low, high, backs, longest)
    return total


def _own_sides(surface: Surface, pieces: Sequence[Piece]) -> float:
    """Return the length of the pieces' sides that run as a whole tile's do, mm."""
    ways = _ways(next((piece.outline for piece in pieces if piece.whole), ()))
    if surface.pattern.kind == "herringbone":
        ways |= {(-y, x) for x, y in ways}
    total = 0.0
    for piece in pieces:
        for n, (x, y) in enumerate(piece.outline):
            over, up = x - piece.outline[n - 1][0], y - piece.outline[n - 1][1]
            size = math.hypot(over, up)
            if any(abs(over * way[1] - up * way[0]) <= 1e-3 * size for way in ways):
                total += size
    return total


def _ways(outline: Sequence[Point]) -> set[Point]:
    """Return the directions of an outline's sides."""
    found = set()
    for n, (x, y) in enumerate(outline):
        over, up = x - outline[n - 1][0], y - outline[n - 1][1]
        size = math.hypot(over, up)
        found.add((over / size, up / size))
    return found


def _met(at: float, low: float, high: float, backs: dict[int, list[Side]], longest: float) -> float:
    """Return how much of low … high faces the sides that stand at `at`; none is longer than `longest`."""
    found = 0.0
    for key in {math.floor(at), math.ceil(at)}:
        sides = backs.get(key, [])
        for other, other_low, other_high in sides[bisect_left(sides, low - longest, key=lambda side: side[1]) :]:
            if other_low >= high:
                break
            if abs(other - at) <= 0.05:
                found += max(0.0, min(high, other_high) - max(low, other_low))
    return found


def _facing(piece: Piece, axis: int) -> Iterable[tuple[float, float, float, bool]]:
    """Yield a piece's sides across an axis: where, from, to, and whether the piece lies before it."""
    for loop in (piece.outline, *piece.holes):
        for n, end in enumerate(loop):
            start = loop[n - 1]
            if start[axis] == end[axis]:
                low, high = sorted((start[1 - axis], end[1 - axis]))
                # A piece lies left of its sides: before one that goes up, after one that goes right.
                rising = end[1 - axis] > start[1 - axis]
                yield end[axis], low, high, rising == (axis == 0)


def _sealed_length(room: Room, surface: Surface, field: AnyField) -> float:
    """Return the length of a surface's edges that get sealant, mm. A corner's joint belongs to its second wall."""
    skip = {corner.first_edge for corner in room.corners if corner.first == surface.id}
    for edge, other in surface.joins:
        # Named by both sides, a corner's joint is counted with the surface that stands first in the room.
        ids = [each.id for each in room.surfaces]
        mutual = any(name == surface.id for _, name in room.surface(other).joins)
        if mutual and ids.index(other) < ids.index(surface.id):
            skip.add(edge)
    skip |= {edge.index for edge in surface.edges if edge.finish not in SEALED}
    start = len(surface.edges)
    for opening in surface.openings:
        count = 1 if opening.circle else len(opening.outline)
        if opening.kind == "niche":
            skip |= set(range(start, start + count))
        start += count
    return sum(length for edge, length in field.edge_lengths.items() if edge not in skip)


def _net_area(surface: Surface) -> float:
    """Area of a surface as measured, its openings off, mm². Membrane goes to the substrate's edges, not the field's."""
    return abs(signed_area(surface.outline)) - sum(abs(signed_area(each.outline)) for each in surface.openings)


def _caution() -> dict[str, str]:
    text = gettext_noop("Coverage on the maker's data sheet and on the bag governs; check it against the first tiles.")
    return _finding("note", "takeoff.coverage", text)


def _finding(level: Literal["care", "note"], rule: str, text: str) -> dict[str, str]:
    return {"level": level, "rule": rule, "source": sources.NO_SOURCE, "text": text}


def _up(value: float, places: int) -> float:
    """Return a value rounded up, less the noise of floats."""
    return float(math.ceil(round(value * 10.0**places, 6)) / 10.0**places)
