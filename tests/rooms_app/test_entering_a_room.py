"""Measuring a room into the form: no script, nothing lost, and errors that say what to type."""

from decimal import Decimal

import pytest
from django.urls import reverse

from jobs.models import Stage
from rooms.entry import RoomEntry, fits_the_page, grown, state_of_shape
from rooms.models import Room, Tile
from rooms.shapes import BY_KEY
from shop.models import ShopSettings
from tests.factories import TileFactory
from tests.rooms_app.pages import fields_of

pytestmark = pytest.mark.django_db

NEW_TILE = {
    "tile-tile": "",
    "tile-width": "11 13/16",
    "tile-height": '23 5/8"',
    "tile-thickness": "3/8",
    "tile-edge": "rectified",
    "tile-per_box": "8",
}


@pytest.fixture
def address(job):
    return reverse("rooms:new", args=[job.pk])


@pytest.fixture
def start(as_owner, address):
    """The fields of a new page of this shape."""

    def fields(shape):
        return fields_of(as_owner.get(address, {"shape": shape}).text)

    return fields


@pytest.fixture
def shower(start):
    """A three-wall shower, filled in."""
    typed = {
        **start("shower"),
        **NEW_TILE,
        "room-name": "Upstairs shower",
        "room-joint": "1/8",
        "room-joint_high": "3/16",
    }
    typed |= {"room-pattern": "1/3"}
    for index, width in enumerate(("36", "5' 3 1/2\"", "914.4 mm")):
        typed |= {f"surface-{index}-width": width, f"surface-{index}-height": "8'", f"surface-{index}-build_up": "9/16"}
    return typed


def test_first_comes_the_question_what_it_is_like(as_owner, address, job):
    text = as_owner.get(address).text
    for shape in BY_KEY:
        assert f'href="?shape={shape}"' in text
    assert reverse("rooms:upload", args=[job.pk]) in text
    assert as_owner.get(address, {"shape": "cave"}).text.count('href="?shape=') == len(BY_KEY)


def test_a_shower_becomes_a_room_with_three_walls_and_two_corners(as_owner, address, shower, job):
    answer = as_owner.post(address, {**shower, "save": ""})
    room = Room.objects.get()
    assert answer.url == reverse("rooms:layout", args=[room.pk])
    assert (room.job, room.name, room.place) == (job, "Upstairs shower", "shower")
    assert (room.pattern, room.share_of, room.share_in, room.run) == ("offset", 1, 3, "alternate")
    assert (room.joint, room.joint_high) == (Decimal("3.175"), Decimal("4.7625"))
    walls = list(room.surfaces.all())
    assert [wall.key for wall in walls] == ["left", "back", "right"]
    # 36 in, 63 1/2 in and 36 in by 96 in, in mm.
    assert [wall.outline[2] for wall in walls] == [
        [Decimal("914.4"), Decimal("2438.4")],
        [Decimal("1612.9"), Decimal("2438.4")],
        [Decimal("914.4"), Decimal("2438.4")],
    ]
    assert all(wall.wet and wall.build_up == Decimal("14.2875") for wall in walls)
    assert [(c.first.key, c.first_side, c.second.key, c.second_side) for c in room.corners.all()] == [
        ("back", "left", "left", "right"),
        ("back", "right", "right", "left"),
    ]
    tile = Tile.objects.get()
    assert (tile.width, tile.height, tile.edge, tile.per_box) == (
        Decimal("300.0375"),
        Decimal("600.075"),
        "rectified",
        8,
    )
    assert room.events.first().pgh_context.metadata["user"]


def test_one_of_the_shops_tiles_is_picked(as_owner, address, shower):
    tile = TileFactory(name="Slate, sawn")
    typed = {**shower, "tile-tile": str(tile.pk), "tile-width": "nonsense", "tile-height": "", "save": ""}
    assert as_owner.post(address, typed).status_code == 302
    assert Room.objects.get().tile == tile
    assert Tile.objects.count() == 1


def test_sent_twice_it_is_one_room(as_owner, address, shower):
    answers = [as_owner.post(address, {**shower, "save": ""}) for _ in range(2)]
    assert answers[0].url == answers[1].url
    assert Room.objects.count() == 1


def test_an_opening_is_added_without_losing_or_complaining(as_owner, address, shower):
    answer = as_owner.post(address, {**shower, "surface-1-width": "not yet", "room-name": "", "add": "opening:1"})
    assert answer.status_code == 200
    typed = fields_of(answer.text)
    assert typed["surface-1-openings"] == "1"
    assert (typed["surface-1-width"], typed["surface-0-width"], typed["tile-height"]) == ("not yet", "36", '23 5/8"')
    assert typed["surface-0-wet"] == "on"
    assert "surface-2-focal" not in typed
    assert 'class="errors"' not in answer.text
    assert not Room.objects.exists()


