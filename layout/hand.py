"""Lines that a setter put by hand: every datum pinned by a length, so that nothing is searched."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from layout.errors import RoomError
from layout.evaluate import Bench, Standing, Worth, bench_of, pieces_of, standing_of, worth_together
from layout.fields import fields_of
from layout.findings import findings_of
from layout.model import Aim
from layout.pins import pins_of
from layout.result import Finding, SurfaceLayout
from layout.room import Point, Room, Surface
from layout.search import Searcher, Task
from layout.wrapping import bundles_of, wraps_of
from trade.shop_limits import DEFAULTS, ShopLimits
from trade.words import gettext_noop

BY_HAND = gettext_noop("Set by hand")
HOLDS_STILL = gettext_noop("The lines stand where they were put.")


@dataclass(frozen=True, slots=True)
class Look:
    """A room on its datums as quickly as it can be had: `worth` has no tiles counted, `surfaces` no lines."""

    worth: Worth
    surfaces: tuple[SurfaceLayout, ...]
    findings: tuple[Finding, ...]


class Hand:
    """A room under somebody's hand: what doesn't hang on its lines is worked out once, and each surface is kept as it
    was laid last, so that only those whose lines moved are laid anew."""

    def __init__(self, room: Room) -> None:
        self._bench = bench_of(room, fields_of(room))
        self._last: dict[str, tuple[Standing, SurfaceLayout]] = {}

    def look(self, room: Room, *, limits: ShopLimits = DEFAULTS) -> Look:
        """Return the pieces, cuts and findings of the same room, all its lines pinned by lengths.

        A surface that lies as it lay before is the same object. Raises as `layout.lay_by_hand`.
        """
        bench = replace(self._bench, room=room)
        datums = datums_by_hand(bench)
        laid = [self._laid(bench, surface, datums[surface.id]) for surface in room.surfaces]
        worth = worth_together(bench, datums, (standing for standing, _pieces in laid), planned=False)
        findings = findings_of(bench, worth, moved=True, limits=limits)
        return Look(worth, tuple(pieces for _standing, pieces in laid), findings)

    def _laid(self, bench: Bench, surface: Surface, datum: Point) -> tuple[Standing, SurfaceLayout]:
        last = self._last.get(surface.id)
        if last is not None and last[1].datum == datum:
            return last
        standing = standing_of(bench, surface, datum)
        pieces = pieces_of(bench, standing.sheet, datum)
        found = self._last[surface.id] = standing, SurfaceLayout(surface.id, datum, (), pieces, 0.0)
        return found


def look_by_hand(room: Room, *, limits: ShopLimits = DEFAULTS) -> Look:
    """Return the pieces, cuts and findings of a room whose lines are all pinned by lengths.

    Raises as `layout.lay_by_hand`.
    """
    return Hand(room).look(room, limits=limits)


def datums_by_hand(bench: Bench) -> dict[str, Point]:
    """Return the datums that the pins fix, mm. Raises RoomError (place `pin`) where they leave one to the search."""
    if not is_by_hand(bench):
        raise RoomError("pin", "not every line is pinned by a length")
    pins = pins_of(bench.room, bench.models)
    if wraps_of(bench.room):
        # Only the search knows where a pattern comes round a corner.
        return Searcher(bench.room, bench.models).solve(Task(Aim(bench.room.enough, hidden=False, drift=True), pins))
    found = {}
    for surface in bench.room.surfaces:
        x, heights = pins[surface.id].x, pins[surface.id].y
        height = surface.bounds[1] if heights is None else heights[0] - surface.level
        found[surface.id] = (round(x[0], 4) if x else surface.bounds[0], round(height, 4) if heights else height)
    return found


def is_by_hand(bench: Bench) -> bool:
    """Whether lengths pin the courses of every group and the columns of every surface, or of one of those it wraps."""
    room, some = bench.room, False
    wrapped = wraps_of(room)
    for group in room.groups:
        laid = [surface for surface in map(room.surface, group) if not bench.models[surface.id].looked.empty]
        some = some or bool(laid)
        if laid and not any(isinstance(surface.pin.y, float) for surface in laid):
            return False
        for bundle in bundles_of(room, laid, wrapped):
            if not any(isinstance(surface.pin.x, float) for surface, _apart in bundle.surfaces):
                return False
    return some


def leads_of(room: Room) -> Mapping[str, Surface]:
    """Return by id the surface whose plumb line a surface's columns hang on: its own, or of the one it wraps."""
    wrapped = wraps_of(room)
    bundles = bundles_of(room, room.surfaces, wrapped)
    return {surface.id: bundle.lead for bundle in bundles for surface, _apart in bundle.surfaces}
