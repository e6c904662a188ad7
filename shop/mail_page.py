"""The page Mail, for owner and office: what the shop sent, what waits, and why."""

from typing import Any
from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from base.errors import Refused
from base.keys import key_from, uuid7
from shop.access import not_found, require_office
from shop.mail import queue_test_mail, try_again
from shop.models import Mail, Staff

ON_A_PAGE = 25


@require_http_methods(["GET", "HEAD", "POST"])
def mail(request: HttpRequest) -> HttpResponse:
    """Buttons: test, again (with a mail's key)."""
    staff = require_office(request.user)
    if request.method == "POST":
        try:
            messages.success(request, _pressed(request.POST.dict(), staff))
        except Refused as refusal:
            messages.error(request, str(refusal))
        return redirect("shop:mail")
    context = {
        "page": Paginator(Mail.objects.all(), ON_A_PAGE).get_page(request.GET.get("page")),
        "server": settings.EMAIL_HOST,
        "sender": settings.DEFAULT_FROM_EMAIL,
        "key": uuid7(),
    }
    return render(request, "shop/office/mail.html", context)


def _pressed(pressed: dict[str, Any], staff: Staff) -> str:
    """Does what the button asks for, and says so. Raises Refused."""
    if not settings.EMAIL_HOST:
        raise Refused(_("No mail server is set, so nothing can be sent."))
    if "again" in pressed:
        try_again(_mail_of(pressed["again"]))
        return _("It is tried again within half a minute. Load this page again to see what came of it.")
    queue_test_mail(key=key_from(pressed.get("key", "")), to=staff)
    return _("A test mail to %(to)s goes out within half a minute. Load this page again to see what came of it.") % {
        "to": staff.email
    }


def _mail_of(key: str) -> Mail:
    try:
        return Mail.objects.filter(pk=UUID(key)).first() or not_found()
    except ValueError:
        not_found()
