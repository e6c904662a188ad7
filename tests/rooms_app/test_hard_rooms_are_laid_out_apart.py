"""How much a room asks of the engine can't be told beforehand: a page never waits longer than its limit."""

import subprocess
import sys
import time

import pytest
from django.core.cache import cache
from django.urls import reverse

import layout
from rooms import apart, laying
from rooms.actions import choose_layout, import_room
from rooms.apart import TookTooLong, lay_out_apart
from rooms.models import Layout
from tests.rooms_app.files import changeable, one_wall, sample


@pytest.fixture(autouse=True)
def nothing_remembered():
    cache.clear()
    yield
    cache.clear()


def herringbone(**changes):
    return one_wall(
        tile={"width": 100, "height": 200, "thickness": 8}, pattern={"kind": "herringbone"}, joint_high=3, **changes
    )


def hexagons(**changes):
    return one_wall(pattern={"kind": "hex"}, **changes)


def without_end():
    """A round floor with a column in it, drifting joints, and more tiles than a second is enough for."""
    data = herringbone()
    data["surfaces"][0] |= {
        "kind": "floor",
        "outline": [[0, 0], [12_000, 100], [11_000, 9_000], [6_000, 9_900], [100, 9_000]],
        "openings": [{"id": "column", "circle": [5_000, 4_000, 300]}],
    }
    return data


def test_it_says_the_same_as_in_the_same_process():
    data = hexagons()
    here = layout.lay_out(layout.read_room(data), option=2)
    there = lay_out_apart(data, option=2)
    assert layout.dumps(there.to_json()) == layout.dumps(here.to_json())


def test_what_the_engine_refuses_names_its_place():
    with pytest.raises(layout.RoomError, match="there are") as caught:
        lay_out_apart(one_wall(), option=99)
    assert caught.value.place == "option"


def test_it_ends_after_its_share_of_work():
    start = time.monotonic()
    with pytest.raises(TookTooLong):
        lay_out_apart(without_end(), option=1, cpu_seconds=1)
    # By the work's own clock it is a second or two; the machine may be busy.
    assert time.monotonic() - start < 30


def test_it_ends_when_the_page_has_waited_enough():
    with pytest.raises(TookTooLong):
        lay_out_apart(without_end(), option=1, wait_seconds=0.5)


def test_the_limits_lie_within_the_web_servers():
    from config import gunicorn_conf

    assert apart.CPU_SECONDS < apart.WAIT_SECONDS < gunicorn_conf.timeout - 10


def test_an_engine_that_breaks_is_no_room_that_takes_too_long(monkeypatch):
    monkeypatch.setattr(apart, "_ROOT", "/nowhere")
    monkeypatch.setenv("PYTHONPATH", "/nowhere")
    with pytest.raises(RuntimeError, match="rooms"):
        lay_out_apart(one_wall(), option=1)


def test_the_process_knows_no_django():
    code = "import sys, rooms.apart; sys.exit('django' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], cwd=apart._ROOT, check=False).returncode == 0


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("data", "where"),
    [
        (one_wall(), "here"),
        (sample("quarry-lane-shower"), "here"),
        (herringbone(), "apart"),
        (hexagons(), "apart"),
        (one_wall(tile={"width": 10, "height": 10}), "apart"),
        (one_wall(tile={"width": 40, "height": 40}), "here"),
        (one_wall(tile={"width": 40, "height": 40}, joint_high=3), "apart"),
        (changeable(), "apart"),
        (without_end(), "apart"),
    ],
    ids=["wall", "shower", "herringbone", "hexagons", "many tiles", "small", "small, drifting", "movable", "round"],
)
def test_only_what_is_surely_quick_is_laid_out_in_the_web_server(monkeypatch, data, where):
    def here(room, *, option, limits):
        raise RuntimeError("here")

    def apart(data, *, option, limits):
        raise RuntimeError("apart")

    monkeypatch.setattr(laying.layout, "lay_out", here)
    monkeypatch.setattr(laying, "lay_out_apart", apart)
    with pytest.raises(RuntimeError, match=where):
        laying.lay(data)


@pytest.mark.django_db
def test_a_result_is_worked_out_once(monkeypatch):
    ran = []

    def count(data, *, option, limits):
        ran.append(option)
        return lay_out_apart(data, option=option, limits=limits)

    monkeypatch.setattr(laying, "lay_out_apart", count)
    first, again = laying.lay(hexagons(), option=2), laying.lay(hexagons(), option=2)
    assert first.result == again.result
    assert ran == [2]
    laying.lay(hexagons(joint=3), option=2)
    assert ran == [2, 2]


@pytest.mark.django_db
def test_a_room_that_takes_too_long_is_said_once_and_not_tried_again(as_owner, job, owner, monkeypatch):
    ran = []

    def never(data, *, option, limits):
        ran.append(option)
        raise TookTooLong

    monkeypatch.setattr(laying, "lay_out_apart", never)
    room = import_room(job=job, data=herringbone(), place="dry_wall", by=owner)
    address = reverse("rooms:layout", args=[room.pk])
    for _ in range(2):
        assert "more work than a page can wait for" in as_owner.get(address).text
    assert ran == [1]
    with pytest.raises(layout.RoomError, match="more work"):
        choose_layout(room=room, option=1, why="", by=owner)
    assert "more work" in as_owner.post(address, {"option": "1"}).text
    assert not Layout.objects.exists()
    # Its measurements are there all the same.
    assert as_owner.get(reverse("rooms:detail", args=[room.pk])).status_code == 200
