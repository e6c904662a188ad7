"""What a change order comes to, and what it says: plain data, frozen and hashed when it is offered."""

import base64
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.utils import formats
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from estimating import scope
from estimating.catalogue import one_unit, unit_name
from estimating.content import tax_text
from estimating.job_sum import JobSum
from estimating.letterhead import amount, day, day_of, letterhead
from estimating.models import ChangeLine, ChangeOrder, Estimate, RateKind
from estimating.pricing import Totals, add_up, marked_up, share_out
from estimating.terms import terms_of_a_change
from jobs.models import Photo
from shop.images import BadImage, photo_jpeg
from shop.models import ShopSettings
from shop.templatetags.look import money

FORMAT = "gaugerod-change/1"

PRINTED_SIDE = 700
"""Pixels of a photo's longest side on paper: 6 cm wide at 300 dpi."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeTotals:
    """What is added and what is taken off, each as a sum of its own. Credits carry markup and tax as they were
    charged: common practice, no source."""

    added: Totals
    credited: Totals
    not_to_exceed: Decimal | None
    # Of time and material: the price of its dearest hour.
    hour: Decimal

    @property
    def cost(self) -> Decimal:
        return self.added.cost - self.credited.cost

    @property
    def tax(self) -> Decimal:
        return self.added.tax - self.credited.tax

    @property
    def lines(self) -> Decimal:
        """What the lines come to, with markup and tax."""
        return self.added.total - self.credited.total

    @property
    def amount(self) -> Decimal:
        """What the change adds to the job's sum: its lines, or for time and material the most that it may come to."""
        return self.lines if self.not_to_exceed is None else self.not_to_exceed


def totals_of_change(estimate: Estimate, change: ChangeOrder, lines: Iterable[ChangeLine]) -> ChangeTotals:
    """By overhead, markup and taxes of the estimate, which stand still since the proposal was accepted."""
    lines, terms = list(lines), terms_of_a_change(estimate)

    def side(credit: bool) -> Totals:
        return add_up(
            lines=[(line.kind, line.cost, line.hours) for line in lines if line.credit == credit],  # type: ignore[misc]
            markup_percent=estimate.markup_percent,
            tax_percent=estimate.tax_percent,
            terms=terms,
        )

    hourly = max((line.unit_cost for line in lines if line.kind == RateKind.LABOR), default=Decimal(0))
    hour = marked_up(cost=hourly, hours=Decimal(1), markup_percent=estimate.markup_percent, terms=terms)
    return ChangeTotals(
        added=side(False), credited=side(True), not_to_exceed=change.not_to_exceed, hour=hour if hourly else Decimal(0)
    )


def freeze_change(
    *,
    shop: ShopSettings,
    change: ChangeOrder,
    version: int,
    lines: Sequence[ChangeLine],
    totals: ChangeTotals,
    photos: Sequence[Photo],
    before: JobSum,
    finish_before: date | None,
    finish: date | None,
    made_on: date,
    valid_until: datetime,
) -> dict[str, Any]:
    """The content of an offer. Amounts stand twice: as a decimal text, and as `shown` to a person."""
    job = change.job
    after = before.total + totals.amount
    return {
        "format": FORMAT,
        "job_number": f"{job.number:04d}",
        "number": change.number,
        "version": version,
        **letterhead(shop=shop, job=job, made_on=made_on, valid_until=valid_until),
        "site": str(job.site),
        "what": change.what,
        "why": change.why,
        "directed_by": change.directed_by,
        "raised": _raised(change),
        "word": _word(change),
        "lines": _client_lines(lines, totals),
        "tax": _tax(totals),
        "time_and_material": _time_and_material(totals),
        "amount": amount(totals.amount),
        "days": change.days,
        "finish": {"before": day(finish_before), "after": day(finish)} if finish and finish_before else None,
        "sum": {
            "accepted": amount(before.accepted),
            "changes": amount(before.changes),
            "count": before.count,
            "before": amount(before.total),
            "after": amount(after),
        },
        "sentence": sentence(change, totals, after=after, finish=finish),
        "photos": [
            {
                "caption": photo.caption or _("Photo without a caption"),
                "taken": day_of(photo.happened_at),
                "sha256": photo.sha256,
            }
            for photo in photos
        ],
        "governs": scope.governs(),
    }


