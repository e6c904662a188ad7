"""What goes under tile and along its edges: profile, sealant, soft joints, board, membrane, bands, compound, bed."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from layout.boards import SHEET, plan_boards
from layout.fields import AnyField
from layout.outline import signed_area
from layout.room import Point, Room, Surface
from layout.survey.result import SurveyResult
from layout.values import decimal
from trade import sources
from trade.movement import Exposure, bays, farthest_mm
from trade.shop_limits import ShopLimits
from trade.words import gettext_noop

Line = dict[str, Any]

SEALED = ("soft",)
"""Finishes of an edge that get sealant: the others end in a profile, a bullnose, a miter, or stand free."""

STICK_MM = 2438.4
"""A stick of profile, 8 ft. Common practice, no source."""

STUDS_MM = 406.4
FASTENER_MM = 203.2
"""Studs 16 in apart and a fastener every 8 in: ANSI A108.11 as reported (`sources.BOARD_FASTENERS`)."""

STRIP_MM, LAP_MM = 1000.0, 50.8
"""Membrane in strips of 1 m that lap by 2 in: from memory, the maker's instructions govern."""


def line(key: str, quantity: float, unit: str, how: str, source: str, **more: Any) -> Line:
    return {"key": key, "quantity": quantity, "unit": unit, **more, "how": how, "source": source}


def up(value: float, places: int) -> float:
    """Return a value rounded up, less the noise of floats."""
    return float(math.ceil(round(value * 10.0**places, 6)) / 10.0**places)


def trim(room: Room, fields: Mapping[str, tuple[AnyField, AnyField]]) -> Iterable[Line]:
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
    yield line("edge_trim_length", up(length, 2), "m", how, source, **package)


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


def boards_of(room: Room) -> Iterable[Line]:
    """Yield the board of wet walls: its area, sheets and fasteners."""
    walls = [surface for surface in room.surfaces if surface.wet and surface.kind == "wall"]
    if not walls:
        return
    area = sum(net_area(surface) for surface in walls) / 1e6
    plan = plan_boards(
        [(surface.bounds[2] - surface.bounds[0], surface.bounds[3] - surface.bounds[1]) for surface in walls]
    )
    how = gettext_noop("wet walls as measured, less openings")
    yield line("board_area", up(area, 2), "m2", how, "geometry")
    how = gettext_noop(
        "3 x 5 ft sheets in rows, end joints 16 in apart, offcuts used again, openings cut in place; "
        "by area alone %(least)s"
    )
    sheet = SHEET[0] * SHEET[1] / 1e6
    package = {"packages": plan.sheets, "package": "sheet", "left_over": round(plan.sheets * sheet - area, 2)}
    source = sources.BOARD_FASTENERS.source
    yield line("board_sheets", plan.sheets, "sheets", how % {"least": plan.at_least}, source, **package)
    how = gettext_noop("one every 8 in along studs 16 in apart, and along each board's two ends")
    fasteners = sum(_fasteners(piece) for piece in plan.pieces)
    yield line("board_fasteners", fasteners, "pieces", how, source)


def _fasteners(piece: tuple[float, float]) -> int:
    """Return the fasteners of a board of (length, height) mm: lines of them 16 in apart at most, its ends included."""
    lines = math.ceil(round(piece[0] / STUDS_MM, 9)) + 1
    return lines * (math.ceil(round(piece[1] / FASTENER_MM, 9)) + 1)


def movement(room: Room, limits: ShopLimits) -> Iterable[Line]:
    """Yield the soft joints that cross floors too long for one bay."""
    length = 0.0
    rules = []
    for surface in room.surfaces:
        if surface.kind != "floor":
            continue
        left, bottom, right, top = surface.bounds
        wide, deep = right - left, top - bottom
        exposure: Exposure = "interior sun or moisture" if surface.wet else "interior"
        rules.append(farthest_mm(exposure, limits=limits)[1])
        for along, across in ((wide, deep), (deep, wide)):
            length += (bays(length_mm=decimal(along), exposure=exposure, limits=limits) - 1) * across
    if length:
        how = gettext_noop("soft joints across floors too long for one bay, by the box around each floor")
        source = "; ".join(dict.fromkeys(rule.source for rule in rules))
        yield line("movement_joint_length", up(length / 1000, 2), "m", how, source)


