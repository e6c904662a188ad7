"""Pages about rooms ask the database as often for one wall as for twenty."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from rooms.actions import choose_layout, import_room
from rooms.queries import current_layouts, room_states, rooms_of_job
from rooms.specification import specification_of
from tests.factories import JobFactory
from tests.rooms_app.files import one_wall

pytestmark = pytest.mark.django_db


def many_walls(count):
    data = one_wall()
    opening = {"id": "o", "outline": [[100, 100], [200, 100], [200, 200], [100, 200]]}
    data["surfaces"] = [
        {**data["surfaces"][0], "id": f"w{number}", "name": f"Wall {number}", "build_up": 10, "openings": [opening]}
        for number in range(count)
    ]
    data["corners"] = [{"first": f"w{n}.right", "second": f"w{n + 1}.left"} for n in range(count - 1)]
    return data


@pytest.fixture
def jobs(owner):
    """A job with one small room, and one with three large ones, all laid out."""
    small, large = JobFactory(), JobFactory()
    choose_layout(
        room=import_room(job=small, data=many_walls(2), place="dry_wall", by=owner), option=1, why="", by=owner
    )
    for _ in range(3):
        room = import_room(job=large, data=many_walls(8), place="dry_wall", by=owner)
        choose_layout(room=room, option=1, why="", by=owner)
    return small, large


def count(work):
    with CaptureQueriesContext(
        connection,
    ) as queries:
        work()
    return len(queries)


@pytest.mark.parametrize("name", ["rooms:detail", "rooms:edit", "rooms:layout", "rooms:sheet", "rooms:file"])
def test_pages(as_owner, jobs, name):
    small, large = (reverse(name, args=[job.rooms.all()[0].pk]) for job in jobs)
    # The rod beside the page has its own number, whatever the room; the first call may warm something up.
    as_owner.get(small)
    assert count(lambda: as_owner.get(large)) <= count(lambda: as_owner.get(small))


def test_queries(jobs, django_assert_num_queries):
    _small, large = jobs
    for job in jobs:
        with django_assert_num_queries(1):
            current_layouts(job)
        with django_assert_num_queries(5):
            states = room_states(job)
        with django_assert_num_queries(4):
            rooms = list(rooms_of_job(job))
        with django_assert_num_queries(0):
            assert all(state.ready for state in states)
            assert [specification_of(room).has_walls for room in rooms] == [True] * len(rooms)
    assert len(room_states(large)) == 3
