"""Lays a room out: the recommended layout and the other ones that a setter could want."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from layout.errors import RoomError
from layout.evaluate import Bench, Worth, bench_of, cut_plan_of, pieces_of, worth_of
from layout.field import fields_of
from layout.findings import findings_of
from layout.lines import lines_of
from layout.model import Aim, Model
from layout.pins import Pinned, allowed_x, allowed_y, foot, pins_of
from layout.result import LeastCut, Option, Result, SurfaceLayout
from layout.room import EQUAL, Point, Room, Surface
from layout.search import SAME, Searcher, Task
from trade.lengths import format_length
from trade.words import gettext_noop

RECOMMENDED = gettext_noop("Recommended")
LARGEST = gettext_noop("Largest smallest cut")
FULL_AT_TOP = gettext_noop("Full course at the top")
TILE_CENTERED = gettext_noop("Tile centered on %s")
JOINT_CENTERED = gettext_noop("Joint centered on %s")


@dataclass(frozen=True, slots=True)
class _Wish:
    title: str
    gives: str
    task: Task


def lay_out(room: Room, *, option: int = 1) -> Result:
    """Return the room's options with counts and scores, and pieces, lines and cut plan of number `option`, from 1.

    Raises RoomError (place `option`) where there is no such number, and for more than 500,000 pieces.
    """
    bench = bench_of(room, fields_of(room))
    found: list[tuple[_Wish, Worth]] = []
    searcher = Searcher(room, bench.models)
    for wish in _wishes(bench):
        datums = searcher.solve(wish.task)
        if any(_alike(bench, datums, worth.datums) for _, worth in found):
            continue
        worth = worth_of(bench, datums)
        # The recommended may have the largest smallest cut already: then another one with it gives nothing.
        if wish.title != LARGEST or worth.least_share - found[0][1].least_share > _same(room):
            found.append((wish, worth))
    if not 1 <= option <= len(found):
        many = f"there are {len(found)} options" if len(found) > 1 else "there is one option"
        raise RoomError("option", f"{many}, not {option}")
    best = found[0][1]
    options = [_option(bench, wish, worth, best) for wish, worth in found]
    chosen = found[option - 1][1]
    options[option - 1] = replace(
        options[option - 1], surfaces=_surfaces(bench, chosen), cut_plan=cut_plan_of(bench, chosen.sheets)
    )
    return Result(room.name, tuple(options), option, findings_of(bench, chosen))


def _wishes(bench: Bench) -> Iterator[_Wish]:
    """Yield what to try, the recommended first."""
    room = bench.room
    pins = pins_of(room, bench.models)
    steady = Aim(room.enough, hidden=False, drift=True)
    yield _Wish(RECOMMENDED, gettext_noop("Keeps the best cuts at every edge when joints drift."), Task(steady, pins))
    largest = Task(Aim(1.0, hidden=True, drift=False), pins, exact=True)
    yield _Wish(LARGEST, gettext_noop("The largest smallest cut there is, if the joints are held."), largest)
    top = _with_full_top(bench, pins)
    if top:
        gives = gettext_noop("No cut at the top, where the eye goes first.")
        yield _Wish(FULL_AT_TOP, gives, Task(steady, top))
    for surface in _focal(bench):
        if pins[surface.id].x is not None:
            continue
        for title, name in ((TILE_CENTERED, "tile-centered"), (JOINT_CENTERED, "joint-centered")):
            x = allowed_x(name, surface, bench.models[surface.id])
            gives = gettext_noop("Even cuts left and right of the middle.")
            mine = {**pins, surface.id: replace(pins[surface.id], x=x)}
            yield _Wish(title % surface.name, gives, Task(steady, mine))


def _focal(bench: Bench) -> list[Surface]:
    """Return the surfaces that the eye goes to: those named focal, else the largest."""
    laid = [surface for surface in bench.room.surfaces if not bench.models[surface.id].looked.empty]
    focal = [surface for surface in laid if surface.focal]
    return focal or sorted(laid, key=lambda surface: -bench.models[surface.id].looked.area)[:1]


def _with_full_top(bench: Bench, pins: Mapping[str, Pinned]) -> dict[str, Pinned] | None:
    """Return the pins with a full course at the top of each group of walls that is free to; None where none is."""
    found = dict(pins)
    for group in bench.room.groups:
        laid = [bench.room.surface(name) for name in group if not bench.models[name].looked.empty]
        walls = [surface for surface in laid if surface.kind == "wall"]
        if not walls or pins[group[0]].y is not None:
            continue
        lead = next((surface for surface in walls if surface.focal), walls[0])
        bottom = foot(laid, bench.models) - lead.level
        heights = allowed_y("full-at-top", lead, bench.models[lead.id], bottom)
        for name in group:
            found[name] = replace(pins[name], y=heights)
    return found if found != pins else None


def _alike(bench: Bench, one: Mapping[str, Point], other: Mapping[str, Point]) -> bool:
    """Whether a setter couldn't tell two sets of datums apart: the tiles lie within 1/32 in of each other."""
    return all(
        _same_tiles(bench.models[surface.id], one[surface.id], other[surface.id]) for surface in bench.room.surfaces
    )


