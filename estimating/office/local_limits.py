"""What the law of a place allows, as the owner enters it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from base.errors import Refused
from estimating import local_limits as limits
from estimating.actions import ChangedMeanwhile, set_local_limit
from estimating.text_forms import LocalLimitForm
from shop.access import not_found, require_owner

HERE = "shop:settings"


@require_safe
def local_limits(request: HttpRequest) -> HttpResponse:
    """Every place with what it allows."""
    require_owner(request.user)
    context = {"places": list(limits.local_limits().values()), "here": HERE}
    return render(request, "estimating/office/local_limits.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def local_limit_new(request: HttpRequest) -> HttpResponse:
    """A place that isn't there yet. Button: save."""
    require_owner(request.user)
    return _page(request, None)


@require_http_methods(["GET", "HEAD", "POST"])
def local_limit(request: HttpRequest, key: str) -> HttpResponse:
    """One place. Button: save."""
    require_owner(request.user)
    return _page(request, limits.local_limits().get(key) or not_found())


def _page(request: HttpRequest, local: limits.Local | None) -> HttpResponse:
    form = LocalLimitForm(request.POST or None, local=local)
    if request.method == "POST" and form.is_valid():
        try:
            row = set_local_limit(key=local.key if local else "", by=require_owner(request.user), **form.cleaned_data)
        except Refused as refusal:
            if isinstance(refusal, ChangedMeanwhile) and local:
                form.look_again(limits.local_limits()[local.key].number)
            form.add_error("place", str(refusal))
        else:
            messages.success(request, _("Kept for %(place)s. Local law applies.") % {"place": row.place})
            return redirect("estimating:local_limits")
    history = limits.limit_history(local.key) if local else ()
    context = {"local": local, "form": form, "history": history, "here": HERE}
    return render(request, "estimating/office/local_limit.html", context, status=422 if form.errors else 200)
