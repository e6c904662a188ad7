"""The rod: where a job stands, as segments from measuring to warranty."""

from dataclasses import dataclass
from typing import Literal

from django.urls import reverse
from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from callbacks.models import Callback, Warranty
from estimating.models import Proposal
from inspections.models import Phase, PunchItem
from jobs.models import Job, Stage
from rooms.models import Layout, Room, Standing
from rooms.queries import rooms_on_offer
from rooms.specification import specification_of
from trade.phases import phases_for

State = Literal["done", "now", "ahead"]

# How far along each stage is; a lost job stands where nothing is being done.
_ORDER = {stage: place for place, stage in enumerate(Stage)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Segment:
    """One length of the rod. `url` is empty where there is nothing to open yet."""

    name: str
    note: str = ""
    state: State = "ahead"
    url: str = ""


def rod_of(job: Job) -> list[Segment]:
    """The rod of one job: a known number of queries, however many rooms and phases it has."""
    offered = list(rooms_on_offer(job))
    rooms = [room for room in offered if room.standing == Standing.IN]
    laid_out = set(Layout.objects.filter(room__job=job).values_list("room_id", flat=True))
    past = _ORDER[Stage(job.stage)] if job.stage != Stage.LOST else -1
    segments = [
        _measure(job, rooms, past),
        _layout(job, offered, laid_out, past),
        _price(job, past),
        _proposal(job, past),
        *_phases(job, rooms, past),
        _punch_list(job, past),
        _warranty(job, past),
    ]
    return _only_first_now(segments)


def _only_first_now(segments: list[Segment]) -> list[Segment]:
    """A job stands in one place: where two segments could be now, the earlier one is."""
    seen = False
    result = []
    for segment in segments:
        if segment.state == "now" and seen:
            segment = Segment(name=segment.name, note=segment.note, state="ahead", url=segment.url)
        seen = seen or segment.state == "now"
        result.append(segment)
    return result


def _measure(job: Job, rooms: list[Room], past: int) -> Segment:
    note = (
        ngettext("%(count)s room", "%(count)s rooms", len(rooms)) % {"count": len(rooms)} if rooms else _("no room yet")
    )
    state: State = "done" if rooms else "now" if past == _ORDER[Stage.MEASURING] else "ahead"
    return Segment(name=_("Measure"), note=note, state=state, url=reverse("home:job", args=[job.pk]) + "#rooms")


def _layout(job: Job, rooms: list[Room], laid_out: set, past: int) -> Segment:
    # Not "Layout": that is the phase in which its lines are snapped.
    name = _("Choose layout")
    missing = [room for room in rooms if room.pk not in laid_out]
    if not rooms:
        return Segment(name=name)
    if missing and past < _ORDER[Stage.PROPOSED]:
        state: State = "now" if past >= 0 else "ahead"
        return Segment(name=name, note=missing[0].name, state=state, url=reverse("rooms:layout", args=[missing[0].pk]))
    return Segment(name=name, state="done", url=reverse("rooms:layout", args=[rooms[0].pk]))


def _price(job: Job, past: int) -> Segment:
    here = _ORDER[Stage.PRICING]
    state: State = "done" if past > here else "now" if past == here else "ahead"
    url = reverse("estimating:estimate", args=[job.pk]) if past >= here else ""
    return Segment(name=_("Price"), state=state, url=url)


def _proposal(job: Job, past: int) -> Segment:
    proposal = Proposal.objects.filter(job=job).select_related("acceptance", "end").first()
    if proposal is None:
        return Segment(name=_("Proposal"), note=_("not made"))
    url = reverse("estimating:proposal", args=[proposal.pk])
    if past > _ORDER[Stage.PROPOSED]:
        return Segment(name=_("Proposal"), note=_("accepted"), state="done", url=url)
    if hasattr(proposal, "end"):
        return Segment(name=_("Proposal"), note=proposal.end.get_kind_display(), url=url)
    until = date_format(localtime(proposal.valid_until), _("M j"))
    state: State = "now" if past == _ORDER[Stage.PROPOSED] else "ahead"
    return Segment(name=_("Proposal"), note=_("out until %(date)s") % {"date": until}, state=state, url=url)


def _phases(job: Job, rooms: list[Room], past: int) -> list[Segment]:
    if past < _ORDER[Stage.WORKING]:
        return _phases_to_come(rooms)
    order: dict[str, list[Phase]] = {}
    phases = Phase.objects.filter(room__job=job).select_related("sign_off", "room").order_by("position")
    for phase in phases:
        order.setdefault(phase.key, []).append(phase)
    segments = []
    found_now = False
    for same in order.values():
        unsigned = [phase for phase in same if not hasattr(phase, "sign_off")]
        state: State = "done" if not unsigned else "ahead" if found_now else "now"
        found_now = found_now or bool(unsigned)
        note = unsigned[0].room.name if unsigned and len(rooms) > 1 else ""
        target = unsigned[0] if unsigned else same[0]
        segments.append(
            Segment(name=_(same[0].name), note=note, state=state, url=reverse("inspections:phase", args=[target.pk]))
        )
    return segments


def _phases_to_come(rooms: list[Room]) -> list[Segment]:
    names: dict[str, str] = {}
    for room in rooms:
        for phase in phases_for(specification_of(room)):
            names.setdefault(phase.key, phase.name)
    return [Segment(name=_(name)) for name in names.values()]


def _punch_list(job: Job, past: int) -> Segment:
    here = _ORDER[Stage.PUNCH_LIST]
    if past < here:
        return Segment(name=_("Punch list"))
    still = PunchItem.objects.filter(job=job, done_at=None).count()
    note = _("%(count)s open") % {"count": still} if still else _("nothing open")
    state: State = "done" if past > here else "now"
    return Segment(name=_("Punch list"), note=note, state=state, url=reverse("inspections:punch_list", args=[job.pk]))


def _warranty(job: Job, past: int) -> Segment:
    if past < _ORDER[Stage.CLOSED]:
        return Segment(name=_("Warranty"))
    warranty = Warranty.objects.filter(job=job).first()
    callback = Callback.objects.filter(job=job, closed_at=None).first()
    note = _("until %(date)s") % {"date": date_format(warranty.ends_on, _("M j, Y"))} if warranty else ""
    if callback:
        return Segment(
            name=_("Warranty"),
            note=_("callback open"),
            state="now",
            url=reverse("callbacks:detail", args=[callback.pk]),
        )
    return Segment(name=_("Warranty"), note=note, state="now", url=reverse("home:job", args=[job.pk]) + "#warranty")
