"""Readings and limits in the shop's units."""

import math
from collections.abc import Mapping
from datetime import datetime, timedelta
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from typing import Any
from uuid import UUID

from django import template
from django.utils import timezone
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inspections.forms import AmendmentForm
from inspections.judging import judged_by
from inspections.models import Check, CheckKind, Entry, Outcome, SignOff
from inspections.placed import PhasePhotos
from inspections.standing import PlaceView
from rooms.queries import shop_unit
from shop.queries import shop_settings
from shop.templatetags.limits import INCH_STEP, MM_STEP, measured
from shop.templatetags.look import fractions, length
from trade.coverage import Lifted, judge_voids
from trade.lengths import SIXTY_FOURTH, Unit, format_length, level_run_mm
from trade.limits import Limit
from trade.specification import Specification

register = template.Library()

PERCENT_STEP = Decimal("0.01")


def _figure(check: Check, value: str | Decimal, *, rounding: str | None = None) -> str | SafeString:
    """A value as it is stored, in the shop's units: lengths, percent, hours.

    A bound is rounded to its safe side (`rounding`), so that what the card says is allowed does hold when it is read.
    """
    number = Decimal(value)
    if not rounding or check.unit == "hours":
        return measured(number, check.unit)
    if check.unit != "mm":
        return measured((number / PERCENT_STEP).to_integral_value(rounding) * PERCENT_STEP, check.unit)
    step = MM_STEP if shop_settings().units == "mm" else INCH_STEP
    return length((number / step).to_integral_value(rounding) * step, "1/64")


def _read(check: Check, value: str, read_by: str) -> str | SafeString:
    """A reading; a slope read by a rise as that, with its percent."""
    figure = _figure(check, value)
    if read_by not in ("in", "mm"):
        return figure
    unit: Unit = "in" if read_by == "in" else "mm"
    rise = format_length(Decimal(value) * level_run_mm(unit) / 100, unit=unit, step=SIXTY_FOURTH)
    said = _("{} on a 2-ft level ({})") if unit == "in" else _("{} in 1 m ({})")
    return format_html(said, fractions(rise), figure)


@register.filter
def allowed(check: Check, limit: Limit) -> str | SafeString:
    """What a limit of the check allows: "at most 1/8 in"."""
    if check.kind == CheckKind.OHMS:
        return format_html(_("within {} of the tag"), measured(limit.high or Decimal(0), "percent"))
    low, high = (
        bound is not None and _figure(check, bound, rounding=rounding)
        for bound, rounding in ((limit.low, ROUND_CEILING), (limit.high, ROUND_FLOOR))
    )
    if low and high:
        text = format_html(_("from {} to {}"), low, high)
    elif low:
        text = format_html(_("at least {}"), low)
    else:
        text = format_html(_("at most {}"), high)
    if check.unit == "percent" and check.kind != CheckKind.COVERAGE and shop_settings().units == "in":
        text = format_html("{} {}", text, _("(1/4 in per ft, 1/2 in on a 2-ft level, is 2 %)"))
    if limit.over == "mean":
        text = format_html(_("{}, the mean of {} or more"), text, limit.count)
    return text


@register.filter
def time_left(due: datetime) -> str:
    """How long until then, as static/js/phone/countdown.js says it: "12 h 04 min left"; never less than there is."""
    minutes = max(1, math.ceil((due - timezone.now()) / timedelta(minutes=1)))
    if minutes < 60:
        return _("%(minutes)s min left") % {"minutes": minutes}
    return _("%(hours)s h %(minutes)s min left") % {"hours": minutes // 60, "minutes": f"{minutes % 60:02d}"}


@register.filter
def judged_otherwise(entry: Entry, card: Mapping[str, Any]) -> str | SafeString:
    """The limit that an entry was judged by, where it isn't the one that its card shows; else empty."""
    check: Check = card["view"].check
    then, shown = judged_by(entry, check), card["yardstick"]
    return allowed(check, then.limit) if then and shown and then.limit != shown.limit else ""


@register.filter
def beyond_the_standard(entry: Entry, card: Mapping[str, Any]) -> str:
    """What good practice says of the voids that were tapped, where the standard lets them pass; else empty."""
    if not any(entry.voids) or entry.outcome == Outcome.FAILS:
        return ""
    spec = Specification.from_json(card["view"].check.phase.specification)
    tiles = [Lifted.of(text) for text in entry.voids if text]
    width, height = spec.tile_longest_edge_mm, spec.tile_shortest_edge_mm
    said = judge_voids(tiles, width_mm=width, height_mm=height, limits=card["limits"])
    return "" if said.outcome == "holds" else said.say(unit=shop_unit(), translate=_)


@register.filter
def stands(place: PlaceView) -> str:
    """How one surface of a check stands, in a word."""
    words = {"open": _("open"), "early": _("too early"), "waived": _("waived")}
    return words.get(place.state) or str(Outcome(place.state).label)


@register.filter
def spoken_for(entry: Entry, check: Check) -> str:
    """The surfaces that an entry speaks for, by the names that they had when the phase was opened."""
    if not entry.surfaces:
        return _("all walls") if check.walls_alone else _("all surfaces")
    return ", ".join(surface["name"] for surface in check.surfaces if surface["key"] in entry.surfaces)


@register.filter
def readings(entry: Entry, check: Check) -> SafeString:
    """What was read; empty where nothing was measured."""
    if check.kind == CheckKind.OHMS and entry.values:
        tag, read = entry.values
        return format_html(_("read: {} Ω, the tag says {} Ω"), read, tag)
    figures = format_html_join(", ", "{}", ((_read(check, value, entry.read_by),) for value in entry.values))
    if not entry.values:
        return figures
    if bare := entry.bare_edges:
        text = ngettext("no mortar at {} place of a corner or edge", "no mortar at {} places of corners or edges", bare)
        figures = format_html("{}; {}", figures, format_html(text, bare))
    return format_html(_("read: {}"), figures)


@register.inclusion_tag("inspections/_amend.html", takes_context=True)
def amend(context: template.Context, row: Entry | SignOff) -> dict[str, Any]:
    """The form that corrects a row of the phase's page, as it was typed if it couldn't be taken."""
    typed: AmendmentForm | None = context["amendment_form"]
    form = typed if typed and typed.row == row else AmendmentForm(row=row)
    return {"form": form if context["may_amend"] else None, "csrf_token": context.get("csrf_token")}


@register.inclusion_tag("inspections/_photo_place.html", takes_context=True)
def photo_place(context: template.Context, photo_key: UUID, check: Check) -> dict[str, Any]:
    """Where the photo of a check's entry was taken, and what was said of it before."""
    photos: PhasePhotos = context["photos"]
    photo = photos.sorted_photos.get(photo_key)
    away = photo is not None and photo.check != check.pk
    return {"photo": photo, "photo_key": photo_key, "job": context["job"], "away": away}


@register.inclusion_tag("inspections/_photos_beside.html", takes_context=True)
def photos_beside(context: template.Context, check: Check) -> dict[str, Any]:
    """The photos that were sorted to the check and that none of its entries has."""
    photos: PhasePhotos = context["photos"]
    return {"photos": photos.beside.get(check.pk, ()), "text": _(check.text), "job": context["job"]}
