"""What a proposal says, as plain data: frozen, hashed, printed on paper and shown behind the client's link.

Everything a person reads in it is text already (money, dates, lengths), in the shop's language of that day: a later
change of rates, settings, rooms or names doesn't reach it.
"""

import base64
import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.utils import formats
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from base.figures import digits
from estimating import scope
from estimating.allowances import allowances_in, allowed
from estimating.catalogue import unit_name
from estimating.choice_content import all_choices
from estimating.choices import Choice, Offer
from estimating.cooling_off import days_to_cancel, notice
from estimating.letterhead import amount, day, day_of, letterhead
from estimating.local_limits import Local, cancel_until
from estimating.models import Contingency, Estimate, EstimateLine, RateKind
from estimating.needs import areas_of
from estimating.offered_room import offered_room
from estimating.payments import Due, deposit_of, due_text, pay, step_text
from estimating.plans import Plan
from estimating.pricing import MAN_DAY_HOURS, Charged, Totals, marked_up, share_out
from estimating.terms import terms_of, totals_of
from estimating.texts.blocks import BLOCKS
from estimating.texts.current import Current, Filled
from estimating.weighing import by_area
from estimating.worth import check_local
from jobs.models import Job
from rooms.models import Layout, Room
from rooms.specification import specification_of
from shop.models import ShopSettings
from shop.templatetags.look import money
from trade.phases import Phase, Specification, phases_for

FORMAT = "gaugerod-proposal/1"


def canonical(content: Mapping[str, Any]) -> bytes:
    """The bytes that are hashed: JSON, keys sorted, no spaces, UTF-8. Raises ValueError for NaN."""
    text = json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    return text.encode()


def content_hash(content: Mapping[str, Any]) -> str:
    return hashlib.sha256(canonical(content)).hexdigest()


def say_the_same(before: Mapping[str, Any], now: Mapping[str, Any]) -> bool:
    """Whether two contents say the same but for their number in the row and their dates."""
    apart = {"version": None, "made_on": None, "valid_until": None}
    return content_hash({**before, **apart}) == content_hash({**now, **apart})


def freeze(
    *,
    shop: ShopSettings,
    job: Job,
    version: int,
    offer: Offer,
    rooms: Sequence[Room],
    layouts: Mapping[UUID, Layout],
    made_on: date,
    valid_until: datetime,
    texts: Mapping[str, Current],
    plan: Plan,
    local: Local,
) -> dict[str, Any]:
    """The content of a proposal. Amounts stand twice: as a decimal text, and as `shown` to a person.

    `rooms` are all that are on offer, as `rooms.queries.with_parts` reads them, each with its layout; `texts` the
    shop's, the `plan` of payment, and what is `local` law at the site. What the client may choose is frozen choice by
    choice (`choice_content`). Raises ValueError that says where for a room that has no specification, a text that can't
    be filled in, and steps that don't come to the total or begin with too much.
    """
    found = list(offer.estimate.contingencies.all())
    on_offer = {room.pk: _on_offer(room, layouts[room.pk]) for room in rooms}
    head = {
        "format": FORMAT,
        "number": f"{job.number:04d}",
        "version": version,
        **letterhead(shop=shop, job=job, made_on=made_on, valid_until=valid_until),
        "shop_name": shop.name,
        "site": {"lines": _site_lines(job)},
    }

    def said(choice: Choice) -> tuple[dict[str, Any], dict[str, str]]:
        """The letter for a choice, without its rooms; and the values that its texts were filled with."""
        lines = offer.lines_in(choice)
        chosen = [on_offer[pk] for pk in offer.rooms_in(choice)]
        totals = totals_of(offer.estimate, lines)
        phases = {phase.key for each in chosen for phase in each.phases}
        payments = pay(total=totals.total, steps=plan.steps, phases=phases)
        check_local(payments, local=local, total=totals.total, lines=lines, special_order=plan.special_order)
        values = _values(shop, job, version, totals, payments, local, made_on, valid_until)
        filled = Filled(texts, values)
        area = sum((each.area for each in chosen), Decimal(0))
        prices = _unit_prices(offer.estimate, lines, found)
        specifications = [each.specification for each in chosen]
        return {
            **head,
            **_priced(offer.estimate, lines, totals, area),
            **_worded(filled, specifications, prices, _allowances(offer.estimate, lines, totals)),
            "payments": _payments(payments, filled, plan, local),
            **_cooling_off(
                filled, shop, job, made_on, days_to_cancel(local, total=totals.total, signed_at=plan.signed_at)
            ),
        }, values

    def offered(pk: UUID, values: Mapping[str, str]) -> dict[str, Any]:
        each = on_offer[pk]
        filled = Filled(texts, values, for_every_choice=bool(offer.options))
        return offered_room(each.room, each.layout, each.phases, filled)

    return all_choices(offer, said=said, offered=offered)


