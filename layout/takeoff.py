"""Quantities out of a layout: what has to be bought to set it (`gaugerod-takeoff/1`)."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, Literal

from layout.changes import changed
from layout.coverings import Line, bands, boards_of, line, membrane, movement, sealed_length, substrate, trim, up
from layout.field import gaps_of
from layout.fields import fields_of
from layout.free_field import free_field
from layout.grid import grid_of
from layout.joint_lengths import clips, crossings, joint_length, piece_area
from layout.lattice import lattice_of
from layout.result import Result
from layout.room import Room, Setting, Surface
from layout.survey.result import SurveyResult
from layout.values import decimal
from trade import sources
from trade.quantities import GROUT_KG_PER_LITER, TILE_DENSITY_SOURCE, TILE_KG_PER_LITER, grout, mortar
from trade.rules import LARGE_EDGE_MM
from trade.shop_limits import DEFAULTS, ShopLimits
from trade.words import gettext_noop

FORMAT = "gaugerod-takeoff/1"

DEFAULT_TROWELS = ("1/2 x 1/2 square", "1/4 x 3/8 square", "1/4 x 1/4 square")
"""For an edge of 15 in and up, of 8 in and up, and below. Common practice, no source: the coverage decides on site."""

MEDIUM_EDGE_MM = 203.2
FULL_COVERAGE = 0.95
"""From here on each tile is back-buttered: piprolink.com, back-buttering."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bed:
    """How one surface is set: its notch as `trade.quantities` reads it, and how deep the ribs of its tile are."""

    notch: str
    back_butter: bool = False
    ribs_mm: Decimal = Decimal(0)


def take_off(
    room: Room,
    result: Result,
    *,
    surveys: Sequence[SurveyResult] = (),
    limits: ShopLimits = DEFAULTS,
    bed: Callable[[Surface], Bed] | None = None,
) -> dict[str, Any]:
    """Return the quantities of the chosen option as plain data.

    `surveys`: what the room's floors were read as, for compound, primer and mortar bed. `limits`: what the shop judges
    by, for soft joints across floors. `bed`: how a surface is set where the room's file doesn't say; else by the size
    of its tile.

    `grout_volume` is exact geometry: (field - pieces) x tile thickness; `grout` adds waste and packages. A line that
    lacks its figure, such as grout without the tile's thickness, is left out and a finding says so.
    """
    room = changed(room, result.option.changes)
    lines: list[Line] = []
    findings: list[dict[str, str]] = []
    lines += _tiles(result)
    lines += _joints(room, result, findings)
    lines += _clips_and_spacers(room, result)
    lines += _mortar(room, result, findings, bed or (lambda surface: Bed(notch=default_trowel(surface))))
    lines += _weight(room, result)
    fields = fields_of(room)
    sealed = sum(sealed_length(room, surface, fields[surface.id][0]) for surface in room.surfaces) / 1000
    if sealed:
        how = gettext_noop("inside corners once, edges against other planes, openings other than niches")
        lines.append(line("sealant_length", up(sealed, 2), "m", how, sources.MOVEMENT_JOINTS.source))
    lines += trim(room, fields)
    lines += boards_of(room)
    lines += movement(room, limits)
    lines += membrane(room)
    lines += bands(room)
    lines += substrate(surveys)
    lines += _sealer(room, result)
    findings.append(_caution())
    return {"format": FORMAT, "room": room.name, "option": result.chosen, "lines": lines, "findings": findings}


def _clips_and_spacers(room: Room, result: Result) -> Iterable[Line]:
    """Yield the leveling clips of tile with an edge of 15 in or more, and the spacers of the other tile."""
    pieces = places = 0
    gaps = gaps_of(room)
    for surface in room.surfaces:
        laid = result.surface(surface.id)
        if max(surface.tile.width, surface.tile.height) >= float(LARGE_EDGE_MM):
            pieces += clips(surface, laid.pieces)
        elif laid.pieces:
            make = grid_of if surface.pattern.kind in ("stack", "offset") else lattice_of
            shape = free_field(surface, gaps[surface.id][0]).shape
            places += crossings(make(surface, room.regrid), laid, shape)
    source = gettext_noop("geometry of the pieces; how far apart: common practice, no source")
    if pieces:
        how = gettext_noop("tile with an edge of 15 in or more: 2 in from where joints cross, 12 in apart at most")
        yield line("leveling_clips", pieces, "pieces", how, source)
    if places:
        how = gettext_noop("one where joints meet, off the edges; smaller tile than takes clips")
        yield line("spacers", places, "pieces", how, "geometry of the pieces")


