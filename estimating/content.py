"""What a proposal says, as plain data: frozen, hashed, printed on paper and shown behind the client's link.

Everything a person reads in it is text already (money, dates, lengths), in the shop's language of that day: a later
change of rates, settings, rooms or names doesn't reach it.
"""

import base64
import hashlib
import json
import re
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any
from uuid import UUID

from django.utils import formats, timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from estimating import scope
from estimating.catalogue import unit_name
from estimating.models import Estimate, EstimateLine, RateKind
from estimating.needs import areas_of
from estimating.pricing import MAN_DAY_HOURS, Totals, cents, converted, marked_up, share_out
from estimating.terms import terms_of, totals_of
from jobs.models import Job
from rooms.chosen import chosen_room, pattern_text
from rooms.models import Layout, Room
from rooms.specification import specification_of
from shop.languages import client_locale
from shop.models import ShopSettings, Units
from shop.templatetags.look import length_text, money
from trade.phases import Specification, phases_for

FORMAT = "gaugerod-proposal/1"


def canonical(content: Mapping[str, Any]) -> bytes:
    """The bytes that are hashed: JSON, keys sorted, no spaces, UTF-8. Raises ValueError for NaN."""
    text = json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    return text.encode()


def content_hash(content: Mapping[str, Any]) -> str:
    return hashlib.sha256(canonical(content)).hexdigest()


def freeze(
    *,
    shop: ShopSettings,
    job: Job,
    version: int,
    estimate: Estimate,
    lines: Sequence[EstimateLine],
    rooms: Sequence[Room],
    layouts: Mapping[UUID, Layout],
    made_on: date,
    valid_until: datetime,
) -> dict[str, Any]:
    """The content of a proposal. Amounts stand twice: as a decimal text, and as `shown` to a person.

    `rooms` as `rooms.queries.with_parts` reads them, each with its layout. Raises ValueError, with the room's name,
    for a room that has no specification.
    """
    totals = totals_of(estimate, lines)
    specifications = {room.pk: _specification(room, layouts[room.pk]) for room in rooms}
    area = sum((areas_of(layouts[room.pk]).all for room in rooms), Decimal(0))
    return {
        "format": FORMAT,
        "number": f"{job.number:04d}",
        "version": version,
        "made_on": {"date": made_on.isoformat(), "shown": formats.date_format(made_on, "DATE_FORMAT")},
        "valid_until": {
            "moment": valid_until.isoformat(),
            "shown": formats.date_format(timezone.localtime(valid_until), "DATE_FORMAT"),
        },
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
        "shop_name": shop.name,
        "client": {"name": job.client.name, "contact": job.client.contact},
        "site": {"lines": _site_lines(job)},
        "job": {"title": job.title},
        "rooms": [_room(room, layouts[room.pk], specifications[room.pk]) for room in rooms],
        "lines": _client_lines(estimate, lines, totals),
        "tax": _tax(totals),
        "total": _amount(totals.total),
        "measures": _measures(shop, totals, area),
        "unit_prices": _unit_prices(estimate, lines),
        "terms": scope.terms(),
        "cautions": scope.cautions(specifications.values()),
        "warranty": scope.warranty(shop.warranty_months),
        "cooling_off": scope.cooling_off(),
        "governs": scope.governs(),
    }


def _specification(room: Room, layout: Layout) -> Specification:
    try:
        return specification_of(room, layout)
    except ValueError as error:
        raise ValueError(f"{room.name}: {error}") from error


def _site_lines(job: Job) -> list[str]:
    site = job.site
    town = " ".join(part for part in (site.region, site.postal_code) if part)
    return [line for line in (site.street, ", ".join(part for part in (site.city, town) if part)) if line]


def _amount(amount: Decimal) -> dict[str, str]:
    return {"amount": f"{amount:.2f}", "shown": money(amount)}


def _room(room: Room, layout: Layout, specification: Specification) -> dict[str, Any]:
    counts = layout.result["options"][layout.option - 1]["counts"]
    chosen = chosen_room(layout)
    tile = room.tile.name
    if chosen.tile and chosen.tile_is_turned:
        size = {"width": length_text(chosen.tile.width), "height": length_text(chosen.tile.height)}
        tile = _("%(name)s, hung turned: %(width)s wide, %(height)s high") % {"name": tile, **size}
    elif "\N{MULTIPLICATION SIGN}" not in tile:  # a tile that nobody named goes by its measures already
        size = {"width": length_text(room.tile.width), "height": length_text(room.tile.height)}
        tile = _("%(name)s, %(width)s x %(height)s") % {"name": tile, **size}
    pattern = room.get_pattern_display()
    if room.way_text:
        pattern = f"{pattern}, {room.way_text}"
    if "share" in layout.asked:
        pattern = pattern_text(chosen.room.surfaces[0].pattern)
    elif room.share_of:
        pattern = _("%(pattern)s by %(share)s") % {"pattern": pattern, "share": f"{room.share_of}/{room.share_in}"}
    least = layout.result["options"][layout.option - 1].get("least_cut") or {}
    facts = [
        (_("Tile"), tile),
        (_("Joint"), length_text(chosen.joint(room.joint, room.joint_high), "1/32")),
        (_("Pattern"), pattern),
        (_("Layout"), f"{layout.title}: {layout.why}" if layout.why else layout.title),
        (
            _("Pieces"),
            _("%(whole)s full, %(cut)s cut") % {"whole": counts["whole"], "cut": counts["cut"]},
        ),
    ]
    if least.get("text"):
        facts.append((_("Smallest cut"), least["text"]))
    if changes := chosen.texts():
        facts.append((_("Changed for the layout"), " ".join(changes)))
    return {
        "name": room.name,
        "place": room.get_place_display(),
        "facts": [{"name": name, "text": text} for name, text in facts],
        "scope": scope.scope_of(phases_for(specification)),
        "drawings": [
            {"name": drawing["name"], "svg": drawing["svg"], "tall": _tall(drawing["svg"])}
            for drawing in layout.drawings
        ],
        # Cautions stand once for the whole proposal.
        "watch_for": [
            _(finding["text"])
            for finding in layout.result.get("findings", [])
            if finding["level"] in ("stop", "care") and not finding["rule"].startswith("safety.")
        ],
    }