@dataclass(frozen=True, slots=True)
class _OnOffer:
    """A room on offer with what every choice that it is in asks of it; its area in m²."""

    room: Room
    layout: Layout
    specification: Specification
    phases: tuple[Phase, ...]
    area: Decimal


def _on_offer(room: Room, layout: Layout) -> _OnOffer:
    specification = _specification(room, layout)
    return _OnOffer(room, layout, specification, tuple(phases_for(specification)), areas_of(layout).all)


def _priced(estimate: Estimate, lines: Sequence[EstimateLine], totals: Totals, area: Decimal) -> dict[str, Any]:
    return {
        "lines": _client_lines(estimate, lines, totals),
        "tax": _tax(totals),
        "total": amount(totals.total),
        "measures": _measures(totals, area),
    }


def _worded(
    filled: Filled,
    specifications: Sequence[Specification],
    unit_prices: list[dict[str, str]],
    allowances: list[dict[str, str]],
) -> dict[str, Any]:
    return {
        "greeting": filled.text("greeting"),
        "unit_prices": unit_prices,
        "terms": filled.lines("terms"),
        "sections": [
            {"name": _(str(BLOCKS[key].name)), "lines": filled.lines(key), "amounts": amounts}
            for key, amounts in (("allowances", allowances), ("exclusions", []), ("duties", []))
        ],
        "cautions": scope.cautions(specifications),
        "warranty": filled.text("warranty"),
        "closing": filled.text("closing"),
        "governs": scope.governs(),
    }


def _cooling_off(filled: Filled, shop: ShopSettings, job: Job, made_on: date, days: int) -> dict[str, Any]:
    """What is said of the days in which a client may cancel, and the notice that goes with it; nothing for none."""
    # Without the version: two that say the same else would differ in it.
    what = _("%(job)s, number %(number)s, as proposed on %(day)s") % {
        "job": job.title,
        "number": f"{job.number:04d}",
        "day": day(made_on),
    }
    until = cancel_until(made_on, days=days)
    site = ", ".join(_site_lines(job))
    return {
        "cooling_off": filled.text("cooling_off") if days else "",
        "cancel_days": days,
        "notice": notice(shop=shop, what=what, site=site, days=days, made_on=made_on, until=until),
    }


def _values(
    shop: ShopSettings,
    job: Job,
    version: int,
    totals: Totals,
    payments: Sequence[Due],
    local: Local,
    made_on: date,
    valid_until: datetime,
) -> dict[str, str]:
    """What stands for each of estimating.texts.fields.FIELDS; nothing where there is none."""
    deposit, until = deposit_of(payments), cancel_until(made_on, days=local.cancel_days)
    return {
        "client": job.client.name,
        "contact": job.client.contact,
        "site": ", ".join(_site_lines(job)),
        "job": job.title,
        "number": f"{job.number:04d}-{version}",
        "total": money(totals.total),
        "deposit": money(deposit) if deposit else "",
        "days": str(totals.person_days) if totals.hours else "",
        "made_on": day(made_on),
        "valid_until": day_of(valid_until),
        "warranty_months": str(shop.warranty_months),
        "cancel_days": str(local.cancel_days) if local.cancel_days else "",
        "cancel_until": day(until),
        "shop": shop.name,
        "phone": shop.phone,
        "email": shop.email,
        "license": shop.license_line,
    }


