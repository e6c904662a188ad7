"""Lays a room out: the recommended layout and the other ones that a setter could want."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from layout.centering import centerings
from layout.changes import UNCHANGED, Changes
from layout.errors import RoomError
from layout.evaluate import Bench, Worth, bench_of, cut_plan_of, pieces_of, worth_of
from layout.fields import fields_of
from layout.findings import findings_of
from layout.hand import BY_HAND, HOLDS_STILL, datums_by_hand, is_by_hand
from layout.lines import courses_of, lines_of, slants_of
from layout.model import Aim
from layout.pins import Pinned, allowed_y, foot, pins_of
from layout.result import LeastCut, Option, Result, SurfaceLayout
from layout.room import SOFT, PinY, Point, Room, Surface
from layout.scoring import better, planned
from layout.search import SAME, Searcher, Task
from layout.sentences import change_of, listed, why
from layout.variants import variants
from trade.lengths import format_length
from trade.shop_limits import DEFAULTS, ShopLimits
from trade.words import gettext_noop

RECOMMENDED = gettext_noop("Recommended")
LARGEST = gettext_noop("Largest smallest cut")
FULL_AT_TOP = gettext_noop("Full course at the top")
FULL_AT_BOTTOM = gettext_noop("Full course at the bottom")

EXACT = 1e-6
"""Share. Printed shares have six places: what differs by less is the same."""


@dataclass(frozen=True, slots=True)
class _Wish:
    """What to try. `also`: what another option is said to have that comes out the same."""

    title: str
    gives: str
    task: Task
    also: str = ""


@dataclass(frozen=True, slots=True)
class _Found:
    """An option on its bench: the room's own, or that of the room with the option's changes."""

    title: str
    gives: str
    bench: Bench
    worth: Worth
    changes: Changes = UNCHANGED


def lay_out(room: Room, *, option: int = 1, limits: ShopLimits = DEFAULTS) -> Result:
    """Return the room's options with counts and scores, and pieces, lines and cut plan of number `option`, from 1.

    Findings judge by the shop's `limits`; the layout itself doesn't depend on them.
    Raises RoomError (place `option`) where there is no such number, and for more than 500,000 pieces.
    """
    bench = bench_of(room, fields_of(room))
    found = _as_measured(bench, _wishes(bench))
    for variant in variants(bench, found[0].worth.datums):
        title, gives = change_of(room, variant.changes, variant.on_joints, variant.centered)
        found.append(_Found(title, gives, variant.bench, worth_of(variant.bench, variant.datums), variant.changes))
    if not 1 <= option <= len(found):
        many = f"there are {len(found)} options" if len(found) > 1 else "there is one option"
        raise RoomError("option", f"{many}, not {option}")
    moved = any(each.changes.moved for each in found)
    return _result(room, found, option, moved=moved, limits=limits)


def lay_by_hand(room: Room, *, limits: ShopLimits = DEFAULTS) -> Result:
    """Return the layout of a room whose lines are all pinned by lengths: one option, as the first of `lay_out`.

    No variant of the room is tried. Raises RoomError (place `pin`) where some line isn't pinned, else as `lay_out`.
    """
    bench = bench_of(room, fields_of(room))
    worth = worth_of(bench, datums_by_hand(bench))
    found = [_Found(BY_HAND, HOLDS_STILL, bench, worth)]
    return _result(room, found, 1, moved=True, limits=limits)


def recommended(room: Room) -> Option:
    """Return the first option of `lay_out` with its figures, without its pieces, in a part of the time."""
    bench = bench_of(room, fields_of(room))
    # What comes after the two changes nothing about the first.
    found = _as_measured(bench, islice(_wishes(bench), 2))[0]
    return _option(found, found.worth)


def _result(room: Room, found: Sequence[_Found], option: int, *, moved: bool, limits: ShopLimits) -> Result:
    options = [_option(each, found[0].worth) for each in found]
    chosen = found[option - 1]
    options[option - 1] = replace(
        options[option - 1],
        surfaces=_surfaces(chosen.bench, chosen.worth),
        cut_plan=cut_plan_of(chosen.bench, chosen.worth.sheets),
    )
    findings = findings_of(chosen.bench, chosen.worth, moved=moved, limits=limits)
    return Result(room.name, tuple(options), option, findings)


def _as_measured(bench: Bench, wishes: Iterable[_Wish]) -> list[_Found]:
    """Return the options for the room as it stands, no two of them alike, the recommended first.

    One of them has the largest least cut share exactly. Where it lies within 1/32 in of the recommended, and is as good
    when joints drift, it takes the recommended's place: a setter couldn't tell them apart.
    """
    searcher = Searcher(bench.room, bench.models)
    found: list[_Found] = []
    for wish in wishes:
        datums = searcher.solve(wish.task)
        alike = next((each for each in found if _alike(bench, datums, each.worth.datums)), None)
        if wish.title == LARGEST:
            worth = worth_of(bench, datums)
            best = found[0].worth
            if worth.least_share <= best.least_share + EXACT:
                continue
            if alike and not better(
                planned(bench, best.datums, drift=True), planned(bench, datums, drift=True), _same(bench.room)
            ):
                found[0] = replace(found[0], worth=worth)
                continue
            alike = None
        if not alike:
            found.append(_Found(wish.title, wish.gives, bench, worth_of(bench, datums)))
        elif wish.also:
            found[found.index(alike)] = replace(alike, gives=f"{alike.gives} {wish.also}")
    return found


def _wishes(bench: Bench) -> Iterator[_Wish]:
    """Yield what to try, the recommended first."""
    room = bench.room
    pins = pins_of(room, bench.models)
    steady = Aim(room.enough, hidden=False, drift=True)
    drifts = any(surface.joint_high > surface.joint for surface in room.surfaces)
    gives = gettext_noop("Keeps the best cuts at every edge when joints drift.")
    if is_by_hand(bench):
        # Nothing is left to search.
        yield _Wish(BY_HAND, HOLDS_STILL, Task(steady, pins))
        return
    yield _Wish(
        RECOMMENDED, gives if drifts else gettext_noop("Keeps the best cuts at every edge."), Task(steady, pins)
    )
    largest = Task(Aim(1.0, hidden=True, drift=False), pins, exact=True)
    gives = gettext_noop("The largest smallest cut there is, if the joints are held.")
    yield _Wish(LARGEST, gives if drifts else gettext_noop("The largest smallest cut there is."), largest)
    full: list[tuple[str, PinY, str, str]] = [
        (
            FULL_AT_TOP,
            "full-at-top",
            gettext_noop("No cut at the top of %s, where the eye goes first."),
            gettext_noop("It has a full course at the top."),
        ),
        (
            FULL_AT_BOTTOM,
            "full-at-bottom",
            gettext_noop("No cut at the bottom of %s, if what it stands on is level."),
            gettext_noop("It has a full course at the bottom."),
        ),
    ]
    for title, pin, gives, also in full:
        pinned, names = _with_full(pin, bench, pins)
        if names:
            yield _Wish(title, gives % listed(names), Task(steady, pinned), also)
    focal = [surface for surface in _focal(bench) if pins[surface.id].x is None]
    for each in centerings(focal, bench.models):
        mine = {name: replace(pins[name], x=x) for name, x in each.places.items()}
        yield _Wish(each.title, each.gives, Task(steady, {**pins, **mine}), each.also)


def _focal(bench: Bench) -> list[Surface]:
    """Return the surfaces that the eye goes to: those named focal, else the largest. Of wrapped ones the first."""
    laid = [surface for surface in bench.room.surfaces if not bench.models[surface.id].looked.empty]
    focal = [surface for surface in laid if surface.focal]
    found = focal or sorted(laid, key=lambda surface: (-bench.models[surface.id].looked.area, surface.id))[:1]
    return found[:1] if bench.room.wrap else found


def _with_full(pin: PinY, bench: Bench, pins: Mapping[str, Pinned]) -> tuple[dict[str, Pinned], list[str]]:
    """Return the pins with a full course at the top or bottom of each group of walls that is free to, and the names
    of the walls that get it. Left out: walls without level courses or a level edge there."""
    found, names = dict(pins), []
    for group in bench.room.groups:
        laid = [bench.room.surface(name) for name in group if not bench.models[name].looked.empty]
        walls = [surface for surface in laid if surface.kind == "wall"]
        if not walls or pins[group[0]].y is not None:
            continue
        lead = next((surface for surface in walls if surface.focal), walls[0])
        if not _ends_level(lead, top=pin == "full-at-top"):
            continue
        bottom = foot(laid, bench.models) - lead.level
        heights = allowed_y(pin, lead, bench.models[lead.id], bottom)
        names.append(lead.name)
        for name in group:
            found[name] = replace(pins[name], y=heights)
    return found, names


def _ends_level(surface: Surface, *, top: bool) -> bool:
    """Whether a surface has level courses all along, and a level edge at its very top or bottom."""
    if not surface.pattern.square or (surface.pattern.axis == "columns" and surface.pattern.share):
        return False
    end = surface.bounds[3 if top else 1]
    points = surface.outline
    return any(abs(points[n - 1][1] - end) <= SOFT and abs(y - end) <= SOFT for n, (_, y) in enumerate(points))


def _alike(bench: Bench, one: Mapping[str, Point], other: Mapping[str, Point]) -> bool:
    """Whether a setter couldn't tell two sets of datums apart: the tiles lie within 1/32 in of each other."""
    return all(bench.grid(surface).alike(one[surface.id], other[surface.id]) for surface in bench.room.surfaces)


