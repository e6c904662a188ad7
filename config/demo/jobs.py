"""The demo shop's jobs: one in every state of the chain, each brought there by the shop's own actions."""

import json
from collections.abc import Callable, Iterable, Sequence
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.utils import timezone

from callbacks.actions import book_visit, close_callback, close_out_job, log_callback
from callbacks.models import Symptom
from clients.models import ClientKind
from config.demo.changes import approved_change, waiting_credit
from config.demo.options import three_floors_and_a_wall
from config.demo.own_rates import floor_protection, make_own_rates
from config.demo.people import Cast, client, pay
from config.demo.pictures import picture
from config.demo.surveys import survey_shower
from documents.actions import make_document
from estimating.actions import (
    add_contingency,
    add_line,
    fill_estimate,
    install_example_rates,
    make_link,
    make_proposal,
    price_labor_by_people,
    set_rate,
)
from estimating.models import Proposal, RateKind
from inspections.actions import (
    accept_and_open,
    add_punch_item,
    finish_punch_item,
    record_entry,
    sign_phase,
    start_punch_list,
)
from inspections.models import Check, CheckKind, Entry, Phase
from jobs.actions import book, create_job, keep_photo, move_job, put_on_crew
from jobs.models import BookingKind, Job, Photo, Stage
from rooms.actions import choose_layout, import_room, specify_room
from rooms.models import Membrane, Place, Room, Substrate
from shop.actions import set_limit
from shop.models import Staff

ROOMS = Path(__file__).parent / "rooms"
SQUARE_FOOT_MM2 = Decimal("92903.04")
TILE_PER_SQUARE_FOOT = Decimal("6.40")  # dollars; invented
CENT = Decimal("0.01")
CEMENT_BOARD = {"substrate": Substrate.CEMENT_BOARD, "membrane": Membrane.LIQUID}


def load_jobs(cast: Cast, *, say: Callable[[str], None] = lambda line: None) -> None:
    """All the jobs, in the order in which they came in."""
    install_example_rates(by=cast.owner)
    pay(cast)
    price_labor_by_people(follow=True, by=cast.owner)
    make_own_rates(cast)
    for build in (
        _closed_long_ago,
        _came_back,
        _at_the_punch_list,
        _shower_under_way,
        _proposal_out,
        _being_priced,
        _laid_out_not_chosen,
        _not_taken,
        _not_measured,
    ):
        job = build(cast)
        job.refresh_from_db()
        say(f"{job.number:04d} {job.title}: {job.get_stage_display()}")
    # What was signed was signed by the source's figure; what is open waits by the shop's own.
    reason = "Dense tile on a membrane: the bags that we use ask for two days"
    set_limit(key="mortar_hours", value=Decimal(48), reason=reason, seen=0, by=cast.owner)


# ---------------------------------------------------------------- the jobs


def _closed_long_ago(cast: Cast) -> Job:
    job = _job(cast, "Orsolya Fennimarsh", "9 Lantern Row", "Kitchen backsplash", phone="555-0131")
    room = _room(cast, job, _backsplash(), Place.DRY_WALL)
    _accepted(cast, job, room, name="Orsolya Fennimarsh")
    put_on_crew(job=job, person=cast.noor, by=cast.office)
    _prove(_phases(room), by=cast.noor, days_ago=8)
    _close(cast, job, walked_with="Orsolya Fennimarsh")
    return job


def _came_back(cast: Cast) -> Job:
    job = _job(cast, "Casimir Hollowell-Strand", "27 Weir Street", "Hall bath floor", phone="555-0133", year_built=1964)
    room = _room(cast, job, _bath_floor(), Place.DRY_FLOOR)
    _accepted(cast, job, room, name="Casimir Hollowell-Strand")
    put_on_crew(job=job, person=cast.marek, by=cast.office)
    _prove(_phases(room), by=cast.marek, days_ago=9)
    _close(cast, job, walked_with="Casimir Hollowell-Strand")
    photo = _photo(job, "corner", "Crack along the tub", by=cast.office, seed=7)
    old = log_callback(
        job=job,
        room=room,
        symptom=Symptom.CHIPPED,
        text="One tile by the door has a chipped edge.",
        reported_by="Casimir Hollowell-Strand",
        reported_on=timezone.localdate(),
        by=cast.office,
    )
    close_callback(
        callback=old,
        cause="Edge knocked by the new vanity while it was carried in.",
        remedy="Replaced the tile from the attic stock.",
        cost=Decimal("85.00"),
        by=cast.office,
    )
    callback = log_callback(
        job=job,
        room=room,
        symptom=Symptom.CORNER_GROUT,
        text="The line where the floor meets the tub has opened up, about a foot long.",
        reported_by="Casimir Hollowell-Strand",
        reported_on=timezone.localdate(),
        photo=photo,
        by=cast.office,
    )
    starts, ends = _workday(2, 9, 11)
    book_visit(callback=callback, person=cast.marek, starts=starts, ends=ends, by=cast.office)
    return job


