"""What a fill changed of a line, in words."""

from decimal import Decimal

from django.utils.translation import gettext as _

from base.figures import digits
from estimating.catalogue import unit_name
from estimating.models import EstimateLine

Computed = tuple[Decimal | None, Decimal | None]
"""Of a line: what was computed for it last, quantity and cost."""


def computed(line: EstimateLine) -> Computed:
    return line.computed_quantity, line.computed_cost


def told(line: EstimateLine, before: Computed, *, new: bool) -> list[str]:
    """What was computed otherwise than `before`, in at most one sentence."""
    if new:
        return [_("%(line)s: new.") % {"line": line.full_text}]
    if before == computed(line):
        return []
    figures = {
        "line": line.full_text,
        "before": _amount(before[0], line.unit),
        "now": _amount(line.computed_quantity, line.unit),
    }
    if line.override_reason:
        return [_("%(line)s: computed %(now)s instead of %(before)s. Your own figure stays.") % figures]
    if before[0] == line.computed_quantity:
        return [_("%(line)s: another price.") % figures]
    return [_("%(line)s: %(now)s instead of %(before)s.") % figures]


def dropped(line: EstimateLine) -> str:
    """Of a computed line that isn't needed any more, unsaved: it goes, unless a person had put a figure in."""
    if line.override_reason:
        line.computed_quantity = line.computed_cost = None
        return _("%(line)s: no longer computed. Your own figure stays.") % {"line": line.full_text}
    return _("%(line)s: not needed any more, removed.") % {"line": line.full_text}


def _amount(quantity: Decimal | None, unit: str) -> str:
    return f"{digits(quantity)} {unit_name(unit)}" if quantity is not None else _("nothing")
