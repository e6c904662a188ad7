"""Whether tile, joint, wall and floor suit each other and their place, from all that is known of a room."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal, cast, get_args

from trade.conditions import judge_temperature
from trade.handling import judge_box
from trade.lippage import judge_forecast
from trade.movement import Exposure, judge_spacing
from trade.product import Walk, judge_friction
from trade.rules import Place, judge_joint, judge_offset
from trade.shop_limits import DEFAULTS, ShopLimits
from trade.showers import judge_stall, judge_steam_membrane
from trade.specification import UNDER_TILE, Specification
from trade.structure import judge_deflection
from trade.tile_limits import Body, caliber_mm, judge_strength, judge_warp
from trade.vapor import judge_retarder
from trade.verdicts import Verdict
from trade.weights import WallFace, judge_wall_weight
from trade.words import gettext_noop

Concern = Literal["danger", "water", "lasting", "looks"]
"""Who or what suffers: people; the house, by water; work that can't be undone; the eye."""

WALKED_ON: dict[Place, Walk] = {
    "shower": "interior wet plus",
    "wet_floor": "interior wet",
    "dry_floor": "interior dry",
    "exterior": "exterior wet",
}
"""Bare wet feet make a shower's floor `interior wet plus`: ANSI A326.3, from memory."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What was measured or read off a data sheet beyond the specification; None where nobody knows.

    Lengths in mm; `longest_run_mm` is the longest side of the floor without a soft joint; `span_mm` and
    `deflection_mm` are the floor's, as `trade.structure` screens it; weights in kg/m², the bed is mortar and grout; a
    box in kg; `stall_sq_in` and `stall_circle_mm` are a shower's floor.
    """

    size_spread_mm: Decimal | None = None
    warp_measured: bool = False
    longest_run_mm: Decimal | None = None
    span_mm: Decimal | None = None
    deflection_mm: Decimal | None = None
    friction: Decimal | None = None
    friction_declared: bool | None = None
    breaking_lbf: Decimal | None = None
    stall_sq_in: Decimal | None = None
    stall_circle_mm: Decimal | None = None
    tile_kg_m2: Decimal | None = None
    bed_kg_m2: Decimal = Decimal(0)
    membrane_perms: Decimal | None = None
    retarder_perms: Decimal | None = None
    box_kg: Decimal | None = None


def exposure_of(spec: Specification) -> Exposure:
    """Return what a field of tile is exposed to, as far as its soft joints depend on it."""
    if spec.place == "exterior":
        return "exterior"
    if spec.sun or spec.steam or spec.under_water:
        return "interior sun or moisture"
    return "slab above ground" if spec.slab_above_ground else "interior"


def suits(spec: Specification, known: Known, *, limits: ShopLimits = DEFAULTS) -> tuple[tuple[Concern, Verdict], ...]:
    """Return every verdict that the room's figures allow or ask for, by the shop's `limits`, dangers first."""
    return tuple(_all(spec, known, limits))


def _all(spec: Specification, known: Known, limits: ShopLimits) -> Iterator[tuple[Concern, Verdict]]:
    if known.span_mm is not None and spec.has_floor:
        yield (
            "danger",
            judge_deflection(span_mm=known.span_mm, deflection_mm=known.deflection_mm, stone=spec.stone, limits=limits),
        )
    if spec.has_floor and spec.place in WALKED_ON:
        walk = WALKED_ON[spec.place]
        yield (
            "danger",
            judge_friction(walk=walk, friction=known.friction, declared=known.friction_declared, limits=limits),
        )
    if spec.has_walls and spec.substrate in get_args(WallFace):
        face = cast(WallFace, spec.substrate)
        yield (
            "danger",
            judge_wall_weight(face=face, tile_kg_m2=known.tile_kg_m2, bed_kg_m2=known.bed_kg_m2, limits=limits),
        )
    if known.box_kg is not None:
        yield "danger", judge_box(box_kg=known.box_kg)
    if spec.has_walls and spec.climate_zone:
        yield (
            "water",
            judge_retarder(
                zone=spec.climate_zone,
                retarder_behind=spec.retarder_behind,
                perms=known.retarder_perms,
                membrane=spec.membrane in UNDER_TILE,
            ),
        )
    if spec.steam:
        all_day = spec.steam == "all day"
        yield "water", judge_steam_membrane(perms=known.membrane_perms, all_day=all_day, limits=limits)
    if spec.place == "shower" and spec.has_floor and known.stall_sq_in is not None:
        # What stands in it above its floor isn't drawn: as far as it goes, it is clear.
        yield (
            "water",
            judge_stall(
                area_sq_in=known.stall_sq_in,
                circle_mm=known.stall_circle_mm,
                clear_mm=limits.stall_clear_mm,
                limits=limits,
            ),
        )
    if spec.coldest_f is not None:
        yield (
            "lasting",
            judge_temperature(lowest_f=spec.coldest_f, highest_f=None, hours_after=None, limits=limits),
        )
    if spec.has_floor and known.longest_run_mm is not None:
        yield "lasting", judge_spacing(exposure=exposure_of(spec), spacing_mm=known.longest_run_mm, limits=limits)
    if known.breaking_lbf is not None:
        body: Body = "floor" if spec.has_floor else "glazed wall"
        yield "lasting", judge_strength(body=body, breaking_lbf=(known.breaking_lbf,), limits=limits)
    yield from (("looks", verdict) for verdict in _looks(spec, known, limits))


def _looks(spec: Specification, known: Known, limits: ShopLimits) -> Iterator[Verdict]:
    warp = spec.warp_mm if known.warp_measured else None
    if spec.pattern_offset > 0:
        yield judge_offset(share=spec.pattern_offset, side_mm=spec.tile_longest_edge_mm, limits=limits)
    yield judge_joint(
        joint_mm=spec.joint_mm,
        tile_longest_edge_mm=spec.tile_longest_edge_mm,
        size_spread_mm=known.size_spread_mm,
        warp_mm=warp,
        offset=spec.pattern_offset > 0,
        rectified=spec.rectified,
        limits=limits,
    )
    if spec.pattern_offset > 0:
        yield judge_forecast(
            warp_mm=warp, share=spec.pattern_offset, joint_mm=spec.joint_mm, stone=spec.stone, limits=limits
        )
    if spec.stone:
        return
    if warp is not None:
        yield judge_warp(
            deviation_mm=warp, length_mm=spec.tile_longest_edge_mm, rectified=spec.rectified, limits=limits
        )
    if spec.rectified and known.size_spread_mm is not None:
        yield _one_caliber(spec, known.size_spread_mm, limits)


def _one_caliber(spec: Specification, spread_mm: Decimal, limits: ShopLimits) -> Verdict:
    """Return whether tiles that differ by so much can be of one caliber: its width, whatever their average."""
    low, high = caliber_mm(average_mm=spec.tile_longest_edge_mm, limits=limits)
    figures = {"spread_mm": spread_mm, "most_mm": high - low}
    holds = spread_mm <= high - low
    template = (
        gettext_noop("The tiles differ by %(spread_mm)s: one caliber is up to %(most_mm)s wide.")
        if holds
        else gettext_noop(
            "The tiles differ by %(spread_mm)s, more than one caliber's %(most_mm)s: sort them, or show the supplier."
        )
    )
    rule = limits.rule("caliber_percent", "caliber_mm")
    return Verdict(rule=rule, outcome="holds" if holds else "fails", figures=figures, template=template)
