"""A shower's floor of mortar: how high its rim stands over the drain, how thick it is everywhere, how much it takes.

Two ways to slope it. *Constant slope*: the height is the run to the drain times the slope, a cone about a point or a
round drain, planes beside a linear one; the rim rises and falls. *Level perimeter*: the rim stands at one height all
around, that of the farthest corner at the wanted slope, and from the drain to each wall the floor is straight; the
slope is the wanted one from the farthest corner and steeper everywhere else.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal

import numpy as np
import shapely
from shapely.geometry import Polygon

from layout.result import Finding
from layout.room import Point
from layout.survey.bed_result import Bed, Layer, LayerName, Mark, MarkKind, Spot, Way, WayName
from layout.survey.gaps import Floats
from layout.survey.reading import Survey
from layout.survey.runs import Runs, seen_from_drain
from layout.survey.under import Subfloor, read_under
from layout.survey.wanted import BedWanted, bags_for
from layout.survey.words import mm, weight_text
from trade import sources
from trade.lengths import format_length
from trade.quantities import MUD_BED_KG_PER_LITER, MUD_BED_SOURCE
from trade.rules import judge_shower_slope
from trade.verdicts import in_hundredths
from trade.words import gettext_noop

AT_WALL = 25.0
"""mm. A drain nearer to a wall than this has no level rim: the floor would have to climb at once."""
NEAR_CORNER = 25.0
"""mm. A mark as near to a corner as this says nothing that the corner doesn't."""
EVERY = {"in": 304.8, "mm": 300.0}
"""mm between marks along a wall and on the grid."""
MOST_MARKS = 400


@dataclass(frozen=True, slots=True)
class Slope:
    """A way to slope the floor. `height` of a level rim, mm; None where the slope is constant."""

    runs: Runs
    slope: float
    height: float | None

    def heights(self, points: Floats) -> Floats:
        """Return how high the surface stands over the drain's rim, mm."""
        run = self.runs.run(points)
        if self.height is None:
            return run * self.slope
        whole = self.runs.whole_run(points)
        return np.minimum(np.divide(run, whole, out=np.zeros_like(run), where=whole > 0), 1.0) * self.height

    @property
    def volume(self) -> float:
        """What lies between the surface and the level of the drain's rim, mm³."""
        return self.runs.cone * self.slope if self.height is None else self.runs.facets * self.height

    @property
    def highest(self) -> float:
        return self.runs.longest * self.slope

    @property
    def steepest(self) -> float:
        return self.slope if self.height is None else self.runs.steepest * self.height


def make_bed(read: Survey, bed: BedWanted) -> tuple[Bed, tuple[Finding, ...]]:
    """Return a bed both ways and what to watch for.

    Raises RoomError where the drain doesn't see the whole floor or the readings don't reach over it.
    """
    slopes = slopes_of(bed)
    under = read_under(read.lines, bed) if read.lines else None
    ways = tuple(_way(read, bed, slope, under, name) for name, slope in slopes.items())
    made = Bed(mm(slopes["constant-slope"].runs.area / 1e6), MUD_BED_SOURCE, ways)
    return made, tuple(_findings(read, made, level="level-perimeter" in slopes))


def slopes_of(bed: BedWanted) -> dict[WayName, Slope]:
    """Return the ways to slope a bed, constant slope first. Raises RoomError where a wall hides part of the floor."""
    runs = seen_from_drain(bed)
    found: dict[WayName, Slope] = {"constant-slope": Slope(runs, bed.slope, None)}
    if runs.shortest > AT_WALL:
        found["level-perimeter"] = Slope(runs, bed.slope, runs.longest * bed.slope)
    return found


def _way(read: Survey, bed: BedWanted, slope: Slope, under: Subfloor | None, name: WayName) -> Way:
    unit = read.units
    least = bed.least_bed if bed.pre_slope is None else bed.pre_slope
    raised, volume, thickest = least, slope.volume + least * slope.runs.area, least + slope.highest
    if under is not None:
        over = slope.heights(under.places) - under.height(under.places)
        raised = least - float(over.min())
        volume = slope.volume + raised * slope.runs.area - under.volume
        thickest = raised + float(over.max())

    def thickness(points: Floats, heights: Floats) -> Floats:
        return np.asarray(heights + raised - (0.0 if under is None else under.height(points)))

    layers = [_layer(read, bed, "bed" if bed.pre_slope is None else "pre-slope", least, thickest, volume)]
    if bed.pre_slope is not None:
        layers.append(_layer(read, bed, "bed", bed.least_bed, bed.least_bed, bed.least_bed * slope.runs.area))
    places = list(_marks(read, bed, slope.runs))
    points = np.array([at for _, _, at, _ in places])
    heights, runs = slope.heights(points), slope.runs.run(points)
    thick = thickness(points, heights)
    marks = tuple(
        Mark(unit, wall, kind, (mm(at[0]), mm(at[1])), mm(far), mm(runs[n]), mm(heights[n]), mm(thick[n]))
        for n, (wall, kind, at, far) in enumerate(places)
    )
    grid = _grid(bed, EVERY[unit])
    spots: tuple[Spot, ...] = ()
    if len(grid):
        heights = slope.heights(grid)
        thick = thickness(grid, heights)
        spots = tuple(
            Spot(unit, (mm(x), mm(y)), mm(heights[n]), mm(thick[n])) for n, (x, y) in enumerate(grid.tolist())
        )
    low, high = _percent(slope.slope), _percent(slope.steepest)
    verdicts = [judge_shower_slope(slope=each, limits=read.limits) for each in (low, high)]
    verdict = next((each for each in verdicts if each.outcome == "fails"), verdicts[0])
    rims = [mark.height for mark in marks]
    told = {
        "low": format_length(min(rims), unit=unit),
        "high": format_length(slope.highest, unit=unit),
        "least": in_hundredths(low),
        "most": in_hundredths(high),
    }
    if name == "constant-slope":
        text = gettext_noop(
            "The perimeter stands %(low)s to %(high)s over the drain, by how far it is from it: %(least)s percent "
            "everywhere."
        )
    else:
        text = gettext_noop(
            "The perimeter stands %(high)s over the drain all around: the floor falls %(least)s percent from the "
            "farthest corner and up to %(most)s percent from the nearest wall."
        )
    text = text % told
    # Whose limit it is, the code's or the shop's own, stands in the verdict's source.
    if low < read.limits.shower_slope_low_percent:
        more = gettext_noop("Flatter than allowed: %(limit)s percent at least (2 is 1/4 in per ft).")
        text += " " + more % {"limit": in_hundredths(read.limits.shower_slope_low_percent)}
    if high > read.limits.shower_slope_high_percent:
        more = gettext_noop("Steeper than allowed: %(limit)s percent at most (4 is 1/2 in per ft).")
        text += " " + more % {"limit": in_hundredths(read.limits.shower_slope_high_percent)}
    return Way(
        unit=unit,
        name=name,
        text=text,
        verdict=verdict.outcome,
        rule=verdict.rule.id,
        source=verdict.rule.source,
        figures={"least_percent": float(low), "greatest_percent": float(high)},
        perimeter=marks,
        layers=tuple(layers),
        grid=spots,
    )


