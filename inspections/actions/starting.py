"""The client's yes opens the work."""

from django.db.models import Min

from estimating.actions import accept_proposal
from estimating.models import Acceptance, Proposal, ProposalLink
from inspections.models import Check, Phase
from inspections.queries import checklists_in_force
from jobs.models import Job
from rooms.models import Room
from rooms.queries import current_layouts, with_parts
from rooms.specification import specification_of
from shop.audit import change
from shop.models import Staff
from shop.queries import shop_limits
from trade import phases as catalogue
from trade.checklists import Checklist


def accept_and_open(
    *,
    proposal: Proposal,
    typed_name: str,
    link: ProposalLink | None = None,
    witness: Staff | None = None,
    address: str | None = None,
    browser: str = "",
) -> Acceptance:
    """The acceptance; with it the job is being worked on, and each room has the phases that it calls for.

    Accepting twice changes nothing and returns the first acceptance. Raises what `accept_proposal` raises.
    """
    with change(witness):
        acceptance = accept_proposal(
            proposal=proposal, typed_name=typed_name, link=link, witness=witness, address=address, browser=browser
        )
        open_phases(acceptance.job)
    return acceptance


def open_phases(job: Job) -> None:
    """Opens the phases of the rooms that have none yet. The caller holds the lock on the job."""
    rooms = with_parts(Room.objects.filter(job=job, phases=None))
    phases: list[Phase] = []
    checks: list[Check] = []
    layouts, limits = current_layouts(job), shop_limits()
    # A job keeps the checklists that its work began with.
    began = Phase.objects.filter(room__job=job).aggregate(first=Min("created_at"))["first"]
    versions = checklists_in_force(at=began)
    lists = {key: Checklist.from_json(version.content) for key, version in versions.items()}
    for room in rooms:
        spec = specification_of(room, layouts.get(room.pk))
        for place, kind in enumerate(catalogue.phases_for(spec, limits=limits, lists=lists)):
            phase = Phase(
                room=room,
                key=kind.key,
                name=kind.name,
                position=place,
                specification=spec.to_json(),
                checklist=versions.get(kind.key),
            )
            phases.append(phase)
            checks += [_check(phase, position, check) for position, check in enumerate(kind.checks)]
    Phase.objects.bulk_create(phases)
    Check.objects.bulk_create(checks)


def _check(phase: Phase, position: int, check: catalogue.Check) -> Check:
    return Check(
        phase=phase,
        key=check.key,
        position=position,
        text=check.text,
        help=check.help,
        kind=check.kind,
        unit=check.unit or "",
        limit=check.limit.to_json() if check.limit else None,
        required=check.required,
        source=check.rule.cited,
        confidence=check.rule.confidence,
    )
