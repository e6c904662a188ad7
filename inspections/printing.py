"""What a printed punch list says, frozen when it is asked for."""

import base64
import io
import logging
from typing import Any
from zoneinfo import ZoneInfo

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from PIL import Image

from inspections.models import PunchItem
from inspections.queries import punch_items
from jobs.models import Job, Photo
from shop.queries import shop_settings

log = logging.getLogger(__name__)

PRINTED_SIDE = 700
"""Pixels of a photo's longest side on paper: 6 cm wide at 300 dpi."""


def punch_list_input(job: Job) -> dict[str, Any]:
    """The input of `documents/punch_list.html`: text only, photos as data URIs. Two queries."""
    shop = shop_settings()
    items = punch_items(job)
    with timezone.override(ZoneInfo(shop.time_zone)):
        return {
            "paper": shop.paper,
            "shop_name": shop.name,
            "shop": {"name": shop.name, "phone": shop.phone, "email": shop.email, "license_line": shop.license_line},
            "title": _("Punch list"),
            "number": f"{job.number:04d}",
            "job": job.title,
            "client": job.client.name,
            "site": str(job.site),
            "as_of": date_format(timezone.localtime(), "DATETIME_FORMAT"),
            "open": sum(item.done_at is None for item in items),
            "items": [_item(number, item) for number, item in enumerate(items, 1)],
        }


def _item(number: int, item: PunchItem) -> dict[str, Any]:
    done = ""
    if item.done_at:
        day = date_format(timezone.localtime(item.done_at), _("M j"))
        done = _("done on %(day)s by %(name)s") % {"day": day, "name": item.done_by}
    return {
        "number": number,
        "text": item.text,
        "where": ", ".join(part for part in (item.room.name if item.room else "", item.place) if part),
        "done": done,
        "photo": _data_uri(item.photo) if item.photo else "",
        "photo_taken": bool(item.photo),
    }


def _data_uri(photo: Photo) -> str:
    """The photo, shrunk for paper; empty where its file is gone or broken: the rest of the list is still of use."""
    try:
        with photo.file.open("rb") as file, Image.open(file) as image:
            image.thumbnail((PRINTED_SIDE, PRINTED_SIDE))
            data = io.BytesIO()
            image.convert("RGB").save(data, "JPEG", quality=80)
    except OSError as error:
        log.error("photo %s can't be printed: %r", photo.pk, error)
        return ""
    return "data:image/jpeg;base64," + base64.b64encode(data.getvalue()).decode()
