"""Allowances: which lines are one, and the change order that settles one once its cost is known."""

from decimal import Decimal

from django.utils.translation import gettext as _

from estimating.actions._open import CannotChange, open_job
from estimating.actions.changes import CannotChangeOrder, add_change_line, lock_open_job, raise_change
from estimating.change_queries import allowances_of
from estimating.models import Acceptance, ChangeOrder, EstimateLine, RateKind
from shop.audit import change as change_by
from shop.languages import for_clients
from shop.models import Staff
from shop.templatetags.look import money


def set_allowance(*, line: EstimateLine, allowance: bool, by: Staff) -> None:
    """Whether the line is an allowance; a fill leaves that as it is. Raises CannotChange, also for labor."""
    with change_by(by):
        open_job(line.estimate.job)
        if allowance and line.kind == RateKind.LABOR:
            raise CannotChange(_("Labor is no allowance: it is priced by its hours."))
        if not EstimateLine.objects.filter(pk=line.pk).update(allowance=allowance):
            raise CannotChange(_("This line was removed meanwhile."))


@for_clients
def settle_allowance(*, line: EstimateLine, cost: Decimal, by: Staff) -> ChangeOrder:
    """The change order, not offered yet, that puts what a thing cost the shop in the place of its allowance.

    A credit of the allowance and a line of `cost`, both with the markup and taxes of the proposal: the difference may
    be a credit, or nothing. Raises CannotChangeOrder, also where a change order settles it already.
    """
    with change_by(by):
        job = lock_open_job(line.estimate.job_id)
        allowance = next((each for each in allowances_of(job) if each.line.pk == line.pk), None)
        if allowance is None:
            raise CannotChangeOrder(_("This line is no allowance of what was accepted."))
        if allowance.change:
            raise CannotChangeOrder(
                _("Change order %(number)s settles this allowance already.")
                % {"number": allowance.change.change.number}
            )
        name = line.full_text
        change = raise_change(
            job=job,
            what=(_("Allowance settled: %(what)s") % {"what": name})[:160],
            why=_("The allowance was %(amount)s, tax in it.") % {"amount": money(allowance.amount)},
            # Who accepted the proposal agreed to that.
            directed_by=Acceptance.objects.get(job=job).typed_name[:160],
            settles=line,
            by=by,
        )
        parts = ((_("Allowance: %(what)s"), line.cost, True), (_("As bought: %(what)s"), cost, False))
        for text, amount, credit in parts:
            add_change_line(
                change=change,
                kind=RateKind(line.kind),
                text=(text % {"what": name})[:200],
                quantity=Decimal(1),
                unit=_("each"),
                unit_cost=amount,
                credit=credit,
                by=by,
            )
    return change
