import pytest


@pytest.fixture
def open_phases(room):
    """The phases of `room`, which gets a pan as well, opened as acceptance opens them; the job is being worked on."""
    from decimal import Decimal

    from inspections.actions.starting import _open_phases
    from jobs.actions import move_job
    from jobs.models import Stage
    from tests.factories import SurfaceFactory, rectangle

    pan = rectangle(Decimal(60), Decimal(36))
    SurfaceFactory(room=room, key="pan", kind="floor", position=3, outline=pan)
    for stage in (Stage.PRICING, Stage.PROPOSED, Stage.WORKING):
        move_job(job=room.job, to=stage, by=None)
    _open_phases(room.job)
    return list(room.phases.order_by("position"))