def _at_the_punch_list(cast: Cast) -> Job:
    job = _job(cast, "Thessaly Greywater", "41 Cooper's Rise", "Station Road hall floor", phone="555-0135")
    room = _room(cast, job, _file("station-hall-floor"), Place.DRY_FLOOR)
    _accepted(cast, job, room, name="Thessaly Greywater")
    put_on_crew(job=job, person=cast.noor, by=cast.office)
    _prove(_phases(room), by=cast.noor, days_ago=8)
    start_punch_list(job=job, by=cast.office)
    add_punch_item(
        job=job,
        room=room,
        text="Tile at the post stands proud, feel it with a card",
        place="Right of the post, second row",
        photo=_photo(job, "lippage", "Straightedge on the tile at the post", by=cast.noor, seed=3),
        by=cast.office,
    )
    add_punch_item(job=job, room=room, text="Grout haze along the front door", place="First row", by=cast.office)
    done = add_punch_item(job=job, text="Leave four tiles and the grout's batch number", by=cast.office)
    finish_punch_item(item=done, by=cast.noor)
    book(
        job=job,
        person=cast.noor,
        kind=BookingKind.PHASE,
        what="Punch list",
        **_span(*_workday(0, 8, 12)),
        by=cast.office,
    )
    return job


def _shower_under_way(cast: Cast) -> Job:
    job = _job(
        cast,
        "Odalys Brandtmere",
        "14 Quarry Lane",
        "Upstairs bath, shower",
        phone="555-0142",
        access_note="Key in the lockbox by the side door, code 4711. The dog is friendly.",
        year_built=1958,
        miles="12.5",
    )
    room = _room(cast, job, _file("quarry-lane-shower"), Place.SHOWER, demolition=True, **CEMENT_BOARD)
    _accepted(cast, job, room, name="Odalys Brandtmere")
    for person in (cast.rui, cast.marek):
        put_on_crew(job=job, person=person, by=cast.office)
    phases = {phase.key: phase for phase in _phases(room)}
    done = [phases[key] for key in ("demolition", "rough_in", "substrate") if key in phases]
    _prove(done, by=cast.rui, days_ago=4)
    _begin(phases["waterproofing"], by=cast.rui)
    survey_shower(room, by=cast.rui)
    for day, what in ((0, "Waterproofing"), (1, "Water test"), (2, "Layout and setting"), (3, "Setting")):
        book(
            job=job,
            person=cast.rui,
            kind=BookingKind.PHASE,
            what=what,
            **_span(*_workday(day, 7, 15)),
            by=cast.office,
        )
    approved_change(cast, job, photo=_photo(job, "board", "Soft subfloor at the drain", by=cast.rui, seed=5))
    waiting_credit(cast, job)
    return job


def _proposal_out(cast: Cast) -> Job:
    job = _job(
        cast, "Leocadia Ambersley", "3 Mill House", "Tub surround", phone="555-0144", miles="7.5", year_built=1931
    )
    room = _room(cast, job, _file("mill-house-tub"), Place.TUB_SURROUND, demolition=True, **CEMENT_BOARD)
    choose_layout(room=room, option=1, why="Window evenly framed", by=cast.owner)
    job.refresh_from_db()
    add_line(
        job=job,
        room=room,
        kind=RateKind.MATERIAL,
        text="Border tile, not chosen yet",
        quantity=Decimal(1),
        unit="lot",
        unit_cost=Decimal(140),
        allowance=True,
        by=cast.owner,
    )
    make_link(proposal=_proposal(cast, job), by=cast.owner)
    return job


def _being_priced(cast: Cast) -> Job:
    job = _job(
        cast, "Ferrowick Bakery", "88 Granary Street", "Shop floor behind the counter", phone="555-0146", miles="2"
    )
    room = _room(cast, job, _shop_floor(), Place.DRY_FLOOR, substrate=Substrate.CONCRETE, stains=True)
    choose_layout(room=room, option=1, why="Full tile at the door", by=cast.owner)
    three_floors_and_a_wall(cast, room)
    job.refresh_from_db()
    fill_estimate(job=job, by=cast.owner)
    floor_protection(cast, job)
    return job


