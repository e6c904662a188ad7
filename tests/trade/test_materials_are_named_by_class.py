"""Trowel, mortar and grout by tile, place and substrate: classes of the standards, never a brand."""

import itertools
from decimal import Decimal
from typing import get_args

import pytest

from trade import sources
from trade.lengths import inches
from trade.materials import Direction, Setting, Substrate, grout_for, mortar_for, mortar_for_all, trowel_for
from trade.quantities import mortar
from trade.rules import Place

SMALL_WALL = {"longest_edge_mm": inches(6), "place": "dry_wall", "direction": "wall", "substrate": "cement board"}


@pytest.mark.parametrize(
    ("edge", "notch", "back_butter"),
    [
        # engineerfix.com, trowel for wall tile: to 4 1/2 in a V; 4-8 in 1/4 x 1/4; 8-16 in 1/4 x 3/8.
        ("2", "1/4 v", False),
        ("9/2", "1/4 v", False),
        ("6", "1/4 x 1/4 square", False),
        ("12", "1/4 x 3/8 square", False),
        # 98905.com: from 15 in 1/2 in, and back-buttering.
        ("15", "1/2 x 1/2 square", True),
        ("24", "1/2 x 1/2 square", True),
    ],
)
def test_the_notch_grows_with_the_tile(edge: str, notch: str, back_butter: bool) -> None:
    found = trowel_for(longest_edge_mm=inches(edge), place="dry_wall")
    assert (found.notch, found.back_butter) == (notch, back_butter)
    assert mortar(area_m2=Decimal(10), trowel=found.notch).amount > 0


def test_wet_places_are_back_buttered_whatever_the_size() -> None:
    # A108.5 asks for 95 percent there; piprolink.com: back-butter, or a trowel that is seen to reach it.
    assert trowel_for(longest_edge_mm=inches(6), place="shower").back_butter
    assert sources.BACK_BUTTER in trowel_for(longest_edge_mm=inches(6), place="shower").rules


def test_tile_that_drinks_may_have_plain_mortar_and_dense_tile_may_not() -> None:
    # Common practice, no source; an absorption nobody knows counts as the harder case.
    assert mortar_for(Setting(**SMALL_WALL, absorption_percent=Decimal(12))).classes == ("A118.1T", "C1T")
    assert mortar_for(Setting(**SMALL_WALL, absorption_percent=Decimal("0.3"))).classes == ("A118.4T", "C2T")
    assert mortar_for(Setting(**SMALL_WALL)).classes == ("A118.4T", "C2T")


def test_large_or_heavy_tile_takes_mortar_for_large_and_heavy_tile() -> None:
    # tile-magazine.com/articles/87875: an edge of 15 in or more, or over 5 lb.
    floor = SMALL_WALL | {"direction": "floor", "place": "dry_floor", "absorption_percent": Decimal(5)}
    assert mortar_for(Setting(**floor)).classes == ("A118.1", "C1")
    assert mortar_for(Setting(**floor | {"longest_edge_mm": inches(15)})).classes == ("A118.4H", "C2")
    assert mortar_for(Setting(**floor, weight_lb=Decimal("5.1"))).classes == ("A118.4H", "C2")
    assert sources.MORTAR_LARGE in mortar_for(Setting(**floor, weight_lb=Decimal("5.1"))).rules


def test_heat_and_weather_take_a_mortar_that_gives() -> None:
    found = mortar_for(Setting(**SMALL_WALL | {"place": "exterior"}))
    assert found.classes == ("A118.15T", "C2T S1")
    assert sources.MORTAR_GIVES in found.rules


def test_stone_that_water_warps_takes_reactive_mortar() -> None:
    assert mortar_for(Setting(**SMALL_WALL, moisture_sensitive=True)).classes == ("A118.3", "R2")


def test_every_setting_there_is_has_an_answer_with_a_reason() -> None:
    for place, direction, substrate, flags in itertools.product(
        get_args(Place), get_args(Direction), get_args(Substrate), itertools.product((False, True), repeat=4)
    ):
        membrane, heated, glass, sensitive = flags
        found = mortar_for(
            Setting(
                longest_edge_mm=inches(12),
                place=place,
                direction=direction,
                substrate=substrate,
                membrane="sheet" if membrane else "none",
                heated=heated,
                glass=glass,
                moisture_sensitive=sensitive,
            )
        )
        assert len(found.classes) == 2
        assert found.rules
        assert sensitive or (sources.MORTAR_MEMBRANE in found.rules) == membrane


@pytest.mark.parametrize(
    ("joint", "scratches", "kind"),
    [
        # tcnatile.com/resource-center/faq/grout/: under 1/8 in unsanded, from 1/8 in sanded, over 3/8 in coarser.
        ("1/16", False, "unsanded"),
        ("1/8", False, "sanded"),
        ("3/8", False, "sanded"),
        ("7/16", False, "coarse"),
        ("1/4", True, "unsanded"),
    ],
)
def test_sand_follows_the_joint_and_spares_soft_faces(joint: str, scratches: bool, kind: str) -> None:
    found = grout_for(joint_mm=inches(joint), scratches=scratches, place="dry_floor", stains=False)
    assert found.classes == ("A118.6", "CG1", kind)


def test_wet_places_and_stains_take_better_grout() -> None:
    # Common practice, no source.
    wet = grout_for(joint_mm=inches("1/8"), scratches=False, place="shower", stains=False)
    assert wet.classes == ("A118.7", "CG2 WA", "sanded")
    assert grout_for(joint_mm=inches("1/8"), scratches=True, place="shower", stains=True).classes == ("A118.3", "RG")


def test_what_makes_no_sense_is_refused() -> None:
    with pytest.raises(ValueError, match="coarse sand"):
        grout_for(joint_mm=inches("1/2"), scratches=True, place="dry_floor", stains=False)
    with pytest.raises(ValueError, match="not known"):
        Setting(**SMALL_WALL | {"substrate": "straw"})
    with pytest.raises(ValueError, match="longest_edge_mm"):
        trowel_for(longest_edge_mm=Decimal(0), place="shower")


@pytest.mark.parametrize(
    ("classes", "one"),
    [
        # From memory of ANSI A118: each of the cement mortars asks more than the one before; letters add up.
        (["A118.1"], "A118.1"),
        (["A118.1", "A118.4T"], "A118.4T"),
        (["A118.4H", "A118.4T"], "A118.4HT"),
        (["A118.15HT", "A118.4", "A118.1"], "A118.15HT"),
        (["A118.3", "A118.3"], "A118.3"),
        (["A118.11", "A118.11T"], "A118.11T"),
        (["A118.11", "A118.4"], None),
        (["A118.3", "A118.15"], None),
        (["C2"], None),
        ([], None),
    ],
)
def test_one_mortar_does_for_several_classes_or_none_does(classes: list[str], one: str | None) -> None:
    assert mortar_for_all(classes) == one
    assert mortar_for_all(reversed(classes)) == one
