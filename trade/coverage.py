"""Mortar seen on the back of a lifted tile: its voids tapped on a grid of 10 by 10, a percent a cell."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from trade.figures import positive
from trade.lengths import inches
from trade.limits import Outcome
from trade.rules import Place, coverage_limit, judge_coverage
from trade.shop_limits import DEFAULTS, ShopLimits
from trade.verdicts import Verdict
from trade.words import gettext_noop

SIDE = 10

Cell = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Lifted:
    """A lifted tile.  `voids`: (row, column) of the cells without mortar, from 0 to 9, as the back lies before you.

    Raises ValueError for a cell off the grid.
    """

    voids: frozenset[Cell]

    def __post_init__(self) -> None:
        for row, column in self.voids:
            if not (0 <= row < SIDE and 0 <= column < SIDE):
                raise ValueError(f"a cell lies between 0 and {SIDE - 1} each way, got {row}, {column}")

    @classmethod
    def of(cls, cells: str) -> "Lifted":
        """Return the tile that 100 signs tell, row by row, `1` where there is no mortar.  Raises ValueError."""
        if len(cells) != SIDE * SIDE or set(cells) - {"0", "1"}:
            raise ValueError("a lifted tile is told by 100 signs, 0 or 1")
        return cls(frozenset(divmod(n, SIDE) for n, cell in enumerate(cells) if cell == "1"))

    @property
    def percent(self) -> Decimal:
        """The share that mortar covers."""
        return Decimal(SIDE * SIDE - len(self.voids))

    @property
    def bare_corners(self) -> int:
        """Corners without mortar."""
        ends = (0, SIDE - 1)
        return sum((row, column) in self.voids for row in ends for column in ends)

    @property
    def bare_edges(self) -> int:
        """Cells along the edges, corners aside, without mortar."""
        ends = (0, SIDE - 1)
        return sum((row in ends) != (column in ends) for row, column in self.voids)

    @property
    def largest(self) -> int:
        """Cells of the largest void that hangs together, side by side."""
        left, most = set(self.voids), 0
        while left:
            open_cells, size = [left.pop()], 0
            while open_cells:
                cell = open_cells.pop()
                size += 1
                for near in _beside(cell):
                    if near in left:
                        left.remove(near)
                        open_cells.append(near)
            most = max(most, size)
        return most


def bare_places(tiles: Iterable[Lifted]) -> int:
    """Return at how many places of corners and edges the tiles have no mortar."""
    return sum(tile.bare_corners + tile.bare_edges for tile in tiles)


def judge_lifted(
    tiles: Sequence[Lifted], *, place: Place, stone: bool = False, limits: ShopLimits = DEFAULTS
) -> Verdict:
    """Return whether lifted tiles prove enough mortar: the mean of three or more, support at all corners and edges."""
    if bare := bare_places(tiles):
        limit, rule = coverage_limit(place=place, stone=stone, limits=limits)
        figures = {"bare": Decimal(bare), "least_percent": limit.low or Decimal(0)}
        template = gettext_noop(
            "%(bare)s places at corners or edges have no mortar, where support is asked for everywhere. Reset what was "
            "set with this batch: key in first, comb one way, push across the ridges."
        )
        return Verdict(rule=rule, outcome="fails", figures=figures, template=template)
    return judge_coverage(place=place, readings=[tile.percent for tile in tiles], stone=stone, limits=limits)


def judge_voids(
    tiles: Sequence[Lifted], *, width_mm: Decimal, height_mm: Decimal, limits: ShopLimits = DEFAULTS
) -> Verdict:
    """Return whether no void is too large, 2 sq in, or too near an edge, 2 in: good practice beyond the standard.

    A cell counts as far from an edge as its nearest side is.
    """
    positive(width_mm=width_mm, height_mm=height_mm)
    cell = width_mm * height_mm / (SIDE * SIDE)
    largest = max((tile.largest for tile in tiles), default=0) * cell / inches(1) ** 2
    nearest = min((_to_edge(void, width_mm, height_mm) for tile in tiles for void in tile.voids), default=None)
    figures = {"largest": round(largest, 1), "most": limits.void_sq_in, "edge_mm": limits.void_edge_mm}
    rule = limits.rule("void_sq_in", "void_edge_mm")
    outcome: Outcome = "fails"
    if not tiles:
        outcome = "can't tell"
        template = gettext_noop("Lift a tile and look for voids larger than %(most)s sq in.")
    elif largest > limits.void_sq_in:
        template = gettext_noop(
            "A void of about %(largest)s sq in sounds hollow and cracks under a load: %(most)s sq in is what good "
            "setters stay under."
        )
    elif nearest is not None and nearest < limits.void_edge_mm:
        figures["nearest_mm"] = nearest
        template = gettext_noop(
            "A void lies about %(nearest_mm)s from an edge, where tile breaks first: good setters leave none within "
            "%(edge_mm)s."
        )
    else:
        outcome = "holds"
        template = gettext_noop(
            "The largest void is about %(largest)s sq in, and none lies within %(edge_mm)s of an edge."
        )
    return Verdict(rule=rule, outcome=outcome, figures=figures, template=template)


def _to_edge(void: Cell, width_mm: Decimal, height_mm: Decimal) -> Decimal:
    row, column = (min(place, SIDE - 1 - place) for place in void)
    return min(row * height_mm, column * width_mm) / SIDE


def _beside(cell: Cell) -> Iterator[Cell]:
    row, column = cell
    yield from ((row - 1, column), (row + 1, column), (row, column - 1), (row, column + 1))
