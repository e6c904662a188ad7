"""What may be opened without a log-in: the log-in itself, the sign of life, the logo."""

from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import LoginView
from django.core.exceptions import BadRequest
from django.http import FileResponse, HttpRequest, HttpResponse
from django.utils.cache import get_conditional_response, patch_response_headers
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache

from shop.access import not_found
from shop.forms import LogInForm
from shop.queries import shop_settings
from shop.reach import alive_answer


class LogIn(LoginView):
    authentication_form = LogInForm


@login_not_required
@never_cache
def alive(request: HttpRequest) -> HttpResponse:
    """ "ok"; with `?say=` also proof that it's this installation that answers."""
    say = request.GET.get("say", "")
    if len(say) > 64 or not say.isascii():
        raise BadRequest(_("What to say is too long."))
    return HttpResponse(f"ok {alive_answer(say)}" if say else "ok", content_type="text/plain")


@login_not_required
def logo(request: HttpRequest) -> HttpResponse | FileResponse:
    """The shop's logo, which clients see, too; 404 where there is none."""
    shop = shop_settings()
    name = shop.logo.name
    if not name or not shop.logo.storage.exists(name):
        not_found()
    etag = f'"{name}"'
    if unchanged := get_conditional_response(request, etag=etag):
        return unchanged
    response = FileResponse(shop.logo.open("rb"), content_type="image/png", headers={"ETag": etag})
    patch_response_headers(response, cache_timeout=300)
    return response