def _weight(room: Room, result: Result) -> Iterable[Line]:
    """Yield what the tile as set weighs, where every tile's thickness is known."""
    liters = 0.0
    for surface in room.surfaces:
        if surface.tile.thickness is None:
            return
        liters += sum(piece_area(piece) for piece in result.surface(surface.id).pieces) * surface.tile.thickness / 1e6
    if liters:
        how = gettext_noop("the pieces as set, at %(density)s kg/L; offcuts and spares come to it. Weigh one of yours")
        kilos = liters * float(TILE_KG_PER_LITER)
        told = how % {"density": TILE_KG_PER_LITER}
        yield line("tile_weight", up(kilos, 1), "kg", told, TILE_DENSITY_SOURCE)


def _sealer(room: Room, result: Result) -> Iterable[Line]:
    """Yield the area to be sealed: natural stone, which takes up water and stains."""
    area = sum(result.surface(s.id).field_area for s in room.surfaces if s.tile.stone) / 1e6
    if area:
        how = gettext_noop("the fields of natural stone; coverage on the sealer's label")
        yield line("sealer_area", up(area, 2), "m2", how, "geometry")


def _tiles(result: Result) -> Iterable[Line]:
    for need in result.option.tiles:
        how = gettext_noop("%(needed)s by the cut plan, and spares for breakage, culls and the attic")
        package: dict[str, Any] = {} if need.boxes is None else {"packages": need.boxes, "package": "box"}
        package["left_over"] = need.order - need.needed
        several = {"tile": need.name} if len(result.option.tiles) > 1 else {}
        source = gettext_noop("cut plan; spares: common practice, no source")
        yield line("tile", need.order, "tiles", how % {"needed": need.needed}, source, **package, **several)


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
    yield line("joint_length", round(length / 1000, 2), "m", how, "geometry of the pieces")
    if not thick:
        text = gettext_noop("Grout is left out: the thickness of the tile is missing.")
        findings.append(_finding("note", "takeoff.thickness", text))
        return
    liters = max(0.0, volume)
    how = gettext_noop("(field - pieces) x tile thickness")
    yield line("grout_volume", round(liters, 6), "L", how, "geometry of the pieces")
    needed = grout(volume_liters=decimal(liters), density_kg_per_liter=GROUT_KG_PER_LITER)
    package = {"packages": needed.packages, "package": needed.package, "left_over": float(needed.left_over or 0)}
    yield line("grout", float(needed.amount), needed.unit, needed.text, needed.source, **package)


def _mortar(
    room: Room, result: Result, findings: list[dict[str, str]], bed: Callable[[Surface], Bed]
) -> Iterable[Line]:
    kilos = left = Decimal(0)
    told: dict[str, None] = {}
    source, packages, package = "", 0, ""
    areas: dict[Bed, float] = {}
    for surface in room.surfaces:
        way = _as_said(bed(surface), room.setting)
        areas[way] = areas.get(way, 0.0) + result.surface(surface.id).field_area / 1e6
    for way, area in areas.items():
        if not area:
            continue
        try:
            needed = mortar(area_m2=decimal(area), trowel=way.notch, back_butter=way.back_butter, ribs_mm=way.ribs_mm)
        except ValueError as error:
            findings.append(_finding("note", "takeoff.trowel", f"Mortar is left out: {error}"))
            continue
        kilos += needed.amount
        left += needed.left_over or 0
        packages += needed.packages or 0
        package, source = needed.package, needed.source
        told[needed.text] = None
    if kilos:
        package_of = {"packages": packages, "package": package, "left_over": float(left)}
        yield line("mortar", float(kilos), "kg", "; ".join(told), source, **package_of)


def _as_said(bed: Bed, setting: Setting) -> Bed:
    """Return how a surface is set with what the room's file says of it: its trowel goes first, and where it asks for 95
    percent of the back the tile is back-buttered."""
    full = setting.coverage is not None and setting.coverage >= FULL_COVERAGE
    return replace(bed, notch=setting.trowel or bed.notch, back_butter=bed.back_butter or setting.back_butter or full)


def default_trowel(surface: Surface) -> str:
    """Return the notch to start with where nobody chose one."""
    longest = max(surface.tile.width, surface.tile.height)
    if longest >= float(LARGE_EDGE_MM):
        return DEFAULT_TROWELS[0]
    return DEFAULT_TROWELS[1] if longest >= MEDIUM_EDGE_MM else DEFAULT_TROWELS[2]


def _caution() -> dict[str, str]:
    text = gettext_noop("Coverage on the maker's data sheet and on the bag governs; check it against the first tiles.")
    return _finding("note", "takeoff.coverage", text)


def _finding(level: Literal["care", "note"], rule: str, text: str) -> dict[str, str]:
    return {"level": level, "rule": rule, "source": sources.NO_SOURCE, "text": text}
