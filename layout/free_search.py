"""Finds datums where the events of straight courses don't tell: sloped fields, other patterns, walls that wrap.

In a diagonal, a herringbone or hexagons every height and place of a 1/16 in grid over one period is looked at, by a
bound that is quickly had; worked out are those whose bound is better than the best that was found. Around the best a
1/64 in grid is tried. Elsewhere the search goes from a coarse grid to a finer one. Beside the grid always the datums
that balance, meet an aim or are pinned. The tests hold it against a dense 1/16 in search: on random sloped rooms, and
on a room of each other pattern.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from layout.boxes import Still
from layout.free_model import FreeModel
from layout.lattice import Lattice
from layout.model import Aim, Floats, Model
from layout.pins import Domain, Pinned, aims, axis_of, domain, foot, symmetry
from layout.ranking import LEVELS, lists_of, packed_of, ranked
from layout.room import Room, Surface
from layout.wrapping import Bundle, bundles_of, wraps_of

Flags = NDArray[np.bool_]
Ints = NDArray[np.int64]
AnyModel = Model | FreeModel

STEPS = (25.4 / 4, 25.4 / 16, 25.4 / 64)
"""mm. The grids, coarsest first."""

KEPT = (12, 6)
"""Heights around which the next finer grid is tried."""

KEPT_PLACES = 3
"""Places around which the next finer grid is tried, for each height."""

MOST_FIRST = 72
"""Places in the coarsest grid over one period; beyond, its step grows."""

MOST_MIXED = 24
"""The same for other patterns beside straight courses."""

MOST_PLACES = 160_000
"""Datums in the 1/16 in grid of another pattern; beyond (tiles over 2 ft), its step grows."""

BATCH, MOST_TIES, WINNERS = 24, 24, 6
"""Heights worked out at once, how many whose bound is no better than what was found, for rule 4 to choose among, and
how many of the best are gone on with."""

REFINED = 60
"""Heights up to which each one's best places are refined to 1/64 in."""


def legs_at(model: AnyModel, points: Floats, aim: Aim, still: Still | None = None) -> Floats:
    """Return (datums, edges) the worst legs' shares on datums (n, 2) as x and y. `still`: as in `Boxes.put`."""
    if isinstance(model, FreeModel):
        return model.legs(points, aim, still)
    us, vs = (points[:, 1], points[:, 0]) if model.grid.turned else (points[:, 0], points[:, 1])
    levels, back = np.unique(vs, return_inverse=True)
    legs = model.across_table(levels, aim)[0][back]
    keys = model.keys(levels, drift=aim.drift)
    numbers = {key: number for number, key in enumerate(dict.fromkeys(keys))}
    which = np.array([numbers[key] for key in keys])[back]
    for key, number in numbers.items():
        rows = np.flatnonzero(which == number)
        legs[rows] = np.minimum(legs[rows], model.along_table(key, us[rows], aim)[0])
    return legs


