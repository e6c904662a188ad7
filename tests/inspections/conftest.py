import pytest


@pytest.fixture
def open_phases(room):
    """The phases of `room`, which gets a pan as well, opened as acceptance opens them; the job is being worked on."""
    from decimal import Decimal

    from tests.factories import SurfaceFactory, rectangle
    from tests.inspections.opening import open_phases_of

    pan = rectangle(Decimal(60), Decimal(36))
    SurfaceFactory(room=room, key="pan", kind="floor", position=3, outline=pan)
    return open_phases_of(room)
