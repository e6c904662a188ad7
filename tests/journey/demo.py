"""The demo shop, loaded as `load_demo` loads it, and rows of every kind that an address may name."""

from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

from django.utils import timezone

from callbacks.models import Callback
from clients.models import Client, Site
from config.demo.jobs import load_jobs
from config.demo.people import Cast, hire, set_up_shop
from estimating.actions import answer_question, ask_question, make_change_link, make_link, send_proposal
from estimating.models import ChangeOrder, Contingency, EstimateLine, Option, OptionGroup, OwnRate, Proposal
from inspections.actions import amend, print_punch_list, record_entry
from inspections.models import Check, Entry, Phase, PunchItem
from jobs.models import Booking, Job, Photo
from rooms.actions import print_sheet
from rooms.as_built_actions import keep_as_built, print_rough_in
from rooms.models import Layout, Room, Survey, Tile, Unfinished
from rooms.rough_in import RoughIn
from shop.models import Staff
from shop.queries import shop_settings


@dataclass(frozen=True, kw_only=True)
class Demo:
    """`passwords` by log-in name, `jobs` by stage, `examples`: keys of rows by the word before them in an address."""

    passwords: dict[str, str]
    jobs: dict[str, Any]
    examples: dict[str, list[Any]]


def load() -> Demo:
    set_up_shop()
    with timezone.override(ZoneInfo(shop_settings().time_zone)):
        cast = hire()
        load_jobs(cast)
        # Where several stand at one stage, the first: of those being measured it has a room.
        jobs = {job.stage: job.pk for job in Job.objects.order_by("-number")}
        return Demo(passwords=cast.passwords, jobs=jobs, examples=_examples(cast, jobs))


def _examples(cast: Cast, jobs: dict[str, Any]) -> dict[str, list[Any]]:
    working, punch = jobs["working"], jobs["punch_list"]
    proposals = [Proposal.objects.get(job=job) for job in (jobs["proposed"], working)]
    changes = list(ChangeOrder.objects.filter(job=working))
    phases = Phase.objects.filter(room__job=working).order_by("position")
    held = phases.get(key="waterproofing")
    entry = Entry.objects.filter(check_done__phase=phases[0], check_done__kind="tick").first()
    for row in (entry, phases[0].sign_off):
        amend(row=row, text="Rui was there, not Marek", by=cast.rui, happened_at=timezone.now())
    # Two phones disagree.
    record_entry(check=entry.check_done, by=cast.marek, happened_at=timezone.now(), ticked=False, seen="none")
    callbacks = Callback.objects.order_by("closed_at")
    # No worker is there to print it: the page shows that it waits.
    printed = print_punch_list(job=Job.objects.get(pk=punch), by=cast.office)
    layout = Layout.objects.filter(room__job=working).first()
    rough_in = print_rough_in(layout=layout, by=cast.office)
    _build_otherwise(layout, by=cast.office)
    sent = send_proposal(proposal=proposals[0], to="leocadia@example.com", words="Call me any evening.", by=cast.owner)
    questions = [ask_question(link=sent.link, text=text) for text in ("Is the tub kept?", "When could you begin?")]
    answer_question(question=questions[0], text="Yes, it stays where it is.", by=cast.office)
    return {
        "clients": [Client.objects.get(jobs=working).pk],
        "sites": [Site.objects.get(jobs=working).pk],
        "unfinished": [_unfinished(jobs["measuring"])],
        "rooms": [
            Room.objects.part_of_the_job().get(job=jobs[stage]).pk for stage in ("working", "measuring", "pricing")
        ],
        "options": list(Option.objects.values_list("pk", flat=True)[:2]),
        "option-groups": list(OptionGroup.objects.values_list("pk", flat=True)),
        "surveys": list(Survey.objects.filter(room__job=working).values_list("pk", flat=True)),
        "layouts": list(Layout.objects.filter(room__job=working).values_list("pk", flat=True)[:1]),
        "phases": [phases[0].pk, held.pk, phases.last().pk],
        "entries": [entry.pk],
        "sign-offs": [phases[0].sign_off.pk],
        "checks": [Check.objects.get(phase__room=held.room_id, key="substrate.plane").pk],
        "proposals": [proposal.pk for proposal in proposals],
        "questions": [question.pk for question in questions],
        "estimate-found": [Contingency.objects.first().pk],
        "estimate-lines": [EstimateLine.objects.filter(estimate__job=jobs["pricing"]).first().pk],
        "punch-items": [PunchItem.objects.filter(job=punch).first().pk],
        "punch-lists": [printed.pk],
        "rough-in-sheets": [rough_in.pk],
        "sheets": [print_sheet(room=layout.room, paper="letter", by=cast.rui).pk],
        "callbacks": [callbacks.filter(closed_at=None).first().pk, callbacks.exclude(closed_at=None).first().pk],
        "bookings": [Booking.objects.first().pk],
        "photos": [Photo.objects.filter(job=working).first().pk],
        "staff": [cast.rui.pk],
        "tile": [Tile.objects.first().pk],
        "tiles": [Tile.objects.first().pk],
        "rates": ["mortar", "labor_grout"],
        "people": [cast.rui.pk, cast.office.pk],
        "own": list(OwnRate.objects.values_list("pk", flat=True)),
        "limits": ["mortar_hours", "shower_slope_low_percent"],
        "checklists": ["grout"],
        "proposal-texts": ["greeting", "exclusions"],
        "local-limits": ["california"],
        "changes": [change.pk for change in changes],
        "p-change": [make_change_link(change=change, by=cast.owner) for change in changes],
        "p": [make_link(proposal=proposal, by=cast.owner) for proposal in proposals],
    }


def _unfinished(job: Any) -> Any:
    """A wall with its width, and nothing else yet."""
    typed = {"room-name": "Pantry wall", "room-place": "dry_wall", "surfaces": "1", "surface-0-kind": "wall"}
    typed |= {"surface-0-width": "63 1/2"}
    return Unfinished.objects.create(job_id=job, name="Pantry wall", typed=typed, lacks=["Surface 1: Height"]).pk


def _build_otherwise(layout: Layout, *, by: Staff) -> None:
    """The niche, which is the sheet's first item, is framed an inch further right than it should be."""
    item = RoughIn(layout).items[0]
    left = next(each for each in item.measures if each.name == "left side of the rough opening")
    measures = [{"item": item.number, "name": left.name, "mm": f"{left.mm + 25.4:.2f}"}]
    keep_as_built(layout=layout, measures=measures, by=by)
