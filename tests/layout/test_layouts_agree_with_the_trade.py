"""Layouts against figures from outside: worked examples of the trade press, the workmanship rule, plain counting."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.layout.helpers import laid, plain

INCH = 25.4


def end_cuts(data: dict[str, object]) -> tuple[float, float, int]:
    """Return the width of the first and the last piece in a course of the recommended option, in, and the pieces."""
    _, result, _ = laid(data)
    course = [piece for piece in result.option.surfaces[0].pieces if piece.course == 0]
    widths = [max(x for x, _ in piece.outline) - min(x for x, _ in piece.outline) for piece in course]
    return widths[0] / INCH, widths[-1] / INCH, len(course)


def test_a_full_tile_and_a_sliver_become_two_even_cuts() -> None:
    """A row that ends with a full 24 in tile and a 1 1/2 in sliver: (24 + 1.5)/2 = 12 3/4 in at each end, one full tile
    fewer (fcimag.com/articles/95138, as in TRADE.md 1b). No joints in the example, so hardly any here."""
    joint, tiles = 0.001, 5
    width = tiles * 24 + 1.5 + tiles * joint
    one = {"outline": [[0, 0], [width, 0], [width, 24], [0, 24]], "focal": True}
    first, last, count = end_cuts(plain(tile=(24, 24), joint=joint, edge_gap=0, surface=one))
    assert first == pytest.approx(12.75, abs=1 / 32)
    assert last == pytest.approx(12.75, abs=1 / 32)
    assert count == tiles - 1 + 2


def test_two_slivers_become_two_even_cuts() -> None:
    """A row that ends in 1 3/4 in and 1 1/4 in, tile 11 3/4 in: (1.75 + 1.25 + 11.75)/2 = 7 3/8 in at each end
    (floortrendsmag.com/articles/111279, as in TRADE.md 1b)."""
    joint, full = 0.001, 8
    width = 1.75 + 1.25 + full * 11.75 + (full + 1) * joint
    one = {"outline": [[0, 0], [width, 0], [width, 11.75], [0, 11.75]], "focal": True}
    first, last, count = end_cuts(plain(tile=(11.75, 11.75), joint=joint, edge_gap=0, surface=one))
    assert first == pytest.approx(7.375, abs=1 / 32)
    assert last == pytest.approx(7.375, abs=1 / 32)
    assert count == full - 1 + 2


def sixteenths(least: int, most: int) -> st.SearchStrategy[float]:
    return st.integers(least * 16, most * 16).map(lambda n: n / 16)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(
    tile=st.tuples(sixteenths(3, 24), sixteenths(3, 24)),
    joint=st.sampled_from([1 / 16, 1 / 8, 3 / 16, 1 / 4]),
    count=st.tuples(st.floats(1.01, 8), st.floats(1.01, 8)),
)
def test_no_cut_is_under_half_a_tile_on_a_plain_rectangle(
    tile: tuple[float, float], joint: float, count: tuple[float, float]
) -> None:
    """Usually none smaller than half a tile (ANSI A108.02 4.3.2, fcimag.com/articles/95138, 96540).

    Geometry allows it wherever a tile fits: with n full tiles between them two cuts share length − n·(side + joint) −
    joint. Some n brings that to a side or more but under a side and a pitch: half a tile each; or, where it's more than
    two sides, full tiles fill all but less than a joint. The option with the largest least cut has it exactly; the
    recommended one may miss it by 1/32 in, which nobody sees.
    """
    wide, high = (max(side, round(side * n * 16) / 16) for side, n in zip(tile, count, strict=True))
    _, result, _ = laid(plain(wide, high, tile=tile, joint=joint, edge_gap=0))
    assert max(option.least_cut_share for option in result.options if not option.changes) >= 0.5 - 1e-5
    assert result.option.least_cut_share >= 0.5 - 1 / 32 / min(tile)


def test_where_no_tile_fits_there_is_no_half() -> None:
    """The rule above can fail: 5 in of a 12 in tile are 5/12, give or take rule 1's 1 mm."""
    _, result, _ = laid(plain(5, 61.3, tile=(12, 13), joint="1/8", edge_gap=0))
    assert result.option.least_cut_share == pytest.approx(5 / 12, abs=1 / INCH / 12)


@pytest.mark.parametrize(("tile", "joint"), [((12, 12), "1/8"), ((6, 24), "3/16"), ((13.25, 7.5), "1/16")])
def test_the_tile_count_of_a_large_field_is_its_area_over_that_of_a_tile_with_its_joint(
    tile: tuple[float, float], joint: str
) -> None:
    """Area ÷ ((width + joint)(height + joint)): plain counting."""
    width = {"1/8": 0.125, "3/16": 0.1875, "1/16": 0.0625}[joint]
    wide, high = 30 * (tile[0] + width) - width, 20 * (tile[1] + width) - width
    _, result, _ = laid(plain(wide, high, tile=tile, joint=joint, edge_gap=0))
    assert (result.option.counts.whole, result.option.counts.cut) == (600, 0)
    counted = (wide + width) * (high + width) / ((tile[0] + width) * (tile[1] + width))
    assert result.option.needed == pytest.approx(counted)


def test_pieces_and_joints_fill_an_odd_field() -> None:
    """The pieces' area over the field's is a tile's share of its module, as near as edges allow."""
    _, result, _ = laid(plain(211.3, 173.9, tile=(12, 12), joint="1/8", edge_gap=0))
    surface = result.option.surfaces[0]
    covered = sum(_area(piece.outline) for piece in surface.pieces)
    assert covered / surface.field_area == pytest.approx(144 / 12.125**2, abs=0.001)


def _area(points: tuple[tuple[float, float], ...]) -> float:
    return abs(sum(points[n - 1][0] * y - x * points[n - 1][1] for n, (x, y) in enumerate(points))) / 2