def test_an_opening_is_measured_from_the_lower_left(as_owner, address, shower):
    typed = fields_of(as_owner.post(address, {**shower, "add": "opening:1"}).text)
    at = "surface-1-opening-0"
    typed |= {f"{at}-left": "18", f"{at}-bottom": "42", f"{at}-width": "14", f"{at}-height": "1' 2\"", "save": ""}
    assert as_owner.post(address, typed).status_code == 302
    (opening,) = Room.objects.get().surfaces.get(key="back").openings.all()
    assert (opening.key, opening.kind) == ("niche", "niche")
    inches = [[x / Decimal("25.4"), y / Decimal("25.4")] for x, y in opening.outline]
    assert inches == [[18, 42], [32, 42], [32, 56], [18, 56]]


def test_a_removed_wall_takes_its_corners_along_and_the_rest_moves_up(as_owner, address, shower):
    typed = fields_of(as_owner.post(address, {**shower, "remove": "surface:0"}).text)
    assert (typed["surfaces"], typed["corners"]) == ("2", "1")
    assert (typed["surface-0-name"], typed["surface-1-name"]) == ("Back wall", "Right wall")
    assert (typed["corner-0-left"], typed["corner-0-right"], typed["corner-0-first"]) == ("0", "1", "left")
    assert as_owner.post(address, {**typed, "save": ""}).status_code == 302
    (corner,) = Room.objects.get().corners.all()
    assert (corner.first.key, corner.second.key) == ("back", "right")


def test_walls_floors_corners_and_openings_come_and_go(as_owner, address, shower):
    typed = shower
    for what in ("surface:wall", "surface:floor", "corner", "opening:3"):
        typed = fields_of(as_owner.post(address, {**typed, "add": what}).text)
    assert (typed["surfaces"], typed["corners"], typed["surface-3-openings"]) == ("5", "3", "1")
    assert (typed["surface-3-kind"], typed["surface-4-kind"]) == ("wall", "floor")
    for what in ("opening:3:0", "corner:2", "surface:4", "surface:3"):
        typed = fields_of(as_owner.post(address, {**typed, "remove": what}).text)
    del typed["csrfmiddlewaretoken"], shower["csrfmiddlewaretoken"]
    assert typed == shower


@pytest.mark.parametrize(
    "what", ["opening:9", "opening:x", "surface:cave", "", ":", "corner:0:0:0", "opening:-1", "surface:²"]
)
def test_buttons_that_no_page_has_change_nothing(as_owner, address, shower, what):
    assert fields_of(as_owner.post(address, {**shower, "add": what}).text)["surfaces"] == "3"
    assert fields_of(as_owner.post(address, {**shower, "remove": f"x{what}"}).text)["surfaces"] == "3"


@pytest.mark.parametrize("count", ["-1", "9999999999", "x", "²", "61"])
def test_made_up_counts_are_not_believed(as_owner, address, shower, count):
    answer = as_owner.post(address, {**shower, "surfaces": count, "add": "corner"})
    assert answer.status_code == 200
    assert len(answer.context["entry"].surfaces) <= 60


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("surface-1-width", "63 1/0", "divides by zero"),
        ("surface-1-width", "sixty", "Type it like 63 1/2"),
        ("surface-1-width", "-60", "more than 0"),
        ("surface-1-width", "0", "more than 0"),
        ("surface-1-width", "1e309", "can't be read"),
        ("surface-1-width", "NaN", "can't be read"),
        ("surface-1-width", "9999999", "longer than 1 km"),
        ("surface-1-width", "5' 14\"", "6' 2"),
        ("surface-1-width", "", "required"),
        ("room-joint", "12", "304.8 mm"),
        ("room-joint", "1/32\0", "can't"),
        ("room-joint_high", "1/16", "below the joint"),
        ("room-name", " ", "required"),
        ("room-place", "dry_floor", "add the floor"),
        ("room-place", "attic", "not one of the available choices"),
        ("tile-width", "", "pick one of the shop"),
        ("tile-width", "1/8", "sheet it comes on"),
        ("tile-per_box", "0", "greater than or equal to 1"),
        ("tile-size_spread", "-1", "can't be negative"),
        ("tile-size_spread", "1/2", "in millimeters"),
        ("tile-size_spread", '1"', "in millimeters"),
        ("tile-warp", "1 in", "in millimeters"),
        ("corner-0-left", "1", "between two walls"),
        ("corner-0-left", "", "required"),
    ],
)
def test_what_is_wrong_is_said_beside_its_field_and_what_was_typed_stays(as_owner, address, shower, field, typed, says):
    answer = as_owner.post(address, {**shower, field: typed, "save": ""})
    assert answer.status_code == 200
    assert fields_of(answer.text)["surface-2-width"] == "914.4 mm"
    found = {bound.html_name: list(bound.errors) for _, form in answer.context["entry"].named_forms for bound in form}
    wrong = {name: errors for name, errors in found.items() if errors}
    expected = "corner-0-right" if says == "between two walls" else field
    assert expected in wrong, wrong
    assert says in " ".join(wrong[expected])
    assert f'href="#id_{expected}"' in answer.text
    assert not Room.objects.exists()


