"""The notice by which a client may cancel: where it applies, what it says, and until when it counts.

What is asked is the federal rule's, 16 CFR 429, as `trade.contract` has it; the words are our own, and local law goes
before them.
"""

from datetime import date
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from estimating.letterhead import day
from estimating.local_limits import Local, cancel_until
from estimating.models import Acceptance, SignedAt
from shop.models import ShopSettings
from trade.contract import REFUND_DAYS, may_cancel


def days_to_cancel(local: Local, *, total: Decimal, signed_at: str) -> int:
    """The business days that a client has, by where the shop says that it is signed; 0 where the rule doesn't reach."""
    if signed_at == SignedAt.SHOP or not may_cancel(price=total, at_home=signed_at == SignedAt.HOME):
        return 0
    return local.cancel_days


def notice(
    *, shop: ShopSettings, what: str, site: str, days: int, made_on: date, until: date | None
) -> dict[str, Any] | None:
    """The notice as it is printed twice, to be torn off; None where there are no days."""
    if not days or until is None:
        return None
    address = ", ".join(line.strip() for line in shop.address.splitlines() if line.strip())
    reach = "; ".join(part for part in (address, shop.email, shop.phone) if part)
    facts = [(_("What"), what), (_("Where"), site), (_("With"), shop.name), (_("Send it to"), reach)]
    figures = {"days": days, "day": day(made_on), "until": day(until), "back": REFUND_DAYS}
    return {
        "facts": [{"name": name, "text": text} for name, text in facts if text],
        "lines": [
            ngettext(
                "You may cancel this contract, without giving a reason, until midnight of the business day after the "
                "day on which you sign it. Saturdays count; Sundays and federal holidays don’t.",
                "You may cancel this contract, without giving a reason, until midnight of the last of %(days)s "
                "business days after the day on which you sign it. Saturdays count; Sundays and federal holidays "
                "don’t.",
                days,
            )
            % figures,
            _("Signed on %(day)s, that is midnight of %(until)s. Signed later, the days count from that day.")
            % figures,
            _(
                "To cancel, sign and date one copy of this notice below, or say the same in your own words, and send "
                "or bring it to us by then. Keep the other copy."
            ),
            _("If you cancel, we give back what you paid within %(back)s days.") % figures,
            _("This is the federal rule, 16 CFR 429, in our words. Local law applies, and may give you more."),
        ],
    }


def may_cancel_until(acceptance: Acceptance) -> date | None:
    """The day at whose midnight the client's right to cancel ends, counted from the signature; None where there is
    none."""
    content = acceptance.proposal.content
    chosen = content.get("choices", {}).get(acceptance.choice, {})
    return cancel_until(acceptance.signed_day, days=chosen.get("cancel_days", content.get("cancel_days", 0)))
