"""A change order offered, approved, declined or withdrawn. Each action decides under its job's lock."""

from datetime import datetime, timedelta
from decimal import Decimal

from django.db.models import Max
from django.utils import timezone
from django.utils.translation import gettext as _

from base.seen import check_seen
from clients.models import token_hash
from documents.actions import request_document
from estimating.actions._yes import check_date, check_pdf, checked_name, day_of_yes, is_same, kept_paper
from estimating.actions.changes import CannotChangeOrder, lock_change
from estimating.actions.proposals import LINK_OUTLIVES, end_of
from estimating.actions.sending import address_for, send_change
from estimating.change_content import freeze_change, printed_photo
from estimating.change_queries import ChangeView, view_of
from estimating.content import content_hash, logo_data
from estimating.job_sum import job_finish, job_sum, moved
from estimating.letters import approval_letter, attachment_of
from estimating.models import ChangeApproval, ChangeEnd, ChangeLink, ChangeOffer, ChangeOrder, EndKind
from estimating.signing import Paper, Strokes
from jobs.models import Job
from shop.audit import change as change_by
from shop.languages import client_locale, for_clients
from shop.mail import queue_mail
from shop.models import Staff
from shop.queries import shop_settings


class CannotApprove(CannotChangeOrder):
    """The change order can't be approved or declined as things stand. The message is for whoever tried."""


@for_clients
def offer_change(*, change: ChangeOrder, by: Staff, seen: str | None = None) -> ChangeOffer:
    """What the client is asked to approve: frozen with the job's sum of this moment, its PDF asked for; an offer that
    expired is ended as replaced. `seen`: `ChangeView.seen` of what stood on the page of whoever pressed.

    Raises ChangedMeanwhile where something else stands now, CannotChangeOrder while it has no line, nobody directed it,
    time and material has no room for its lines, a credit takes more than the job comes to, or it is with the client or
    approved already.
    """
    with change_by(by):
        view = lock_change(change)
        if view.standing in ("approved", "open"):
            raise CannotChangeOrder(_("This change order is approved, or with the client already."))
        check_seen(view.seen, seen)
        until = timezone.localdate() + timedelta(days=shop_settings().proposal_days)
        return _offer(view, by=by, valid_until=end_of(until))


def obstacles_to_offer(view: ChangeView) -> list[str]:
    """What a change order lacks before it can be offered, a sentence each."""
    found = []
    if not view.change.lines.all():
        found.append(_("It has no line yet: add at least one, at 0 where it costs nothing."))
    if not view.change.directed_by:
        found.append(_("Say who directed the change: the client, or somebody who may decide for them."))
    most = view.totals.not_to_exceed
    if most is not None and most < view.totals.lines:
        found.append(_("Its lines come to more than the amount that it may not exceed."))
    return found


def _offer(view: ChangeView, *, by: Staff, valid_until: datetime) -> ChangeOffer:
    """The next offer of a change order whose job is locked; the one that stands is ended as replaced."""
    change, shop = view.change, shop_settings()
    if found := obstacles_to_offer(view):
        raise CannotChangeOrder(" ".join(found))
    before = job_sum(change.job)
    if before is None or before.total + view.totals.amount < 0:
        raise CannotChangeOrder(_("The credit is more than the job comes to: check its lines."))
    if view.offer:
        ChangeEnd.objects.create(offer=view.offer, kind=EndKind.REPLACED, by=by)
    change.dropped_reason = ""
    change.save(update_fields=["dropped_reason"])
    version = ChangeOffer.objects.filter(change=change).count() + 1
    finish_before = job_finish(change.job)
    finish = moved(finish_before, change.days) if finish_before else None
    photos = list(change.photos.all())
    content = freeze_change(
        shop=shop,
        change=change,
        version=version,
        lines=list(change.lines.all()),
        totals=view.totals,
        photos=photos,
        before=before,
        finish_before=finish_before,
        finish=finish,
        made_on=timezone.localdate(),
        valid_until=valid_until,
    )
    document = request_document(
        kind="change_order",
        title=_("Change order %(number)s, job %(job)s, %(site)s")
        % {"number": change.number, "job": content["job_number"], "site": change.job.site},
        input={
            "letter": content,
            "paper": content["paper"],
            "shop_name": shop.name,
            "logo": logo_data(shop),
            "photos": [{"image": printed_photo(photo), "caption": photo.caption or change.what} for photo in photos],
        },
        by=by,
        language=client_locale(shop),
    )
    return ChangeOffer.objects.create(
        change=change,
        version=version,
        content=content,
        content_sha256=content_hash(content),
        amount=view.totals.amount,
        sum_before=before.total,
        finish=finish,
        valid_until=valid_until,
        document=document,
        made_by=by,
    )


