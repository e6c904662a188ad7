"""What pages read about change orders, each in a number of queries that doesn't grow with rows."""

import hashlib
import json
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any, Literal
from uuid import UUID

from django.db.models import OuterRef, Prefetch, Q, QuerySet, Subquery
from django.utils import timezone
from django.utils.translation import gettext as _

from documents.models import State
from estimating.allowances import allowances_in, allowed
from estimating.change_content import ChangeTotals, totals_of_change
from estimating.choices import in_price
from estimating.models import (
    ChangeApproval,
    ChangeEnd,
    ChangeOffer,
    ChangeOrder,
    EndKind,
    Estimate,
    EstimateLine,
    FieldLimit,
    Rate,
)
from estimating.terms import totals_of
from jobs.models import Job, Photo

_PHOTOS_TO_CHOOSE = 24

Standing = Literal["draft", "open", "expired", "approved", "declined", "withdrawn"]
Starts = Literal["yes", "word", "unpriced", "over", "no"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeView:
    """A change order as it stands now. `offer` is the one that stands or was approved; `end` how the last one ended."""

    change: ChangeOrder
    standing: Standing
    totals: ChangeTotals
    offer: ChangeOffer | None
    approval: ChangeApproval | None
    end: ChangeEnd | None

    @property
    def amount(self) -> Decimal:
        """As offered while that stands; else as the lines have it now."""
        return self.offer.amount if self.offer and not self.editable else self.totals.amount

    @property
    def said(self) -> str:
        """A sign of all that is said of it but its lines: another one as soon as somebody changes it."""
        change = self.change
        photos = sorted(str(photo.pk) for photo in change.photos.all())
        limits = [change.days, str(change.not_to_exceed), change.dropped_reason]
        return _sign([change.what, change.why, change.directed_by, *limits, photos])

    @property
    def seen(self) -> str:
        """A sign of all that an offer would say of it."""
        lines = [
            [str(line.pk), line.text, str(line.quantity), str(line.cost), line.credit]
            for line in self.change.lines.all()
        ]
        return _sign([self.said, lines])

    @property
    def taken_back(self) -> bool:
        """Whether its offer was ended by nobody: another approval left no sum on which it could stand."""
        return self.standing == "draft" and self.end is not None and self.end.kind == EndKind.WITHDRAWN

    @property
    def editable(self) -> bool:
        return self.standing not in ("open", "approved")

    @property
    def starts(self) -> Starts:
        """Whether the work on it may start: approved; on the client's word; not yet, because nobody priced it; held,
        because it came to more than the field limit; or not before it is approved."""
        if self.standing == "approved":
            return "yes"
        if self.change.word_limit is None or self.standing in ("declined", "withdrawn"):
            return "no"
        if not self.change.lines.all():
            return "unpriced"
        return "word" if self.amount <= self.change.word_limit else "over"

    @property
    def standing_text(self) -> str:
        if self.taken_back:
            return _("taken back, to be looked at again")
        return {
            "draft": _("not offered yet"),
            "open": _("waits for the client"),
            "expired": _("expired"),
            "approved": _("approved"),
            "declined": _("declined by the client"),
            "withdrawn": _("withdrawn"),
        }[self.standing]

    @property
    def closeout_text(self) -> str:
        """What to do before the job can be closed out; empty where nothing is left to do."""
        return {
            "draft": _("not offered yet: offer it to the client, or withdraw it"),
            "open": _("waits for the client: remind them, have it approved or declined, or withdraw it"),
            "expired": _("expired without an answer: offer it anew, or withdraw it"),
        }.get(self.standing, "")

    @property
    def starts_text(self) -> str:
        """For whoever does the work: no price in it but the limit that was agreed."""
        if self.standing == "declined":
            return _("The client said no: leave it.")
        if self.standing == "withdrawn":
            return _("Withdrawn: leave it.")
        return {
            "yes": _("Approved: it can be done."),
            "word": _("May start: %(name)s said yes, within the field limit.") % {"name": self.change.word_of},
            "unpriced": _("Don’t start yet: %(name)s said yes, but the office has to price it first.")
            % {"name": self.change.word_of},
            "over": _("Stop: it comes to more than the field limit. Wait until the client approves."),
            "no": _("Don’t start before the client approves."),
        }[self.starts]


def _sign(said: list[object]) -> str:
    return hashlib.sha256(json.dumps(said).encode()).hexdigest()[:16]


def offer_of_version(change: UUID, version: str) -> ChangeOffer | None:
    """The version that was read: the page's form names it, so that nobody answers one that was never shown."""
    offers = ChangeOffer.objects.select_related("change").filter(change=change)
    return offers.filter(version=int(version)).first() if version.isdecimal() and len(version) < 5 else None


def _changes() -> QuerySet[ChangeOrder]:
    offers = ChangeOffer.objects.select_related("end__by", "document").defer("content")
    return ChangeOrder.objects.select_related(
        "raised_by", "job__client", "job__site", "job__estimate"
    ).prefetch_related("lines", "photos", Prefetch("offers", offers))


def _view(change: ChangeOrder, estimate: Estimate, approval: ChangeApproval | None) -> ChangeView:
    offers = list(change.offers.all())
    last = offers[0] if offers else None
    end = getattr(last, "end", None)
    standing: Standing = "draft"
    if approval:
        standing = "approved"
    elif change.dropped_reason:
        standing = "withdrawn"
    elif last and end is None:
        standing = "open" if timezone.now() < last.valid_until else "expired"
    elif end and (end.kind == EndKind.DECLINED or (end.kind == EndKind.WITHDRAWN and end.by_id)):
        standing = end.kind
    return ChangeView(
        change=change,
        standing=standing,
        totals=totals_of_change(estimate, change, change.lines.all()),
        offer=last if approval or standing in ("open", "expired") else None,
        approval=approval,
        end=end,
    )


def _views(changes: list[ChangeOrder]) -> list[ChangeView]:
    found = ChangeApproval.objects.filter(change__in=changes).select_related("witness", "link")
    approvals = {approval.change_id: approval for approval in found}
    return [_view(change, change.job.estimate, approvals.get(change.pk)) for change in changes]


def changes_of_job(job: Job) -> list[ChangeView]:
    """By number. 5 queries."""
    return _views(list(_changes().filter(job=job)))


def undecided_changes(job: Job) -> list[ChangeView]:
    """Those that hold the closeout: written down and not offered, or offered without an answer. 5 queries at most."""
    return [view for view in changes_of_job(job) if view.closeout_text]


def view_of(change: ChangeOrder) -> ChangeView:
    """The change order as it stands in the database. 5 queries."""
    return _views(list(_changes().filter(pk=change.pk)))[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pending:
    """A change order that waits for somebody: with `amount` and `valid_until` where the client has it, `failed` where
    its PDF couldn't be made; without them it waits for its price, `taken_back` where it was with the client before."""

    change: ChangeOrder
    amount: Decimal | None = None
    valid_until: datetime | None = None
    failed: bool = False
    taken_back: bool = False


def changes_pending() -> list[Pending]:
    """What waits for the client, the one that ends first before the others, expired ones among them; after them what
    was raised on site and never offered, or was taken back. One query."""
    newest = ChangeOffer.objects.filter(change=OuterRef("pk")).order_by("-version")
    rows = (
        ChangeOrder.objects.filter(approval=None, dropped_reason="")
        .annotate(
            offer_amount=Subquery(newest.values("amount")[:1]),
            offer_until=Subquery(newest.values("valid_until")[:1]),
            offer_paper=Subquery(newest.values("document__state")[:1]),
            offer_kind=Subquery(newest.values("end__kind")[:1]),
            offer_ended_by=Subquery(newest.values("end__by")[:1]),
        )
        .filter(
            Q(offer_amount__isnull=False, offer_kind=None)
            | Q(offer_amount=None, on_site=True)
            | Q(offer_kind=EndKind.WITHDRAWN, offer_ended_by=None)
        )
        .select_related("job__client", "job__site")
        .order_by("raised_at", "id")
    )
    found = [_pending(row) for row in rows]
    return sorted(found, key=lambda each: (each.valid_until is None, each.valid_until or each.change.raised_at))


def _pending(row: Any) -> Pending:
    if row.offer_kind or row.offer_amount is None:
        return Pending(change=row, taken_back=bool(row.offer_kind))
    failed = row.offer_paper == State.FAILED
    return Pending(change=row, amount=row.offer_amount, valid_until=row.offer_until, failed=failed)


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowance:
    """An allowance of accepted work. `change` is the order that settles it, unless that came to nothing."""

    line: EstimateLine
    amount: Decimal
    change: ChangeView | None


def allowances_of(job: Job) -> list[Allowance]:
    """Those of a job's price, in its order. 9 queries at most."""
    lines = EstimateLine.objects.filter(estimate__job=job).select_related("room", "rate", "estimate")
    priced = in_price(lines)
    found = allowances_in(priced)
    if not found:
        return []
    estimate = found[0].estimate
    totals = totals_of(estimate, priced)
    settled = {
        view.change.settles_id: view
        for view in changes_of_job(job)
        if view.change.settles_id and view.standing not in ("declined", "withdrawn")
    }
    return [
        Allowance(line=line, amount=allowed(line, estimate=estimate, totals=totals), change=settled.get(line.pk))
        for line in found
    ]


def field_limit(job: Job) -> FieldLimit | None:
    """The limit in force; None where none was agreed, or none is any more."""
    newest = FieldLimit.objects.filter(job=job).select_related("by").first()
    return newest if newest and newest.amount else None


def usual_field_limit() -> Decimal | None:
    """The amount that the shop agreed on last, whatever the job."""
    return FieldLimit.objects.filter(amount__isnull=False).values_list("amount", flat=True).first()


def rates_for_changes(job: Job) -> list[Rate]:
    """The rates of the job's estimate, as the client accepted them; for all else those in force. None that was put
    away. 2 queries."""
    lines = EstimateLine.objects.filter(estimate__job=job, rate__isnull=False, rate__own__archived_on=None)
    rates = {(line.rate.key, line.rate.tile_id): line.rate for line in lines.select_related("rate__tile") if line.rate}
    for rate in Rate.objects.in_force().select_related("tile"):
        rates.setdefault((rate.key, rate.tile_id), rate)
    return sorted(rates.values(), key=lambda rate: (rate.kind, rate.name))


def photos_to_choose(change: ChangeOrder) -> list[Photo]:
    """The newest photos of the job, and those that the change order has already."""
    photos = Photo.objects.filter(job=change.job_id).order_by("-happened_at", "-id")
    return list({photo.pk: photo for photo in [*change.photos.all(), *photos[:_PHOTOS_TO_CHOOSE]]}.values())
