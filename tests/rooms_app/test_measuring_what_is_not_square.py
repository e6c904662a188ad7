"""Walls out of plumb, outlines side by side, openings from any corner: typed, kept, and shown as they were typed."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from layout import lay_out, read_room
from rooms.actions import import_room
from rooms.files import layout_input, room_to_file
from rooms.models import Room
from rooms.queries import room_with_parts
from tests.factories import TileFactory
from tests.rooms_app.files import one_wall
from tests.rooms_app.pages import fields_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def start(as_owner, job):
    """The fields of a new page of a shape, a tile picked; and what becomes of them when they are saved."""
    tile = str(TileFactory().pk)

    def fields(shape):
        text = as_owner.get(reverse("rooms:new", args=[job.pk]), {"shape": shape}).text
        return {**fields_of(text), "tile-tile": tile}

    return fields


@pytest.fixture
def save(as_owner, job):
    def saved(typed, address=None):
        answer = as_owner.post(address or reverse("rooms:new", args=[job.pk]), {**typed, "save": ""})
        assert answer.status_code == 302, answer.context["entry"].lacks()
        return room_with_parts(Room.objects.get())

    return saved


def inches(points):
    return [[round(float(part) / 25.4, 4) for part in point] for point in points]


def edit(room):
    return reverse("rooms:edit", args=[room.pk])


def test_a_wall_out_of_plumb_is_a_polygon_and_comes_back_as_typed(as_owner, start, save):
    typed = start("wall") | {"surface-0-width": "60", "surface-0-height": "96", "surface-0-right_height": "96 1/2"}
    typed |= {"surface-0-lean_left": "1/2", "surface-0-lean_right": "-1/4", "surface-0-middle": "59"}
    room = save(typed)
    # The middle, by plumb 59 5/8 in wide, bows in on the side that meets no wall.
    lower_left, lower_right, middle, top_right, top_left = inches(room.surfaces.all()[0].outline)
    assert (lower_left, lower_right) == ([0, 0], [60, 0])
    assert (top_left[0], top_right[0], middle[0]) == (0.5, 59.75, pytest.approx(59.25, abs=0.001))
    again = fields_of(as_owner.get(edit(room)).text)
    for name in ("width", "height", "right_height", "lean_left", "lean_right", "middle"):
        assert again[f"surface-0-{name}"].rstrip('"') == typed[f"surface-0-{name}"]
    before = room_to_file(room)
    save(again, edit(room))
    assert room_to_file(room_with_parts(room)) == before
    assert lay_out(read_room(layout_input(room, units="in"))).options


def test_a_shower_out_of_square_still_meets_in_its_corners(start, save):
    typed = start("shower")
    for index, width in enumerate(("36", "60", "36")):
        typed |= {f"surface-{index}-width": width, f"surface-{index}-height": "96", f"surface-{index}-build_up": "1/2"}
    room = save(typed | {"surface-1-top": "60 3/8", "surface-1-right_height": "96 1/4", "surface-1-middle": "61"})
    # Both sides of the back wall meet others: it stays a figure of four straight sides.
    assert len(room.surfaces.all()[1].outline) == 4
    assert lay_out(read_room(layout_input(room, units="in"))).options


def test_an_outline_side_by_side_comes_back_side_by_side(as_owner, start, save):
    typed = start("free")
    for number, length in enumerate(("36", "24", "24", "12")):
        typed[f"surface-0-leg-{number}-length"] = length
    # right 36, up 24, left 24, down 12: the last, left, isn't needed, as the way back closes by itself.
    room = save(typed)
    corners = [[0, 0], [36, 0], [36, 24], [12, 24], [12, 12]]
    assert inches(room.surfaces.all()[0].outline) == corners
    again = fields_of(as_owner.get(edit(room)).text)
    assert [again[f"surface-0-leg-{number}-way"] for number in range(4)] == ["right", "up", "left", "down"]
    assert again["surface-0-leg-1-length"] == '24"'
    again |= {"surface-0-leg-0-way": "right up", "surface-0-leg-0-also": "6"}
    assert inches(save(again, edit(room)).surfaces.all()[0].outline)[1] == [36, 6]


def test_sides_come_and_go(as_owner, start, job):
    typed = start("free")
    address = reverse("rooms:new", args=[job.pk])
    more = fields_of(as_owner.post(address, {**typed, "add": "leg:0"}).text)
    assert more["surface-0-legs"] == "6"
    less = fields_of(as_owner.post(address, {**more, "remove": "leg:0"}).text)
    assert less["surface-0-legs"] == "5"


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"leg-0-way": "right up", "leg-0-length": "36"}, "how far up or down"),
        ({"leg-0-length": "36", "leg-0-also": "3"}, "also goes up or down"),
        ({"leg-0-also": "3"}, "Say how far"),
        ({}, "at least two sides"),
        ({"leg-0-length": "36", "leg-2-length": "36"}, "at least three points"),
        ({"leg-0-length": "a yard"}, "can't be read"),
    ],
)
def test_a_side_that_cannot_be_is_told(as_owner, start, job, typed, says):
    typed = start("free") | {f"surface-0-{name}": text for name, text in typed.items()}
    entry = as_owner.post(reverse("rooms:new", args=[job.pk]), {**typed, "save": ""}).context["entry"]
    assert says in " ".join(entry.lacks())


def test_openings_are_measured_from_any_corner_and_may_not_be_framed_yet(as_owner, start, save, job):
    address = reverse("rooms:new", args=[job.pk])
    typed = start("wall") | {"surface-0-width": "60", "surface-0-height": "96"}
    for _ in range(2):
        typed = fields_of(as_owner.post(address, {**typed, "add": "opening:0"}).text)
    at = "surface-0-opening-"
    sizes = {"corner": "upper right", "left": "10", "bottom": "20", "width": "14", "height": "12", "moves_x": "2"}
    typed |= {f"{at}0-{name}": text for name, text in sizes.items()}
    valve = {"kind": "valve", "corner": "lower right", "left": "30", "bottom": "44", "width": "3"}
    typed |= {f"{at}1-{name}": text for name, text in valve.items()}
    room = save(typed)
    niche, pipe = room.surfaces.all()[0].openings.all()
    assert inches(niche.outline) == [[36, 64], [50, 64], [50, 76], [36, 76]]
    assert niche.more["movable"] == {"x": ["-50.8 mm", "50.8 mm"]}
    assert [round(float(part) / 25.4, 4) for part in pipe.circle] == [30, 44, 1.5]
    again = fields_of(as_owner.get(edit(room)).text)
    for name, text in sizes.items():
        assert again[f"{at}0-{name}"].rstrip('"') == text
    for name, text in valve.items():
        assert again[f"{at}1-{name}"].rstrip('"') == text
    before = room_to_file(room)
    save(again, edit(room))
    assert room_to_file(room_with_parts(room)) == before
    again |= {f"{at}0-moves_x": "", f"{at}1-height": "3"}
    niche, square = save(again, edit(room)).surfaces.all()[0].openings.all()
    assert "movable" not in niche.more
    assert (square.circle, square.outline[0]) == (None, [Decimal("685.8"), Decimal("1117.6")])


def test_edges_and_gaps_are_plain_choices(as_owner, start, save):
    typed = start("wall") | {"surface-0-width": "60", "surface-0-height": "18", "surface-0-top_edge": "bullnose"}
    room = save(typed | {"surface-0-edge_gap": "1/16"})
    assert room.surfaces.all()[0].more == {"edges": {"top": {"finish": "bullnose"}}, "edge_gap": "1.5875 mm"}
    again = fields_of(as_owner.get(edit(room)).text)
    assert (again["surface-0-top_edge"], again["surface-0-edge_gap"]) == ("bullnose", '1/16"')


def test_measures_that_no_longer_make_the_outline_are_not_believed(as_owner, start, save):
    room = save(start("wall") | {"surface-0-width": "60", "surface-0-height": "96", "surface-0-top": "61"})
    wall = room.surfaces.all()[0]
    for lie in ({"width": "1 mm"}, "nonsense", {"legs": [["a", "b"]]}, {"width": "-5", "height": None}):
        wall.more = {"measured": lie}
        wall.save()
        assert "surface-0-width" not in fields_of(as_owner.get(edit(room)).text)


def test_what_is_typed_is_drawn_at_once_and_says_what_cannot_be(as_owner, start, job):
    address = reverse("rooms:drawn", args=[job.pk])
    typed = start("shower") | {"surface-0-width": "36"}
    assert "<svg" not in as_owner.post(address, typed).text
    typed |= {"surface-0-height": "96", "surface-1-width": "60", "surface-1-falling": "113 3/16"}
    text = as_owner.post(address, typed).text
    assert text.count("<svg") == 2
    assert 'id="shown-1" hx-swap-oob="outerHTML"' in text
    assert "Square by the diagonal" in text
    assert "close" in as_owner.post(address, {**typed, "surface-1-rising": "110"}).text
    # Nothing is said of what hasn't been typed yet.
    assert "required" not in text
    assert not Room.objects.exists()


def test_drawing_takes_as_many_queries_for_three_walls_as_for_one(as_owner, start, job):
    address = reverse("rooms:drawn", args=[job.pk])
    counts = []
    for shape in ("wall", "shower"):
        typed = start(shape)
        with CaptureQueriesContext(connection) as found:
            as_owner.post(address, typed)
        counts.append(len(found))
    assert counts[0] == counts[1]


def test_under_a_sloped_ceiling_the_next_wall_begins_where_the_one_before_ends(start, save):
    typed = start("shower") | {"surface-0-width": "36", "surface-0-height": "96", "surface-0-right_height": "84"}
    room = save(typed | {"surface-0-build_up": "1/2", "surface-1-width": "60", "surface-2-width": "36"})
    assert [inches(wall.outline)[3][1] for wall in room.surfaces.all()] == [96, 84, 84]


def test_two_heights_in_one_corner_are_noted(as_owner, start, job):
    typed = start("shower") | {"surface-0-width": "36", "surface-0-height": "96", "surface-0-right_height": "84"}
    typed |= {"surface-1-width": "60", "surface-1-height": "96"}
    address = reverse("rooms:drawn", args=[job.pk])
    assert "ends 84&quot; high in their corner, this one begins 96&quot; high" in as_owner.post(address, typed).text
    assert "in their corner" not in as_owner.post(address, {**typed, "surface-1-height": "84"}).text


@pytest.mark.parametrize("kind", ["curb", "bench", "niche", "ceiling", "sill", "jamb"])
def test_what_is_no_wall_takes_no_height_from_one(as_owner, start, job, kind):
    typed = start("wall") | {"surface-0-width": "60", "surface-0-height": "96", "surface-0-build_up": "1/2"}
    address = reverse("rooms:new", args=[job.pk])
    typed = fields_of(as_owner.post(address, {**typed, "add": "surface:wall"}).text)
    typed |= {"surface-1-kind": kind, "surface-1-name": "Other", "surface-1-width": "60", "save": ""}
    entry = as_owner.post(address, typed).context["entry"]
    assert entry.surfaces[1].form.errors["height"]
    assert not Room.objects.exists()


def test_an_odd_measure_is_unfinished_until_somebody_is_sure_of_it(as_owner, start, save, job):
    typed = start("wall") | {"surface-0-width": "60", "surface-0-height": "96", "surface-0-middle": "200"}
    answer = as_owner.post(reverse("rooms:new", args=[job.pk]), {**typed, "save": ""})
    assert "tick that" in answer.context["entry"].surfaces[0].form.errors["middle"][0]
    assert not Room.objects.exists()
    drawn = as_owner.post(reverse("rooms:drawn", args=[job.pk]), typed).text
    assert 'data-field="id_surface-0-middle"' in drawn
    room = save(typed | {"surface-0-sure": "on"})
    again = fields_of(as_owner.get(edit(room)).text)
    assert again["surface-0-sure"] == "on"
    before = room_to_file(room)
    save(again, edit(room))
    assert room_to_file(room_with_parts(room)) == before


def test_each_side_of_a_free_outline_has_its_edge(as_owner, start, save):
    typed = start("free")
    for number, length in enumerate(("36", "24", "24", "12")):
        typed[f"surface-0-leg-{number}-length"] = length
    typed |= {"surface-0-leg-1-finish": "profile", "surface-0-closing": "flange"}
    room = save(typed)
    edges = {"edge 1": {"finish": "profile"}, "edge 4": {"finish": "flange"}}
    assert room.surfaces.all()[0].more["edges"] == edges
    again = fields_of(as_owner.get(edit(room)).text)
    assert (again["surface-0-leg-1-finish"], again["surface-0-leg-0-finish"]) == ("profile", "soft")
    assert again["surface-0-closing"] == "flange"
    # A side less: its edge goes along, and the one that closes is another one.
    again |= {"surface-0-leg-3-length": ""}
    room = save(again, edit(room))
    assert room.surfaces.all()[0].more["edges"] == {"edge 1": {"finish": "profile"}, "edge 3": {"finish": "flange"}}
    assert lay_out(read_room(layout_input(room, units="in"))).options


@pytest.mark.parametrize("shape", ["polygon", "numbered"])
def test_all_edges_of_an_outline_from_a_file_have_one_choice(as_owner, job, owner, save, shape):
    data = one_wall()
    wall = data["surfaces"][0]
    if shape == "polygon":
        wall |= {"outline": [[0, 0], [900, 0], [900, 400], [400, 400], [400, 800], [0, 800]]}
        wall["edges"] = {"left": {"gap": 5}}
    else:
        wall["edges"] = {"edge 0": {"gap": 5}}
    room = import_room(job=job, data=data, place="dry_wall", by=owner)
    again = fields_of(as_owner.get(edit(room)).text)
    assert again["surface-0-all_edges"] == ""
    room = save(again | {"surface-0-all_edges": "profile"}, edit(room))
    edges = room.surfaces.all()[0].more["edges"]
    assert len(edges) == (6 if shape == "polygon" else 4)
    assert {edge["finish"] for edge in edges.values()} == {"profile"}
    assert {"gap": "5 mm", "finish": "profile"} in edges.values()
    assert lay_out(read_room(layout_input(room, units="mm"))).options
