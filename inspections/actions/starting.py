"""The client's yes opens the work."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from django.db.models import Min

from estimating.actions import accept_proposal, settle_estimate
from estimating.models import Acceptance, Proposal, ProposalLink
from estimating.options import has_options, rooms_of
from estimating.signing import Paper, Strokes
from inspections.models import Check, CheckKind, Phase
from inspections.queries import checklists_in_force
from jobs.models import Job
from rooms.models import Layout, Room, SurfaceKind
from rooms.options import settle
from rooms.queries import current_layouts, with_parts
from rooms.rough_in_checks import rough_in_checks
from rooms.specification import specification_of
from shop.audit import change
from shop.models import Staff
from shop.queries import shop_limits
from trade import phases as catalogue
from trade.catalogue.preparation import DEMOLITION, ROUGH_IN
from trade.checklists import Checklist

_APART: Mapping[catalogue.Apart, Collection[str]] = {
    "wall": (SurfaceKind.WALL,),
    "face": (SurfaceKind.WALL, SurfaceKind.FLOOR, SurfaceKind.CEILING),
}
"""Curb, bench, jamb, sill and niche go with the face that they stand in. Common practice, no source."""


def accept_and_open(
    *,
    proposal: Proposal,
    typed_name: str,
    choice: str | None = None,
    link: ProposalLink | None = None,
    witness: Staff | None = None,
    address: str | None = None,
    browser: str = "",
    strokes: Strokes | None = None,
    paper: Paper | None = None,
) -> Acceptance:
    """The acceptance; with it the job is being worked on, what was chosen is part of it, and each room has the phases
    that it calls for.

    The same yes sent again changes nothing and returns the first acceptance. Raises what `accept_proposal` raises.
    """
    with change(witness):
        acceptance = accept_proposal(
            proposal=proposal,
            typed_name=typed_name,
            choice=choice,
            link=link,
            witness=witness,
            address=address,
            browser=browser,
            strokes=strokes,
            paper=paper,
        )
        if has_options(acceptance.proposal.content):
            settle(job=acceptance.job, taken=rooms_of(acceptance.proposal.content, acceptance.choice))
            settle_estimate(job=acceptance.job)
        open_phases(acceptance.job)
    return acceptance


def open_phases(job: Job) -> None:
    """Opens the phases of the rooms that have none yet. The caller holds the lock on the job."""
    rooms = with_parts(Room.objects.filter(job=job, phases=None).part_of_the_job())
    phases: list[Phase] = []
    checks: list[Check] = []
    layouts, limits = current_layouts(job), shop_limits()
    # A job keeps the checklists that its work began with.
    began = Phase.objects.filter(room__job=job).aggregate(first=Min("created_at"))["first"]
    versions = checklists_in_force(at=began)
    lists = {key: Checklist.from_json(version.content) for key, version in versions.items()}
    for room in rooms:
        spec = specification_of(room, layouts.get(room.pk))
        asked = catalogue.phases_for(spec, limits=limits, lists=lists)
        for place, kind in enumerate(_with_rough_in(asked, layouts.get(room.pk))):
            phase = Phase(
                room=room,
                key=kind.key,
                name=kind.name,
                position=place,
                specification=spec.to_json(),
                checklist=versions.get(kind.key),
            )
            phases.append(phase)
            checks += [
                check_row(phase, position, check, _surfaces(room, _APART[check.apart]) if check.apart else [])
                for position, check in enumerate(kind.checks)
            ]
    Phase.objects.bulk_create(phases)
    Check.objects.bulk_create(checks)


def _with_rough_in(asked: Sequence[catalogue.Phase], layout: Layout | None) -> Sequence[catalogue.Phase]:
    """The phases with the items of the layout's rough-in sheet in theirs, which a room that has no other gets for them.

    They come on top of the shop's own checklist, which leaves room for one: both together are no more than a phone may
    ask. Of a checklist from before it had to, all is asked, and theirs in one.
    """
    own = next((phase for phase in asked if phase.key == ROUGH_IN.key), None)
    have = own.checks if own else ()
    items = rough_in_checks(layout, most=max(1, catalogue.MOST_CHECKS - len(have))) if layout else ()
    if not items:
        return asked
    if own:
        return [replace(phase, checks=(*have, *items)) if phase is own else phase for phase in asked]
    rough_in = catalogue.Phase(key=ROUGH_IN.key, name=ROUGH_IN.name, checks=items)
    before = sum(phase.key == DEMOLITION.key for phase in asked)
    return [*asked[:before], rough_in, *asked[before:]]


def check_row(phase: Phase, position: int, check: catalogue.Check, surfaces: Sequence[Mapping[str, str]] = ()) -> Check:
    """A check of a phase, not saved yet. `surfaces`: as in `Check.surfaces`."""
    return Check(
        phase=phase,
        key=check.key,
        position=position,
        text=check.text,
        help=check.help,
        kind=check.kind,
        unit=check.unit or "",
        limit=check.limit.to_json() if check.limit else None,
        surfaces=list(surfaces),
        after=check.after,
        restarts=check.restarts,
        in_turn=check.kind == CheckKind.WAIT,
        required=check.required,
        source=check.rule.cited,
        confidence=check.rule.confidence,
    )


def _surfaces(room: Room, kinds: Collection[str]) -> list[dict[str, str]]:
    """Those of the room's surfaces on which a check is proved apart; of a single one nothing is to be told apart."""
    found = [
        {"key": each.key, "name": str(each), "kind": each.kind} for each in room.surfaces.all() if each.kind in kinds
    ]
    return found if len(found) > 1 else []