def bands(room: Room) -> Iterable[Line]:
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
        yield line("membrane_band_length", up(length / 1000, 2), "m", how, "geometry")
        how = gettext_noop("one where a band starts in a corner of walls, one at each corner of a niche")
        yield line("membrane_corners", folds, "pieces", how, "geometry")


def _side(surface: Surface, edge: int) -> float:
    a, b = surface.outline[edge], surface.outline[(edge + 1) % len(surface.outline)]
    return math.dist(a, b)


def _around(outline: Sequence[Point]) -> float:
    return sum(math.dist(a, outline[n - 1]) for n, a in enumerate(outline))


def sealed_length(room: Room, surface: Surface, field: AnyField) -> float:
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


def net_area(surface: Surface) -> float:
    """Area of a surface as measured, its openings off, mm². Membrane goes to the substrate's edges, not the field's."""
    return abs(signed_area(surface.outline)) - sum(abs(signed_area(each.outline)) for each in surface.openings)


def membrane(room: Room) -> Iterable[Line]:
    """Yield the membrane on wet surfaces, and what the laps between its strips take beyond that."""
    wet = [surface for surface in room.surfaces if surface.wet]
    area = sum(net_area(surface) for surface in wet) / 1e6
    if not area:
        return
    how = gettext_noop("wet surfaces as measured, niches' own faces and laps not counted")
    yield line("membrane_area", up(area, 2), "m2", how, "geometry")
    laps = sum(_laps(surface) for surface in wet) / 1e6
    if laps:
        how = gettext_noop("what strips of 1 m take for laps of 2 in, the strips along the shorter side")
        source = gettext_noop("from memory: the maker's instructions govern")
        yield line("membrane_laps", up(laps, 2), "m2", how, source)


def _laps(surface: Surface) -> float:
    """Return the area of the laps between strips that run along the shorter side of a surface's box, mm²."""
    left, bottom, right, top = surface.bounds
    short, long = sorted((right - left, top - bottom))
    strips = max(1, math.ceil(round((long - LAP_MM) / (STRIP_MM - LAP_MM), 9)))
    return (strips - 1) * LAP_MM * short


def substrate(surveys: Sequence[SurveyResult]) -> Iterable[Line]:
    """Yield the compound that brings the floors that were read to their planes, its primer, and the mortar beds."""
    floors = [survey.leveling for survey in surveys if survey.leveling is not None and survey.bed is None]
    liters = sum(floor.volume_l for floor in floors)
    if liters:
        how = gettext_noop("up to the plane asked for, exact for the floor as it was read")
        package = _bags([floor.bags for floor in floors])
        yield line("leveling_volume", up(liters, 1), "L", how, gettext_noop("geometry of the readings"), **package)
        how = gettext_noop("the floors that get leveling compound")
        area = sum(floor.area_m2 for floor in floors if floor.volume_l)
        yield line("primer_area", up(area, 2), "m2", how, gettext_noop("geometry of the readings"))
    ways = [survey.bed.ways[0] for survey in surveys if survey.bed is not None]
    beds = sum(way.volume_l for way in ways)
    if beds:
        how = gettext_noop("the bed at one slope, exact; pre-slope and bed together")
        package = _bags([layer.bags for way in ways for layer in way.layers])
        yield line("mud_bed_volume", up(beds, 1), "L", how, gettext_noop("geometry of the floor"), **package)


def _bags(counts: Sequence[int | None]) -> Line:
    """Return all the bags as a line's package; nothing where one of the counts isn't known."""
    known = [count for count in counts if count is not None]
    return {"packages": sum(known), "package": "bag"} if len(known) == len(counts) else {}
