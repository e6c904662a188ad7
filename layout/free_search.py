"""Finds datums where the events of straight courses don't tell: sloped fields, other patterns, walls that wrap.

In a diagonal, a herringbone or hexagons every height and place of a 1/16 in grid over one period is looked at, by a
bound that is quickly had; worked out are those whose bound is better than the best that was found. Around the best a
1/64 in grid is tried. Elsewhere the search goes from a coarse grid to a finer one. Beside the grid always the datums
that balance, meet an aim or are pinned. The tests hold it against a dense 1/16 in search: on random sloped rooms, and
on a room of each other pattern.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from layout.free_model import FreeModel
from layout.lattice import Lattice
from layout.model import Aim, Floats, Model
from layout.pins import Domain, Pinned, aims, axis_of, domain, foot, symmetry
from layout.room import Room, Surface
from layout.wrapping import wraps_of

Flags = NDArray[np.bool_]
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

LEVELS, COLUMNS = 4095, 5
"""Shares are told apart by this many steps, and lists by this many of their least, where the bounds are ranked."""

MOST_TRIED = 32
"""Places worked out at a height, in the order of their bounds. That many were enough in the tests; it is no proof."""

BATCH, MOST_TIES = 12, 24
"""Heights worked out at once, and how many whose bound is no better than what was found, for rule 4 to choose among."""

REFINED = 60
"""Heights up to which each one's best places are refined to 1/64 in."""


@dataclass(frozen=True, slots=True)
class Bundle:
    """Surfaces whose x hangs together: each with how far its datum stands from the first's. One, or some wrapped."""

    surfaces: tuple[tuple[Surface, float], ...]

    @property
    def lead(self) -> Surface:
        return self.surfaces[0][0]


def bundles_of(room: Room, laid: Sequence[Surface], wrapped: Mapping[str, tuple[str, float]]) -> list[Bundle]:
    """Return the laid surfaces in bundles. `wrapped`: by id the surface it continues, and how far from its datum."""
    apart: dict[str, tuple[str, float]] = {}
    for surface in laid:
        name, total = surface.id, 0.0
        while name in wrapped:
            name, step = wrapped[name]
            total += step
        apart[surface.id] = (name, total)
    found: dict[str, list[tuple[Surface, float]]] = {}
    for surface in laid:
        lead, total = apart[surface.id]
        found.setdefault(lead, []).append((surface, total))
    rooted = [sorted(each, key=lambda pair: pair[1] != 0.0) for each in found.values()]
    return [Bundle(tuple((surface, total - each[0][1]) for surface, total in each)) for each in rooted]


