"""What the shop asks in a phase: a new version each time, for jobs whose work opens from then on."""

from django.utils.translation import gettext as _

from base.errors import Refused
from inspections.models import ChecklistVersion
from shop.access import require_owner
from shop.actions import locked_settings
from shop.audit import change
from shop.models import Staff
from trade.checklists import Checklist, ChecklistRefused, phase_kind


class ChecklistMoved(Refused):
    """Somebody else changed the checklist since the page was opened."""


def set_checklist(*, checklist: Checklist, reason: str, seen: int, by: Staff) -> ChecklistVersion | None:
    """The checklist's new version, with who, when and why; work that is open keeps the one it was opened by.

    `seen`: the number of the version that was changed, 0 for the catalogue as it comes. What already is so changes
    nothing and returns what is in force. Raises KeyError for a phase there isn't, PermissionDenied, ChecklistMoved, and
    Refused for a checklist that no phase may have.
    """
    require_owner(by)
    reason = reason.strip()
    if not reason:
        raise Refused(_("Say why: whoever works by it later asks."))
    try:
        checklist.of(phase_kind(checklist.phase))
    except ChecklistRefused as error:
        raise Refused(_(error.template) % {name: _(text) for name, text in error.params.items()}) from error
    with change(by):
        # One change at a time.
        locked_settings()
        newest = ChecklistVersion.objects.filter(phase=checklist.phase).first()
        now = Checklist.from_json(newest.content) if newest else Checklist(phase=checklist.phase)
        if checklist == now:
            return newest
        if (newest.number if newest else 0) != seen:
            raise ChecklistMoved(
                _("Somebody changed this checklist in the meantime. Look at it again, then keep yours or leave it.")
            )
        return ChecklistVersion.objects.create(
            phase=checklist.phase, number=seen + 1, content=checklist.to_json(), reason=reason, by=by
        )
