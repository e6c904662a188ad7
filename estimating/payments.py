"""Payment steps: shares or amounts of a total, each due at a moment of the work. Pure; amounts in cents."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from base.figures import digits
from estimating.pricing import share_out
from shop.templatetags.look import money
from trade.catalogue import PHASE_KINDS
from trade.contract import DepositRule, most_deposit

SIGNING, WALK_THROUGH = "signing", "walk_through"
PHASE_NAMES = {kind.key: kind.name for kind in PHASE_KINDS}
DUE = (SIGNING, *PHASE_NAMES, WALK_THROUGH)
"""When a step can be due, in the order of the work."""

MOST_STEPS = 8
"""Rows of the form: enough for one at each of the usual phases."""


class BadPlan(ValueError):
    """Steps that can't be asked for: the message says why, and what to do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """`percent` of the total or an `amount`; neither: the rest."""

    due: str
    percent: Decimal | None = None
    amount: Decimal | None = None

    def to_json(self) -> dict[str, str]:
        said = {"percent": self.percent, "amount": self.amount}
        return {"due": self.due} | {name: f"{value:f}" for name, value in said.items() if value is not None}

    @classmethod
    def from_json(cls, data: dict[str, Any]) -> "Step":
        return cls(
            due=data["due"],
            percent=Decimal(data["percent"]) if "percent" in data else None,
            amount=Decimal(data["amount"]) if "amount" in data else None,
        )

    @property
    def is_rest(self) -> bool:
        return self.percent is None and self.amount is None


@dataclass(frozen=True, slots=True)
class Due:
    """A step with what it comes to."""

    step: Step
    amount: Decimal


USUAL = (
    Step(due=SIGNING, percent=Decimal(10)),
    Step(due="setting", percent=Decimal(40)),
    Step(due=WALK_THROUGH),
)
"""To begin from: an example, invented. Ten percent is within every limit of trade.contract.DEPOSITS up to $10,000."""

_MOMENTS = {
    SIGNING: gettext_lazy("when you sign"),
    WALK_THROUGH: gettext_lazy("at the walk-through"),
}


def due_text(due: str) -> str:
    """When a step is due, in plain words."""
    if due in _MOMENTS:
        return str(_MOMENTS[due])
    return _("once this is signed off: %(phase)s") % {"phase": _(PHASE_NAMES[due])}


def step_text(step: Step) -> str:
    """What a step asks for, before it is known what that comes to."""
    if step.percent is not None:
        return _("%(percent)s %% of the total") % {"percent": digits(step.percent)}
    return _("a fixed amount") if step.amount is not None else _("the rest")


def in_order(steps: Sequence[Step]) -> tuple[Step, ...]:
    """Steps as the work goes. Raises BadPlan for none, two that are the rest, and more than all of the total."""
    if not steps:
        raise BadPlan(_("There is no step: say at least when the whole total is due."))
    if sum(step.is_rest for step in steps) > 1:
        raise BadPlan(_("Only one step can be the rest: give the others a percentage or an amount."))
    percent = sum((step.percent for step in steps if step.percent is not None), Decimal(0))
    if percent > 100:
        raise BadPlan(_("The percentages add up to %(sum)s: they can’t be more than 100.") % {"sum": digits(percent)})
    return tuple(sorted(steps, key=lambda step: DUE.index(step.due)))


def pay(*, total: Decimal, steps: Sequence[Step], phases: Collection[str] | None = None) -> list[Due]:
    """Each step with its amount; together they are `total` to the cent. `phases`: the keys of those the job has.

    Raises BadPlan where they don't come to it, and for a phase that the job doesn't have.
    """
    steps = in_order(steps)
    for step in steps:
        if phases is not None and step.due in PHASE_NAMES and step.due not in phases:
            raise BadPlan(
                _("A payment is due after “%(phase)s”, which no room in this price has: take another phase.")
                % {"phase": _(PHASE_NAMES[step.due])}
            )
    shares = _shares(total, steps)
    amounts = [share if step.amount is None else step.amount for step, share in zip(steps, shares, strict=False)]
    left = total - sum(amounts, Decimal(0))
    if left < 0:
        raise BadPlan(
            _("The payments come to %(over)s more than the total of %(total)s: lower one of them.")
            % {"over": money(-left), "total": money(total)}
        )
    rest = next((at for at, step in enumerate(steps) if step.is_rest), None)
    if rest is not None:
        amounts[rest] += left
    elif left:
        raise BadPlan(
            _("The payments come to %(left)s less than the total of %(total)s: leave one step empty, as the rest.")
            % {"left": money(left), "total": money(total)}
        )
    return [Due(step, amount) for step, amount in zip(steps, amounts, strict=True)]


def _shares(total: Decimal, steps: Sequence[Step]) -> list[Decimal]:
    """Of each step its percent of the total, and of what has none, last, what they leave. A deposit is rounded down, so
    that no place's percentage is passed by half a cent; the others bear that."""
    percents = [step.percent or Decimal(0) for step in steps]
    weights = [*percents, 100 - sum(percents, Decimal(0))]
    down = {
        at: (total * percent / 100).quantize(Decimal("0.01"), ROUND_DOWN)
        for at, (step, percent) in enumerate(zip(steps, percents, strict=True))
        if step.due == SIGNING
    }
    later = [Decimal(0) if at in down else weight for at, weight in enumerate(weights)]
    if not any(later):
        return share_out(amount=total, weights=weights)
    shares = share_out(amount=total - sum(down.values(), Decimal(0)), weights=later)
    return [down.get(at, share) for at, share in enumerate(shares)]


def deposit_of(payments: Sequence[Due]) -> Decimal:
    """What is due at signing."""
    return sum((each.amount for each in payments if each.step.due == SIGNING), Decimal(0))


def check_deposit(
    payments: Sequence[Due], *, rule: DepositRule | None, total: Decimal, special_order: Decimal | None = None
) -> None:
    """Raises BadPlan, with the figure, for a deposit above what the place allows, with what material on special order
    costs where that counts there."""
    if rule is None:
        return
    most = most_deposit(rule, price=total, special_order=special_order or Decimal(0))
    deposit = deposit_of(payments)
    if deposit > most:
        raise BadPlan(
            _("The deposit of %(deposit)s is more than %(place)s allows: %(most)s of %(total)s at most. Lower it.")
            % {"deposit": money(deposit), "place": rule.place, "most": money(most), "total": money(total)}
            + (
                " " + _("What material on special order costs may come to it: say so with the payment steps.")
                if rule.special_order and not special_order
                else ""
            )
        )
