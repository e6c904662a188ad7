"""From an estimate to what is offered: frozen, hashed, printed by a worker, opened by a private link."""

from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import Max
from django.utils import timezone
from django.utils.translation import gettext as _

from base.errors import Refused
from base.seen import check_seen
from clients.models import token_hash
from documents.actions import request_document
from estimating.actions._locks import lock_job, lock_proposal
from estimating.choices import Offer
from estimating.content import content_hash, freeze, logo_data, say_the_same
from estimating.local_limits import limit_of
from estimating.models import Acceptance, EndKind, Estimate, Proposal, ProposalEnd, ProposalLink
from estimating.plans import plan_of
from estimating.queries import obstacles_of, offer_of
from estimating.seen import seen_lines, seen_terms
from estimating.texts.current import current_texts, letter_color
from jobs.actions import move_job
from jobs.models import Job, Stage
from rooms.queries import current_layouts, rooms_on_offer
from shop.audit import change
from shop.languages import client_locale, for_clients
from shop.models import Staff
from shop.queries import one_reading_of_settings, shop_settings

# A link outlives its proposal: the client finds it answered or expired, not gone.
LINK_OUTLIVES = timedelta(days=60)


class CannotPropose(Refused):
    """Something stands in the way of a proposal. `obstacles` has a sentence for each."""

    def __init__(self, obstacles: list[str]) -> None:
        super().__init__(" ".join(obstacles))
        self.obstacles = obstacles


class CannotRenew(Refused):
    """It didn't expire, or what it was made of is another by now. The message is for the owner."""


class CannotWithdraw(Refused):
    """The proposal was accepted, or ended before."""


@for_clients
def make_proposal(*, job: Job, by: Staff, seen: str | None = None) -> Proposal:
    """The new proposal, its PDF asked for; the one before is ended as replaced, the job's stage is proposed. `seen`:
    what the page of the estimate showed, on which it was asked for.

    Raises CannotPropose while the job, a room, a layout, a line or the total isn't ready for it, ChangedMeanwhile.
    """
    with change(by):
        job = lock_job(job.pk)
        _check_seen(job, seen)
        if found := obstacles_of(job):
            raise CannotPropose([str(obstacle.text) for obstacle in found])
        shop = shop_settings()
        offer = _offer_of(job)
        last = Proposal.objects.filter(job=job).aggregate(last=Max("version"))["last"] or 0
        today = timezone.localdate()
        valid_until = end_of(today + timedelta(days=shop.proposal_days))
        try:
            content = _content(job, offer, version=last + 1, made_on=today, valid_until=valid_until)
        except ValueError as error:
            raise CannotPropose([str(error)]) from error
        for standing in Proposal.objects.filter(job=job, end=None):
            ProposalEnd.objects.create(proposal=standing, kind=EndKind.REPLACED, by=by)
        document = request_document(
            kind="proposal",
            title=_("Proposal %(number)s-%(version)s, %(site)s")
            % {"number": content["number"], "version": last + 1, "site": job.site},
            input={
                "letter": content,
                "paper": content["paper"],
                "shop_name": shop.name,
                "logo": logo_data(shop),
                "color": letter_color(),
            },
            by=by,
            language=client_locale(shop),
        )
        proposal = Proposal.objects.create(
            job=job,
            version=last + 1,
            content=content,
            content_sha256=content_hash(content),
            total=Decimal(content["total"]["amount"]),
            valid_until=valid_until,
            document=document,
            made_by=by,
        )
        proposal.refresh_from_db(fields=["created_at"])
        if job.stage == Stage.PRICING:
            move_job(job=job, to=Stage.PROPOSED, by=by)
    return proposal


def _check_seen(job: Job, seen: str | None) -> None:
    if seen is not None and (estimate := Estimate.objects.filter(job=job).first()):
        lines = seen_lines(offer_of(estimate), estimate.contingencies.all())
        check_seen(lines + seen_terms(estimate), seen)


