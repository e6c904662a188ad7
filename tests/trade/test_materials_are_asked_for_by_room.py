"""What a room's floor, walls and ceiling ask for, from all that is known of it."""

from dataclasses import replace
from decimal import Decimal

import pytest

from tests.trade.test_phases_follow_the_specification import SHOWER
from trade import sources
from trade.asking import Materials, materials_for
from trade.lengths import feet, inches
from trade.materials import Setting, grout_for, mortar_for, trowel_for
from trade.movement import sealant_moves_mm
from trade.shop_limits import ShopLimits

SMALL = replace(SHOWER, tile_longest_edge_mm=inches(4), tile_shortest_edge_mm=inches(4), pattern_offset=Decimal(0))


def wall(**changes) -> Materials:
    return materials_for(replace(SMALL, **changes), direction="wall")


def floor(**changes) -> Materials:
    return materials_for(replace(SMALL, **changes), direction="floor")


def test_a_shower_of_large_porcelain_asks_for_what_a_careful_setter_would() -> None:
    # engineerfix.com and 98905.com: 1/2 in notch and back-buttering from 15 in. tile-magazine.com/articles/87875: H.
    # Dense and large: improved modified mortar, class T on walls: common practice, no source. EJ171-09: soft joints on
    # walls 1/4 in preferred; civilengineeringx.com: sealant 1/8 in deep at least, half the joint at most.
    found = materials_for(SHOWER, direction="wall")
    assert (found.notch, found.back_butter) == ("1/2 x 1/2 square", True)
    assert found.mortar.classes == ("A118.15HT", "C2T")
    assert found.grout is not None
    assert found.grout.classes == ("A118.7", "CG2 WA", "sanded")
    assert found.soft_mm == inches("1/4")
    assert found.sealant_depth_mm == (inches("1/8"), inches("1/8"))
    assert found.sealant.classes == ("C920", "type S or M", "grade NS", "class 25", "use NT")


def test_the_class_of_sealant_follows_a_quarter_of_its_joint() -> None:
    # ASTM C920 by ufgscriteriadocreport.tpub.com/07920: class 25 on 1 in moves from 0.75 to 1.25 in.
    assert sealant_moves_mm(width_mm=inches(1), percent=Decimal(25)) == (inches("3/4"), inches("5/4"))


@pytest.mark.parametrize(
    ("changes", "classes", "rule"),
    [
        # All common practice, no source; what they name is in trade/sources/materials.py.
        ({}, ("A118.4T", "C2T"), sources.MORTAR_MODIFIED),
        ({"absorption_percent": Decimal(12)}, ("A118.1T", "C1T"), sources.MORTAR_MODIFIED),
        ({"absorption_percent": Decimal(12), "membrane": "liquid"}, ("A118.4T", "C2T"), sources.MORTAR_ON_LIQUID),
        ({"absorption_percent": Decimal(12), "membrane": "sheet"}, ("A118.1T", "C1T"), sources.MORTAR_MEMBRANE),
        ({"absorption_percent": Decimal(12), "membrane": "liner"}, ("A118.1T", "C1T"), sources.MORTAR_MODIFIED),
        ({"steam": "sometimes"}, ("A118.15T", "C2T"), sources.MORTAR_STEAM),
        ({"under_water": True}, ("A118.15T", "C2T"), sources.UNDER_WATER),
        ({"glass": True}, ("A118.15T", "C2T"), sources.MORTAR_WHITE),
        ({"mosaic": True}, ("A118.4T", "C2T"), sources.MOSAIC),
        ({"moisture_sensitive": True}, ("A118.3", "R2"), sources.MORTAR_REACTIVE),
        ({"substrate": "existing tile"}, ("A118.15T", "C2T"), sources.MORTAR_MODIFIED),
        # IRC R702.4.2, from memory.
        ({"substrate": "gypsum board"}, ("A118.4T", "C2T"), sources.GYPSUM_DRY),
    ],
)
def test_what_a_room_is_decides_its_mortar(changes: dict, classes: tuple[str, str], rule) -> None:
    found = wall(**changes).mortar
    assert found.classes == classes
    assert rule in found.rules


