"""What every frozen letter to a client has in it, a proposal and a change order alike."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.utils import formats, timezone

from jobs.models import Job
from shop.languages import client_locale
from shop.models import ShopSettings
from shop.templatetags.look import money


def letterhead(*, shop: ShopSettings, job: Job, made_on: date, valid_until: datetime) -> dict[str, Any]:
    """Who writes to whom about which job, from when until when, in which language, currency and on which paper."""
    return {
        "made_on": {"date": made_on.isoformat(), "shown": day(made_on)},
        "valid_until": {"moment": valid_until.isoformat(), "shown": day_of(valid_until)},
        "language": client_locale(shop),
        "paper": shop.paper,
        "currency": shop.currency,
        "shop": {
            "name": shop.name,
            "phone": shop.phone,
            "email": shop.email,
            "address": shop.address,
            "license_line": shop.license_line,
        },
        "client": {"name": job.client.name, "contact": job.client.contact},
        "job": {"title": job.title},
    }


def amount(value: Decimal) -> dict[str, str]:
    """Money twice: as a decimal text, and as it is shown to a person."""
    return {"amount": f"{value:.2f}", "shown": money(value)}


def day(value: date | None) -> str:
    """As a person reads it; nothing for none."""
    return formats.date_format(value, "DATE_FORMAT") if value else ""


def day_of(moment: datetime) -> str:
    """Its day in the shop's zone, as a person reads it."""
    return day(timezone.localtime(moment).date())
