"""What an hour of a person costs. New figures are a new row that ends the old one, as with rates."""

from decimal import Decimal

from django.utils import timezone
from django.utils.translation import gettext as _

from base.errors import Refused
from estimating.models import HourlyCost
from shop.access import require_owner
from shop.audit import change
from shop.models import Staff


class BadHour(Refused):
    """Figures that nobody's hour can have. The message says why."""


def set_hourly_cost(*, person: Staff, wage: Decimal, burden_percent: Decimal, by: Staff) -> HourlyCost:
    """What an hour of the person costs from today on; what was in force ends today.

    The same figures again leave the row that stands, and say that it holds today. Raises PermissionDenied unless `by`
    is an owner, BadHour for a wage of nothing or a burden below it.
    """
    require_owner(by)
    if wage <= 0 or burden_percent < 0:
        raise BadHour(_("A wage is more than nothing, and burden comes on top of it."))
    today = timezone.localdate()
    with change(by):
        _lock_person(person)
        now = _in_force(person)
        if now and (now.wage, now.burden_percent) == (wage, burden_percent):
            if now.as_of != today:
                now.checked_on = today
                now.save(update_fields=["checked_on"])
            return now
        if now:
            now.valid_to = today
            now.save(update_fields=["valid_to"])
        return HourlyCost.objects.create(person=person, wage=wage, burden_percent=burden_percent, valid_from=today)


def _lock_person(person: Staff) -> None:
    """Two owners who set one person at the same moment take turns."""
    Staff.objects.select_for_update(no_key=True).get(pk=person.pk)


def _in_force(person: Staff) -> HourlyCost | None:
    return HourlyCost.objects.filter(person=person, valid_to=None).first()
