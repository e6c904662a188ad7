"""A wait that is over is told by mail, once, to whoever began it."""

from datetime import datetime
from functools import cache
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db.models import CharField, Exists, OuterRef, Q, Value
from django.db.models.functions import Cast, Concat
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from inspections.models import Entry, Outcome
from inspections.queries import phases_of_rooms
from jobs.models import Stage
from shop.audit import change
from shop.languages import in_region
from shop.mail import KEEP_TRYING, queue_mail
from shop.models import Mail, Staff
from shop.queries import owner_to_write_to, shop_settings

KEY = "wait-over:"


def tell_waits_over() -> int:
    """Queues one mail for each wait that is over and still counts; returns how many.

    It goes to who began the wait, or, where that person has no address or no longer works here, to the owner. Where
    nobody has an address none is queued.
    """
    shop, told = shop_settings(), 0
    owner = cache(owner_to_write_to)
    with timezone.override(ZoneInfo(shop.time_zone)):
        for entry in _over(timezone.now()):
            starter = entry.by
            to = starter if starter.email and starter.is_active else owner()
            if to:
                with change(None), translation.override(in_region(to.language, shop)):
                    queue_mail(key=f"{KEY}{entry.pk}", to=to.email, subject=_subject(entry), text=_text(entry, to))
                told += 1
    return told


def _over(now: datetime) -> list[Entry]:
    """Waits that ended within the days that a mail is tried for, and weren't told yet. At most seven queries.

    Not those that a newer entry of the check replaced, that were waived, that began too early to count, or whose phase
    is signed.
    """
    same = Entry.objects.filter(check_done=OuterRef("check_done"))
    later = Q(happened_at__gt=OuterRef("happened_at")) | Q(happened_at=OuterRef("happened_at"), id__gt=OuterRef("id"))
    key = Concat(Value(KEY), Cast(OuterRef("pk"), CharField()))
    found = list(
        Entry.objects.filter(outcome=Outcome.WAITING, due_at__lte=now, due_at__gt=now - KEEP_TRYING)
        .filter(check_done__waivers=None, check_done__phase__sign_off=None)
        .filter(check_done__phase__room__job__stage__in=(Stage.WORKING, Stage.PUNCH_LIST))
        .exclude(Exists(same.filter(later)))
        .exclude(Exists(Mail.objects.filter(key=key)))
        .select_related("by", "check_done__phase__room__job__site")
        .order_by("due_at", "id")
    )
    views = phases_of_rooms({entry.check_done.phase.room for entry in found}) if found else []
    counting = {check.check.pk for view in views for check in view.checks if check.state == "holds"}
    return [entry for entry in found if entry.check_done_id in counting]


def _subject(entry: Entry) -> str:
    phase = entry.check_done.phase
    return _("%(phase)s at %(street)s, %(room)s: the wait is over") % {
        "phase": _(phase.name),
        "street": phase.room.job.site.street,
        "room": phase.room.name,
    }


def _text(entry: Entry, to: Staff) -> str:
    check, phase = entry.check_done, entry.check_done.phase
    job = phase.room.job
    address = settings.PUBLIC_URL + reverse("inspections:phase", args=[phase.pk]) + f"#check-{check.pk}"
    lines = [
        _(check.text),
        _("Began: %(began)s, by %(name)s. Over: %(over)s")
        % {"began": _when(entry.happened_at), "name": entry.by.name, "over": _when(entry.due_at)},
        _("Job %(number)04d, %(title)s, %(street)s: %(room)s, %(phase)s")
        % {
            "number": job.number,
            "title": job.title,
            "street": job.site.street,
            "room": phase.room.name,
            "phase": _(phase.name),
        },
        "",
        _("The time alone proves nothing else: look at the work, and enter what is left before the phase is signed."),
        _("Where the maker’s instructions or the local code ask for longer, wait that long."),
        "",
        address,
    ]
    if to.pk != entry.by_id:
        lines += ["", _("%(name)s can’t be reached by mail, so this comes to you.") % {"name": entry.by.name}]
    return "\n".join(lines) + "\n"


def _when(moment: datetime | None) -> str:
    return date_format(timezone.localtime(moment), _("D, M j, g:i a"))
