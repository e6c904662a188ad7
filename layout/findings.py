"""What to know before setting: the trade's rules applied to a layout."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from layout.centering import crossings_near, middles_near
from layout.evaluate import Bench, Worth
from layout.grid import Grid
from layout.lattice import Lattice
from layout.pins import axis_of
from layout.result import Finding
from layout.room import EQUAL, Aim, Point, Surface
from layout.shape_findings import shape_findings
from layout.values import decimal
from trade import sources
from trade.lengths import format_length
from trade.rules import judge_joint, judge_offset
from trade.shop_limits import DEFAULTS, ShopLimits
from trade.verdicts import Verdict
from trade.words import gettext_noop

ENGINE = "layout"
OURS = "Gaugerod's own rule for what it lays out"


def findings_of(
    bench: Bench, worth: Worth, *, moved: bool = False, limits: ShopLimits = DEFAULTS
) -> tuple[Finding, ...]:
    """Return the findings of a room on the chosen datums, the gravest first, none twice.

    `moved`: one of the options moves an opening that may be. `limits`: what the shop judges by.
    """
    found = [*_empty(bench), *_pattern(bench, limits), *_cuts(bench, worth), *_joined(bench), *_aims(bench, worth)]
    found += shape_findings(bench, worth)
    found += [*(() if moved else _openings(bench)), _silica()]
    order = {"stop": 0, "care": 1, "note": 2}
    return tuple(sorted(dict.fromkeys(found), key=lambda finding: order[finding.level]))


def _empty(bench: Bench) -> Iterable[Finding]:
    for surface in bench.room.surfaces:
        if bench.models[surface.id].looked.empty:
            text = gettext_noop("%s: the gaps at its edges leave nothing to tile. Look at the outline and the gaps.")
            yield Finding("stop", f"{ENGINE}.empty", OURS, text % surface.name)


def _pattern(bench: Bench, limits: ShopLimits) -> Iterable[Finding]:
    units = bench.room.units
    for surface in bench.room.surfaces:
        tile, offset = surface.tile, bool(surface.pattern.share)
        verdicts: list[Verdict] = [
            judge_joint(
                joint_mm=decimal(max(surface.joint, 1e-6)),
                tile_longest_edge_mm=decimal(max(tile.width, tile.height)),
                size_spread_mm=None if tile.size_spread is None else decimal(tile.size_spread),
                warp_mm=None if tile.warp is None else decimal(tile.warp),
                offset=offset,
                rectified=tile.edge == "rectified",
                limits=limits,
            )
        ]
        if offset:
            side = tile.height if surface.pattern.axis == "columns" else tile.width
            share = surface.pattern.share
            verdicts.append(judge_offset(share=share, side_mm=decimal(side), limits=limits))
        for verdict in verdicts:
            if verdict.outcome != "holds":
                rule, text = verdict.rule, verdict.say(unit=units)
                yield Finding("care" if verdict.outcome == "fails" else "note", rule.id, rule.source, text)


def _cuts(bench: Bench, worth: Worth) -> Iterable[Finding]:
    rule, units = sources.LAYOUT_CUTS, bench.room.units
    if worth.least is not None and worth.least_share < 0.5 - 1e-6:
        leg, piece = worth.least
        text = gettext_noop("The smallest cut, %(text)s, is under half a tile (piece %(piece)s).")
        size = format_length(leg.mm, unit=units)
        yield Finding("note", rule.id, rule.source, text % {"text": size, "piece": piece})
    least_side = min(min(s.tile.width, s.tile.height) for s in bench.room.surfaces)
    if (worth.least_share - worth.least_drift) * least_side <= EQUAL:
        return
    if worth.least_drift < 0.05:
        text = gettext_noop("If every joint ends up at its widest, a sliver comes out at an edge. Hold the joints.")
        yield Finding("care", f"{ENGINE}.drift", OURS, text)
    else:
        text = gettext_noop("Joints that drift wide bring the smallest cut down to %s percent of the tile's side.")
        yield Finding("note", f"{ENGINE}.drift", OURS, text % round(worth.least_drift * 100))


def _joined(bench: Bench) -> Iterable[Finding]:
    for group in bench.room.groups:
        surfaces = [bench.room.surface(name) for name in group]
        if any(_heights_differ(bench, surfaces[0], other) for other in surfaces[1:]):
            names = ", ".join(surface.name for surface in surfaces)
            text = gettext_noop("%s meet, but their tiles differ in height or joint: only the level line lines up.")
            yield Finding("care", f"{ENGINE}.courses", OURS, text % names)


def _heights_differ(bench: Bench, one: Surface, other: Surface) -> bool:
    a, b = axis_of(bench.models[one.id], 1), axis_of(bench.models[other.id], 1)
    return abs(a.pitch - b.pitch) > EQUAL / 8


def _openings(bench: Bench) -> Iterable[Finding]:
    for surface in bench.room.surfaces:
        for opening in surface.openings:
            if opening.movable:
                text = gettext_noop(
                    "%(opening)s on %(surface)s stays where it is drawn: no move that it may make "
                    "and that was tried gains a better cut or a side on a joint."
                )
                names = {"opening": opening.id, "surface": surface.name}
                yield Finding("note", f"{ENGINE}.movable", OURS, text % names)


def _aims(bench: Bench, worth: Worth) -> Iterable[Finding]:
    """Yield the aims that the layout doesn't meet, by how far, and why."""
    for surface in bench.room.surfaces:
        if bench.models[surface.id].looked.empty:
            continue
        for aim in surface.aims:
            grid, datum = bench.grid(surface), worth.datums[surface.id]
            right, up = _missed(grid, datum, aim) if isinstance(grid, Grid) else _missed_mark(grid, datum, aim)
            ways = [(right, "right", "left"), (up, "up", "down")]
            parts = [
                f"{format_length(abs(by), unit=bench.room.units)} {on if by > 0 else back}"
                for by, on, back in ways
                if abs(by) > EQUAL
            ]
            if parts:
                text = gettext_noop(
                    "%(why)s on %(surface)s: the nearest %(what)s is %(off)s from it. The cuts, and what is pinned, "
                    "come before this wish."
                )
                what = gettext_noop("joint") if isinstance(grid, Grid) else gettext_noop("meeting of joints")
                what = what if aim.want == "joint-centered" else gettext_noop("tile's middle")
                told = {"why": aim.why or "aim", "surface": surface.name, "what": what, "off": " and ".join(parts)}
                yield Finding("note", f"{ENGINE}.aim", OURS, text % told)