def _laid_out_not_chosen(cast: Cast) -> Job:
    job = _job(cast, "Barnaby Quillfeather", "5 Orchard Steps", "Powder room floor", phone="555-0148")
    _room(cast, job, _bath_floor(name="Powder room floor"), Place.DRY_FLOOR)
    return job


def _not_taken(cast: Cast) -> Job:
    job = _job(cast, "Wilhelmina Dustergate", "60 Rampart Walk", "Terrace steps", phone="555-0150")
    return move_job(job=job, to=Stage.LOST, by=cast.office)


def _not_measured(cast: Cast) -> Job:
    job = _job(cast, "Ignatius Pellworth", "12 Chandler's Court", "Two bathrooms", phone="555-0152", year_built=1989)
    book(
        job=job,
        person=cast.owner,
        kind=BookingKind.VISIT,
        what="Measure",
        **_span(*_workday(1, 16, 17)),
        by=cast.office,
    )
    return job


# ---------------------------------------------------------------- how they get there


def _room(cast: Cast, job: Job, data: dict[str, Any], place: Place, *, demolition: bool = False, **said: Any) -> Room:
    """A room from its file with what was `said` of it, and a price for its tile by the box."""
    room = import_room(job=job, data=data, place=place, demolition=demolition, by=cast.owner)
    if said:
        specify_room(room=room, conditions=said, tile={}, by=cast.owner)
    per_box = room.tile.per_box or 10
    cost = (room.tile.width * room.tile.height * per_box / SQUARE_FOOT_MM2 * TILE_PER_SQUARE_FOOT).quantize(CENT)
    set_rate(key="tile", tile=room.tile, cost=cost, unit="piece", package=Decimal(per_box), by=cast.owner, example=True)
    return room


def _job(cast: Cast, name: str, street: str, title: str, *, phone: str, **site: Any) -> Job:
    kind = ClientKind.BUSINESS if name.endswith("Bakery") else ClientKind.PERSON
    who = client(name, street, phone=phone, by=cast.office, kind=kind, **site)
    return create_job(client=who, site=who.sites.get(), title=title, by=cast.office)


def _proposal(cast: Cast, job: Job) -> Proposal:
    """The job's proposal, its PDF made here and now: a demo shop has no night to wait for a worker."""
    job.refresh_from_db()
    fill_estimate(job=job, by=cast.owner)
    add_contingency(
        job=job, text="Stud that turns out rotten, replaced", unit="stud", unit_cost=Decimal(45), by=cast.owner
    )
    proposal = make_proposal(job=job, by=cast.owner)
    make_document(document_id=proposal.document_id)
    proposal.document.refresh_from_db()
    return proposal


def _accepted(cast: Cast, job: Job, room: Room, *, name: str) -> None:
    choose_layout(room=room, option=1, why="No sliver anywhere", by=cast.owner)
    accept_and_open(proposal=_proposal(cast, job), typed_name=name, witness=cast.owner, browser="in person")
    job.refresh_from_db()


def _close(cast: Cast, job: Job, *, walked_with: str) -> None:
    start_punch_list(job=job, by=cast.office)
    item = add_punch_item(job=job, text="Wipe the sealant smears off the trim", by=cast.office)
    finish_punch_item(item=item, by=cast.noor)
    close_out_job(job=job, walked_with=walked_with, by=cast.office)
    job.refresh_from_db()


def _phases(room: Room) -> list[Phase]:
    return list(Phase.objects.filter(room=room).order_by("position").prefetch_related("checks"))


def _prove(phases: Iterable[Phase], *, by: Staff, days_ago: int) -> None:
    """Everything that the phases ask for, one after another from `days_ago` on, each signed once its waits are over."""
    at = timezone.now() - timedelta(days=days_ago)
    for phase in phases:
        for check in phase.checks.all():
            if check.required:
                at = _enter(check, by=by, at=at).due_at or at
        sign_phase(phase=phase, by=by, happened_at=at)


def _begin(phase: Phase, *, by: Staff) -> None:
    """The phase as it stands this morning: begun, and one check failed."""
    then = timezone.now() - timedelta(hours=2)
    sills = [check for check in phase.checks.all() if check.key == "waterproofing.sills"]
    ticks = [check for check in phase.checks.all() if check.kind == CheckKind.TICK and check.required]
    photos = [check for check in phase.checks.all() if check.kind == CheckKind.PHOTO]
    for check in ticks:
        _enter(check, by=by, at=then)
    for check in photos[:1]:
        # The last of its surfaces is still to be photographed.
        _enter(check, by=by, at=then, surfaces=[surface["key"] for surface in check.surfaces][:-1])
    for check in sills:
        record_entry(check=check, by=by, happened_at=then, values=[Decimal(0)], note="Niche sill is dead level")


