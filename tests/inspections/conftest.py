"""Rooms whose phases are open, as acceptance opens them, and a job whose phases are all signed."""

import pytest

# The way to a proposal that can be accepted is the same as there.
from tests.estimating.conftest import estimate, expired, laid_out, link, proposal, propose, rates  # noqa: F401
from tests.inspections.phones import phone  # noqa: F401


@pytest.fixture
def open_phases(room):
    """The phases of the shower, which gets a pan as well; the job is being worked on."""
    from decimal import Decimal

    from tests.factories import SurfaceFactory, rectangle
    from tests.inspections.opening import open_phases_of

    SurfaceFactory(room=room, key="pan", kind="floor", position=3, outline=rectangle(Decimal(60), Decimal(36)))
    return open_phases_of(room)


@pytest.fixture
def floor_phases(job):
    """The phases of a plain dry floor, the fewest that a room has."""
    from tests.factories import RoomFactory, SurfaceFactory
    from tests.inspections.opening import open_phases_of

    room = RoomFactory(job=job, name="Hall", place="dry_floor", walls=False)
    SurfaceFactory(room=room, key="floor", kind="floor", wet=False)
    return open_phases_of(room)


@pytest.fixture
def signed_job(floor_phases, installer):
    """The job, still at work, with every phase signed."""
    from tests.inspections.proofs import prove_and_sign

    for phase in floor_phases:
        prove_and_sign(phase, by=installer)
    return floor_phases[0].room.job


@pytest.fixture
def punch_listed(signed_job, office):
    """The job at its punch list, with nothing on it."""
    from inspections.actions import start_punch_list

    return start_punch_list(job=signed_job, by=office)
