"""How long the pages take on the server, and how many queries they make.

    ./gaugerod manage shell -c "import benchmarks.pages as b; b.main()"

Reads a shop that is loaded (the demo, for one), and writes nothing but one hard room, which it takes away again. Each
page's time is the median of RUNS requests through Django's test client, and is printed as a ratio to the baseline of
the same run: `/alive/`, which does nothing but answer through the whole stack of middleware. So a slow machine and a
busy one give comparable figures.
Last comes how fast cuts and picture follow a line under the hand on the layout page (`benchmarks.nudge`).
"""

import statistics
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext, override_settings
from django.urls import reverse

from benchmarks.nudge import nudge, work
from inspections.models import Phase
from jobs.models import Job, Stage
from layout import RoomError
from rooms.actions import import_room, remove_room
from rooms.models import Room
from shop.models import Role, Staff
from tests.layout.nasty import nasty

RUNS = 15


def main() -> None:
    """Prints a line a page: milliseconds, ratio to the baseline, queries, kilobytes."""
    with override_settings(ALLOWED_HOSTS=["testserver"]):
        stranger = Client()
        alive = _median(lambda: stranger.get(reverse("shop:alive")))
        print(f"{'page':<34}{'ms':>8}{'x alive':>9}{'queries':>9}{'kB':>7}")
        print(f"{'baseline: /alive/':<34}{alive * 1000:>8.1f}{1:>9.1f}")
        for name, role, url in _pages():
            client = Client()
            client.force_login(_somebody(role), backend="django.contrib.auth.backends.ModelBackend")
            client.get(url)
            with CaptureQueriesContext(connection) as queries:
                response = client.get(url)
            # Counted before the next request, which empties the log.
            made = len(queries)
            seconds = _median(lambda client=client, url=url: client.get(url))
            size = len(response.content) / 1000
            print(f"{name:<34}{seconds * 1000:>8.1f}{seconds / alive:>9.1f}{made:>9}{size:>7.0f}")
    with override_settings(ALLOWED_HOSTS=["testserver", "127.0.0.1"]):
        print_nudge(Room.objects.filter(job__stage=Stage.WORKING)[0])
        with _hard_room() as room:
            print_nudge(room)


@contextmanager
def _hard_room() -> Iterator[Room]:
    """The attic shower of the tests, in a job that is being measured."""
    job, owner = Job.objects.filter(stage=Stage.MEASURING).earliest("number"), _somebody(Role.OWNER)
    room = import_room(job=job, data=nasty(), place="shower", by=owner)
    try:
        yield room
    finally:
        remove_room(room=room, by=owner)


def print_nudge(room: Room) -> None:
    """Prints what a line moved costs the server, and how long after a key it is shown moved and its cuts are exact."""
    client = Client()
    client.force_login(_somebody(Role.OWNER), backend="django.contrib.auth.backends.ModelBackend")
    try:
        server = work(client, room)
    except RoomError as error:
        print(f"{room.name} can't be laid out ({error}): no nudge is measured")
        return
    print(f"{'server, a line moved: ' + room.name:<44}{'cpu ms':>8}{'x alive':>9}")
    rows = (("baseline: /alive/", server.alive), ("across: one surface", server.across), ("up: all", server.up))
    for name, milliseconds in rows:
        print(f"{name:<44}{milliseconds:>8.1f}{milliseconds / server.alive:>9.2f}")
    found = nudge(client, reverse("rooms:layout", args=[room.pk]))
    if found is None:
        print("no Playwright or no Chromium: the nudge isn't measured in a browser")
        return
    print(f"{'browser, a line moved: ' + room.name:<44}{'ms':>8}{'x load':>9}")
    rows = (("baseline: the page loads", found.load), ("key to picture", found.picture), ("key to cuts", found.exact))
    for name, milliseconds in rows:
        print(f"{name:<44}{milliseconds:>8.1f}{milliseconds / found.load:>9.2f}")


def _median(request: Callable[[], object]) -> float:
    """Median seconds of RUNS calls, after one that isn't counted."""
    request()
    times = []
    for _ in range(RUNS):
        start = time.perf_counter()
        request()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def _somebody(role: Role) -> Staff:
    return Staff.objects.filter(role=role, is_active=True).order_by("username")[0]


def _pages() -> list[tuple[str, Role, str]]:
    """Name, role and URL of the pages that are opened most, and of those that do most."""
    working = Job.objects.filter(stage=Stage.WORKING).earliest("number")
    room = Room.objects.filter(job=working)[0]
    phase = Phase.objects.filter(room=room, sign_off=None).earliest("position")
    return [
        ("Week", Role.OFFICE, reverse("home:week")),
        ("jobs", Role.OFFICE, reverse("jobs:list")),
        ("one job", Role.OFFICE, reverse("home:job", args=[working.pk])),
        ("layout of a three-wall shower", Role.OWNER, reverse("rooms:layout", args=[room.pk])),
        ("estimate", Role.OWNER, reverse("estimating:estimate", args=[working.pk])),
        ("Today", Role.OWNER, reverse("home:today")),
        ("a phase with its checks", Role.OWNER, reverse("inspections:phase", args=[phase.pk])),
    ]