def _same(room: Room) -> float:
    """Cut shares closer than this are equal to a setter, whatever the tile."""
    return SAME / max(max(surface.tile.width, surface.tile.height) for surface in room.surfaces)


def _option(found: _Found, best: Worth) -> Option:
    worth, units = found.worth, found.bench.room.units
    least = None
    if worth.least is not None:
        leg, piece = worth.least
        least = LeastCut(round(leg.mm, 2), format_length(leg.mm, unit=units), piece)
    return Option(
        title=found.title,
        why=why(found.gives, worth, best, found.bench.room, mends=bool(found.changes.moved or found.changes.joint)),
        score=worth.score,
        least_cut_share=worth.least_share,
        least_cut_share_drift=worth.least_drift,
        least_cut=least,
        counts=worth.counts,
        tiles=worth.tiles,
        datums=worth.datums,
        changes=found.changes,
        units=units,
    )


def _surfaces(bench: Bench, worth: Worth) -> tuple[SurfaceLayout, ...]:
    found = []
    for surface in bench.room.surfaces:
        datum = worth.datums[surface.id]
        pieces = pieces_of(bench, worth.sheets[surface.id], datum)
        area = round(bench.fields[surface.id][0].area, 4)
        lines = lines_of(bench.room, surface, datum)
        courses = courses_of(surface, bench.grid(surface), pieces, bench.room.units)
        slants = slants_of(bench.room, surface, datum) if pieces else ()
        found.append(SurfaceLayout(surface.id, datum, lines, pieces, area, courses, slants))
    return tuple(found)