def _enter(check: Check, *, by: Staff, at: datetime, surfaces: Sequence[str] = ()) -> Entry:
    room = check.phase.room
    kinds = {"waterproofing": "membrane", "water_test": "water", "substrate": "board", "rough_in": "board"}
    photo = None
    if check.kind == CheckKind.PHOTO:
        photo = _photo(room.job, kinds.get(check.phase.key, "tile"), check.text[:200], by=by, seed=check.position)
    values = _good_values(check)
    return record_entry(check=check, by=by, happened_at=at, ticked=True, values=values, photo=photo, surfaces=surfaces)


def _good_values(check: Check) -> list[Decimal]:
    """Readings as of careful work: a little inside what is allowed."""
    if check.kind == CheckKind.WAIT or not check.limit:
        return []
    low, high = (Decimal(check.limit[side]) if check.limit[side] is not None else None for side in ("low", "high"))
    if low is not None and high is not None:
        value = (low + high) / 2
    elif low is not None:
        value = low + (Decimal(1) if check.unit == "percent" else Decimal("25.4"))
    else:
        value = Decimal(0)
    count = max(check.limit["count"], 3 if check.kind == CheckKind.COVERAGE else 1)
    return [value] * count


def _photo(job: Job, kind: str, caption: str, *, by: Staff, seed: int) -> Photo:
    return keep_photo(
        job=job, by=by, upload=picture(kind, seed=seed), happened_at=timezone.now() - timedelta(days=1), caption=caption
    )


def _workday(ahead: int, first: int, last: int) -> tuple[datetime, datetime]:
    """From hour to hour on the working day that many working days from today (or from the next one, on a weekend)."""
    day = timezone.localdate()
    while day.weekday() > 4 or ahead:
        ahead -= day.weekday() <= 4
        day += timedelta(days=1)
    return _at(day, first), _at(day, last)


def _at(day: date, hour: int) -> datetime:
    return timezone.make_aware(datetime.combine(day, time(hour)))


def _span(starts: datetime, ends: datetime) -> dict[str, datetime]:
    return {"starts": starts, "ends": ends}


# ---------------------------------------------------------------- rooms


def _file(name: str) -> dict[str, Any]:
    return json.loads((ROOMS / f"{name}.json").read_text(encoding="utf-8"))


def _rectangle(width: float, height: float) -> list[list[float]]:
    return [[0, 0], [width, 0], [width, height], [0, height]]


def _file_of(name: str, surface: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"format": "gaugerod-room/1", "name": name, "units": "in", "surfaces": [surface], **more}


def _backsplash() -> dict[str, Any]:
    outlet = {"id": "outlet", "kind": "outlet", "outline": [[40, 6], [42.75, 6], [42.75, 10.5], [40, 10.5]]}
    wall = {"id": "sink-wall", "name": "Sink wall", "kind": "wall", "focal": True, "outline": _rectangle(102, 18)}
    return _file_of(
        "Backsplash",
        {**wall, "openings": [outlet]},
        tile={"width": 7.875, "height": 2.9375, "thickness": "5/16", "edge": "calibrated", "per_box": 50},
        joint="1/8",
        pattern={"kind": "offset", "share": "1/2", "run": "alternate"},
        kerf=2,
    )


def _bath_floor(name: str = "Hall bath floor") -> dict[str, Any]:
    return _file_of(
        name,
        {"id": "floor", "kind": "floor", "focal": True, "outline": _rectangle(58.5, 84)},
        tile={"width": 11.75, "height": 11.75, "thickness": "3/8", "edge": "calibrated", "per_box": 12},
        joint="3/16",
        pattern={"kind": "stack"},
        edge_gap="1/4",
        kerf=2.5,
    )


def _shop_floor() -> dict[str, Any]:
    outline = [[0, 0], [168, 0], [168, 60], [120, 60], [120, 132], [0, 132]]
    return _file_of(
        "Behind the counter",
        {"id": "floor", "kind": "floor", "focal": True, "outline": outline},
        tile={"width": 23.5625, "height": 23.5625, "thickness": "3/8", "edge": "rectified", "per_box": 4},
        joint="1/8",
        pattern={"kind": "stack"},
        edge_gap="1/4",
        kerf=2.5,
    )