def sentence(change: ChangeOrder, totals: ChangeTotals, *, after: Decimal, finish: date | None) -> str:
    """The change in words: what PRACTICE has of change orders, common practice, no source."""
    parts = [
        _("%(adds)s.") % {"adds": _adds(totals.amount, change.days)},
        _("New total %(total)s, new finish %(day)s.") % {"total": money(after), "day": day(finish)}
        if finish
        else _("New total %(total)s; no finish day is set yet.") % {"total": money(after)},
        _("Directed by %(name)s.") % {"name": change.directed_by},
    ]
    if totals.not_to_exceed is not None:
        parts.append(_("Time and material, not to exceed %(most)s.") % {"most": money(totals.not_to_exceed)})
    return " ".join(parts)


def _adds(amount: Decimal, days: int) -> str:
    """ "Adds $480.00 and 2 days", "Takes off $60.00 and adds 1 day", "Changes neither price nor days"."""
    day = ngettext("%(days)s day", "%(days)s days", abs(days)) % {"days": abs(days)}
    price = money(abs(amount))
    if not amount and not days:
        return _("Changes neither the price nor the days")
    if not amount:
        return (_("Adds %(day)s at no cost") if days > 0 else _("Takes off %(day)s at the same price")) % {"day": day}
    if not days:
        return (_("Adds %(price)s and no days") if amount > 0 else _("Takes off %(price)s and adds no days")) % {
            "price": price
        }
    forms = {
        (True, True): _("Adds %(price)s and %(day)s"),
        (True, False): _("Adds %(price)s and takes off %(day)s"),
        (False, True): _("Takes off %(price)s and adds %(day)s"),
        (False, False): _("Takes off %(price)s and %(day)s"),
    }
    return forms[(amount > 0, days > 0)] % {"price": price, "day": day}


def _raised(change: ChangeOrder) -> str:
    figures = {"name": change.raised_by.name, "day": day_of(change.raised_at)}
    if change.on_site:
        return _("on site by %(name)s, %(day)s") % figures
    return _("in the office by %(name)s, %(day)s") % figures


def _word(change: ChangeOrder) -> str:
    if change.word_limit is None:
        return ""
    return _("%(name)s said yes on site, within the field limit of %(limit)s that was agreed beforehand.") % {
        "name": change.word_of,
        "limit": money(change.word_limit),
    }


def _client_lines(lines: Sequence[ChangeLine], totals: ChangeTotals) -> list[dict[str, Any]]:
    """Each line with its markup in it; they add up to the price before tax to the cent."""
    shown: dict[Any, Decimal] = {}
    for credit, side in ((False, totals.added), (True, totals.credited)):
        mine = [line for line in lines if line.credit == credit]
        shares = share_out(amount=side.price, weights=[line.cost for line in mine]) if mine else []
        shown |= {line.pk: -share if credit else share for line, share in zip(mine, shares, strict=True)}
    return [
        {"text": line.text, "quantity": quantity_of(line), "credit": line.credit, **amount(shown[line.pk])}
        for line in lines
    ]


def quantity_of(line: ChangeLine) -> str:
    """ "12 sq ft", "3.5 hours", "1 hour"."""
    number = round(line.quantity, 2).normalize() + 0
    shown = formats.number_format(number, decimal_pos=max(0, -int(number.as_tuple().exponent)))
    if line.rate_id is None and line.kind == RateKind.LABOR:
        return ngettext("%(number)s hour", "%(number)s hours", 1 if number == 1 else 2) % {"number": shown}
    name = one_unit(line.unit) if number == 1 and line.unit != "each" else unit_name(line.unit)
    return f"{shown} {name}"


def _tax(totals: ChangeTotals) -> dict[str, str] | None:
    if not totals.tax:
        return None
    return {"text": tax_text([*totals.added.taxes, *totals.credited.taxes]), **amount(totals.tax)}


def _time_and_material(totals: ChangeTotals) -> dict[str, Any] | None:
    """How time and material is billed: by the dearest hour of its labor, and at most so much."""
    if totals.not_to_exceed is None:
        return None
    return {
        "hour": amount(totals.hour) if totals.hour else None,
        "expected": amount(totals.lines),
        "most": amount(totals.not_to_exceed),
    }


def printed_photo(photo: Photo) -> str:
    """The photo as a data address, shrunk for paper; empty where its file is gone or broken."""
    try:
        with photo.file.open("rb") as file:
            jpeg, _width, _height = photo_jpeg(file, longest_side=PRINTED_SIDE)
    except (BadImage, OSError):
        return ""
    return "data:image/jpeg;base64," + base64.b64encode(jpeg).decode()
