"""What the office reads once something goes by mail."""

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest
from django.utils.translation import gettext as _

from estimating.models import Sending


def tell_mailed(request: HttpRequest, sent: Sending, goes: str) -> None:
    """Says where it `goes`, or, where no mail server is set, that it doesn't yet."""
    if settings.EMAIL_HOST:
        messages.success(request, goes % {"to": sent.to})
    else:
        messages.warning(
            request,
            _("Kept, but not sent: no mail server is set. The mail to %(to)s waits on the Mail page.")
            % {"to": sent.to},
        )
