"""How far out of plumb a stud or wall may stand: common practice, no source.  The gap is flatness's, ANSI A108.02."""

from decimal import Decimal

import pytest

from trade import sources
from trade.lengths import feet, inches
from trade.plumb import judge_plumb, plumb_limit


@pytest.mark.parametrize(
    ("edge_in", "height", "limit"),
    [
        (24, feet(8), "1/8"),
        (24, feet(10), "1/8"),
        (24, feet(20), "1/4"),
        (12, feet(8), "1/4"),
        (15, feet(0), "1/8"),
    ],
)
def test_the_limit_is_the_long_straightedges_gap_in_10_ft_or_the_height(
    edge_in: int, height: Decimal, limit: str
) -> None:
    assert plumb_limit(tile_longest_edge_mm=inches(edge_in), height_mm=height) == inches(limit)


def test_a_line_is_judged_by_it_and_a_single_reading_leaves_it_open() -> None:
    case = {"tile_longest_edge_mm": inches(24), "height_mm": feet(8)}
    assert judge_plumb(out_of_plumb_mm=inches("1/8"), **case).outcome == "holds"
    failed = judge_plumb(out_of_plumb_mm=inches("9/64"), **case)
    assert (failed.outcome, failed.rule) == ("fails", sources.PLUMB)
    assert failed.text.endswith('at most 1/8" is allowed.')
    assert judge_plumb(out_of_plumb_mm=None, **case).outcome == "can't tell"


@pytest.mark.parametrize("bad", [Decimal(-1), Decimal("NaN")])
def test_a_figure_that_is_none_is_refused(bad: Decimal) -> None:
    with pytest.raises(ValueError, match="out_of_plumb_mm"):
        judge_plumb(tile_longest_edge_mm=inches(24), height_mm=feet(8), out_of_plumb_mm=bad)
