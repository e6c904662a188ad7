"""Finds the best datum: one height for each group of joined surfaces, and a place along each surface.

A leg is piecewise linear in the datum, so the best score lies where a leg jumps, reaches the cap, or where a rising leg
meets a falling one (`model.events`). Lists of worst legs are compared from the least up. For one height each surface
may take its own best place: the merged list of the room is best when each surface's is. Candidates within 1/64 in of
the best are parted by rule 4, then by what is easier to measure.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from dataclasses import field as data_field

import numpy as np
from numpy.typing import NDArray

from layout.free_model import FreeModel
from layout.free_search import AnyModel, FreeSearch, full_at_top
from layout.grid import Axis
from layout.model import Aim, Floats, Key, Marks, Model, distinct, events, together
from layout.pins import Pinned, aims, axis_of, domain, foot, off, symmetry
from layout.ranking import best_rows, lists_of
from layout.room import EQUAL, Point, Room, Surface
from layout.wrapping import Bundle, bundles_of, wraps_of

Flags = NDArray[np.bool_]

NOISE = 1e-9
"""Share. What floats may differ by."""

SAME = EQUAL / 2
"""mm. Half of rule 4's 1/32 in: choosing among equals must not add up to more than that."""


@dataclass(frozen=True, slots=True)
class Task:
    """What is asked of the search: the aim, and what is pinned on each surface (id: pin)."""

    aim: Aim
    pins: Mapping[str, Pinned]
    exact: bool = False
    """Take the very best, not the handiest among those within 1/64 in."""