def _same_tiles(model: Model, one: Point, other: Point) -> bool:
    (u, v), (other_u, other_v) = model.grid.swap(one), model.grid.swap(other)
    lines = round((other_v - v) / model.grid.v.pitch)
    if abs(v + lines * model.grid.v.pitch - other_v) > EQUAL:
        return False
    pattern = model.grid.surface.pattern
    # The other's course 0 is this one's course `lines`: alike if every course from there on is shifted alike.
    for line in range(pattern.cycle):
        apart = u + model.grid.shift(lines + line) - other_u - model.grid.shift(line)
        if abs(apart - round(apart / model.grid.u.pitch) * model.grid.u.pitch) > EQUAL:
            return False
    return True


def _same(room: Room) -> float:
    """Cut shares closer than this are equal to a setter, whatever the tile."""
    return SAME / max(max(surface.tile.width, surface.tile.height) for surface in room.surfaces)


def _option(bench: Bench, wish: _Wish, worth: Worth, best: Worth) -> Option:
    units = bench.room.units
    least = None
    if worth.least is not None:
        leg, piece = worth.least
        least = LeastCut(round(leg.mm, 2), format_length(leg.mm, unit=units), piece)
    return Option(
        title=wish.title,
        why=_why(bench, wish, worth, best),
        score=worth.score,
        least_cut_share=worth.least_share,
        least_cut_share_drift=worth.least_drift,
        least_cut=least,
        counts=worth.counts,
        tiles=worth.tiles,
        datums=worth.datums,
    )


def _why(bench: Bench, wish: _Wish, worth: Worth, best: Worth) -> str:
    """Return a plain sentence or two: what the option gives, and what it costs beside the recommended one."""
    if worth.least is None:
        return f"{wish.gives} Nothing is cut."
    size = format_length(worth.least[0].mm, unit=bench.room.units)
    told = f"{wish.gives} Smallest cut {size}, {worth.counts.cut} pieces cut."
    more = sum(need.needed for need in worth.tiles) - sum(need.needed for need in best.tiles)
    if more:
        count = abs(more)
        told += f" {count} tile{'s' if count > 1 else ''} {'more' if more > 0 else 'fewer'} than recommended."
    return told


def _surfaces(bench: Bench, worth: Worth) -> tuple[SurfaceLayout, ...]:
    found = []
    for surface in bench.room.surfaces:
        datum = worth.datums[surface.id]
        pieces = pieces_of(bench, worth.sheets[surface.id], datum)
        area = round(bench.fields[surface.id][0].area, 4)
        found.append(SurfaceLayout(surface.id, datum, lines_of(surface, datum, bench.room.units), pieces, area))
    return tuple(found)
