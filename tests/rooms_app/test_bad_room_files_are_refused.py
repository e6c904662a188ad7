"""Whatever is uploaded: a room, or one sentence that says what is wrong, where, and what to do."""

import json

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from rooms.models import Room, Tile
from tests.rooms_app.files import one_wall, sample

pytestmark = pytest.mark.django_db


@pytest.fixture
def upload(as_owner, job):
    """Uploads bytes or data as bath.json; the answer."""

    def send(content, *, name="bath.json", **more):
        raw = content if isinstance(content, bytes) else json.dumps(content).encode()
        typed = {"file": SimpleUploadedFile(name, raw), "place": "dry_wall", **more}
        return as_owner.post(reverse("rooms:upload", args=[job.pk]), typed)

    return send


def with_outline(outline):
    data = one_wall()
    data["surfaces"][0]["outline"] = outline
    return data


def with_opening(**opening):
    data = one_wall()
    data["surfaces"][0]["openings"] = [{"id": "o", "outline": [[10, 10], [90, 10], [90, 90], [10, 90]], **opening}]
    return data


BAD = {
    "not JSON": (b"hello", "line 1"),
    "cut off": (json.dumps(one_wall()).encode()[:-9], "line 1"),
    "an empty file of spaces": (b"  \n ", "line 2"),
    "bytes that are no text": (b"\xff\xd8\xff\xe0" * 40, "UTF-8"),
    "nothing but a number": (b"7", "room"),
    "a list": (b"[]", "room"),
    "nested without end": (b"[" * 100_000, "nested deeper"),
    "nested too deep for a room": (one_wall(more=json.loads("[" * 90 + "]" * 90)), "nested deeper"),
    "NaN": (b'{"format": "gaugerod-room/1", "joint": NaN}', "NaN"),
    "Infinity": (b'{"joint": -Infinity}', "-Infinity"),
    "1e309": (json.dumps(one_wall()).replace('"joint": 2', '"joint": 1e309').encode(), "joint"),
    "1e309 where nobody looks": (
        json.dumps(one_wall(extra=1)).replace('"extra": 1', '"extra": 1e309').encode(),
        "extra",
    ),
    "a number of 5000 digits": (b'{"joint": ' + b"9" * 5000 + b"}", "too long"),
    "a NUL in a text": (one_wall(extra=["a\0b"]), "extra[0]"),
    "half a character": (b'{"format": "gaugerod-room/1", "name": "\\ud800"}', "name"),
    "half a character in a key": (b'{"\\ud800": 1}', "characters"),
    "another format": (one_wall(format="gaugerod-survey/1"), "format"),
    "unknown units": (one_wall(units="cm"), "units"),
    "no units": ({key: value for key, value in one_wall().items() if key != "units"}, "units"),
    "a negative joint": (one_wall(joint=-2), "joint"),
    "a joint of nothing": (one_wall(joint=0), "joint"),
    "a joint that is true": (one_wall(joint=True), "joint"),
    "a joint wider than the tile": (one_wall(joint=200), "joint"),
    "a widest joint below the joint": (one_wall(joint_high=1), "joint_high"),
    "crossing edges": (with_outline([[0, 0], [100, 100], [100, 0], [0, 100]]), "surfaces[0].outline: the edges cross"),
    "two points": (with_outline([[0, 0], [100, 0]]), "surfaces[0].outline"),
    "a point of three": (with_outline([[0, 0, 0], [9, 0, 0], [9, 9, 0], [0, 9, 0]]), "surfaces[0].outline[0]"),
    "an outline of words": (with_outline("square"), "surfaces[0].outline"),
    "an opening outside": (
        with_opening(outline=[[900, 10], [1100, 10], [1100, 90], [900, 90]]),
        "surfaces[0].openings[0].outline: the opening reaches outside",
    ),
    "no surfaces": (one_wall(surfaces=[]), "surfaces"),
    "a corner with nothing": (one_wall(corners=[{"first": "wall.left", "second": "east.right"}]), "corners[0].second"),
    "a pattern of no such kind": (one_wall(pattern={"kind": "spiral"}), "pattern.kind"),
    "a herringbone at an odd angle": (one_wall(pattern={"kind": "herringbone", "angle": 30}), "pattern.angle"),
    "a herringbone of square tiles": (one_wall(pattern={"kind": "herringbone"}), "surfaces[0].pattern"),
    "a tile of nothing": (one_wall(tile={"width": 0, "height": 100}), "tile.width"),
    "a name too long to keep": (one_wall(name="x" * 201), "name"),
    "two hundred and one surfaces": (one_wall(surfaces=one_wall()["surfaces"] * 201), "surfaces"),
}


@pytest.mark.parametrize("what", BAD)
def test_the_answer_names_the_file_and_the_place(upload, what):
    content, place = BAD[what]
    answer = upload(content)
    assert answer.status_code == 200
    (error,) = answer.context["form"].errors["file"]
    assert error.startswith("“bath.json” can't be used: ")
    assert place in error
    assert "pick the file again" in error
    assert not Room.objects.exists()
    assert not Tile.objects.exists()


def test_ten_megabytes_are_not_even_read(upload, monkeypatch):
    monkeypatch.setattr("rooms.uploads.json", None)
    answer = upload(b"[" + b"1," * (5 * 2**20) + b"1]", name="phone.json")
    assert "larger than 2 MB" in answer.context["form"].errors["file"][0]


def test_an_empty_file_and_none_are_asked_for_again(upload, as_owner, job):
    assert "empty" in upload(b"").context["form"].errors["file"][0]
    answer = as_owner.post(reverse("rooms:upload", args=[job.pk]), {"place": "dry_wall"})
    assert answer.context["form"].errors["file"]


def test_what_it_is_has_to_be_said_somewhere(upload):
    answer = upload(one_wall(), place="")
    assert "place" in answer.context["form"].errors
    assert upload(one_wall(place="dry_wall"), place="").status_code == 302


def test_a_good_file_with_a_byte_order_mark_becomes_a_room(upload, job):
    answer = upload(
        b"\xef\xbb\xbf" + json.dumps(sample("quarry-lane-shower")).encode(), place="shower", demolition="on"
    )
    room = Room.objects.get()
    assert answer.url == reverse("rooms:layout", args=[room.pk])
    assert (room.job, room.name, room.place, room.demolition) == (job, "Quarry Lane, shower", "shower", True)
    assert room.surfaces.count() == 3


def test_a_file_name_with_markup_is_only_a_name(upload):
    text = upload(b"x", name="<b onclick=x>.json").text
    assert "<b onclick" not in text
