"""What the shop says and asks in its proposals from here on. A change is a new row; what was offered before stays."""

from collections.abc import Sequence
from decimal import Decimal
from typing import TypeVar

from django.db import models
from django.utils.text import slugify
from django.utils.translation import gettext as _

from base.errors import ChangedMeanwhile, Refused
from estimating.contrast import LEAST_CONTRAST, contrast_on_white
from estimating.local_limits import local_limits, read_share
from estimating.models import LetterColor, LocalLimit, PaymentPlan, SignedAt, TextVersion
from estimating.payments import BadPlan, Step, in_order
from estimating.texts.blocks import BLOCKS
from estimating.texts.fields import check
from jobs.models import Job
from shop.access import require_owner
from shop.actions import locked_settings
from shop.audit import change
from shop.models import Staff

Version = TypeVar("Version", TextVersion, PaymentPlan, LocalLimit, LetterColor)


def set_text(*, key: str, text: str, seen: int, by: Staff) -> TextVersion | None:
    """What a block says from here on; empty: it is left out. `seen`: the number of the version that it was written
    over, 0 for the sentence to begin from.

    The same again changes nothing and returns what stands. Raises KeyError, PermissionDenied, BadText,
    ChangedMeanwhile.
    """
    require_owner(by)
    block, text = BLOCKS[key], "\n".join(line.rstrip() for line in text.strip().splitlines())
    check(text)
    with change(by):
        newest = _newest(TextVersion.objects.filter(key=key), seen=seen)
        if text == (newest.text if newest else str(block.text)):
            return newest
        return TextVersion.objects.create(key=key, number=seen + 1, text=text, by=by)


def bring_back_text(*, key: str, number: int, seen: int, by: Staff) -> TextVersion | None:
    """An earlier version of a block as the newest; 0 is the sentence to begin from. Raises as `set_text`, and
    DoesNotExist."""
    text = str(BLOCKS[key].text) if number == 0 else TextVersion.objects.get(key=key, number=number).text
    return set_text(key=key, text=text, seen=seen, by=by)


def set_payment_plan(
    *,
    steps: Sequence[Step] | None,
    seen: int,
    by: Staff,
    job: Job | None = None,
    signed_at: str = SignedAt.HOME,
    special_order: Decimal | None = None,
    special_order_words: str = "",
) -> PaymentPlan:
    """The payment steps of a job from here on, or the shop's usual ones; None as `steps`: as usual again. `signed_at`,
    `special_order` and its words as a `Plan` has them; the latter are a job's alone.

    Raises PermissionDenied, BadPlan, ChangedMeanwhile.
    """
    require_owner(by)
    words = special_order_words.strip()
    if bool(special_order) != bool(words):
        raise BadPlan(
            _("Say which material is on special order, and what it costs: one without the other says nothing.")
        )
    kept = {
        "steps": None if steps is None else [step.to_json() for step in in_order(steps)],
        "signed_at": signed_at,
        "special_order": special_order if job and special_order else None,
        "special_order_words": words if job else "",
    }
    with change(by):
        newest = _newest(PaymentPlan.objects.filter(job=job), seen=seen)
        if newest and all(getattr(newest, name) == value for name, value in kept.items()):
            return newest
        return PaymentPlan.objects.create(job=job, number=seen + 1, by=by, **kept)


def set_local_limit(
    *,
    key: str = "",
    place: str,
    code: str,
    share: str,
    most: Decimal | None,
    cancel_days: int,
    note: str,
    seen: int,
    by_value: bool = False,
    special_order: bool = False,
    by: Staff,
) -> LocalLimit:
    """What the law of a place allows from here on, by its `key`; without one it is a place that isn't there yet.

    Raises PermissionDenied, Refused, ChangedMeanwhile.
    """
    require_owner(by)
    if share:
        try:
            read_share(share)
        except ValueError as error:
            raise Refused(str(error)) from error
    with change(by):
        newest = _newest(LocalLimit.objects.filter(key=key or slugify(place)), seen=seen)
        others = [local for local in local_limits().values() if local.key != key]
        taken = {name.casefold() for local in others for name in (local.key, local.place, local.code) if name}
        if {name.casefold() for name in (slugify(place), place, code) if name} & taken or not slugify(place):
            raise Refused(_("This place is there already, by its name or its short form: change it there."))
        values = {
            **{"place": place, "code": code, "share": share, "most": most},
            **{"by_value": by_value, "special_order": special_order, "cancel_days": cancel_days, "note": note},
        }
        if newest and all(getattr(newest, name) == value for name, value in values.items()):
            return newest
        return LocalLimit.objects.create(key=key or slugify(place), number=seen + 1, by=by, **values)


def set_letter_color(*, color: str, by: Staff) -> LetterColor:
    """The color of letters from here on. Raises PermissionDenied, Refused for one that can't be read on white."""
    require_owner(by)
    color = color.lower()
    contrast = contrast_on_white(color)
    if contrast < LEAST_CONTRAST:
        raise Refused(
            _("This color is too light to read on white: its contrast is %(contrast)s, and %(least)s is the least.")
            % {"contrast": f"{contrast:.2f}", "least": LEAST_CONTRAST}
        )
    with change(by):
        newest = _newest(LetterColor.objects.all())
        if newest and newest.color == color:
            return newest
        return LetterColor.objects.create(color=color, number=newest.number + 1 if newest else 1, by=by)


def _newest(versions: models.QuerySet[Version], *, seen: int | None = None) -> Version | None:
    """The newest of them, the shop's row locked so that two people take turns: a first version has no row to lock.

    Raises ChangedMeanwhile where its number isn't the one that was `seen`.
    """
    locked_settings()
    newest = versions.order_by("-number").first()
    if seen is not None and (newest.number if newest else 0) != seen:
        raise ChangedMeanwhile
    return newest