def _payments(payments: Sequence[Due], filled: Filled, plan: Plan, local: Local) -> dict[str, Any]:
    """The steps as a client reads them, and what is said of them."""
    ordered = plan.special_order if local.deposit and local.special_order else None
    return {
        "steps": [
            {"due": due_text(each.step.due), "text": step_text(each.step), **amount(each.amount)} for each in payments
        ],
        "special_order": {"text": plan.special_order_words, **amount(ordered)} if ordered else None,
        "words": filled.text("payment"),
        "law": _("Nothing is due before you sign. Local law applies to what may be asked for before the work."),
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


_TOLD_ONCE = (RateKind.EQUIPMENT, RateKind.DISPOSAL, RateKind.TRAVEL)


def _part_name(kind: str) -> str:
    return _("Tile and materials") if kind == RateKind.MATERIAL else str(RateKind(kind).label)


def _told_as(line: EstimateLine) -> tuple[UUID | None, str]:
    """Under which room, and as what, a client reads a line's cost."""
    if line.allowance:
        return line.room_id, _("Allowance: %(what)s") % {"what": line.text}
    if line.key and line.kind in _TOLD_ONCE:
        return None, _part_name(line.kind)
    return line.room_id, _part_name(line.kind) if line.room else line.text


def _allowances(estimate: Estimate, lines: Sequence[EstimateLine], totals: Totals) -> list[dict[str, str]]:
    return [
        {"text": line.full_text, **amount(allowed(line, estimate=estimate, totals=totals))}
        for line in allowances_in(lines)
    ]


def _client_lines(estimate: Estimate, lines: Sequence[EstimateLine], totals: Totals) -> list[dict[str, Any]]:
    """What a client sees: by room, materials and labor; equipment, disposal and travel, as computed, once each for the
    whole job; own lines of the job by their text. Overhead and markup are in each; with discount and rounding, on lines
    of their own, they add up to the total before tax to the cent."""
    groups: dict[tuple[UUID | None, str], Decimal] = {}
    for line in lines:
        key = _told_as(line)
        groups[key] = groups.get(key, Decimal(0)) + line.cost
    # The rooms first, each in one piece.
    ordered = sorted(groups.items(), key=lambda group: group[0][0] is None)
    shown = {key: cost for key, cost in ordered if cost}
    if not shown:
        return []
    names = {line.room_id: line.room.name for line in lines if line.room}
    shares = share_out(amount=totals.price + totals.discount, weights=list(shown.values()))
    parts = [
        {"group": names.get(room, _("Whole job")), "text": text, **amount(share)}
        for (room, text), share in zip(shown, shares, strict=True)
    ]
    if totals.discount:
        text = _("Discount: %(why)s") % {"why": estimate.discount_reason}
        parts.append({"group": _("Whole job"), "text": text, **amount(-totals.discount)})
    if totals.rounding:
        parts.append({"group": _("Whole job"), "text": _("Rounding of the total"), **amount(totals.rounding)})
    return parts


_TAXED = {
    RateKind.MATERIAL: gettext_lazy("materials, %(rate)s%%"),
    RateKind.LABOR: gettext_lazy("labor, %(rate)s%%"),
    RateKind.EQUIPMENT: gettext_lazy("equipment, %(rate)s%%"),
    RateKind.DISPOSAL: gettext_lazy("disposal, %(rate)s%%"),
    RateKind.TRAVEL: gettext_lazy("travel, %(rate)s%%"),
    RateKind.OTHER: gettext_lazy("other, %(rate)s%%"),
}


def _tax(totals: Totals) -> dict[str, str] | None:
    return {"text": tax_text(totals.taxes), **amount(totals.tax)} if totals.tax else None


def tax_text(taxes: Iterable[Charged]) -> str:
    """What is taxed, and at how much; a tax that comes to nothing isn't told, one charged twice once."""
    told = [_TAXED[RateKind(each.tax.kind)] % {"rate": digits(each.tax.percent)} for each in taxes if each.amount]
    return _("Sales tax on %(taxed)s") % {"taxed": "; ".join(dict.fromkeys(told))}


def _measures(totals: Totals, area_m2: Decimal) -> list[dict[str, str]]:
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
    if found := by_area(totals.total, area_m2):
        said.append(
            {
                "name": _("Price by area"),
                "text": _("%(price)s per %(unit)s") % {"price": money(found.price), "unit": unit_name(found.unit)},
                "how": _("total by %(area)s %(unit)s of tiled area")
                % {"area": formats.number_format(found.area), "unit": unit_name(found.unit)},
            }
        )
    return said


def _unit_prices(
    estimate: Estimate, lines: Sequence[EstimateLine], contingencies: Sequence[Contingency]
) -> list[dict[str, str]]:
    """What work beyond the proposal costs, with the overhead and markup of this estimate: the dearest hour of each
    labor line, and a unit of what may be found."""
    terms, markup = terms_of(estimate), estimate.markup_percent
    prices = []
    if hourly := [line.unit_cost for line in lines if line.kind == RateKind.LABOR and line.unit_cost]:
        price = marked_up(cost=max(hourly), hours=Decimal(1), markup_percent=markup, terms=terms)
        text = _("One hour of one person, materials at cost and the same markup")
        prices.append({"text": text, **amount(price)})
    for found in contingencies:
        price = marked_up(cost=found.unit_cost, hours=found.hours, markup_percent=markup, terms=terms)
        text = _("If found: %(what)s, for each %(unit)s") % {"what": found.text, "unit": found.unit}
        prices.append({"text": text, **amount(price)})
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
