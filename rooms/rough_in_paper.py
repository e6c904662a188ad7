"""What a printed rough-in sheet says, frozen when it is asked for."""

from typing import Any
from zoneinfo import ZoneInfo

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.html import escape
from django.utils.translation import gettext as _

from rooms.chosen import chosen_room
from rooms.models import Layout, Room
from rooms.queries import is_stale
from rooms.relaid import relaid_text
from rooms.rough_in import Item, RoughIn
from shop.queries import shop_settings
from shop.retelling import retold

TRIES = (*({"size": size} for size in (11, 10, 9)), {"size": 9, "continued": True})
"""Points of its text, until one page holds it; if none does, it says that it goes on."""


def rough_in_input(room: Room, layout: Layout) -> dict[str, Any]:
    """The input of `documents/rough_in.html`: text only, in the language that is on. `room` with its parts. How far a
    side is off the joints is for who draws, not for who frames: it stays on the page."""
    shop, sheet = shop_settings(), RoughIn(layout)
    with timezone.override(ZoneInfo(shop.time_zone)):
        as_of = date_format(timezone.localdate(), "DATE_FORMAT")
        chosen_on = date_format(timezone.localtime(layout.created_at), "DATE_FORMAT")
    return {
        "paper": shop.paper,
        "shop_name": shop.name,
        "title": _("Rough-in sheet"),
        "room": str(room),
        "number": f"{room.job.number:04d}",
        "site": str(room.job.site),
        "as_of": as_of,
        "layout": retold(layout.title),
        "chosen_by": str(layout.chosen_by),
        "chosen_on": chosen_on,
        "stale": is_stale(room, layout),
        "relaid": relaid_text(layout),
        "changes": chosen_room(layout).texts(),
        "drawings": [_titled(str(surface.svg), surface.name) for surface in sheet.surfaces],
        "surfaces": [
            {"name": surface.name, "items": [_item(item) for item in surface.items]} for surface in sheet.surfaces
        ],
        "assumed": [retold(text) for text in sheet.assumed],
        "cautions": [retold(caution["text"]) for caution in sheet.cautions],
        "tries": list(TRIES),
    }


def _titled(svg: str, surface: str) -> str:
    """A drawing that who can't see it is told of: beside the page's table it is hidden from them, on paper it can't
    be."""
    said = escape(_("%(surface)s: its measures stand in the table.") % {"surface": surface})
    return svg.replace(' aria-hidden="true">', f' role="img"><title>{said}</title>', 1)


def _item(item: Item) -> dict[str, Any]:
    measures = [
        {
            "name": retold(each.name),
            "text": each.text,
            "origin": retold(each.origin),
            "how": retold(each.how),
            "framed": each.framed,
        }
        for each in item.measures
        if each.set_by
    ]
    return {"number": item.number, "title": item.title, "measures": measures}
