"""How long a log-in lasts.

An installer's phone stays logged in as long as it is used at least every 90 days; others log in anew every 30 days
(SESSION_COOKIE_AGE). A new password ends it at once, and so does taking away that the person may log in.
"""

import time
from typing import Any

from django.http import HttpRequest

from shop.models import Role, Staff

INSTALLERS = 90 * 24 * 3600
"""Seconds that an installer's log-in lasts from its last renewal."""
RENEWED_EVERY = 24 * 3600
"""Seconds between two renewals: each is a write."""
LOGGED_IN, RENEWED = "logged_in_at", "renewed_at"


def note_log_in(*, request: HttpRequest, user: Staff, **_signal: Any) -> None:
    """Receives `user_logged_in`. When it was, in ms, tells the phone that the password was given just now."""
    request.session[LOGGED_IN] = time.time_ns() // 10**6
    keep_logged_in(request, user)


def keep_logged_in(request: HttpRequest, user: Staff) -> None:
    """Lets an installer's log-in last another 90 days, at most once a day."""
    now = int(time.time())
    if user.role == Role.INSTALLER and now - request.session.get(RENEWED, 0) >= RENEWED_EVERY:
        request.session[RENEWED] = now
        request.session.set_expiry(INSTALLERS)
