"""What a page has seen of an estimate."""

from collections.abc import Iterable

from base.seen import seen_of
from estimating.choices import Offer
from estimating.models import Contingency, Estimate, EstimateLine

TERMS = (
    *("markup_percent", "tax_percent", "overhead_by", "overhead", "minimum", "round_to"),
    *("discount_percent", "discount_amount", "discount_reason", "thin_reason"),
)
LINE = (
    *("text", "unit", "rate_id", "quantity", "packages", "hours", "low_hours", "high_hours"),
    *("unit_cost", "cost", "override_reason"),
)


def seen_terms(estimate: Estimate) -> str:
    """The form of its terms, and the total that they make."""
    return seen_of([estimate], (*TERMS, "taxes"))


def seen_line(line: EstimateLine) -> str:
    """The form of a line."""
    return seen_of([line], LINE)


def seen_lines(offer: Offer, contingencies: Iterable[Contingency]) -> str:
    """Everything else of what would be proposed: lines, options, what may be found."""
    lines = seen_of(offer.lines, (*LINE, "room_id", "allowance"))
    options = seen_of(offer.options, ("name", "room_id"))
    return "".join(
        each[:20] for each in (lines, options, seen_of(contingencies, ("text", "unit", "unit_cost", "hours")))
    )