def _missed(grid: Grid, datum: Point, aim: Aim) -> Point:
    """Return how far right and up of the aim's point the nearest of what it wants stands, mm."""
    at_u, at_v = grid.swap(aim.at)
    u, v = grid.swap(datum)
    joint = aim.want == "joint-centered"
    middle_u, middle_v = (-axis.joint_half if joint else axis.side / 2 for axis in (grid.u, grid.v))
    nearest = round((at_v - v - middle_v) / grid.v.pitch)
    up = v + nearest * grid.v.pitch + middle_v - at_v
    # On a joint across the courses either of the two courses beside it may meet the aim along them.
    alongs = []
    for line in (nearest - 1, nearest) if joint else (nearest,):
        start = u + grid.shift(line) + middle_u
        alongs.append(start + round((at_u - start) / grid.u.pitch) * grid.u.pitch - at_u)
    return grid.swap((min(alongs, key=abs), up))


def _missed_mark(grid: Lattice, datum: Point, aim: Aim) -> Point:
    """Return how far right and up of the aim's point the nearest tile's middle, or meeting of joints, stands, mm."""
    bounds = (*aim.at, *aim.at)
    marks = middles_near(grid, datum, bounds) if aim.want == "tile-centered" else crossings_near(grid, datum, bounds)
    apart = marks - aim.at
    right, up = apart[int(np.hypot(apart[:, 0], apart[:, 1]).argmin())].tolist()
    return right, up


def _silica() -> Finding:
    return Finding("care", sources.SILICA.id, sources.SILICA.source, sources.SILICA.text)
