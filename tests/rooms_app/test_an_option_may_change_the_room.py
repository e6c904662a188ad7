"""An option that moves an opening, tunes the joint or turns the tile says so, and all that follows from it knows."""

import re
from decimal import Decimal

import pytest
from django.urls import reverse

import layout
from layout.verify import faults
from rooms.actions import choose_layout, import_room
from rooms.chosen import chosen_room
from rooms.files import layout_input
from rooms.laying import lay
from rooms.models import Room
from rooms.queries import current_layout, is_stale, room_with_parts
from rooms.sheet import sheet_of
from rooms.specification import specification_of
from shop.templatetags.look import fractions
from tests.rooms_app.files import changeable, option_that

pytestmark = pytest.mark.django_db

KINDS = ("openings", "joint", "turned")


@pytest.fixture
def room(job, owner):
    return import_room(job=job, data=changeable(), place="shower", by=owner)


@pytest.fixture
def choose(room, owner):
    """Chooses the option that makes this change; the layout."""

    def act(change):
        laid = lay(layout_input(room_with_parts(room), units="in"))
        return choose_layout(room=room, option=option_that(laid.result, change), why="", by=owner)

    return act


# By hand: the niche is 13 x 15 in and stands 18 in from the left and 42 in up; 42 and 2 13/16 are 44 13/16.
SAID = {
    "openings": 'Niche on Back wall moved 2 13/16" up: now 18" from the left, 44 13/16" from the bottom.',
    "joint": 'Joint 5/32" everywhere instead of 1/8".',
    "turned": 'Tile hung turned: 23 5/8" wide, 11 13/16" high.',
}


@pytest.mark.parametrize("change", KINDS)
def test_it_is_said_in_plain_words(choose, change):
    chosen = choose(change)
    assert chosen_room(chosen).texts() == [SAID[change]]
    assert sheet_of(chosen).changes == (SAID[change],)


@pytest.mark.parametrize("change", KINDS)
def test_the_pages_say_it(as_owner, as_installer, choose, room, change):
    choose(change)
    for client, name, heading in (
        (as_owner, "layout", "Changed for this layout"),
        (as_owner, "sheet", "Not as measured"),
        (as_installer, "sheet", "Not as measured"),
        (as_owner, "detail", "The chosen layout changes this"),
        (as_installer, "detail", "The chosen layout changes this"),
    ):
        text = client.get(reverse(f"rooms:{name}", args=[room.pk])).text
        assert heading in text
        assert fractions(SAID[change]) in text


def test_where_nothing_is_changed_nothing_is_said(as_owner, room, owner):
    chosen = choose_layout(room=room, option=1, why="", by=owner)
    assert "changes" not in chosen.result["options"][0]
    assert chosen_room(chosen).room == chosen_room(chosen).measured == layout.read_room(chosen.input)
    for name in ("layout", "sheet", "detail"):
        text = as_owner.get(reverse(f"rooms:{name}", args=[room.pk])).text
        assert "Not as measured" not in text
        assert "The chosen layout changes this" not in text


@pytest.mark.parametrize("change", KINDS)
def test_what_is_kept_is_the_room_as_it_will_be_set(choose, room, change):
    """The judge, who shares no code with the solver, works from what was stored."""
    chosen = choose(change)
    assert faults(layout.read_room(chosen.input), chosen.result) == []
    assert chosen.input == layout_input(room_with_parts(room), units="in"), "what was measured stays as it was"
    assert not is_stale(room_with_parts(room), chosen)


def test_the_stored_room_is_the_one_that_the_engine_laid_out(choose, room):
    for change in KINDS:
        chosen = choose(change)
        laid = lay(chosen.input, option=chosen.option)
        assert chosen_room(chosen).room == laid.as_set().room
        assert chosen_room(chosen).room != chosen_room(chosen).measured


def test_the_sheet_names_the_joint_and_the_tile_as_they_will_be_set(choose):
    assert (sheet_of(choose("openings")).joint, sheet_of(choose("openings")).joint_high) == ('1/8"', '3/16"')
    assert (sheet_of(choose("joint")).joint, sheet_of(choose("joint")).joint_high) == ('5/32"', '3/16"')
    turned = sheet_of(choose("turned"))
    assert turned.tile.endswith('hung turned: 23 5/8" wide, 11 13/16" high')
    # Nothing cut out of a turned tile is larger than the tile as it hangs.
    sides = [(cut.width, cut.height) for tile in turned.tiles for cut in tile.cuts]
    assert sides
    assert not any(height.startswith("23") for _width, height in sides)