def legs_at(model: AnyModel, points: Floats, aim: Aim) -> Floats:
    """Return (datums, edges) the worst legs' shares on datums (n, 2) as x and y."""
    if isinstance(model, FreeModel):
        return model.legs(points, aim)
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
        bounds, every = [], []
        for bundle in bundles:
            bound = self._bound(bundle, heights, self._first_places(bundle)[0])
            packed = _packed(lists_of(bound, self.aim.cap, self.counts(bundle)))
            every.append(bound)
            bounds.append(bound[np.arange(len(heights)), packed.argmax(axis=1)])
        packed = _packed(lists_of(np.hstack(bounds), self.aim.cap, counts))
        order = np.argsort(-packed, kind="stable")
        # The surface that leaves least to choose comes first: what fails there needs no look at the others.
        hardest = sorted(
            range(len(bundles)), key=lambda n: float(np.minimum(bounds[n], self.aim.cap).min(axis=1).max())
        )
        worth = np.full(len(heights), -1, dtype=np.int64)
        first, many = 0, BATCH // 4
        while first < len(order):
            part = order[first : first + many]
            if packed[part[0]] < worth.max() or (packed[part[0]] == worth.max() and first >= MOST_TIES):
                break
            legs = [np.zeros((len(part), 0))] * len(bundles)
            left = np.arange(len(part))
            for n in hardest:
                found = np.full((len(part), len(self.counts(bundles[n]))), -1.0)
                if left.size:
                    found[left] = self._bounded_profile(bundles[n], heights[part[left]], every[n][part[left]])[0][:, 0]
                    least = lists_of(found[left], self.aim.cap, self.counts(bundles[n]))[:, 0]
                    left = left[least >= self.floor]
                legs[n] = found
            lists = lists_of(np.hstack(legs), self.aim.cap, counts)
            worth[part] = np.where(lists[:, 0] >= 0, _packed(lists), -1)
            self.floor = max(self.floor, float(lists[:, 0].max()) - self.same - 1 / LEVELS)
            first, many = first + len(part), BATCH
        # Those that could win, and beside them some for rule 4 to choose among.
        return np.sort(heights[np.argsort(-worth, kind="stable")[: min(first, BATCH // 2)]])

    def _bound(self, bundle: Bundle, heights: Floats, xs: Floats) -> Floats:
        """Return (heights, places, edges) legs that are no less than the worst ones, quickly."""
        found = []
        for surface, apart in bundle.surfaces:
            model = self.models[surface.id]
            assert isinstance(model, FreeModel)
            drift = self.aim.drift and surface.joint_high > surface.joint
            found.append(model.boxes.bound(np.round(heights - surface.level, 4), np.round(xs + apart, 4), drift=drift))
        return np.concatenate(found, axis=2)

    def _bounded_profile(
        self, bundle: Bundle, heights: Floats, bound: Floats | None = None
    ) -> tuple[Floats, Floats, float]:
        """Return (heights, places, edges) legs and (heights, places) x, the grid's best among them, and its step."""
        xs, step = self._first_places(bundle)
        counts = self.counts(bundle)
        bound = self._bound(bundle, heights, xs) if bound is None else bound
        lists = lists_of(bound, self.aim.cap, counts)
        packed_bound = np.where(lists[..., 0] >= self.floor, _packed(lists), -1)
        order = np.argsort(-packed_bound, axis=1, kind="stable")
        packed_bound = np.take_along_axis(packed_bound, order, axis=1)
        edges = len(counts)
        best = np.full(len(heights), -1, dtype=np.int64)
        tried = np.repeat(xs[order[:, :1]], self.kept_places, axis=1)
        legs = np.full((len(heights), self.kept_places, edges), -1.0)
        first, many = 0, 8
        rows = np.arange(len(heights))
        while rows.size and first < min(len(xs), MOST_TRIED):
            places = xs[order[rows, first : first + many]]
            more = self._legs_that_beat(bundle, heights[rows], places, best[rows])
            every = np.concatenate([legs[rows], more], axis=1)
            at = np.hstack([tried[rows], places])
            packed = _packed(lists_of(every, self.aim.cap, counts))
            pick = np.argsort(-packed, axis=1, kind="stable")[:, : self.kept_places]
            legs[rows] = np.take_along_axis(every, pick[:, :, None], axis=1)
            tried[rows] = np.take_along_axis(at, pick, axis=1)
            best[rows] = np.take_along_axis(packed, pick[:, :1], axis=1)[:, 0]
            first += many
            many = min(2 * many, 16)
            rows = rows[packed_bound[rows, first] > np.maximum(best[rows], 0)] if first < len(xs) else rows[:0]
        return legs, tried, step

    def _legs_that_beat(self, bundle: Bundle, heights: Floats, xs: Floats, best: NDArray[np.int64]) -> Floats:
        """Return (heights, places, edges) as `_legs`, -1 where even at the planned joint no list beats the best."""
        if not (self.aim.drift and any(s.joint_high > s.joint for s, _ in bundle.surfaces)):
            return self._legs(bundle, heights, xs)
        planned = self._legs(bundle, heights, xs, drift=False)
        beats = _packed(lists_of(planned, self.aim.cap, self.counts(bundle))) > best[:, None]
        legs = np.full_like(planned, -1.0)
        rows, columns = np.nonzero(beats)
        if rows.size:
            legs[rows, columns] = self._legs(bundle, heights[rows], xs[rows, columns][:, None])[:, 0]
        return legs

    def profile(self, bundle: Bundle, heights: Floats) -> tuple[Floats, Floats]:
        """Return (heights, edges) the best list's legs over all x for each height, and (heights) the x."""
        if self.dense(surface for surface, _ in bundle.surfaces):
            return self._dense_profile(bundle, heights)
        xs, step = self._first_places(bundle)
        tried = np.tile(xs, (len(heights), 1))
        legs = self._legs(bundle, heights, tried)
        for finer in self.finer(step):
            order = _ranked(lists_of(legs, self.aim.cap, self.counts(bundle)))[:, : self.kept_places]
            best = np.take_along_axis(tried, order, axis=1)
            moves = np.arange(-step, step + finer / 2, finer)
            more = (best[:, :, None] + moves).reshape(len(heights), -1)
            kept = np.take_along_axis(legs, order[:, :, None], axis=1)
            tried = np.hstack([best, more])
            legs = np.concatenate([kept, self._legs(bundle, heights, more)], axis=1)
            step = finer
        pick = _ranked(lists_of(legs, self.aim.cap, self.counts(bundle)))[:, 0]
        rows = np.arange(len(heights))
        return legs[rows, pick], tried[rows, pick]

    def _dense_profile(self, bundle: Bundle, heights: Floats) -> tuple[Floats, Floats]:
        """As `profile`, from the dense grid; where the heights are few, refined."""
        legs, tried, step = self._bounded_profile(bundle, heights)
        pinned = any(self.pins[surface.id].x for surface, _ in bundle.surfaces)
        for finer in finer_steps(step) if len(heights) <= REFINED and not pinned else ():
            moves = np.arange(-step, step + finer / 2, finer)
            more = (tried[:, :, None] + moves).reshape(len(heights), -1)
            legs = np.concatenate([legs, self._legs(bundle, heights, more)], axis=1)
            tried = np.hstack([tried, more])
            step = finer
        pick = _ranked(lists_of(legs, self.aim.cap, self.counts(bundle)))[:, 0]
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

    def _legs(self, bundle: Bundle, heights: Floats, xs: Floats, *, drift: bool = True) -> Floats:
        """Return (heights, places, edges) for places (heights, places); the aim's drift left out on request."""
        aim = self.aim if drift else replace(self.aim, drift=False)
        found = []
        for surface, apart in bundle.surfaces:
            points = np.stack([(xs + apart).ravel(), np.repeat(heights - surface.level, xs.shape[1])], axis=1)
            legs = legs_at(self.models[surface.id], points, aim)
            found.append(legs.reshape(*xs.shape, -1))
        return np.concatenate(found, axis=2)


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


def _packed(lists: Floats) -> NDArray[np.int64]:
    """Return for lists (…, edges), rising, a number that is greater for a better one, to 1/4095 of a tile."""
    found = np.zeros(lists.shape[:-1], dtype=np.int64)
    for column in range(COLUMNS):
        found *= LEVELS + 1
        if column < lists.shape[-1]:
            found += np.clip(lists[..., column] * LEVELS, 0, LEVELS).astype(np.int64)
    return found


def lists_of(legs: Floats, cap: float, counts: Flags | None = None) -> Floats:
    """Return each row's worst legs, capped, rising; without `counts` those at hidden edges too."""
    capped = np.minimum(legs, cap)
    if counts is not None:
        capped = np.where(counts, capped, cap)
    found: Floats = np.sort(capped, axis=-1)
    return found


def _ranked(lists: Floats) -> NDArray[np.intp]:
    """Return (rows, places) the places by their lists (rows, places, edges), the best first."""
    keys = [-np.round(lists[..., column], 9) for column in range(lists.shape[-1])]
    found: NDArray[np.intp] = np.lexsort(keys[::-1], axis=-1)
    return found


def best_rows(lists: Floats, count: int) -> NDArray[np.intp]:
    """Return the rows with the best lists, the best first."""
    return _ranked(lists[None])[0, :count]


def full_at_top(model: FreeModel, starts: Floats) -> Floats:
    """Return 0 where the top course is a full one, else 1; 0 in patterns without courses."""
    if isinstance(model.grid, Lattice) or model.grid.turned:
        return np.zeros(len(starts))
    axis = model.grid.v
    rest = model.looked.bounds[3] - axis.side - starts
    apart = np.abs(rest - np.round(rest / axis.pitch) * axis.pitch)
    found: Floats = np.where(apart <= 1.0, 0.0, 1.0)
    return found
