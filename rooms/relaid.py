"""What is said of a layout that the work goes on by instead of the accepted one."""

from zoneinfo import ZoneInfo

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from rooms.models import Layout
from shop.queries import shop_settings
from shop.retelling import retold


def relaid_text(layout: Layout) -> str:
    """When, by whom and why a room was laid out anew since its work was accepted, and what was accepted; empty where it
    wasn't."""
    accepted = layout.instead_of
    if accepted is None:
        return ""
    text = _(
        "Laid out anew as built on %(when)s by %(who)s, because: %(why)s. The accepted layout was “%(title)s”, chosen "
        "on %(chosen)s."
    )
    with timezone.override(ZoneInfo(shop_settings().time_zone)):
        when, chosen = (date_format(timezone.localtime(each.created_at), "DATE_FORMAT") for each in (layout, accepted))
    words = {"who": layout.chosen_by, "why": layout.why, "title": retold(accepted.title)}
    return text % {**words, "when": when, "chosen": chosen}
