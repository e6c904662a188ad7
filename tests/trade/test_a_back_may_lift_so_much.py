"""The revised NIOSH lifting equation against its worked case."""

from decimal import Decimal

import pytest

from trade.handling import judge_box, lifting_index, recommended_weight_lb


def test_a_bag_of_50_lb_is_twice_what_one_back_should_lift() -> None:
    # NIOSH as printed by ccohs.ca: LC 51 lb, HM 10/H, VM 1 - 0.0075|V - 30|, DM 0.82 + 1.8/D. H 15, V 10, D 30 in.
    weight = recommended_weight_lb(out_in=Decimal(15), from_in=Decimal(10), lifted_in=Decimal(30))
    assert weight == Decimal("25.43")
    assert lifting_index(load_lb=Decimal(50), recommended_lb=weight) == Decimal("1.97")


def test_close_at_knuckle_height_and_a_short_way_the_constant_is_allowed() -> None:
    assert recommended_weight_lb(out_in=Decimal(10), from_in=Decimal(30), lifted_in=Decimal(10)) == Decimal(51)
    assert recommended_weight_lb(out_in=Decimal(0), from_in=Decimal(30), lifted_in=Decimal(0)) == Decimal(51)


@pytest.mark.parametrize(("out", "start", "lifted"), [("26", "30", "10"), ("10", "71", "10"), ("10", "30", "NaN")])
def test_out_of_its_range_the_equation_says_nothing(out: str, start: str, lifted: str) -> None:
    with pytest.raises(ValueError, match="lies between"):
        recommended_weight_lb(out_in=Decimal(out), from_in=Decimal(start), lifted_in=Decimal(lifted))


def test_a_box_is_held_against_the_worked_example() -> None:
    # ccohs.ca: H 15, V 10, D 30 in give 25.43 lb; a bag of 50 lb is 1.97 times that.
    assert judge_box(box_kg=Decimal("11.5")).outcome == "holds"  # 25.4 lb
    heavy = judge_box(box_kg=Decimal("22.68"))
    assert (heavy.outcome, heavy.figures["box_lb"], heavy.figures["times"]) == (
        "fails",
        Decimal("50.0"),
        Decimal("1.97"),
    )
    with pytest.raises(ValueError, match="box_kg"):
        judge_box(box_kg=Decimal(0))
