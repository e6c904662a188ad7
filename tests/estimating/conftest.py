"""A job on its way to a price: laid out, with rates, filled, offered; and a document that a worker would have made."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone


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

    monkeypatch.setattr(proposals, "_end_of", lambda day: timezone.now() - timedelta(seconds=1))
    return propose()


@pytest.fixture
def link(proposal, owner):
    """(token, link) of the proposal."""
    from estimating.actions import make_link

    token = make_link(proposal=proposal, by=owner)
    return token, proposal.links.get()
