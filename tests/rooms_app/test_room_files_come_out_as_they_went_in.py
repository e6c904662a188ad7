"""A room file becomes rows and a file again, and the engine can't tell the two files apart."""

import json
from decimal import Decimal

import pytest

from layout import RoomError, read_room
from rooms.files import room_from_file, room_to_file, tile_from_file, write_room
from rooms.models import Surface, Tile
from rooms.queries import room_with_parts
from tests.rooms_app.files import PLACES, one_wall, sample

pytestmark = pytest.mark.django_db


def kept(job, data, place=""):
    """The room, as the database gives it back."""
    return room_with_parts(room_from_file(data, job=job, place=place))


def round_trip(job, data, place="dry_wall"):
    return json.loads(json.dumps(room_to_file(kept(job, data, place))))


@pytest.mark.parametrize("name", PLACES)
def test_the_engine_reads_the_same_room(job, name):
    data = sample(name)
    assert read_room(round_trip(job, data, PLACES[name])) == read_room(data)


@pytest.mark.parametrize("name", PLACES)
def test_a_file_that_came_out_comes_out_again(job, name):
    once = round_trip(job, sample(name), PLACES[name])
    assert round_trip(job, once, "") == once


def test_every_key_that_the_format_knows_survives(job):
    data = one_wall(
        tiles={
            "small": {"width": "40", "height": 50, "thickness": "1/4", "size_spread": 0.3, "warp": "1/64", "turns": [0]}
        },
        joint_high="3 mm",
        pattern={"kind": "offset", "share": 0.25, "run": "stair", "axis": "columns"},
        edge_gap=0,
        enough=0.4,
        kerf=3,
        reuse="none",
        regrid="36 in",
        pin={"x": "tile-centered", "y": "-1/2"},
        setting={"coverage": 0.8, "back_butter": False, "trowel": "6 mm U"},
        surfaces=[
            {
                "id": "a wall",
                "name": "Wand Ä",
                "kind": "wall",
                "wet": True,
                "focal": True,
                "build_up": 14.5,
                "level": -12,
                "tile": "small",
                "joint": 1.5,
                "joint_high": 2.5,
                "edge_gap": "1/16",
                "pattern": {"kind": "stack", "axis": "columns"},
                "pin": {"x": 12, "y": "full-at-top"},
                "aim": [{"at": [250, "10 in"], "want": "joint-centered", "why": "valve"}],
                "outline": [[0, 0], [0, 500], [900, 500], [900, 0]],
                "openings": [
                    {
                        "id": "hole",
                        "outline": [[100, 100], [200, 100], [200, 200], [100, 200]],
                        "movable": {"x": [-5, 5]},
                    }
                ],
                "edges": {"top": {"gap": 4, "finish": "profile"}, "edge 0": {"hidden": True}},
                "joins": {"right": "b"},
            },
            {"id": "b", "kind": "wall", "outline": [[0, 0], [300, 0], [300, 500], [0, 500]]},
            {"id": "f", "kind": "floor", "outline": [[0, 0], [900, 0], [900, 300], [0, 300]]},
        ],
        corners=[{"first": "f.top", "second": "a wall.bottom", "soft": 3}],
    )
    out = round_trip(job, data)
    assert read_room(out) == read_room(data)
    assert out["surfaces"][0]["aim"][0]["at"] == ["250 mm", "254 mm"]
    assert out["tiles"]["small"]["width"] == "40 mm"


def test_a_room_whose_surfaces_bring_everything_themselves_survives(job):
    data = one_wall(tiles={"big": {"width": 200, "height": 300}})
    del data["tile"], data["joint"]
    data["surfaces"][0] |= {"tile": "big", "joint": 4}
    room = kept(job, data, "dry_wall")
    assert (room.tile.width, room.tile.thickness, room.joint) == (Decimal(200), None, Decimal(4))
    assert read_room(room_to_file(room)) == read_room(data)


def test_a_tile_named_in_the_list_of_tiles_is_the_rooms(job):
    data = one_wall(tiles={"Oyster": {"width": 200, "height": 300, "thickness": 9}}, tile="Oyster")
    room = kept(job, data, "dry_wall")
    assert (room.tile.name, room.tile.height) == ("Oyster", Decimal(300))
    assert read_room(room_to_file(room)) == read_room(data)