@dataclass(slots=True)
class FreeSearch:
    """Solves one group of surfaces for one aim."""

    room: Room
    models: Mapping[str, AnyModel]
    aim: Aim
    pins: Mapping[str, Pinned]
    same: float
    """Shares closer than this are equal."""
    floor: float = 0.0
    """The least leg of the best layout found yet, less what is equal to it."""
    seen: dict[tuple[object, float], tuple[Floats, Floats]] = field(default_factory=dict)
    """By a bundle and a height the legs and x of its best places. What a floor gave up, a higher one does too."""

    @property
    def most(self) -> int:
        """Places in the coarsest grid."""
        return MOST_MIXED if any(_quick(model) for model in self.models.values()) else MOST_FIRST

    @property
    def kept(self) -> tuple[int, ...]:
        """Heights around which the next finer grid is tried, level by level."""
        return KEPT if self.most == MOST_FIRST else (2, 2)

    @property
    def kept_places(self) -> int:
        """Places around which the next finer grid is tried, for each height."""
        return KEPT_PLACES if self.most == MOST_FIRST else 2

    def finer(self, step: float) -> list[float]:
        """The steps of the grids below one."""
        return finer_steps(step)

    def dense(self, surfaces: Iterable[Surface]) -> bool:
        """Whether surfaces can be looked at on a dense grid: all in other patterns, with sides long enough."""
        return all(_quick(self.models[surface.id]) for surface in surfaces)

    def _dense_step(self, surfaces: Iterable[Surface]) -> float:
        """Return the step of the dense grid over one period: 1/16 in, or what makes MOST_PLACES datums."""
        areas = [
            axis_of(self.models[surface.id], 0).pitch * axis_of(self.models[surface.id], 1).pitch
            for surface in surfaces
        ]
        return float(max(STEPS[1], (max(areas) / MOST_PLACES) ** 0.5))

    def counts(self, bundle: Bundle) -> Flags:
        return np.concatenate([self.models[surface.id].counts(self.aim) for surface, _ in bundle.surfaces])

    def alike(self, bundle: Bundle) -> tuple[object, ...]:
        """Return what tells bundles apart whose best places and legs differ: identical walls are solved once."""
        surface, model = bundle.lead, self.models[bundle.lead.id]
        if len(bundle.surfaces) > 1 or not isinstance(model, FreeModel):
            return tuple((each.id, self.pins[each.id]) for each, _ in bundle.surfaces)
        xs, _ = self._first_places(bundle)
        hidden = tuple(edge.hidden for edge in model.looked.edges)
        sides = (model.looked.sides.tobytes(), model.looked.side_edges.tobytes(), tuple(model.looked.rounds.items()))
        laid = (surface.tile, surface.joint, surface.joint_high, surface.pattern, surface.level)
        return (xs.tobytes(), bool(self.pins[surface.id].x), hidden, sides, laid)

    def heights(self, laid: Sequence[Surface]) -> tuple[Floats, float]:
        """Return the heights above the level line to try first, and the step between them, mm."""
        pinned = [self.pins[surface.id].y for surface in laid if self.pins[surface.id].y]
        if pinned:
            return np.array(pinned[0]), 0.0
        base = foot(laid, self.models)
        marks: list[float] = []
        over = 0.0
        middle = None
        for surface in laid:
            model = self.models[surface.id]
            span = domain(surface, model, 1, bottom=base - surface.level)
            pitch = axis_of(model, 1).pitch * span.cycles
            if pitch > over:
                over, middle = pitch, span.middle + surface.level
            marks += [mark + surface.level for mark in (*symmetry(surface, model, 1), *aims(surface, model, 1))]
            marks += [mark + surface.level for mark in _corners(surface, model, 1, span)]
        assert middle is not None
        start = middle - axis_of(self.models[laid[0].id], 1).pitch / 2
        dense = self.dense(laid)
        step = self._dense_step(laid) if dense else max(STEPS[0], over / self.most)
        heights = np.unique(np.round([*np.arange(start, start + over, step), *marks], 4))
        return (self._promising(laid, heights) if dense else heights), step

    def _promising(self, laid: Sequence[Surface], heights: Floats) -> Floats:
        """Return heights among which the best is: those whose bound is better than the best that was found."""
        bundles = bundles_of(self.room, laid, wraps_of(self.room))
        counts = np.concatenate([self.counts(bundle) for bundle in bundles])
        keys = [self.alike(bundle) for bundle in bundles]
        first_of = [keys.index(key) for key in keys]
        bounds: list[Floats] = []
        every: list[Floats] = []
        for n, bundle in enumerate(bundles):
            if first_of[n] < n:
                bounds.append(bounds[first_of[n]])
                every.append(every[first_of[n]])
                continue
            bound = self._bound(bundle, heights, self._first_places(bundle)[0])
            packed = packed_of(lists_of(bound, self.aim.cap, self.counts(bundle)))
            every.append(bound)
            bounds.append(bound[np.arange(len(heights)), packed.argmax(axis=1)])
        packed = packed_of(lists_of(np.hstack(bounds), self.aim.cap, counts))
        order = np.argsort(-packed, kind="stable")
        # The surface that leaves least to choose comes first: what fails there needs no look at the others.
        hardest = sorted(
            range(len(bundles)), key=lambda n: float(np.minimum(bounds[n], self.aim.cap).min(axis=1).max())
        )
        worth = np.full(len(heights), -1, dtype=np.int64)
        first, many = 0, 3
        while first < len(order):
            part = order[first : first + many]
            if packed[part[0]] < worth.max() or (packed[part[0]] == worth.max() and first >= MOST_TIES):
                break
            legs = [np.zeros((len(part), 0))] * len(bundles)
            left = np.arange(len(part))
            for n in hardest:
                if first_of[n] < n:
                    # The order is stable: its twin came just before.
                    legs[n] = legs[first_of[n]]
                    continue
                found = np.full((len(part), len(self.counts(bundles[n]))), -1.0)
                if left.size:
                    found[left] = self._bounded_profile(bundles[n], heights[part[left]], every[n][part[left]])[0][:, 0]
                    least = lists_of(found[left], self.aim.cap, self.counts(bundles[n]))[:, 0]
                    left = left[least >= self.floor]
                legs[n] = found
            lists = lists_of(np.hstack(legs), self.aim.cap, counts)
            worth[part] = np.where(lists[:, 0] >= 0, packed_of(lists), -1)
            self.floor = max(self.floor, float(lists[:, 0].max()) - self.same - 1 / LEVELS)
            first, many = first + len(part), BATCH
        # Those that could win, and beside them some for rule 4 to choose among.
        return np.sort(heights[np.argsort(-worth, kind="stable")[: min(first, WINNERS)]])

    def _bound(self, bundle: Bundle, heights: Floats, xs: Floats) -> Floats:
        """Return (heights, places, edges) legs that are no less than the worst ones, quickly."""
        found = []
        for surface, apart in bundle.surfaces:
            model = self.models[surface.id]
            assert isinstance(model, FreeModel)
            drift = self.aim.drift and surface.joint_high > surface.joint
            found.append(model.boxes.bound(np.round(heights - surface.level, 4), np.round(xs + apart, 4), drift=drift))
        return np.concatenate(found, axis=2)

    def _bounded_profile(self, bundle: Bundle, heights: Floats, bound: Floats | None = None) -> tuple[Floats, Floats]:
        """Return (heights, kept places, edges) legs and (heights, kept places) x, the grid's best among them."""
        key = self.alike(bundle)
        new = [n for n, height in enumerate(heights.tolist()) if (key, height) not in self.seen]
        if new:
            xs, _ = self._first_places(bundle)
            bound = self._bound(bundle, heights[new], xs) if bound is None else bound[new]
            for n, *found in zip(new, *self._best_places(bundle, heights[new], xs, bound), strict=True):
                self.seen[key, float(heights[n])] = found[0], found[1]
        every = [self.seen[key, height] for height in heights.tolist()]
        return np.stack([legs for legs, _ in every]), np.stack([tried for _, tried in every])

    def _best_places(self, bundle: Bundle, heights: Floats, xs: Floats, bound: Floats) -> tuple[Floats, Floats]:
        """Return what `_bounded_profile` does: places are worked out until no other's bound beats what was found."""
        counts = self.counts(bundle)
        lists = lists_of(bound, self.aim.cap, counts)
        packed_bound = np.where(lists[..., 0] >= self.floor, packed_of(lists), -1)
        order = np.argsort(-packed_bound, axis=1, kind="stable")
        packed_bound = np.take_along_axis(packed_bound, order, axis=1)
        edges = len(counts)
        best = np.full(len(heights), -1, dtype=np.int64)
        tried = np.repeat(xs[order[:, :1]], self.kept_places, axis=1)
        legs = np.full((len(heights), self.kept_places, edges), -1.0)
        first, many = 0, 8
        rows = np.arange(len(heights))
        while rows.size and first < len(xs):
            places = xs[order[rows, first : first + many]]
            more = self._legs_that_beat(bundle, heights[rows], places, best[rows])
            every = np.concatenate([legs[rows], more], axis=1)
            at = np.hstack([tried[rows], places])
            packed = packed_of(lists_of(every, self.aim.cap, counts))
            pick = np.argsort(-packed, axis=1, kind="stable")[:, : self.kept_places]
            legs[rows] = np.take_along_axis(every, pick[:, :, None], axis=1)
            tried[rows] = np.take_along_axis(at, pick, axis=1)
            best[rows] = np.take_along_axis(packed, pick[:, :1], axis=1)[:, 0]
            first += many
            many = min(2 * many, 64)
            rows = rows[packed_bound[rows, first] > np.maximum(best[rows], 0)] if first < len(xs) else rows[:0]
        return legs, tried

    def _legs_that_beat(self, bundle: Bundle, heights: Floats, xs: Floats, best: NDArray[np.int64]) -> Floats:
        """Return (heights, places, edges) as `_legs`, -1 where no list beats its height's best, or nears the floor."""
        counts = self.counts(bundle)
        limits = np.repeat(best, xs.shape[1])
        # Around a place the finer grid may find what the floor asks for: a cut grows by what the datum moves.
        floor = self.floor - STEPS[1] / min(min(s.tile.width, s.tile.height) for s, _ in bundle.surfaces)

        def beats(legs: Floats, rows: Ints) -> Flags:
            lists = lists_of(legs, self.aim.cap, counts)
            found: Flags = (lists[:, 0] >= floor) & (packed_of(lists) > limits[rows])
            return found

        shape = (*xs.shape, len(counts))
        ys, places, rows = np.repeat(heights, xs.shape[1]), xs.ravel(), np.arange(xs.size)
        drifts = self.aim.drift and any(s.joint_high > s.joint for s, _ in bundle.surfaces)
        for drift in (False, True) if drifts else (False,):
            legs = self._legs(bundle, ys[rows], places[rows, None], drift=drift, still=(beats, rows))[:, 0]
            kept = beats(legs, rows)
            rows, legs = rows[kept], legs[kept]
        found = np.full((xs.size, len(counts)), -1.0)
        found[rows] = legs
        return found.reshape(shape)

    def profile(self, bundle: Bundle, heights: Floats) -> tuple[Floats, Floats]:
        """Return (heights, edges) the best list's legs over all x for each height, and (heights) the x."""
        if self.dense(surface for surface, _ in bundle.surfaces):
            return self._dense_profile(bundle, heights)
        xs, step = self._first_places(bundle)
        tried = np.tile(xs, (len(heights), 1))
        legs = self._legs(bundle, heights, tried)
        for finer in self.finer(step):
            order = ranked(lists_of(legs, self.aim.cap, self.counts(bundle)))[:, : self.kept_places]
            best = np.take_along_axis(tried, order, axis=1)
            moves = np.arange(-step, step + finer / 2, finer)
            more = (best[:, :, None] + moves).reshape(len(heights), -1)
            kept = np.take_along_axis(legs, order[:, :, None], axis=1)
            tried = np.hstack([best, more])
            legs = np.concatenate([kept, self._legs(bundle, heights, more)], axis=1)
            step = finer
        pick = ranked(lists_of(legs, self.aim.cap, self.counts(bundle)))[:, 0]
        rows = np.arange(len(heights))
        return legs[rows, pick], tried[rows, pick]

    def _dense_profile(self, bundle: Bundle, heights: Floats) -> tuple[Floats, Floats]:
        """As `profile`, from the dense grid; where the heights are few, refined."""
        legs, tried = self._bounded_profile(bundle, heights)
        step = self._first_places(bundle)[1]
        pinned = any(self.pins[surface.id].x for surface, _ in bundle.surfaces)
        for finer in finer_steps(step) if len(heights) <= REFINED and not pinned else ():
            moves = np.arange(-step, step + finer / 2, finer)
            more = (tried[:, :, None] + moves).reshape(len(heights), -1)
            legs = np.concatenate([legs, self._legs(bundle, heights, more)], axis=1)
            tried = np.hstack([tried, more])
            step = finer
        pick = ranked(lists_of(legs, self.aim.cap, self.counts(bundle)))[:, 0]
        rows = np.arange(len(heights))
        return legs[rows, pick], tried[rows, pick]

    def places(self, bundle: Bundle, height: float, more: Callable[[Floats], Floats]) -> tuple[Floats, Floats]:
        """Return x to choose among at a height, and (x, edges) their legs; `more` adds handy ones near the best"""
        _, best = self.profile(bundle, np.array([height]))
        xs, _ = self._first_places(bundle)
        marks = [
            mark - apart
            for surface, apart in bundle.surfaces
            for mark in (
                *symmetry(surface, self.models[surface.id], 0),
                *aims(surface, self.models[surface.id], 0),
            )
        ]
        pinned = any(self.pins[surface.id].x for surface, _ in bundle.surfaces)
        tried = xs if pinned else np.unique(np.round([*best, *more(best), *marks], 4))
        return tried, self._legs(bundle, np.array([height]), tried[None, :])[0]

    def _first_places(self, bundle: Bundle) -> tuple[Floats, float]:
        for surface, apart in bundle.surfaces:
            pinned = self.pins[surface.id].x
            if pinned:
                return np.array(pinned) - apart, 0.0
        marks: list[float] = []
        spans = []
        for surface, apart in bundle.surfaces:
            model = self.models[surface.id]
            span = domain(surface, model, 0)
            spans.append((axis_of(model, 0).pitch * span.cycles, axis_of(model, 0).pitch, span.middle - apart))
            marks += [mark - apart for mark in _corners(surface, model, 0, span)]
            marks += [mark - apart for mark in (*symmetry(surface, model, 0), *aims(surface, model, 0))]
        over, pitch, middle = max(spans)
        surfaces = [surface for surface, _ in bundle.surfaces]
        step = self._dense_step(surfaces) if self.dense(surfaces) else max(STEPS[0], over / self.most)
        grid = np.arange(middle - pitch / 2, middle - pitch / 2 + over, step)
        return np.unique(np.round([*grid, *marks], 4)), step

    def _legs(
        self,
        bundle: Bundle,
        heights: Floats,
        xs: Floats,
        *,
        drift: bool = True,
        still: tuple[Callable[[Floats, Ints], Flags], Ints] | None = None,
    ) -> Floats:
        """Return (heights, places, edges) for places (heights, places); the aim's drift left out on request.

        `still`: which legs are worth going on with, and the numbers that it knows their rows by.
        """
        aim = self.aim if drift else replace(self.aim, drift=False)
        sizes = [len(self.models[surface.id].looked.edges) for surface, _ in bundle.surfaces]
        table = np.full((xs.size, sum(sizes)), np.inf)
        first = 0
        for (surface, apart), size in zip(bundle.surfaces, sizes, strict=True):
            mine = slice(first, first + size)

            def going(rows: Ints, half: Floats, mine: slice = mine) -> Flags:
                assert still
                every = table[rows]
                every[:, mine] = half
                return still[0](every, still[1][rows])

            points = np.stack([(xs + apart).ravel(), np.repeat(heights - surface.level, xs.shape[1])], axis=1)
            table[:, mine] = legs_at(self.models[surface.id], points, aim, going if still else None)
            first += size
        return table.reshape(*xs.shape, sum(sizes))


