"""Accepted work goes on as it was built: the room is laid out anew, and its rough-in is proved by the new sheet."""

from collections.abc import Mapping, Sequence
from itertools import zip_longest
from typing import Any

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from base.errors import Refused
from base.keys import free_key
from inspections.actions.starting import check_row
from inspections.models import Phase, SaidAnew
from rooms.as_built_actions import take_over_as_built
from rooms.models import AsBuilt, Layout
from rooms.rough_in_checks import ITEM_KEY, checks_that_moved
from shop.audit import change
from shop.models import Staff
from trade.catalogue.preparation import ROUGH_IN
from trade.phases import MOST_CHECKS


def lay_anew_as_built(
    *, layout: Layout, measures: Sequence[Mapping[str, Any]], seen: str | None = None, reason: str = "", by: Staff
) -> AsBuilt:
    """What was measured becomes the room of accepted work, and checks of its rough-in that name what moved are asked
    anew; of a rough-in that is signed nothing is.

    Raises what `take_over_as_built` raises, and Refused where the rough-in is signed at the same moment.
    """
    with change(by):
        kept = take_over_as_built(layout=layout, measures=measures, seen=seen, accepted=True, reason=reason, by=by)
        if kept.led_to:
            _say_anew(before=layout, now=kept.led_to, by=by)
    return kept


def _say_anew(*, before: Layout, now: Layout, by: Staff) -> None:
    """Rows beside the old ones, which stay with what was entered for them."""
    phase = Phase.objects.filter(room=now.room, key=ROUGH_IN.key, sign_off=None).first()
    if phase is None:
        return
    rows = list(phase.checks.filter(said_anew=None))
    items = [row for row in rows if row.key.startswith(ITEM_KEY)]
    moved, same = checks_that_moved(before, now, most=max(1, MOST_CHECKS - len(rows) + len(items)))
    gone = [row for row in items if row.text not in same]
    taken = set(phase.checks.values_list("key", flat=True))
    last = max((row.position for row in rows), default=0)
    try:
        with transaction.atomic():
            for number, (row, check) in enumerate(zip_longest(gone, moved), 1):
                if row:
                    SaidAnew.objects.create(check_gone=row, layout=now, by=by)
                if check:
                    new = check_row(phase, row.position if row else last + number, check)
                    new.key = free_key(check.key, taken)
                    new.save(force_insert=True)
    except IntegrityError:
        raise Refused(_("The rough-in was signed meanwhile. Load the page again.")) from None