def test_the_layout_page_names_the_joint_of_the_option_that_it_shows(as_owner, room):
    laid = lay(layout_input(room_with_parts(room), units="in"))
    address = reverse("rooms:layout", args=[room.pk])
    joints = {}
    for option in (1, option_that(laid.result, "joint")):
        joints[option] = as_owner.get(address, {"option": option}).context["joint"]
    # 1/8 in and 5/32 in, in mm.
    assert list(joints.values()) == [Decimal("3.175"), Decimal("3.96875")]


def test_the_drawing_shows_the_niche_where_it_will_be(choose, owner, room):
    def niche(chosen):
        (svg,) = [each["svg"] for each in chosen.drawings if each["id"] == "back"]
        (path,) = re.findall(r'<path[^>]* class="open"[^>]*>|<path class="open"[^>]*>', svg)
        return [float(figure) for figure in re.findall(r"-?[0-9.]+", re.search(r' d="([^"]+)"', path)[1])]

    as_measured, moved = niche(choose_layout(room=room, option=1, why="", by=owner)), niche(choose("openings"))
    apart = {round(before - after, 1) for before, after in zip(as_measured, moved, strict=True)} - {0.0}
    # 2 13/16 in of a wall that is 96 in high; the wall is fitted into 420 units of height, and drawn to a tenth of one.
    assert apart
    assert all(abs(figure - 2.8125 / 96 * 420) <= 0.1001 for figure in apart)


def test_a_tuned_joint_decides_what_is_checked(choose, room, owner):
    """Lippage and joint widths are judged by the joint that is set, not by the one that was planned."""
    fresh = room_with_parts(room)
    assert specification_of(fresh).joint_mm == Decimal("3.175")
    assert specification_of(fresh, choose("openings")).joint_mm == Decimal("3.175")
    assert specification_of(fresh, choose("joint")).joint_mm == Decimal("3.96875")
    tile = specification_of(fresh, choose("turned"))
    assert (tile.tile_longest_edge_mm, tile.joint_mm) == (Decimal("600.075"), Decimal("3.175"))


def test_a_surface_with_a_joint_of_its_own_keeps_it(job, owner):
    data = changeable()
    data["surfaces"][1]["joint"] = "1/16"
    room = import_room(job=job, data=data, place="shower", by=owner)
    laid = lay(layout_input(room_with_parts(room), units="in"))
    chosen = choose_layout(room=room, option=option_that(laid.result, "joint"), why="", by=owner)
    (text,) = chosen_room(chosen).texts()
    assert "Back wall" in text
    assert "everywhere" not in text
    assert "left" not in text
    # 1/16 in: the narrowest joint of the room is still that one.
    assert specification_of(room_with_parts(room), chosen).joint_mm == Decimal("1.5875")


def test_two_niches_are_told_apart(job, owner):
    data = changeable()
    niche = data["surfaces"][0]["openings"][0]
    second = {"id": "soap", "kind": "niche", "outline": [[40, 20], [50, 20], [50, 30], [40, 30]]}
    data["surfaces"][0]["openings"] = [{**niche, "id": "shampoo"}, second]
    room = import_room(job=job, data=data, place="shower", by=owner)
    laid = lay(layout_input(room_with_parts(room), units="in"))
    shown = lay(laid.data, option=option_that(laid.result, "openings"))
    (text,) = shown.as_set().texts()
    assert text.startswith("Shampoo on Back wall moved ")


def test_a_room_measured_anew_says_only_that(as_owner, choose, room):
    choose("openings")
    Room.objects.filter(pk=room.pk).update(joint=4)
    text = as_owner.get(reverse("rooms:detail", args=[room.pk])).text
    assert "measured anew" in text
    assert "The chosen layout changes this" not in text


def test_a_choice_of_an_engine_that_knew_no_changes_is_read_as_before(room, owner):
    chosen = choose_layout(room=room, option=1, why="", by=owner)
    old = current_layout(room)
    old.result["options"][0].pop("changes", None)
    old.engine_version = "0.1.0"
    assert sheet_of(old) == sheet_of(chosen)
