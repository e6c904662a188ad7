"""What is done by the time a payment is due, and so how much a place lets a shop ask by then. Pure."""

from collections.abc import Mapping, Sequence
from decimal import ROUND_DOWN, Decimal

from django.utils.translation import gettext as _

from estimating.catalogue import DEMOLITION, DUST, HAUL, SAW, SETTING, TILE
from estimating.local_limits import Local
from estimating.models import EstimateLine
from estimating.payments import DUE, SIGNING, WALK_THROUGH, BadPlan, Due, check_deposit, due_text
from shop.templatetags.look import money

_WITH = {
    "demolition": (DEMOLITION, HAUL, DUST),
    "substrate": (
        *("board", "fastener", "leveling", "primer", "labor_true_studs", "labor_substrate", "labor_patch"),
        *("labor_level", "labor_board", "labor_niche", "labor_curb", "labor_bench"),
    ),
    "slope": ("mud-bed", "labor_mud_bed"),
    "waterproofing": ("membrane", "membrane-band", "membrane-corner", "labor_waterproof"),
    "water_test": ("labor_water_test",),
    "layout": ("labor_layout",),
    "setting": (TILE, "mortar", "edge-trim", "clip", "spacer", SAW, *SETTING),
    "grout": ("grout", "labor_grout"),
    "soft_joints": ("sealant", "labor_soft_joints"),
}
DONE_WITH = {key: phase for phase, keys in _WITH.items() for key in keys}
"""The phase by which a line is done, work and material; what isn't here, trips too, counts when the whole is. Common
practice, no source."""


def worth_at(lines: Sequence[EstimateLine], total: Decimal) -> dict[str, Decimal]:
    """The part of `total` that stands for what is done at each moment at which a step can be due: by the cost of the
    lines, to the cent and never more."""
    whole = sum((line.cost for line in lines), Decimal(0))
    found, done = {}, Decimal(0)
    for due in DUE:
        done += sum((line.cost for line in lines if DONE_WITH.get(line.key, WALK_THROUGH) == due), Decimal(0))
        share = total * done / whole if whole else Decimal(0)
        found[due] = total if due == WALK_THROUGH else share.quantize(Decimal("0.01"), ROUND_DOWN)
    return found


def check_later(payments: Sequence[Due], *, place: str, worth: Mapping[str, Decimal]) -> None:
    """Raises BadPlan, with the figures, where payments up to one after signing come to more than is done by then."""
    paid = Decimal(0)
    for each in payments:
        paid += each.amount
        if each.step.due != SIGNING and paid > worth[each.step.due]:
            raise BadPlan(
                _(
                    "%(when)s: by then %(paid)s would be paid, and what is done is %(worth)s of the price. %(place)s "
                    "allows no more than that: lower this step, or let it be due later."
                )
                % {
                    "when": due_text(each.step.due).capitalize(),
                    "paid": money(paid),
                    "worth": money(worth[each.step.due]),
                    "place": place,
                }
            )


def check_local(
    payments: Sequence[Due],
    *,
    local: Local,
    total: Decimal,
    lines: Sequence[EstimateLine],
    special_order: Decimal | None = None,
) -> None:
    """Raises BadPlan for steps that ask for more than the place allows: as a deposit, or later."""
    check_deposit(payments, rule=local.deposit, total=total, special_order=special_order)
    if local.by_value:
        check_later(payments, place=local.place, worth=worth_at(lines, total))