_VIEW_BOX = re.compile(r'viewBox="[-0-9.]+ [-0-9.]+ ([0-9.]+) ([0-9.]+)"')


def _tall(svg: str) -> bool:
    """Whether a drawing is clearly higher than wide: two of those go side by side."""
    found = _VIEW_BOX.search(svg)
    return found is not None and float(found[1]) < 0.9 * float(found[2])


def _part_name(kind: str) -> str:
    return {
        RateKind.MATERIAL: _("Tile and materials"),
        RateKind.LABOR: _("Labor"),
        RateKind.OTHER: _("Other"),
    }[RateKind(kind)]


def _client_lines(estimate: Estimate, lines: Sequence[EstimateLine], totals: Totals) -> list[dict[str, Any]]:
    """What a client sees: by room, materials and labor; own lines of the job by their text. Overhead and markup are in
    each; with discount and rounding, on lines of their own, they add up to the total before tax to the cent."""
    groups: dict[tuple[UUID | None, str], Decimal] = {}
    for line in lines:
        key = (line.room_id, _part_name(line.kind) if line.room else line.text)
        groups[key] = groups.get(key, Decimal(0)) + line.cost
    shown = {key: cost for key, cost in groups.items() if cost}
    if not shown:
        return []
    names = {line.room_id: line.room.name for line in lines if line.room}
    shares = share_out(amount=totals.price + totals.discount, weights=list(shown.values()))
    parts = [
        {"group": names.get(room, _("Whole job")), "text": text, **_amount(share)}
        for (room, text), share in zip(shown, shares, strict=True)
    ]
    if totals.discount:
        text = _("Discount: %(why)s") % {"why": estimate.discount_reason}
        parts.append({"group": _("Whole job"), "text": text, **_amount(-totals.discount)})
    if totals.rounding:
        parts.append({"group": _("Whole job"), "text": _("Rounding of the total"), **_amount(totals.rounding)})
    return parts


_TAXED = {
    RateKind.MATERIAL: gettext_lazy("materials, %(rate)s%%"),
    RateKind.LABOR: gettext_lazy("labor, %(rate)s%%"),
    RateKind.OTHER: gettext_lazy("other, %(rate)s%%"),
}


def _tax(totals: Totals) -> dict[str, str] | None:
    if not totals.tax:
        return None
    taxed = [
        _TAXED[RateKind(each.tax.kind)] % {"rate": f"{each.tax.percent.normalize():f}"}
        for each in totals.taxes
        if each.amount
    ]
    return {"text": _("Sales tax on %(taxed)s") % {"taxed": "; ".join(taxed)}, **_amount(totals.tax)}


def _measures(shop: ShopSettings, totals: Totals, area_m2: Decimal) -> list[dict[str, str]]:
    """What lets an owner weigh the price: days of work and price by area."""
    said = []
    if totals.hours:
        days = totals.person_days
        said.append(
            {
                "name": _("Work"),
                "text": ngettext("about %(days)s day of one person", "about %(days)s days of one person", days)
                % {"days": days},
                "how": _("%(hours)s hours at %(day)s hours a day")
                % {"hours": f"{totals.hours:f}", "day": MAN_DAY_HOURS},
            }
        )
    unit = "ft2" if shop.units == Units.INCH else "m2"
    area = converted(area_m2, unit="m2", to=unit)
    if area:
        said.append(
            {
                "name": _("Price by area"),
                "text": _("%(price)s per %(unit)s")
                % {"price": money(cents(Fraction(totals.total) / Fraction(area))), "unit": unit_name(unit)},
                "how": _("total by %(area)s %(unit)s of tiled area")
                % {"area": formats.number_format(round(area, 1)), "unit": unit_name(unit)},
            }
        )
    return said


def _unit_prices(estimate: Estimate, lines: Sequence[EstimateLine]) -> list[dict[str, str]]:
    """What work beyond the proposal costs, with the overhead and markup of this estimate: the dearest hour of each
    labor line, and a unit of what may be found."""
    terms, markup = terms_of(estimate), estimate.markup_percent
    prices = []
    if hourly := [line.unit_cost for line in lines if line.kind == RateKind.LABOR and line.unit_cost]:
        price = marked_up(cost=max(hourly), hours=Decimal(1), markup_percent=markup, terms=terms)
        text = _("One hour of one person, materials at cost and the same markup")
        prices.append({"text": text, **_amount(price)})
    for found in estimate.contingencies.all():
        price = marked_up(cost=found.unit_cost, hours=Decimal(0), markup_percent=markup, terms=terms)
        text = _("If found: %(what)s, for each %(unit)s") % {"what": found.text, "unit": found.unit}
        prices.append({"text": text, **_amount(price)})
    return prices


def logo_data(shop: ShopSettings) -> str:
    """The shop's logo as a data address, or nothing."""
    if not shop.logo:
        return ""
    try:
        with shop.logo.open("rb") as file:
            return "data:image/png;base64," + base64.b64encode(file.read()).decode()
    except FileNotFoundError:
        return ""