def approve_change(
    *,
    offer: ChangeOffer,
    typed_name: str,
    link: ChangeLink | None = None,
    witness: Staff | None = None,
    address: str | None = None,
    browser: str = "",
    strokes: Strokes | None = None,
    paper: Paper | None = None,
) -> ChangeApproval:
    """The approval, with the hashes of what was approved: from now on the change counts in the job's sum, and the
    client gets the same PDF by mail, where there is an address.

    By `link`, or in person before `witness`, never both; `strokes` and `paper` as `accept_proposal` takes them. What
    else waits for this client is offered anew at once, with the new total. The same yes sent again changes nothing and
    returns the first approval. Raises CannotApprove, CannotChangeOrder.
    """
    if (link is None) == (witness is None):
        raise ValueError("a change is approved by a link or before a witness")
    with kept_paper(paper) as file, change_by(witness):
        view = lock_change(offer.change)
        if earlier := view.approval:
            if not is_same(earlier, typed_name=typed_name, link=link, paper=paper, now=file):
                raise CannotApprove(_approved_already(earlier, paper))
            file.forget()
            return earlier
        name = checked_name(typed_name, CannotApprove)
        offer = _check(view, offer, link=link, paper=paper)
        approval = ChangeApproval.objects.create(
            offer=offer,
            change=view.change,
            job=view.change.job,
            typed_name=name,
            link=link,
            witness=witness,
            address=address,
            browser=browser[:300],
            strokes=strokes,
            signed_on=paper.signed_on if paper else None,
            paper=file.file,
            paper_sha256=file.sha256,
            content_sha256=offer.content_sha256,
            document_sha256=offer.document.sha256,
        )
        approval.refresh_from_db(fields=["created_at"])
        if to := address_for(offer):
            subject, text = approval_letter(approval)
            attachment = attachment_of(offer.document)
            queue_mail(key=f"approved:{approval.pk}", to=to, subject=subject, text=text, attachment=attachment)
        _offer_the_others_anew(view.change.job)
    return approval


def _approved_already(earlier: ChangeApproval, paper: Paper | None) -> str:
    """By whom and when; and that what came now is nowhere."""
    said = _("It was approved already by %(name)s on %(day)s.") % {
        "name": earlier.typed_name,
        "day": day_of_yes(earlier),
    }
    if paper:
        return f"{said} " + _("Nothing was attached: keep the paper, and speak with the client.")
    return f"{said} " + _("Nothing was changed: if something else was meant, let us speak about it.")


def _check(view: ChangeView, offer: ChangeOffer, *, link: ChangeLink | None, paper: Paper | None) -> ChangeOffer:
    """The offer as it is now. Says in words what the trigger on the table refuses without them."""
    offer = _must_stand(view, offer, in_time=paper is not None)
    if paper:
        check_date(paper, made=offer.created_at, until=offer.valid_until, refusal=CannotApprove)
        if offer.sum_before != _sum_of(view):
            raise CannotApprove(
                _("The job comes to another sum by now than the paper says. Offer the change anew, and have it signed.")
            )
    check_pdf(offer.document, CannotApprove)
    if link is not None:
        now = ChangeLink.objects.select_for_update(no_key=True).get(pk=link.pk)
        if now.revoked_at is not None or timezone.now() >= now.expires_at or now.change_id != view.change.pk:
            raise CannotApprove(_("This link no longer works. Ask the shop for a new one."))
    return offer


def _sum_of(view: ChangeView) -> Decimal | None:
    now = job_sum(view.change.job)
    return now.total if now else None


