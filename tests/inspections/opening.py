"""Open phases without a proposal: for tests that are about the work."""

from inspections.actions import open_phases
from inspections.models import Phase
from jobs.actions import move_job
from jobs.models import Stage
from rooms.models import Room


def open_phases_of(room: Room) -> list[Phase]:
    """The room's phases in their order, opened as acceptance opens them; the job is being worked on."""
    for stage in (Stage.PRICING, Stage.PROPOSED, Stage.WORKING):
        move_job(job=room.job, to=stage, by=None)
    open_phases(room.job)
    return list(room.phases.order_by("position"))