@dataclass(slots=True)
class Searcher:
    """Solves the groups of one room; keeps each surface's model and what it has looked up."""

    room: Room
    models: Mapping[str, AnyModel]
    free_memo: dict[tuple[object, ...], Floats] = data_field(default_factory=dict)
    memo: dict[tuple[object, ...], tuple[Floats, float]] = data_field(default_factory=dict)
    places: dict[tuple[object, ...], Floats] = data_field(default_factory=dict)
    tabled: tuple[tuple[object, ...], tuple[Floats, Floats]] | None = None
    """The last table along the courses, with what was asked."""

    @property
    def wrapped(self) -> Mapping[str, tuple[str, float]]:
        """By id the surface whose pattern a wrapped one continues, and how far from its datum its own stands."""
        return wraps_of(self.room)

    def solve(self, task: Task) -> dict[str, Point]:
        """Return the datum (x, y) in mm of each surface."""
        found: dict[str, Point] = {}
        for group in self.room.groups:
            surfaces = [self.room.surface(name) for name in group]
            found.update(self._solve_group(surfaces, task))
        return {surface.id: found[surface.id] for surface in self.room.surfaces}

    def _solve_group(self, surfaces: Sequence[Surface], task: Task) -> dict[str, Point]:
        laid = [surface for surface in surfaces if not self.models[surface.id].looked.empty]
        if not laid:
            return {surface.id: (surface.bounds[0], surface.bounds[1]) for surface in surfaces}
        if self.wrapped or not all(isinstance(self.models[surface.id], Model) for surface in laid):
            return self._solve_free(surfaces, laid, task)
        heights = self._heights(laid, task)
        tables = [self._profile(surface, heights, task) for surface in laid]
        best = self._pick_height(laid, heights, tables, task)
        if not task.exact and not any(task.pins[surface.id].y for surface in laid):
            heights = distinct(np.concatenate([heights[best], *(self._handy(laid[0], heights[best], axis=1))]))
            tables = [self._profile(surface, heights, task) for surface in laid]
            best = self._pick_height(laid, heights, tables, task)
        height = float(heights[best][0])
        found = {}
        for surface in surfaces:
            x = self._place(surface, height, task) if surface in laid else surface.bounds[0]
            found[surface.id] = (round(x, 4), round(height - surface.level, 4))
        return found

    def _solve_free(self, surfaces: Sequence[Surface], laid: Sequence[Surface], task: Task) -> dict[str, Point]:
        """Solve a group in which some surface isn't all level, plumb and in courses, or whose walls wrap."""
        same = NOISE if task.exact else max(self._same(surface) for surface in laid)
        search = FreeSearch(self.room, self.models, task.aim, task.pins, same)
        bundles = bundles_of(self.room, laid, self.wrapped)
        heights, step = search.heights(laid)
        tables = [self._any_profile(search, bundle, heights, task) for bundle in bundles]
        pinned = any(task.pins[surface.id].y for surface in laid)
        handy: tuple[float, ...] = () if pinned else tuple(search.finer(step))
        for kept, finer in zip((*search.kept, *(search.kept[-1:] * len(handy))), handy, strict=False):
            lists = lists_of(np.hstack([legs for legs, _ in tables]), task.aim.cap, self._counted(bundles, task))
            best = best_rows(lists, kept)
            moves = np.arange(-step, step + finer / 2, finer)
            heights = distinct(np.round([*heights[best], *np.add.outer(heights[best], moves).ravel()], 4))
            tables = [self._any_profile(search, bundle, heights, task) for bundle in bundles]
            step = finer
        every = [surface for bundle in bundles for surface, _ in bundle.surfaces]
        best_height = self._pick_height(every, heights, tables, task)
        if not task.exact and not pinned:
            lead = laid[0]
            heights = distinct(np.concatenate([heights[best_height], *self._handy(lead, heights[best_height], axis=1)]))
            tables = [self._any_profile(search, bundle, heights, task) for bundle in bundles]
            best_height = self._pick_height(every, heights, tables, task)
        height = float(heights[best_height][0])
        found = {surface.id: surface.bounds[0] for surface in surfaces}
        for bundle in bundles:
            x = self._any_place(search, bundle, height, task)
            for surface, apart in bundle.surfaces:
                # A plumb line near the middle of each wall: whole pitches from where the pattern comes round.
                model = self.models[surface.id]
                cycle = surface.pattern.cycle if model.grid.turned else 1
                period = axis_of(model, 0).pitch * cycle
                away = round((domain(surface, model, 0).middle - x - apart) / period) if apart else 0
                found[surface.id] = x + apart + away * period
        return {s.id: (round(found[s.id], 4), round(height - s.level, 4)) for s in surfaces}

    def _counted(self, bundles: Sequence[Bundle], task: Task) -> Flags:
        every = [surface for bundle in bundles for surface, _ in bundle.surfaces]
        return np.concatenate([np.tile(self.models[surface.id].counts(task.aim), 2) for surface in every])

    def _any_profile(self, search: FreeSearch, bundle: Bundle, heights: Floats, task: Task) -> tuple[Floats, Floats]:
        """As `_profile`, for a bundle: each surface's legs, filled up to twice its edges with no legs."""
        if len(bundle.surfaces) == 1 and isinstance(self.models[bundle.lead.id], Model):
            return self._profile(bundle.lead, heights, task)
        asked = (search.alike(bundle), heights.tobytes(), task.aim)
        if asked not in self.free_memo:
            legs, _ = search.profile(bundle, heights)
            ends = np.cumsum([len(self.models[surface.id].looked.edges) for surface, _ in bundle.surfaces])
            parts = np.split(legs, ends[:-1], axis=1)
            self.free_memo[asked] = np.hstack([np.hstack([part, np.full_like(part, np.inf)]) for part in parts])
        return self.free_memo[asked], np.zeros(len(heights))

    def _any_place(self, search: FreeSearch, bundle: Bundle, height: float, task: Task) -> float:
        """As `_place`, for a bundle."""
        lead = bundle.lead
        if len(bundle.surfaces) == 1 and isinstance(self.models[lead.id], Model):
            return self._place(lead, height, task)

        def handy(values: Floats) -> Floats:
            return np.concatenate([values, *([] if task.exact else self._handy(lead, values, axis=0))])

        places, legs = search.places(bundle, height, handy)
        counts = search.counts(bundle)
        best = _best(lists_of(legs, task.aim.cap, counts), search.same)
        for marks in (symmetry, aims):
            for surface, apart in bundle.surfaces:
                model = self.models[surface.id]
                best = _least(best, off(marks(surface, model, 0), places + apart, axis_of(model, 0).pitch, SAME))
        best = _best(lists_of(legs, 1.0), search.same, best)
        best = _least(best, _clumsy(places - lead.bounds[0], self.room.units))
        return float(places[best][0])

    def _heights(self, laid: Sequence[Surface], task: Task) -> Floats:
        """Return the heights of course 0 above the level line worth trying for surfaces that share it."""
        pinned = [task.pins[surface.id].y for surface in laid if task.pins[surface.id].y]
        if pinned:
            return np.array(pinned[0])
        base = foot(laid, self.models)
        axes = {surface.id: axis_of(self.models[surface.id], 1) for surface in laid}
        wanted: dict[tuple[Axis, float], list[float]] = {}
        for surface in laid:
            model = self._plain(surface)
            span = domain(surface, model, 1, bottom=base - surface.level)
            axis = axes[surface.id]
            extra = [*_levels_of(model, 1), *symmetry(surface, model, 1), *aims(surface, model, 1)]
            if len(set(axes.values())) > 1:
                # Legs of different tiles meet where no crossing of one pitch tells: look everywhere.
                extra += np.arange(0.0, axis.pitch, SAME).tolist()
            for step in range(span.cycles):
                # Walls of one foot have one middle: looked at together, it is told from the noise by its rounding.
                middle = round(span.middle + surface.level + step * axis.pitch, 6)
                wanted.setdefault((axis, middle), []).extend(each + surface.level for each in extra)
        found = []
        for (axis, middle), extras in wanted.items():
            marks = together([(self._marks(s), s.level) for s in laid if axes[s.id] == axis])
            found.append(events(marks, axis, middle, task.aim.cap, np.array(extras), drift=task.aim.drift))
        return distinct(np.concatenate(found))

    def _marks(self, surface: Surface) -> Marks:
        """Return the marks that a surface's legs over its height depend on."""
        model = self._plain(surface)
        ends = model.across
        if model.grid.turned:
            ends = model.along(b"\1" * (len(model.looked.rows) * len(model.phases)))
        return ends.each

    def _profile(self, surface: Surface, heights: Floats, task: Task) -> tuple[Floats, Floats]:
        """Return (heights, edges) the surface's best worst legs for each height, and (heights) about how many cuts."""
        model, aim = self._plain(surface), task.aim
        starts = heights - surface.level
        if not model.grid.turned:
            legs, cuts = model.across_table(starts, aim)
            keys = model.keys(starts, drift=aim.drift)
            solved = {key: self._best_along(surface, key, task) for key in dict.fromkeys(keys)}
            rest = [solved[key] for key in keys]
            return np.hstack([legs, [each[0] for each in rest]]), cuts + np.array([each[1] for each in rest])
        places = self._places(surface, None, task)
        legs, cuts = model.across_table(places, aim)
        by_key: dict[Key, list[int]] = {}
        for index, key in enumerate(model.keys(places, drift=aim.drift)):
            by_key.setdefault(key, []).append(index)
        rows, amounts = [], []
        for key, indices in by_key.items():
            pick = indices[_first(_best(lists_of(legs[indices], aim.cap, model.counts(aim)), NOISE))]
            along, along_cuts = model.along_table(key, starts, aim)
            rows.append(np.hstack([along, np.broadcast_to(legs[pick], (len(starts), legs.shape[1]))]))
            amounts.append(along_cuts + cuts[pick])
        stacked = np.array(rows)
        found = _best_of_each(lists_of(stacked, aim.cap, np.tile(model.counts(aim), 2)))
        return stacked[found, range(len(starts))], np.array(amounts)[found, range(len(starts))]

    def _best_along(self, surface: Surface, key: Key, task: Task) -> tuple[Floats, float]:
        """Return the best worst legs along the courses for a set of courses and bands, and about how many cuts."""
        asked = (surface.id, key, task.aim, task.pins[surface.id].x)
        if asked not in self.memo:
            legs, cuts = self._along(surface, key, self._places(surface, key, task), task)
            counts = self._plain(surface).counts(task.aim)
            pick = _first(_best(lists_of(legs, task.aim.cap, counts), NOISE))
            self.memo[asked] = legs[pick], float(cuts[pick])
        return self.memo[asked]

    def _along(self, surface: Surface, key: Key, places: Floats, task: Task) -> tuple[Floats, Floats]:
        """Return `Model.along_table` for places along the courses; it's asked for twice in a row."""
        asked = (surface.id, key, task.aim, places.tobytes())
        if self.tabled is None or self.tabled[0] != asked:
            self.tabled = asked, self._plain(surface).along_table(key, places, task.aim)
        return self.tabled[1]

    def _places(self, surface: Surface, key: Key | None, task: Task) -> Floats:
        """Return the x worth trying: along the courses for a key, across the columns of a turned surface for None."""
        pinned = task.pins[surface.id].x
        if pinned:
            return np.array(pinned)
        asked = (surface.id, key, task.aim)
        if asked in self.places:
            return self.places[asked]
        model = self._plain(surface)
        span = domain(surface, model, 0)
        axis, ends = (model.grid.v, model.across) if key is None else (model.grid.u, model.along(key))
        extra = np.array(
            [*(_levels_of(model, 0) if key is None else ()), *symmetry(surface, model, 0), *aims(surface, model, 0)]
        )
        middles = [span.middle + step * axis.pitch for step in range(span.cycles)]
        found = [events(ends.each, axis, each, task.aim.cap, extra, drift=task.aim.drift) for each in middles]
        self.places[asked] = np.concatenate(found)
        return self.places[asked]

    def _pick_height(
        self, laid: Sequence[Surface], heights: Floats, tables: Sequence[tuple[Floats, Floats]], task: Task
    ) -> Flags:
        """Return which heights are best, the first of them to be taken."""
        merged = np.hstack([legs for legs, _ in tables])
        same = max(self._same(surface) for surface in laid) if not task.exact else NOISE
        counts = np.concatenate([np.tile(self.models[surface.id].counts(task.aim), 2) for surface in laid])
        best = _best(lists_of(merged, task.aim.cap, counts), same)
        for marks in (symmetry, aims):
            for surface in laid:
                model, starts = self.models[surface.id], heights - surface.level
                best = _least(best, off(marks(surface, model, 1), starts, axis_of(model, 1).pitch, SAME))
        full = sum(_not_full_at_top(self.models[s.id], heights - s.level) for s in laid)
        best = _least(best, np.asarray(full, dtype=float))
        cuts = np.sum([cuts for _, cuts in tables], axis=0)
        best = _least(best, np.round(cuts, 3))
        best = _best(lists_of(merged, 1.0), same, best)
        return _least(best, _clumsy(heights - laid[0].level - laid[0].bounds[1], self.room.units))

    def _place(self, surface: Surface, height: float, task: Task) -> float:
        """Return the x to take at a height."""
        model, aim = self._plain(surface), task.aim
        start = np.array([height - surface.level])
        turned = model.grid.turned
        key = None if turned else model.keys(start, drift=aim.drift)[0]
        places = self._places(surface, key, task)
        for again in (True, False):
            if key is None:
                legs, cuts = model.across_table(places, aim)
                keys = model.keys(places, drift=aim.drift)
                rows = {each: model.along_table(each, start, aim) for each in dict.fromkeys(keys)}
                legs = np.hstack([legs, np.vstack([rows[each][0] for each in keys])])
                cuts = cuts + np.array([rows[each][1][0] for each in keys])
            else:
                legs, cuts = self._along(surface, key, places, task)
            same = NOISE if task.exact else self._same(surface)
            counts = np.tile(model.counts(aim), legs.shape[1] // len(model.looked.edges))
            best = _best(lists_of(legs, aim.cap, counts), same)
            if again and not task.exact and not task.pins[surface.id].x:
                places = distinct(np.concatenate([places[best], *self._handy(surface, places[best], axis=0)]))
                continue
            for marks in (symmetry(surface, model, 0), aims(surface, model, 0, height - surface.level)):
                best = _least(best, off(marks, places, axis_of(model, 0).pitch, SAME))
            best = _least(best, np.round(cuts, 3))
            best = _best(lists_of(legs, 1.0), same, best)
            best = _least(best, _clumsy(places - surface.bounds[0], self.room.units))
            return float(places[best][0])
        raise AssertionError("not reached")

    def _plain(self, surface: Surface) -> Model:
        """The model of a surface that is all level, plumb and in courses."""
        model = self.models[surface.id]
        assert isinstance(model, Model)
        return model

    def _same(self, surface: Surface) -> float:
        """Shares closer than this are equal to a setter."""
        return SAME / max(surface.tile.width, surface.tile.height)

    def _handy(self, surface: Surface, values: Floats, *, axis: int) -> list[Floats]:
        """Return places near the values that a tape shows, measured from the surface's left or lower end."""
        origin = surface.bounds[axis] + (surface.level if axis else 0.0)
        found = []
        for step in _tape(self.room.units):
            marks = (values - origin) / step
            found += [origin + np.floor(marks) * step, origin + np.ceil(marks) * step]
        return [np.round(each, 4) for each in found]


def _tape(units: str) -> tuple[float, float]:
    """Marks on a tape, mm: the ones that everybody reads, and finer ones."""
    return (25.4 / 16, 25.4 / 32) if units == "in" else (1.0, 0.5)


def _clumsy(measures: Floats, units: str) -> Floats:
    """Return 0 for a measure on a mark of the tape, 1 for one on a finer mark, else 2."""
    coarse, fine = (np.abs(measures / step - np.round(measures / step)) * step < 0.001 for step in _tape(units))
    found: Floats = np.where(coarse, 0.0, np.where(fine, 1.0, 2.0))
    return found


def _best(lists: Floats, same: float, among: Flags | None = None) -> Flags:
    """Return which rows are best, compared from their least up, `same` apart being equal."""
    rows = np.arange(len(lists)) if among is None else np.flatnonzero(among)
    left = lists[rows]
    # Only where rows differ can one of them win; what is left differs in no other column.
    for column in np.flatnonzero(left.max(axis=0) - left.min(axis=0) > same).tolist():
        values = lists[rows, column]
        rows = rows[values >= values.max() - same]
        if len(rows) == 1:
            break
    found = np.zeros(len(lists), dtype=bool)
    found[rows] = True
    return found


def _best_of_each(lists: Floats) -> NDArray[np.intp]:
    """Return for each column of (rows, columns, legs) which row is best, compared from the least leg up."""
    found = np.ones(lists.shape[:2], dtype=bool)
    for leg in range(lists.shape[2]):
        values = lists[:, :, leg]
        found &= values >= np.where(found, values, -1.0).max(axis=0) - NOISE
    best: NDArray[np.intp] = found.argmax(axis=0)
    return best


def _first(found: Flags) -> int:
    return int(np.argmax(found))


def _least(found: Flags, amounts: Floats, slack: float = 0.0) -> Flags:
    """Return those of the found that have the least amount."""
    kept: Flags = found & (amounts <= amounts[found].min() + slack + 1e-9)
    return kept


def _levels_of(model: Model, axis: int) -> list[float]:
    """Return where the sets of courses and bands change across the courses; nothing along them."""
    if (axis == 0) != model.grid.turned:
        return []
    reach, side = 1.0 + 1e-6, model.grid.v.side
    marks = sorted({level for band in model.looked.rows for level in (band.low, band.high)})
    return [
        place + nudge for level in marks for place in (level - reach, level - side + reach) for nudge in (-0.02, 0.02)
    ]


def _not_full_at_top(model: AnyModel, starts: Floats) -> Floats:
    """Return 0 where the top course is a full one, else 1."""
    axis = model.grid.u if model.grid.turned else model.grid.v
    if isinstance(model, FreeModel):
        return full_at_top(model, starts)
    if model.grid.turned:
        return np.zeros(len(starts))
    top = model.looked.rows[-1].high
    rest = top - axis.side - starts
    off = np.abs(rest - np.round(rest / axis.pitch) * axis.pitch)
    found: Floats = np.where(off <= 1.0, 0.0, 1.0)
    return found
