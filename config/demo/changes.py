"""The demo shop's change orders: one raised on site and approved, and a credit that waits for the client."""

from decimal import Decimal

from config.demo.people import Cast
from documents.actions import make_document
from estimating.actions import (
    add_change_line,
    agree_field_limit,
    approve_change,
    edit_change,
    make_change_link,
    offer_change,
    raise_change,
)
from estimating.change_queries import rates_for_changes
from estimating.models import ChangeOffer, ChangeOrder, RateKind
from jobs.models import Job, Photo

CLIENT = "Odalys Brandtmere"


def approved_change(cast: Cast, job: Job, *, photo: Photo) -> None:
    """Rot under the old pan, started on the client's word; the figures are invented."""
    agree_field_limit(job=job, amount=Decimal(250), agreed_with=CLIENT, by=cast.office)
    change = raise_change(
        job=job,
        what="New subfloor at the shower drain",
        why="The old pan leaked: about 6 sq ft of subfloor are soft to the joist.",
        on_site=True,
        word_of=CLIENT,
        photo=photo,
        by=cast.rui,
    )
    edit_change(
        change=change,
        what=change.what,
        why=change.why,
        directed_by=CLIENT,
        days=1,
        not_to_exceed=None,
        photos=[photo],
        by=cast.office,
    )
    add_change_line(
        change=change,
        kind=RateKind.MATERIAL,
        text="Plywood, screws and construction adhesive",
        quantity=Decimal(1),
        unit="each",
        unit_cost=Decimal("48.00"),
        by=cast.office,
    )
    add_change_line(
        change=change,
        kind=RateKind.LABOR,
        text="Cut out and replace the subfloor",
        quantity=Decimal("1.5"),
        unit_cost=Decimal("62.00"),
        by=cast.office,
    )
    approve_change(offer=_offered(cast, change), typed_name=CLIENT, witness=cast.owner, browser="in person")


def waiting_credit(cast: Cast, job: Job) -> None:
    """Less trim than was offered, as a credit by the shop's own rate."""
    change = raise_change(
        job=job,
        what="Trim at the niche left out",
        why="You chose mitered edges for the niche; no trim is needed there.",
        directed_by=CLIENT,
        by=cast.office,
    )
    rate = next(rate for rate in rates_for_changes(job) if rate.key == "edge-trim")
    add_change_line(change=change, rate=rate, quantity=Decimal(8), credit=True, by=cast.office)
    _offered(cast, change)
    make_change_link(change=change, by=cast.office)


def _offered(cast: Cast, change: ChangeOrder) -> ChangeOffer:
    """The offer, its PDF made here and now."""
    offer = offer_change(change=change, by=cast.office)
    make_document(document_id=offer.document_id)
    offer.document.refresh_from_db()
    return offer
