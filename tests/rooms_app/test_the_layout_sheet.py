"""The sheet shows what was chosen, every piece that has to be cut, and stays as it was."""

import re
from fractions import Fraction

import pytest
from django.urls import reverse

from rooms.actions import choose_layout, import_room
from rooms.models import Room
from rooms.sheet import sheet_of
from tests.rooms_app.files import one_wall, sample

pytestmark = pytest.mark.django_db


def sheet(room):
    return reverse("rooms:sheet", args=[room.pk])


@pytest.fixture
def floor(job, owner):
    return import_room(job=job, data=sample("station-hall-floor"), place="dry_floor", by=owner)


@pytest.mark.parametrize("who", ["as_owner", "as_office", "as_installer"])
def test_without_a_layout_it_says_who_chooses_one(request, room, who):
    text = request.getfixturevalue(who).get(sheet(room)).text
    assert "No layout yet" in text
    assert (reverse("rooms:layout", args=[room.pk]) in text) == (who != "as_installer")


@pytest.mark.parametrize("who", ["as_owner", "as_installer"])
def test_it_shows_each_wall_its_lines_and_its_cuts(request, room, owner, who):
    layout = choose_layout(room=room, option=1, why="", by=owner)
    text = request.getfixturevalue(who).get(sheet(room)).text
    assert text.count("<svg") >= 3
    for surface in layout.result["options"][0]["surfaces"]:
        for line in surface["lines"]:
            assert line["from"] in text
    assert "Lines to snap" in text
    assert "silica" in text


def test_every_cut_piece_is_on_the_list_once(room, owner):
    layout = choose_layout(room=room, option=1, why="", by=owner)
    pieces = [piece for surface in layout.result["options"][0]["surfaces"] for piece in surface["pieces"]]
    cut = {piece["id"] for piece in pieces if piece["cut_share"] < 1 or len(piece["outline"]) > 4}
    names = {drawing["name"]: drawing["id"] for drawing in layout.drawings}
    made = sheet_of(layout)
    listed = [f"{names[each.surface]}:{each.course}:{each.column}" for tile in made.tiles for each in tile.cuts]
    without_number = sorted(":".join(key.split(":")[:3]) for key in cut)
    assert sorted(listed) == without_number
    assert made.cut == len(cut)
    assert sum(surface.whole for surface in made.surfaces) == made.whole


def test_a_wall_that_whole_tiles_fill_needs_no_cut(job, owner):
    # Counted by hand: 10 tiles of 100 mm and 9 joints of 2 mm are 1018 mm, 5 and 4 are 508 mm; no gap at the edges.
    data = one_wall(edge_gap=0)
    data["surfaces"][0]["outline"] = [[0, 0], [1018, 0], [1018, 508], [0, 508]]
    room = import_room(job=job, data=data, place="dry_wall", by=owner)
    made = sheet_of(choose_layout(room=room, option=1, why="", by=owner))
    assert (made.whole, made.cut, made.tiles, made.needed) == (50, 0, (), 50)


def test_the_size_of_a_cut_is_its_own(job, owner):
    # Counted by hand: 4 tiles and 3 joints of 2 mm are 406 mm; with a gap of 2 mm either side 440 leaves two cuts of
    # (436 - 3 * 102 - 2 * 2 + 2 ...): 436 = 2 * cut + 3 * 100 + 4 * 2, so each cut is 64 mm wide.
    data = one_wall(pin={"x": "tile-centered", "y": "full-at-bottom"})
    data["surfaces"][0]["outline"] = [[0, 0], [440, 0], [440, 104], [0, 104]]
    room = import_room(job=job, data=data, place="dry_wall", by=owner)
    layout = choose_layout(room=room, option=1, why="", by=owner)
    cuts = [cut for tile in sheet_of(layout).tiles for cut in tile.cuts]
    assert [cut.width for cut in cuts] == ['2 1/2"', '2 1/2"']


def test_it_stays_when_the_room_changes_and_says_so(as_installer, floor, owner):
    choose_layout(room=floor, option=1, why="", by=owner)
    before = as_installer.get(sheet(floor)).text
    Room.objects.filter(pk=floor.pk).update(joint=5)
    after = as_installer.get(sheet(floor)).text
    assert "Ask before you set by it" not in before
    assert "Ask before you set by it" in after
    drawings = re.compile(r"<svg.*?</svg>", re.DOTALL)
    assert drawings.findall(after) == drawings.findall(before)
    assert ">5 mm<" not in after


def test_prices_are_nowhere_on_it(as_installer, room, owner):
    choose_layout(room=room, option=1, why="", by=owner)
    for name in ("rooms:sheet", "rooms:detail"):
        text = as_installer.get(reverse(name, args=[room.pk])).text
        assert "$" not in text


def cuts_of(job, owner, **changes):
    room = import_room(job=job, data=one_wall(**changes), place="dry_wall", by=owner)
    layout = choose_layout(room=room, option=1, why="", by=owner)
    made = sheet_of(layout)
    return layout, made, [cut for tile in made.tiles for cut in tile.cuts]


def test_a_full_hexagon_is_no_cut(job, owner):
    layout, made, cuts = cuts_of(job, owner, pattern={"kind": "hex"})
    counts = layout.result["options"][0]["counts"]
    assert (made.cut, len(cuts)) == (counts["cut"], counts["cut"])
    assert sum(surface.whole for surface in made.surfaces) == counts["whole"] > 0


def test_a_cut_of_a_turned_pattern_is_measured_along_its_tile(job, owner):
    """A diagonal of 100 mm tiles: across its corners a tile takes 141 mm, but no piece is larger than 100 x 100 mm."""
    _layout, _made, cuts = cuts_of(job, owner, pattern={"kind": "diagonal"}, units="mm")
    inches = [[_inches(cut.width), _inches(cut.height)] for cut in cuts]
    # 100 mm are 3 15/16 in to the nearest 1/16.
    assert max(max(pair) for pair in inches) == 3.9375
    assert all(cut.angled and not cut.notched for cut in cuts), "every cut meets the wall at 45 degrees"


def test_straight_cuts_are_neither_angled_nor_notched(room, owner):
    cuts = [cut for tile in sheet_of(choose_layout(room=room, option=1, why="", by=owner)).tiles for cut in tile.cuts]
    assert cuts
    assert not any(cut.angled for cut in cuts)
    assert any(cut.notched for cut in cuts) == any(
        "niche" in o.kind for s in room.surfaces.all() for o in s.openings.all()
    )


def test_a_piece_that_runs_behind_the_next_wall_is_on_the_list(job, owner):
    """At a hidden edge a cut isn't seen, so the piece counts as a full one in the score; it is cut all the same."""
    data = one_wall(edge_gap=0, pin={"x": "full-at-left", "y": "full-at-bottom"})
    data["surfaces"][0] |= {
        "outline": [[0, 0], [254, 0], [254, 202], [0, 202]],
        "edges": {"right": {"hidden": True}},
    }
    room = import_room(job=job, data=data, place="dry_wall", by=owner)
    made = sheet_of(choose_layout(room=room, option=1, why="", by=owner))
    # By hand: two courses, each of two full tiles (0-100, 102-202) and one cut to 254 - 204 = 50 mm, 1 15/16 in.
    assert (made.whole, sum(surface.whole for surface in made.surfaces)) == (4, 4)
    assert [cut.width for tile in made.tiles for cut in tile.cuts] == ['1 15/16"'] * 2


def _inches(text):
    whole, _space, part = text.rstrip('"').rpartition(" ")
    return float(whole or 0) + float(Fraction(part))
