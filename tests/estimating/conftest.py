"""A job on its way to a price: laid out, with rates, filled, offered; and a document that a worker would have made."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from tests.support.zones import in_the_zone_of_the_shop  # noqa: F401


@pytest.fixture
def laid_out(job, room, owner):
    """The three-wall shower with its layout chosen: the job is at pricing."""
    from rooms.actions import choose_layout

    choose_layout(room=room, option=1, why="least cuts", by=owner)
    job.refresh_from_db()
    return job


@pytest.fixture
def rates(owner, room):
    """Every rate of the catalogue by its example figure, and the room's tile at $48.00 a box of 8."""
    from estimating.actions import install_example_rates, set_rate

    install_example_rates(by=owner)
    set_rate(key="tile", tile=room.tile, unit="piece", cost=Decimal("48.00"), package=Decimal(8), by=owner)


@pytest.fixture
def estimate(laid_out, rates, owner):
    from estimating.actions import fill_estimate

    return fill_estimate(job=laid_out, by=owner).estimate


@pytest.fixture
def propose(estimate, laid_out, owner, monkeypatch):
    """Makes a proposal, and its PDF as a worker would: a stand-in of the PDF's bytes, the real one where asked for."""
    from documents import rendering
    from documents.actions import make_document
    from estimating.actions import make_proposal

    real = rendering.render_pdf

    def make(*, ready=True, real_pdf=False):
        proposal = make_proposal(job=laid_out, by=owner)
        if ready:
            stand_in = f"%PDF stand-in of {proposal.pk}".encode()
            monkeypatch.setattr(rendering, "render_pdf", real if real_pdf else lambda **kwargs: stand_in)
            make_document(document_id=proposal.document_id)
            proposal.document.refresh_from_db()
        laid_out.refresh_from_db()
        return proposal

    return make


@pytest.fixture
def proposal(propose):
    return propose()


@pytest.fixture
def expired(propose, monkeypatch):
    """A proposal that held until a moment ago."""
    from estimating.actions import proposals

    monkeypatch.setattr(proposals, "end_of", lambda day: timezone.now() - timedelta(seconds=1))
    return propose()


@pytest.fixture
def link(proposal, owner):
    """(token, link) of the proposal."""
    from estimating.actions import make_link

    token = make_link(proposal=proposal, by=owner)
    return token, proposal.links.get()


# ---------------------------------------------------------------- change orders


@pytest.fixture
def accepted(job, owner):
    """A job that is being worked on; its proposal of $4,000.00 was accepted."""
    from tests.estimating.changes import accepted_job

    return accepted_job(job, owner)


@pytest.fixture
def change(accepted, owner):
    """A change order without lines."""
    from estimating.actions import raise_change

    return raise_change(job=accepted, what="A second niche", directed_by="Odalys Brandt", by=owner)


@pytest.fixture
def offered(change, owner):
    """Its offer, $135.00 with markup, the PDF made."""
    from tests.estimating.changes import offered

    return offered(change, owner)


@pytest.fixture
def offered_twice(accepted, offered, owner):
    """The offer of another change order of the job, $13.50, the PDF made."""
    from estimating.actions import raise_change
    from tests.estimating import changes

    other = raise_change(job=accepted, what="A heated floor", directed_by="Odalys Brandt", by=owner)
    return changes.offered(other, owner, 10)


@pytest.fixture
def approved(offered, owner):
    from estimating.actions import approve_change

    return approve_change(offer=offered, typed_name="Odalys Brandt", witness=owner)


@pytest.fixture
def photo(accepted, installer):
    from tests.inspections.proofs import some_photo

    return some_photo(accepted, installer)


@pytest.fixture
def booked_until_friday(accepted, installer, office):
    from jobs.actions import book

    day = timezone.localtime() + timedelta(days=1)
    day += timedelta(days=(4 - day.weekday()) % 7)
    starts = day.replace(hour=8, minute=0, second=0, microsecond=0)
    book(
        job=accepted,
        person=installer,
        kind="phase",
        what="Setting",
        starts=starts,
        ends=starts + timedelta(hours=8),
        by=office,
    )


# ---------------------------------------------------------------- options


@pytest.fixture
def offered_options(estimate, room, monkeypatch):
    """From here on a proposal of the job offers two tiles to pick from and a bench to add."""
    from estimating.actions import proposals
    from tests.estimating.offered_options import Offered

    offered, freeze, offer_of = Offered(room), proposals.freeze, proposals.offer_of
    monkeypatch.setattr(proposals, "obstacles_of", lambda job: [])
    # What is frozen is the room alone; the options come to it with figures that a test can count by hand.
    alone = {"groups": (), "rooms": [room.pk]}
    monkeypatch.setattr(proposals, "offer_of", lambda estimate: replace(offer_of(estimate), **alone))
    monkeypatch.setattr(proposals, "rooms_on_offer", lambda job: _parts_of(room))
    monkeypatch.setattr(proposals, "freeze", lambda **given: offered.into(freeze(**given)))
    return offered


def _parts_of(room):
    from rooms.models import Room
    from rooms.queries import with_parts

    return with_parts(Room.objects.filter(pk=room.pk))


@pytest.fixture
def with_options(offered_options, propose):
    """(the proposal with options, the keys of what it offers)."""
    return propose(), offered_options