def _offer_of(job: Job) -> Offer:
    return offer_of(Estimate.objects.select_for_update().get(job=job))


def _content(job: Job, offer: Offer, *, version: int, made_on: date, valid_until: datetime) -> dict[str, Any]:
    # Every choice prints money, so the settings are read once for all of them.
    with one_reading_of_settings() as shop:
        return freeze(
            shop=shop,
            job=Job.objects.select_related("client", "site").get(pk=job.pk),
            version=version,
            offer=offer,
            rooms=list(rooms_on_offer(job)),
            layouts=current_layouts(job),
            made_on=made_on,
            valid_until=valid_until,
            texts=current_texts(),
            plan=plan_of(job),
            local=limit_of(job.site.region),
        )


@for_clients
def renew_proposal(*, proposal: Proposal, by: Staff) -> Proposal:
    """A new version of a proposal that expired, with all that it said but its dates.

    Raises CannotRenew for one that didn't expire, was answered or replaced, and where it would say anything else now;
    CannotPropose as `make_proposal` does.
    """
    with change(by):
        job, proposal = lock_proposal(proposal.pk)
        answered = Acceptance.objects.filter(proposal=proposal).exists()
        if answered or ProposalEnd.objects.filter(proposal=proposal).exists():
            raise CannotRenew(_("This proposal was answered, withdrawn or replaced meanwhile."))
        if timezone.now() < proposal.valid_until:
            raise CannotRenew(_("This proposal still holds."))
        if found := obstacles_of(job):
            raise CannotPropose([str(obstacle.text) for obstacle in found])
        made_on = date.fromisoformat(proposal.content["made_on"]["date"])
        now = _content(job, _offer_of(job), version=proposal.version, made_on=made_on, valid_until=proposal.valid_until)
        if say_the_same(proposal.content, now):
            return make_proposal(job=job, by=by)
        raise CannotRenew(
            _("Prices, rooms or terms have changed since it was made. Look at the estimate, and propose from there.")
        )


def end_of(day: date) -> datetime:
    """The last second of `day` in the shop's zone: the proposal holds that whole day."""
    return timezone.make_aware(datetime.combine(day, time(23, 59, 59)))


def make_link(*, proposal: Proposal, by: Staff) -> str:
    """A new token for the client's page. It is nowhere else: show it now, only its hash is kept."""
    token = ProposalLink.new_token()
    with change(by):
        ProposalLink.objects.create(
            proposal=proposal,
            made_by=by,
            token_hash=token_hash(token),
            expires_at=max(proposal.valid_until, timezone.now()) + LINK_OUTLIVES,
        )
    return token


def revoke_link(*, link: ProposalLink, by: Staff) -> ProposalLink:
    """The link, dead from now on. Revoking it twice changes nothing."""
    with change(by):
        now = ProposalLink.objects.select_for_update().get(pk=link.pk)
        if now.revoked_at is None:
            now.revoked_at = timezone.now()
            now.save(update_fields=["revoked_at"])
    return now


def withdraw_proposal(*, proposal: Proposal, by: Staff, reason: str = "") -> ProposalEnd:
    """The end of the proposal; the job goes back to pricing. Withdrawing twice returns the first end.

    Raises CannotWithdraw for one that was accepted, or ended otherwise.
    """
    with change(by):
        job, proposal = lock_proposal(proposal.pk)
        if Acceptance.objects.filter(proposal=proposal).exists():
            raise CannotWithdraw(_("This proposal was accepted: it stands."))
        end = ProposalEnd.objects.filter(proposal=proposal).first()
        if end and end.kind == EndKind.WITHDRAWN:
            return end
        if end:
            raise CannotWithdraw(_("This proposal already ended: it was %(how)s.") % {"how": end.get_kind_display()})
        end = ProposalEnd.objects.create(
            proposal=proposal, kind=EndKind.WITHDRAWN, reason=" ".join(reason.split())[:300], by=by
        )
        if job.stage == Stage.PROPOSED:
            move_job(job=job, to=Stage.PRICING, by=by)
    return end