def test_an_opening_outside_is_said_beside_the_opening(as_owner, address, shower):
    typed = fields_of(as_owner.post(address, {**shower, "add": "opening:0"}).text)
    at = "surface-0-opening-0"
    typed |= {f"{at}-left": "30", f"{at}-bottom": "42", f"{at}-width": "14", f"{at}-height": "14", "save": ""}
    entry = as_owner.post(address, typed).context["entry"]
    assert "reaches outside" in entry.surfaces[0].openings[0].form.errors["left"][0]


def test_a_corner_that_two_walls_share_twice_is_refused(as_owner, address, shower):
    typed = fields_of(as_owner.post(address, {**shower, "add": "corner"}).text)
    typed |= {"corner-2-left": "0", "corner-2-right": "2", "corner-2-first": "left", "save": ""}
    entry = as_owner.post(address, typed).context["entry"]
    assert "already has a corner" in entry.non_field_errors()[0]


def test_a_room_of_nothing_is_refused(as_owner, address, start):
    typed = fields_of(as_owner.post(address, {**start("floor"), "remove": "surface:0"}).text)
    typed |= NEW_TILE | {"room-name": "Hall", "room-joint": "1/8", "save": ""}
    assert "at least one wall or floor" in as_owner.post(address, typed).text
    assert not Room.objects.exists()


def test_walls_without_build_up_join_by_name(as_owner, address, shower):
    typed = shower | {"corner-0-first": "joins", "corner-1-first": "joins", "surface-1-build_up": "", "save": ""}
    assert as_owner.post(address, typed).status_code == 302
    joins = {wall.key: wall.more.get("joins") for wall in Room.objects.get().surfaces.all()}
    assert joins == {"left": {"right": "back"}, "back": {"left": "left", "right": "right"}, "right": {"left": "back"}}


def test_a_shop_that_works_in_millimeters_types_bare_millimeters(as_owner, address, start):
    ShopSettings.objects.create(units="mm")
    typed = {**start("floor"), **NEW_TILE, "tile-width": "597", "tile-height": "597", "tile-thickness": "9,5"}
    typed |= {"room-name": "Hall", "room-joint": "3", "surface-0-width": "4210", "surface-0-height": "1/2", "save": ""}
    assert as_owner.post(address, typed).status_code == 302
    room = Room.objects.get()
    assert (room.joint, room.tile.thickness) == (Decimal(3), Decimal("9.5"))
    # A fraction is in inches whatever the shop's units are.
    assert room.surfaces.get().outline[2] == [Decimal(4210), Decimal("12.7")]
    assert room.more["units"] == "mm"


def test_a_new_room_of_a_job_in_pricing_sends_it_back_to_measuring(as_owner, address, shower, job, room, owner):
    from rooms.actions import choose_layout

    choose_layout(room=room, option=1, why="", by=owner)
    job.refresh_from_db()
    assert job.stage == Stage.PRICING
    as_owner.post(address, {**shower, "save": ""})
    job.refresh_from_db()
    assert job.stage == Stage.MEASURING
    assert [each.position for each in job.rooms.all()] == [0, 1]


def test_the_page_never_grows_beyond_what_can_be_sent_back(settings):
    state = state_of_shape(BY_KEY["wall"], unit="in")
    for number in range(120):
        for what in ("surface:wall", f"opening:{number}", f"opening:{number}", "corner"):
            state, _focus = grown(state, what, unit="in")
    assert fits_the_page(state)
    entry = RoomEntry(state, unit="in")
    fields = sum(len(form.fields) for _name, form in entry.named_forms)
    counts = 2 * len(entry.surfaces) + 2
    # With the token, the key and the button.
    assert 800 < fields + counts + 3 < settings.DATA_UPLOAD_MAX_NUMBER_FIELDS
