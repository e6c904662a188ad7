"""A room wears as many tiles as it has: each with its surfaces, joint and pattern, into the file and back."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

import layout
from jobs.models import Stage
from rooms.actions import choose_layout, import_room
from rooms.files import layout_input, room_to_file
from rooms.materials import asked_for
from rooms.models import Surface, Tile
from rooms.queries import current_layout, is_stale, room_with_parts
from rooms.specification import specification_of
from rooms.tiles.keeping import save_tile
from rooms.tiles.worn import named_tile, room_tile
from rooms.watching import known_of
from tests.factories import JobFactory, RoomFactory, SurfaceFactory, TileFactory, rectangle
from trade.lengths import inches
from trade.shop_limits import DEFAULTS

pytestmark = pytest.mark.django_db


@pytest.fixture
def mosaic(db):
    """A 2 x 2 in mosaic, by its single piece."""
    return TileFactory(
        name="White 2 x 2",
        width=inches(2),
        height=inches(2),
        thickness=inches("1/4"),
        edge="natural",
        per_box=None,
        mosaic=True,
        friction=Decimal("0.55"),
        absorption=Decimal("0.3"),
    )


@pytest.fixture
def shower(job):
    room = RoomFactory(job=job, walls=False)
    SurfaceFactory(room=room, key="back", outline=rectangle(Decimal(24), Decimal(48)))
    SurfaceFactory(room=room, key="left", position=1, outline=rectangle(Decimal(18), Decimal(48)))
    SurfaceFactory(room=room, key="floor", kind="floor", position=2, outline=rectangle(Decimal(24), Decimal(18)))
    return room


def page_of(room, tile=""):
    return reverse("rooms:room_tile", args=[room.pk]) + (f"?tile={tile}" if tile else "")


def add(client, room, tile, **changes):
    sent = {"name": "Floor mosaic", "tile": tile.pk, "surfaces": ["floor"], "joint": "1/8", "pattern": "stack"}
    return client.post(page_of(room), sent | changes)


def test_one_more_tile_goes_into_the_file_and_the_engine_follows(as_office, owner, shower, mosaic):
    assert add(as_office, shower, mosaic).status_code == 302
    room = room_with_parts(shower)
    data = room_to_file(room)
    assert data["tiles"]["Floor mosaic"]["name"] == "White 2 x 2"
    floor = next(each for each in data["surfaces"] if each["id"] == "floor")
    assert (floor["tile"], floor["joint"], floor["pattern"]) == ("Floor mosaic", "3.175 mm", {"kind": "stack"})
    engines = {each.id: each.tile for each in layout.read_room(layout_input(room, units="in")).surfaces}
    assert (engines["floor"].name, round(engines["floor"].width, 1)) == ("Floor mosaic", 50.8)
    assert engines["back"].name == "tile"
    chosen = choose_layout(room=room, option=1, why="", by=owner)
    lines = [line for line in chosen.takeoff["lines"] if line["key"] == "tile"]
    # 24 x 18 in of 2 in tile and 1/8 in joints: 11 columns and 8 full courses at least; arithmetic.
    counts = {line["tile"]: line["quantity"] for line in lines}
    assert counts["Floor mosaic"] >= 11 * 8
    assert set(counts) == {"tile", "Floor mosaic"}


def test_a_file_with_two_tiles_comes_out_as_it_went_in(as_office, owner, shower, mosaic):
    add(as_office, shower, mosaic)
    data = room_to_file(room_with_parts(shower))
    again = import_room(job=JobFactory(), data=data, by=owner)
    assert room_to_file(room_with_parts(again)) == data


def test_what_its_data_sheet_says_counts(as_office, shower, mosaic):
    room = room_with_parts(shower)
    spec = specification_of(room)
    assert (spec.mosaic, known_of(room, spec).friction) == (False, None)
    add(as_office, shower, mosaic)
    room = room_with_parts(shower)
    spec = specification_of(room)
    assert (spec.mosaic, known_of(room, spec).friction) == (True, Decimal("0.55"))
    # The largest tile still decides flatness and offset.
    assert spec.tile_longest_edge_mm == room.tile.height
    trowels = {
        each.heading: next(line.text for line in each.lines if line.name == "Trowel")
        for each in asked_for(room, None, unit="in", limits=DEFAULTS)
    }
    # engineerfix.com, trowel for wall tile: mosaic 3/16 in or 1/4 in V.
    assert trowels["Floor"].startswith("3/16 in V")
    assert trowels["Walls"].startswith("1/2 x 1/2 in square")


def test_it_is_changed_and_taken_out_again(as_office, shower, mosaic):
    add(as_office, shower, mosaic)
    form = as_office.get(page_of(shower, "Floor mosaic")).context["form"]
    assert (form["surfaces"].value(), form["joint"].value(), form["pattern"].value()) == (["floor"], '1/8"', "stack")
    sent = {"name": "Liner", "tile": "", "surfaces": ["left"], "joint": "", "pattern": ""}
    assert as_office.post(page_of(shower, "Floor mosaic"), sent).status_code == 302
    more = dict(Surface.objects.filter(room=shower).values_list("key", "more"))
    assert (more["floor"], more["left"]) == ({}, {"tile": "Liner"})
    assert named_tile(room_with_parts(shower), "Liner").width == mosaic.width
    assert as_office.post(page_of(shower, "Liner"), {"remove": ""}).status_code == 302
    room = room_with_parts(shower)
    assert room.more.get("tiles") == {}
    assert all("tile" not in each.more for each in room.surfaces.all())


def test_the_page_shows_what_wears_what(as_office, as_installer, shower, mosaic):
    add(as_office, shower, mosaic)
    for browser in (as_office, as_installer):
        text = browser.get(reverse("rooms:room_tiles", args=[shower.pk])).text
        assert "Floor mosaic" in text
        assert "Field tile" in text
    assert page_of(shower, "") not in as_installer.get(reverse("rooms:room_tiles", args=[shower.pk])).text
    assert "White 2 x 2" in as_installer.get(reverse("rooms:detail", args=[shower.pk])).text


def test_two_tiles_have_two_names(as_office, shower, mosaic):
    add(as_office, shower, mosaic)
    answer = add(as_office, shower, mosaic, surfaces=["left"])
    assert answer.status_code == 422
    assert "has a tile for Floor mosaic already" in answer.text
    assert answer.context["form"]["surfaces"].value() == ["left"]


@pytest.mark.parametrize("name", ["tile", "Gray 12 x 24, rectified"])
def test_no_further_tile_has_the_name_of_the_rooms_own(as_office, shower, mosaic, name):
    # The engine and the estimate know the room's own tile by these.
    assert add(as_office, shower, mosaic, name=name).status_code == 422


def test_surfaces_that_are_laid_differently_stay_so(as_office, shower, mosaic):
    add(as_office, shower, mosaic, surfaces=["floor", "left"])
    floor = Surface.objects.get(room=shower, key="floor")
    floor.more |= {"joint": "2 mm", "pattern": {"kind": "offset", "share": "2/5", "run": "stair"}}
    floor.save()
    before = room_to_file(room_with_parts(shower))
    form = as_office.get(page_of(shower, "Floor mosaic")).context["form"]
    assert (form["joint"].value(), form["pattern"].value()) == (None, "")
    sent = {"name": "Floor mosaic", "tile": "", "surfaces": ["floor", "left"], "joint": "", "pattern": ""}
    assert as_office.post(page_of(shower, "Floor mosaic"), sent).status_code == 302
    assert room_to_file(room_with_parts(shower)) == before
    as_office.post(page_of(shower, "Floor mosaic"), sent | {"joint": "1/16"})
    joints = {each.key: each.more["joint"] for each in shower.surfaces.exclude(key="back")}
    assert joints == {"floor": "1.5875 mm", "left": "1.5875 mm"}


def test_what_cant_be_read_stands_as_typed(as_office, shower, mosaic):
    answer = add(as_office, shower, mosaic, joint="thin")
    assert answer.status_code == 422
    assert 'value="thin"' in answer.text
    assert room_with_parts(shower).more == {}


def test_what_cant_be_laid_is_said(as_office, shower, mosaic):
    # A herringbone takes a tile longer than wide: the engine refuses.
    answer = add(as_office, shower, mosaic, pattern="herringbone")
    assert answer.status_code == 422
    assert answer.context["form"].non_field_errors()


def test_a_locked_room_refuses(as_office, shower, mosaic):
    type(shower.job).objects.filter(pk=shower.job_id).update(stage=Stage.LOST)
    assert "Take it up again first" in as_office.get(page_of(shower)).text
    answer = add(as_office, shower, mosaic)
    assert answer.status_code == 422
    assert room_with_parts(shower).more == {}


def test_the_box_measures_the_named_tile(as_office, shower, mosaic):
    add(as_office, shower, mosaic)
    address = reverse("rooms:box", args=[shower.pk]) + "?tile=Floor+mosaic"
    sent = {"typed_in": "in", "take": ""}
    for number, width in enumerate(("2", "2", "2", "2", "2 1/32")):
        sent |= {f"width-{number}": width, f"height-{number}": "2", f"bow-{number}": "0.1"}
    assert as_office.post(address, sent).status_code == 302
    room = room_with_parts(shower)
    tile = named_tile(room, "Floor mosaic")
    assert (tile.size_spread, tile.warp) == (inches("1/32"), Decimal("0.1"))
    assert room_tile(room).size_spread is None
    assert as_office.get(reverse("rooms:box", args=[shower.pk]) + "?tile=Nothing").status_code == 404


def test_a_bad_data_sheet_in_a_file_is_refused_where_it_is(as_office, owner, shower, mosaic):
    add(as_office, shower, mosaic)
    data = room_to_file(room_with_parts(shower))
    for key, value in (("friction", 3), ("absorption", "wet"), ("glass", "yes"), ("ribs", -1)):
        raw = data["tiles"]["Floor mosaic"]
        bad = {**data, "tiles": {"Floor mosaic": {**raw, "data_sheet": {key: value}}}}
        with pytest.raises(layout.RoomError) as refused:
            import_room(job=JobFactory(), data=bad, by=owner)
        assert refused.value.place == f"tiles.Floor mosaic.data_sheet.{key}"


def test_many_tiles_take_no_more_queries(as_office, shower, mosaic):
    address = reverse("rooms:room_tiles", args=[shower.pk])

    def count():
        with CaptureQueriesContext(connection) as queries:
            assert as_office.get(address).status_code == 200
        return len(queries)

    add(as_office, shower, mosaic)
    count()
    few = count()
    for number in range(4):
        add(as_office, shower, mosaic, name=f"Liner {number}", surfaces=[])
    assert count() == few


def test_a_change_in_the_shops_list_changes_no_room(owner, shower):
    room = shower
    choose_layout(room=room, option=1, why="", by=owner)
    before = room_to_file(room_with_parts(room))
    save_tile(tile=room.tile, values={"width": inches(13), "warp": Decimal(1)}, by=owner)
    now = room_with_parts(room)
    assert room_to_file(now) == before
    assert not is_stale(now, current_layout(room))
    assert Tile.objects.get(pk=room.tile_id).width == inches(13)
    # Changed back, the room says nothing of its own any more.
    save_tile(tile=room.tile, values={"width": inches("189/16"), "warp": None}, by=owner)
    assert room_with_parts(room).more.get("tile", {}) == {}