def _corners(surface: Surface, model: AnyModel, axis: int, span: Domain) -> list[float]:
    """Return the datums at which corners of a sloped field meet tiles' sides, in the domain."""
    if not isinstance(model, FreeModel):
        return []
    period = axis_of(model, axis).pitch * span.cycles
    low = span.middle - axis_of(model, axis).pitch / 2
    return sorted({round(low + (mark - low) % period, 3) for mark in model.marks(axis)})


def finer_steps(step: float) -> list[float]:
    """Return the steps below one, a quarter each at most."""
    found = []
    while step > STEPS[-1] + 1e-9:
        step = max(STEPS[-1], step / 4)
        found.append(step)
    return found


def _quick(model: AnyModel) -> bool:
    """Whether a model is another pattern's, with few short sides."""
    return isinstance(model, FreeModel) and isinstance(model.grid, Lattice) and not model.slow


def full_at_top(model: FreeModel, starts: Floats) -> Floats:
    """Return 0 where the top course is a full one, else 1; 0 in patterns without courses."""
    if isinstance(model.grid, Lattice) or model.grid.turned:
        return np.zeros(len(starts))
    axis = model.grid.v
    rest = model.looked.bounds[3] - axis.side - starts
    apart = np.abs(rest - np.round(rest / axis.pitch) * axis.pitch)
    found: Floats = np.where(apart <= 1.0, 0.0, 1.0)
    return found
