"""Every choice that a client has, priced; and what of the payment steps can't be asked for with one of them. Pure."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from estimating.choices import Choice, Offer
from estimating.local_limits import Local
from estimating.models import EstimateLine
from estimating.payments import BadPlan, Step, pay
from estimating.pricing import Totals
from estimating.terms import totals_of
from estimating.worth import check_local

PhasesByRoom = Mapping[UUID, Collection[str]]

MOST_TOLD = 3
"""Of choices that break the same steps: whoever mends one of them mends most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Priced:
    """A choice with its lines and what they come to. `standing`: it is the one in the price."""

    choice: Choice
    rooms: Sequence[UUID]
    lines: Sequence[EstimateLine]
    totals: Totals
    standing: bool

    def told(self, said: str) -> str:
        """A sentence about it; of another choice than the one in the price, with its name."""
        if self.standing:
            return said
        return _("If the client chooses %(choice)s: %(said)s") % {"choice": self.choice.name, "said": said}


def priced_choices(offer: Offer) -> list[Priced]:
    """Every choice there is, the standing one first."""
    found = []
    for number, choice in enumerate(offer.choices()):
        lines = offer.lines_in(choice)
        found.append(
            Priced(
                choice=choice,
                rooms=offer.rooms_in(choice),
                lines=lines,
                totals=totals_of(offer.estimate, lines),
                standing=number == 0,
            )
        )
    return found


def wrong_payments(
    choices: Sequence[Priced],
    *,
    steps: Sequence[Step],
    local: Local,
    phases: PhasesByRoom | None = None,
    special_order: Decimal | None = None,
    most: int = MOST_TOLD,
) -> list[str]:
    """A sentence for each choice with which these steps can't be asked for: which it is, which step, what to do; of
    many the first `most`, and how many more.

    `phases`: the keys of those that each room has; None: they aren't looked at.
    """
    wrong = list(_wrong(choices, steps, local, phases, special_order))
    told, more = wrong[:most], len(wrong) - most
    if more > 0:
        text = ngettext(
            "%(count)s more choice can’t be paid so either.", "%(count)s more choices can’t be paid so either.", more
        )
        told.append(text % {"count": more})
    return told


def _wrong(
    choices: Sequence[Priced],
    steps: Sequence[Step],
    local: Local,
    phases: PhasesByRoom | None,
    special_order: Decimal | None,
) -> Iterator[str]:
    for each in choices:
        total, theirs = each.totals.total, None
        if phases is not None:
            theirs = {phase for room in each.rooms for phase in phases.get(room, ())}
        try:
            payments = pay(total=total, steps=steps, phases=theirs)
            check_local(payments, local=local, total=total, lines=each.lines, special_order=special_order)
        except BadPlan as error:
            yield each.told(str(error))