def _layer(read: Survey, bed: BedWanted, name: LayerName, least: float, most: float, volume: float) -> Layer:
    liters = volume / 1e6
    bags = bags_for(liters, bed.bag_liters)
    return Layer(
        read.units, name, mm(least), mm(most), mm(liters), round(liters * float(MUD_BED_KG_PER_LITER), 3), bags
    )


def _marks(read: Survey, bed: BedWanted, runs: Runs) -> Iterator[tuple[int, MarkKind, Point, float]]:
    """Yield places on the rim, wall after wall: its corner, marks every foot, the place nearest to the drain."""
    sides = [math.dist(a, b) for a, b in zip(bed.outline, (*bed.outline[1:], bed.outline[0]), strict=True)]
    every = EVERY[read.units]
    while sum(sides) / every > MOST_MARKS:
        every *= 2
    for wall, size in enumerate(sides):
        a = np.array(bed.outline[wall])
        way = (np.array(bed.outline[(wall + 1) % len(sides)]) - a) / size
        yield wall, "corner", (float(a[0]), float(a[1])), 0.0
        feet = [float((np.array(drain) - a) @ way) for drain in (bed.start, bed.end)]
        feet = [foot for foot in feet if NEAR_CORNER < foot < size - NEAR_CORNER]
        found: list[tuple[float, MarkKind]] = [
            (every * n, "along") for n in range(1, math.ceil((size - NEAR_CORNER) / every))
        ]
        if feet:
            near = min(feet, key=lambda foot: float(runs.run(a + way * foot)[0]))
            found = [each for each in found if abs(each[0] - near) > NEAR_CORNER]
            found.append((near, "nearest"))
        for far, kind in sorted(found):
            x, y = (a + way * far).tolist()
            yield wall, kind, (x, y), far


def _grid(bed: BedWanted, every: float) -> Floats:
    """Return places on the floor every foot from the drain both ways, its own among them, or fewer on a large floor."""
    floor = Polygon(bed.outline)
    left, bottom, right, top = floor.bounds
    while floor.area / every**2 > MOST_MARKS:
        every *= 2
    x, y = bed.start
    across = x + every * np.arange(math.ceil((left - x) / every), math.floor((right - x) / every) + 1)
    along = y + every * np.arange(math.ceil((bottom - y) / every), math.floor((top - y) / every) + 1)
    mesh = np.meshgrid(across, along)
    points = np.column_stack([each.ravel() for each in mesh])
    points = points[shapely.contains_xy(floor, *points.T)]
    return np.asarray(points[np.hypot(points[:, 0] - x, points[:, 1] - y) >= bed.radius])


def _percent(slope: float) -> Decimal:
    """Return a slope in percent, two places, rounded down as `trade.rules.slope_percent` does, past a float's noise."""
    return Decimal(repr(round(slope * 100, 6))).quantize(Decimal("0.01"), rounding=ROUND_DOWN)


def _findings(read: Survey, bed: Bed, *, level: bool) -> Iterator[Finding]:
    if not level:
        text = gettext_noop("The drain lies at a wall: the perimeter can't be level all around. One slope is shown.")
        yield Finding("note", sources.SHOWER_SLOPE.id, sources.SHOWER_SLOPE.source, text)
    yield Finding("care", sources.PLUMBING.id, sources.PLUMBING.source, sources.PLUMBING.text)
    text = gettext_noop(
        "This mortar weighs about %s. Whether the floor bears it, a licensed design professional and the local code "
        "decide."
    )
    weight = weight_text(max(way.weight_kg for way in bed.ways), read.units)
    yield Finding("care", sources.DEFLECTION.id, MUD_BED_SOURCE, text % weight)
    yield Finding("care", sources.SILICA.id, sources.SILICA.source, sources.SILICA.text)
