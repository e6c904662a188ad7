from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from shop.queries import shop_settings
from shop.reach import link_reach


def shop(request: HttpRequest) -> dict[str, Any]:
    """The shop's settings and logo, how far its links go, and the nonce under the name that django-htmx reads."""
    settings = shop_settings()
    return {
        "shop": settings,
        "logo_url": reverse("shop:logo") if settings.logo else "",
        "link_reach": link_reach(),
        "csp_nonce": str(getattr(request, "csp_nonce", "")),
    }
