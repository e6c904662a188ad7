"""What every person of the shop sets for themselves."""

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from shop.access import require_staff
from shop.actions import choose_language
from shop.forms import LanguageForm


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