def _must_stand(view: ChangeView, offer: ChangeOffer, *, in_time: bool = False) -> ChangeOffer:
    """The offer as it is now. Raises CannotApprove for one that was answered or replaced, or expired, unless it is
    answered by something that was signed `in_time`."""
    if view.standing == "expired" and not in_time:
        raise CannotApprove(_("This change order has expired. Ask us for a new one."))
    if view.standing not in ("open", "expired"):
        how = {"how": view.standing_text}
        raise CannotApprove(_("This change order no longer waits for an answer: %(how)s.") % how)
    if view.offer is None or view.offer.pk != offer.pk:
        raise CannotApprove(_("A newer version of this change order has taken its place. Read it, then answer."))
    return view.offer


@for_clients
def _offer_the_others_anew(job: Job) -> None:
    """Every other offer of the job that stands builds on a sum that is no more: each gets a next version, which holds
    as long as the one before, and goes by mail where that did. One that can't be made on the new sum is taken back,
    with the reason, and is the office's to look at again."""
    standing = ChangeOffer.objects.filter(change__job=job, end=None, approval=None, valid_until__gt=timezone.now())
    for offer in standing.select_related("change", "made_by").defer("content").order_by("change__number"):
        sent = offer.sendings.last()
        try:
            anew = _offer(view_of(offer.change), by=offer.made_by, valid_until=offer.valid_until)
        except CannotChangeOrder as error:
            ChangeEnd.objects.create(offer=offer, kind=EndKind.WITHDRAWN, reason=str(error)[:300], by=None)
            continue
        if sent:
            send_change(offer=anew, to=sent.to, by=sent.by or offer.made_by)


def decline_change(*, offer: ChangeOffer, reason: str, by: Staff | None = None) -> ChangeEnd:
    """The end of the offer, as the client wished it; the shop may change it and offer it anew. Declining twice returns
    the first. Raises CannotApprove, CannotChangeOrder.

    `by` is None where the client did it through the link.
    """
    with change_by(by):
        view = lock_change(offer.change)
        earlier = ChangeEnd.objects.filter(offer=offer).first()
        if earlier and earlier.kind == EndKind.DECLINED:
            return earlier
        _must_stand(view, offer)
        reason = " ".join(reason.split())[:300]
        return ChangeEnd.objects.create(offer=offer, kind=EndKind.DECLINED, reason=reason, by=by)


def withdraw_change(*, change: ChangeOrder, reason: str, by: Staff) -> ChangeOrder:
    """The change order, withdrawn from the client, or given up before it was offered; it may be taken up again.
    Withdrawing twice changes nothing. Raises CannotChangeOrder for an approved or declined one."""
    reason = " ".join(reason.split())[:300]
    with change_by(by):
        view = lock_change(change)
        if view.standing in ("approved", "declined"):
            raise CannotChangeOrder(_("This change order can’t be withdrawn: %(how)s.") % {"how": view.standing_text})
        if view.offer:
            ChangeEnd.objects.create(offer=view.offer, kind=EndKind.WITHDRAWN, reason=reason, by=by)
        elif view.standing == "draft":
            view.change.dropped_reason = reason or _("no reason given")
            view.change.save(update_fields=["dropped_reason"])
    return view.change


def make_change_link(*, change: ChangeOrder, by: Staff) -> str:
    """A new token for the client's page. It is nowhere else: show it now, only its hash is kept."""
    token = ChangeLink.new_token()
    with change_by(by):
        last = ChangeOffer.objects.filter(change=change).aggregate(last=Max("valid_until"))["last"]
        ChangeLink.objects.create(
            change=change,
            made_by=by,
            token_hash=token_hash(token),
            expires_at=max(last or timezone.now(), timezone.now()) + LINK_OUTLIVES,
        )
    return token


def revoke_change_link(*, link: ChangeLink, by: Staff) -> None:
    """The link is dead from now on. Revoking it twice changes nothing."""
    with change_by(by):
        ChangeLink.objects.filter(pk=link.pk, revoked_at=None).update(revoked_at=timezone.now())