def test_keys_that_nobody_knows_survive_everywhere(job):
    data = one_wall(color_of_truck="green", corners=[])
    data["tile"]["lot"] = {"number": "7B"}
    data["pattern"] = {"kind": "stack", "share": "1/3", "mood": 3}
    data["surfaces"][0] |= {"photo": None, "openings": []}
    data["surfaces"].append({"id": "b", "kind": "wall", "outline": [[0, 0], [300, 0], [300, 500], [0, 500]]})
    data["surfaces"][0]["openings"] = [
        {"id": "hole", "outline": [[100, 100], [200, 100], [200, 200], [100, 200]], "from": "plumber"}
    ]
    data["corners"] = [{"first": "wall.right", "second": "b.left", "note": "not square"}]
    out = round_trip(job, data)
    assert out["color_of_truck"] == "green"
    assert out["tile"]["lot"] == {"number": "7B"}
    assert (out["pattern"]["mood"], out["pattern"]["share"]) == (3, "1/3")
    assert out["surfaces"][0]["photo"] is None
    assert out["surfaces"][0]["openings"][0]["from"] == "plumber"
    assert out["corners"][0]["note"] == "not square"


def test_fractions_are_kept_exactly(job):
    data = one_wall(units="in", joint="11/64")
    data["tile"] = {"width": "5' 0 1/64\"", "height": 12, "thickness": "3/8"}
    data["surfaces"][0]["build_up"] = 0.015625
    room = kept(job, data, "dry_wall")
    # An inch is 25.4 mm (international yard and pound agreement, 1959), 1/64 in 0.396875 mm.
    assert room.joint == Decimal("4.365625")
    assert room.tile.width == Decimal("1524.396875")
    assert room.surfaces.all()[0].build_up == Decimal("0.396875")


def test_bare_numbers_of_spread_warp_and_kerf_are_millimeters_in_an_inch_file(job):
    data = one_wall(units="in", kerf=2.5)
    data["tile"] = {"width": 12, "height": 12, "thickness": "3/8", "size_spread": 0.5, "warp": 1}
    room = kept(job, data, "dry_wall")
    assert (room.tile.size_spread, room.tile.warp, room.more["kerf"]) == (Decimal("0.5"), Decimal(1), "2.5 mm")


def test_a_tile_of_the_same_measures_is_the_same_tile(job):
    room_from_file(sample("mill-house-tub"), job=job, place="tub_surround")
    in_mm = {"width": 149.225, "height": 149.225, "thickness": "5/16 in", "edge": "calibrated", "per_box": 44}
    assert tile_from_file(in_mm, units="mm") == Tile.objects.get()
    assert tile_from_file({**in_mm, "name": "White field"}, units="mm").name == "White field"
    assert (
        tile_from_file({**in_mm, "per_box": 40}, units="mm").name
        == "149.2 mm \N{MULTIPLICATION SIGN} 149.2 mm, calibrated"
    )
    assert Tile.objects.count() == 3


def test_surfaces_keep_their_rows_by_their_ids(job):
    room = room_from_file(sample("quarry-lane-shower"), job=job, place="shower")
    before = {surface.key: surface.pk for surface in room.surfaces.all()}
    data = sample("quarry-lane-shower")
    data["surfaces"] = [data["surfaces"][1], {**data["surfaces"][0], "id": "new"}]
    data["surfaces"][0]["joins"] = {}
    data["surfaces"][1]["joins"] = {}
    write_room(room_with_parts(room), data)
    after = {surface.key: surface.pk for surface in Surface.objects.filter(room=room)}
    assert after["back"] == before["back"]
    assert set(after) == {"back", "new"}


@pytest.mark.parametrize(
    ("place", "surface", "why"),
    [
        ("dry_floor", "wall", "floor"),
        ("wet_floor", "wall", "floor"),
        ("tub_surround", "floor", "wall"),
        ("attic", "wall", "one of"),
    ],
)
def test_a_place_and_its_surfaces_have_to_agree(job, place, surface, why):
    data = one_wall()
    data["surfaces"][0]["kind"] = surface
    with pytest.raises(RoomError, match=why) as error:
        room_from_file(data, job=job, place=place)
    assert error.value.place == "place"
