"""What every person of the shop sets for themselves."""

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from shop.access import require_staff
from shop.actions import choose_language, set_password
from shop.forms import LanguageForm, OwnPasswordForm


@require_http_methods(["GET", "HEAD", "POST"])
def language(request: HttpRequest) -> HttpResponse:
    """The language of one's own pages: one button each. Then to the start: Today takes the day along anew, so that
    the phone keeps its pages in the language chosen."""
    staff = require_staff(request.user)
    form = LanguageForm(request.POST or None, auto_id=False)
    if request.method == "POST" and form.is_valid():
        choose_language(staff=staff, language=form.cleaned_data["language"])
        return redirect("home:start")
    context = {"form": form, "languages": settings.LANGUAGES}
    return render(request, "shop/field/language.html", context, status=422 if form.errors else 200)


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
def password(request: HttpRequest) -> HttpResponse:
    """One's own new password. This browser stays logged in, all others have to log in again."""
    staff = require_staff(request.user)
    form = OwnPasswordForm(staff, request.POST or None)
    if request.method == "POST" and form.is_valid():
        set_password(staff=staff, password=form.cleaned_data["new_password1"], by=staff)
        update_session_auth_hash(request, staff)
        messages.success(request, _("You have a new password."))
        return redirect("home:start")
    return render(request, "shop/field/password.html", {"form": form}, status=422 if form.errors else 200)
