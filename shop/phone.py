"""What a phone kept while it had no signal, and sends later: the pages' own forms, answered with a receipt.

The phone sends a form to the address that the form has on its page, with these headers:

- `Phone-Item`: the key that the phone made for it (UUIDv7), which is the form's `key` as well where it has one;
- `Phone-Happened-At`: when it was pressed, by the phone's clock (ISO 8601 with a zone);
- `Phone-Sent-At`: when it was sent, by the same clock: where that is off, both are put right by as much;
- `Phone-Version`: the version of what is sent. Old ones are taken for 90 days after a newer one came.

The phone forgets an item only on a receipt (200) that repeats the key. 401: log in first. 403, 409 and 422: not taken,
and why; the item stays on the phone where its person can mend it. See docs/decisions/0015.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import wraps
from typing import Any
from uuid import UUID

from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone
from django.utils.dateparse import parse_datetime
from django.utils.translation import gettext as _

from base.errors import KeyTaken, Refused
from shop.models import Receipt, Staff

VERSIONS = (1,)
"""Versions of what a phone sends that are taken. A new one goes to the end; the old stays 90 days."""

CLOCK_TOLERANCE = timedelta(minutes=2)
"""A phone's clock may be off by so much: more than a photo takes on its way (static/js/phone/queue.js, PATIENCE)."""

KEPT = "Phone-Keep"
"""The header of pages that a phone may keep for the time without signal; its value is the user's key."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Replay:
    """A form that the phone's queue sends. `happened_at` is never later than now, and told by our clock."""

    key: UUID
    happened_at: datetime
    by: Staff


def replay_of(request: HttpRequest) -> Replay | None:
    """The replay that the request is, or None for a form that a browser sends itself."""
    try:
        key = UUID(request.headers.get("Phone-Item", ""))
    except ValueError:
        return None
    if not isinstance(request.user, Staff):
        return None
    now = timezone.now()
    happened, sent = (_moment(request.headers.get(name, "")) for name in ("Phone-Happened-At", "Phone-Sent-At"))
    off = now - sent if sent else timedelta(0)
    if happened and abs(off) > CLOCK_TOLERANCE:
        try:
            happened += off
        except OverflowError:
            happened = now
    return Replay(key=key, happened_at=min(happened or now, now), by=request.user)


def _moment(text: str) -> datetime | None:
    """What the phone's clock said; None where that can't be read."""
    try:
        moment = parse_datetime(text)
    except ValueError:
        return None
    return None if moment is None or timezone.is_naive(moment) else moment


def is_phone(request: HttpRequest) -> bool:
    """Whether a script of the phone asks, and not a person: it needs an answer that it can read."""
    return "Phone-Item" in request.headers or request.path.startswith("/phone/")


def happened_at(replay: Replay | None, *, since: datetime | None = None) -> datetime:
    """When it was done: now, unless it waited on a phone; never before `since`, when there was nothing to do yet."""
    if replay is None:
        return timezone.now()
    return max(replay.happened_at, since) if since else replay.happened_at


def receipt(replay: Replay) -> JsonResponse:
    """It is kept, now or before: that is written down in the transaction that took it (`PhoneMiddleware`)."""
    Receipt.objects.bulk_create([Receipt(pk=replay.key, by=replay.by)], ignore_conflicts=True)
    return JsonResponse({"kept": True, "id": str(replay.key)})


def was_taken(replay: Replay) -> bool:
    """Whether it was taken before, of this person: for what isn't done twice by its own key."""
    return Receipt.objects.filter(pk=replay.key, by=replay.by).exists()


def keys_taken(keys: Iterable[UUID]) -> set[UUID]:
    """Those of the keys whose items were taken. One query."""
    return set(Receipt.objects.filter(pk__in=keys).values_list("pk", flat=True))


def not_taken(replay: Replay, why: str | Refused | BaseForm, *, status: int = 422) -> JsonResponse:
    """It isn't kept, and why: `errors` by field (`__all__` for the whole). 409 for a key that is taken."""
    found = why.errors if isinstance(why, BaseForm) else {"__all__": [why]}
    errors = {name: [str(each) for each in texts] for name, texts in found.items()}
    data = {"kept": False, "id": str(replay.key), "errors": errors}
    return JsonResponse(data, status=409 if isinstance(why, KeyTaken) else status)


def unknown_version(request: HttpRequest) -> str:
    """Why what was sent can't be read; empty where it can."""
    if request.headers.get("Phone-Version", "1") in {str(version) for version in VERSIONS}:
        return ""
    return _("This phone runs another version of the page. Load the page anew, look at the entry and send it again.")


def keep_on_phone(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Marks a page that a phone may keep for the time without signal."""

    @wraps(view)
    def marked(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        response = view(request, *args, **kwargs)
        if response.status_code == 200 and request.method == "GET":
            response.headers[KEPT] = str(request.user.pk or "")
        return response

    return marked