def test_a_panel_gives_and_is_troweled_on_its_back() -> None:
    # ANSI A137.3 (ceramictilefoundation.org/blog): 1 m² or more; piprolink.com: notched mortar on the panel too.
    panel = {"tile_longest_edge_mm": Decimal(1200), "tile_shortest_edge_mm": Decimal(900)}
    found = wall(**panel)
    assert found.mortar.classes == ("A118.15HT", "C2T S1")
    assert found.back_butter
    assert sources.PANELS in found.mortar.rules
    assert sources.PANELS in found.trowel_rules
    assert sources.PANELS not in wall(**panel | {"tile_shortest_edge_mm": Decimal(800)}).mortar.rules


def test_heat_counts_under_the_floor_only() -> None:
    # Common practice, no source.
    assert floor(heated=True).mortar.classes == ("A118.15", "C2 S1")
    assert wall(heated=True).mortar == wall().mortar


def test_a_heavy_piece_takes_mortar_for_heavy_tile() -> None:
    # tile-magazine.com/articles/87875: over 5 lb, 2.27 kg.
    light = materials_for(SMALL, direction="floor", tile_kg=Decimal("2.26"))
    heavy = materials_for(SMALL, direction="floor", tile_kg=Decimal("2.28"))
    assert light.mortar.classes == ("A118.4", "C2")
    assert heavy.mortar.classes == ("A118.15H", "C2")


def test_mosaic_is_combed_for_its_small_pieces() -> None:
    # engineerfix.com, trowel for wall tile: mosaic 3/16 in or 1/4 in V.
    found = trowel_for(longest_edge_mm=inches(12), place="shower", mosaic=True)
    assert (found.notch, found.back_butter) == ("3/16 v", False)
    # A sheet of 20 in is not one large tile.
    sheet = Setting(longest_edge_mm=inches(20), place="shower", direction="wall", substrate="cement board", mosaic=True)
    assert "H" not in mortar_for(sheet).classes[0]


def test_one_even_color_and_stains_are_two_reasons_for_one_class() -> None:
    # Common practice, no source.
    plain = {"joint_mm": inches("1/8"), "scratches": False, "place": "dry_floor"}
    assert grout_for(**plain, stains=False).classes == ("A118.6", "CG1", "sanded")
    even = grout_for(**plain, stains=False, even_color=True)
    dirty = grout_for(**plain, stains=True)
    assert even.classes == dirty.classes == ("A118.3", "RG")
    assert even.rules[0] is sources.GROUT_EVEN
    assert dirty.rules[0] is sources.GROUT_STAIN
    assert grout_for(**plain, stains=False, under_water=True).rules[0] is sources.UNDER_WATER
    assert grout_for(**plain, stains=False, steam=True).classes == ("A118.7", "CG2 WA", "sanded")


def test_a_soft_face_with_a_wide_joint_has_no_grout_and_says_why() -> None:
    # tcnatile.com/resource-center/faq/grout/: over 3/8 in a coarser mix.
    found = floor(face_scratches=True, joint_mm=inches("1/2"))
    assert found.grout is None
    assert "coarse sand" in found.grout_trouble
    assert floor(face_scratches=True, joint_mm=inches("3/8")).grout is not None


def test_soft_joints_outdoors_grow_with_their_spacing() -> None:
    # EJ171-09: 3/8 in at 8 ft, 1/2 in at 12 ft; nobody measured: the farthest that is allowed.
    outdoors = replace(SMALL, place="exterior")
    near = materials_for(outdoors, direction="floor", longest_run_mm=feet(8))
    assert (near.soft_mm, materials_for(outdoors, direction="floor").soft_mm) == (inches("3/8"), inches("1/2"))


def test_a_shop_with_deep_sealant_makes_its_joints_wide_enough() -> None:
    deep = ShopLimits.of({"sealant_depth_mm": inches("3/16")})
    assert materials_for(SMALL, direction="wall", limits=deep).soft_mm == inches("3/8")
