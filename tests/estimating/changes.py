"""Change orders of tests: an accepted job without rooms, lines at a cost, offers whose PDF is made."""

from datetime import timedelta
from decimal import Decimal
from unittest.mock import patch

from django.utils import timezone

from documents import rendering
from documents.actions import make_document, request_document
from estimating.actions import accept_proposal, add_change_line, edit_change, make_change_link, offer_change, set_rate
from estimating.models import ChangeApproval, Estimate, EstimateLine, Proposal
from jobs.actions import move_job

# What mails say of a proposal.
LETTER = {
    "number": "0001",
    "version": 1,
    "total": {"amount": "4000.00", "shown": "$4,000.00"},
    "job": {"title": "Upstairs bath"},
    "client": {"name": "Odalys Brandt", "contact": ""},
    "shop": {"name": "Plumb & Level Tile", "phone": "555-0110", "email": "office@example.com"},
}


def accepted_job(job, by):
    """The job at work: a proposal of $4,000.00 accepted, its estimate at 35 percent markup with grout at $20.00 for
    10 lb, 8 percent tax on materials."""
    rate = set_rate(key="grout", unit="lb", cost=Decimal(20), package=Decimal(10), by=by)
    estimate = Estimate.objects.create(job=job, markup_percent=35, tax_percent=8)
    EstimateLine.objects.create(
        estimate=estimate,
        kind="material",
        key="grout",
        text="Grout",
        quantity=1,
        unit="lb",
        rate=rate,
        unit_cost=20,
        cost=20,
    )
    for stage in ("pricing", "proposed"):
        job = move_job(job=job, to=stage, by=by)
    document = made_document(request_document(kind="proposal", title="Proposal", input={}, by=by))
    proposal = Proposal.objects.create(
        job=job,
        version=1,
        content=LETTER,
        content_sha256="0" * 64,
        total=Decimal("4000.00"),
        valid_until=timezone.now() + timedelta(days=30),
        document=document,
        made_by=by,
    )
    accept_proposal(proposal=proposal, typed_name="Odalys Brandt", witness=by)
    job.refresh_from_db()
    return job


def labor(change, by, cost, *, credit=False):
    """One hour at `cost`, of the shop's own words."""
    return add_change_line(
        change=change, kind="labor", text="Setting", quantity=Decimal(1), unit_cost=Decimal(cost), credit=credit, by=by
    )


def said(change, by, *, days=0, not_to_exceed=None, photos=()):
    return edit_change(
        change=change,
        what=change.what,
        why="",
        directed_by="Odalys Brandt",
        days=days,
        not_to_exceed=not_to_exceed,
        photos=photos,
        by=by,
    )


def a_link(offer, by):
    make_change_link(change=offer.change, by=by)
    return offer.change.links.first()


def approval_row(offer, witness, link=None, **other):
    return ChangeApproval.objects.create(
        offer=offer,
        change=offer.change,
        job=offer.change.job,
        typed_name="Odalys Brandt",
        witness=witness,
        link=link,
        content_sha256=offer.content_sha256,
        document_sha256=offer.document.sha256,
        **other,
    )


def made(offer, *, real=False):
    """The offer with its PDF: a stand-in of its bytes, the real one where asked for."""
    made_document(offer.document, real=real)
    return offer


def made_document(document, *, real=False):
    stand_in = rendering.render_pdf if real else lambda **kwargs: f"%PDF stand-in of {document.pk}".encode()
    with patch.object(rendering, "render_pdf", stand_in):
        make_document(document_id=document.pk)
    document.refresh_from_db()
    return document


def offered(change, by, cost=100):
    """The offer of one hour at `cost`, with its PDF."""
    labor(change, by, cost)
    return made(offer_change(change=change, by=by))
