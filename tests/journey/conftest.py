"""The demo shop behind the real web server, loaded once for all the tests of a file that only look at pages."""

import sys
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import dataclass, field
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from tests.support.databases import ROOT, use_database
from tests.support.services import Process, _environment, answers, free_port


@dataclass(frozen=True, kw_only=True)
class DemoShop:
    """`url` of the web server, `passwords` by log-in name, `examples`: rows of the shop by the word in the address."""

    url: str
    passwords: dict[str, str]
    examples: dict[str, list[Any]]
    jobs: dict[str, list[Any]] = field(repr=False)


@pytest.fixture(scope="module")
def demo_shop(databases, static_files, tmp_path_factory, django_db_blocker) -> Iterator[DemoShop]:
    from django.test import override_settings

    folder = tmp_path_factory.mktemp("demo")
    name = databases.clone()
    with ExitStack() as stack:
        stack.callback(databases.drop, name)
        with (
            override_settings(MEDIA_ROOT=folder / "media"),
            use_database(databases, name),
            django_db_blocker.unblock(),
        ):
            passwords, examples, jobs = _fill()
            environment = _environment(databases.app_url(name), "memory://")
        port = free_port()
        url = f"http://127.0.0.1:{port}"
        environment |= {"PUBLIC_URL": url, "WEB_BIND": f"127.0.0.1:{port}", "WEB_WORKERS": "1"}
        server = Process(
            [sys.executable, "-m", "gunicorn", "-c", str(ROOT / "config/gunicorn_conf.py")],
            env=environment,
            log=folder / "web.log",
            ready=lambda said: answers(f"{url}/alive/"),
        )
        stack.callback(server.stop)
        server.start()
        yield DemoShop(url=url, passwords=passwords, examples=examples, jobs=jobs)


def _fill() -> tuple[dict[str, str], dict[str, list[Any]], dict[str, list[Any]]]:
    """Loads the demo as `load_demo` does, and picks rows of every kind that an address may name."""
    from django.utils import timezone

    from callbacks.models import Callback
    from clients.models import Client, Site
    from config.demo.jobs import load_jobs
    from config.demo.people import hire, set_up_shop
    from estimating.actions import make_link
    from estimating.models import EstimateLine, Proposal
    from inspections.actions import print_punch_list
    from inspections.models import Check, Phase, PunchItem
    from jobs.models import Booking, Job, Photo
    from rooms.models import Room, Tile
    from shop.queries import shop_settings

    set_up_shop()
    with timezone.override(ZoneInfo(shop_settings().time_zone)):
        cast = hire()
        load_jobs(cast)
        jobs: dict[str, list[Any]] = {}
        for job in Job.objects.order_by("number"):
            jobs.setdefault(job.stage, []).append(job.pk)
        [working], [punch], [proposed] = jobs["working"], jobs["punch_list"], jobs["proposed"]
        # No worker is there to print it: the page shows that it waits.
        printed = print_punch_list(job=Job.objects.get(pk=punch), by=cast.office)
        open_proposal = Proposal.objects.get(job=proposed)
        accepted = Proposal.objects.get(job=working)
        signed = Phase.objects.filter(room__job=working, sign_off__isnull=False).first()
        held = Phase.objects.get(room__job=working, key="waterproofing")
        examples: dict[str, list[Any]] = {
            "clients": [Client.objects.get(jobs=working).pk],
            "sites": [Site.objects.get(jobs=working).pk],
            "rooms": [
                Room.objects.get(job=working).pk,
                Room.objects.filter(job__in=jobs["measuring"]).first().pk,
                Room.objects.get(job__in=jobs["pricing"]).pk,
            ],
            "phases": [signed.pk, held.pk, Phase.objects.filter(room__job=working).last().pk],
            "checks": [Check.objects.filter(phase=held).first().pk],
            "proposals": [open_proposal.pk, accepted.pk],
            "estimate-lines": [EstimateLine.objects.filter(estimate__job__in=jobs["pricing"]).first().pk],
            "punch-items": [PunchItem.objects.filter(job=punch).first().pk],
            "punch-lists": [printed.pk],
            "callbacks": [
                Callback.objects.filter(closed_at=None).first().pk,
                Callback.objects.exclude(closed_at=None).first().pk,
            ],
            "bookings": [Booking.objects.first().pk],
            "photos": [Photo.objects.filter(job=working).first().pk],
            "staff": [cast.rui.pk],
            "tile": [Tile.objects.first().pk],
            "rates": ["mortar"],
            "p": [make_link(proposal=each, by=cast.owner) for each in (open_proposal, accepted)],
        }
    return cast.passwords, examples, jobs
