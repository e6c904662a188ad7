"""What one back may lift: the revised NIOSH lifting equation.  Pounds and inches, as it is published."""

from decimal import Decimal

from trade import sources
from trade.figures import positive
from trade.units import in_pounds
from trade.verdicts import Verdict
from trade.words import gettext_noop

LOAD_LB = Decimal(51)
"""The load constant, 23 kg."""


def recommended_weight_lb(*, out_in: Decimal, from_in: Decimal, lifted_in: Decimal) -> Decimal:
    """Return the weight that nearly everybody may lift now and then, lb, two places.

    `out_in`: hands from the ankles, level, 10 … 25; `from_in`: hands' height at the start, 0 … 70; `lifted_in`: how far
    up or down, 10 … 70 (less counts as 10).  Straight ahead, good grip, not often: the other multipliers are 1.
    Source: revised NIOSH lifting equation, as printed by ccohs.ca.  ValueError out of these ranges.
    """
    for name, value, least, most in (
        ("out_in", out_in, 0, 25),
        ("from_in", from_in, 0, 70),
        ("lifted_in", lifted_in, 0, 70),
    ):
        if not (value.is_finite() and least <= value <= most):
            raise ValueError(f"{name} lies between {least} and {most}, got {value}")
    reach = Decimal(10) / max(out_in, Decimal(10))
    height = 1 - Decimal("0.0075") * abs(from_in - 30)
    way = Decimal("0.82") + Decimal("1.8") / max(lifted_in, Decimal(10))
    return (LOAD_LB * reach * height * way).quantize(Decimal("0.01"))


def lifting_index(*, load_lb: Decimal, recommended_lb: Decimal) -> Decimal:
    """Return load over recommended weight, two places: over 1 asks for two people, a cart, or a smaller package."""
    if not (load_lb.is_finite() and load_lb >= 0 and recommended_lb.is_finite() and recommended_lb > 0):
        raise ValueError(f"weights must be positive, got {load_lb} and {recommended_lb}")
    return (load_lb / recommended_lb).quantize(Decimal("0.01"))


def judge_box(*, box_kg: Decimal) -> Verdict:
    """Return whether one back may lift a box off a low stack and carry it at arm's length: hands 15 in out and 10 in
    up, lifted 30 in, as the worked example of `sources.LIFTING` has it.  ValueError for a box without weight."""
    positive(box_kg=box_kg)
    load_lb = round(in_pounds(box_kg), 1)
    one = recommended_weight_lb(out_in=Decimal(15), from_in=Decimal(10), lifted_in=Decimal(30))
    figures = {"box_lb": load_lb, "one_lb": one, "times": lifting_index(load_lb=load_lb, recommended_lb=one)}
    if load_lb <= one:
        template = gettext_noop("A box weighs %(box_lb)s lb: one back may lift %(one_lb)s lb off a low stack.")
        return Verdict(rule=sources.LIFTING, outcome="holds", figures=figures, template=template)
    template = gettext_noop(
        "A box weighs %(box_lb)s lb, %(times)s times what one back should lift off a low stack: two people, a cart, or "
        "open it and carry less."
    )
    return Verdict(rule=sources.LIFTING, outcome="fails", figures=figures, template=template)
