"""How a phone comes to trust the shop's own certificate, and the page from which the office sends it there."""

import hashlib
from pathlib import Path

import segno
from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from shop.access import require_office


def _authority() -> bytes:
    """The certificate of the shop's authority (DER). Raises Http404 where the shop was started without --lan."""
    if not settings.LAN_AUTHORITY:
        raise Http404
    return Path(settings.LAN_AUTHORITY).read_bytes()


def _fingerprint(certificate: bytes) -> str:
    """SHA-256 as phones show it: pairs of digits."""
    return hashlib.sha256(certificate).digest().hex(" ").upper()


@login_not_required
@require_safe
def steps(request: HttpRequest) -> HttpResponse:
    """The three steps, for whoever is in the shop's network: nothing here is secret."""
    _authority()
    return render(request, "home/phone/trust.html", {"addresses": settings.LAN_URLS})


@login_not_required
@require_safe
def authority(request: HttpRequest) -> HttpResponse:
    """The certificate as a file that phones know what to do with (RFC 5280 names no type; this one is common)."""
    return HttpResponse(
        _authority(),
        content_type="application/x-x509-ca-cert",
        headers={"Content-Disposition": 'attachment; filename="shop.crt"'},
    )


@require_safe
def phones(request: HttpRequest) -> HttpResponse:
    """The addresses as pictures to point a phone's camera at; or what to do where phones have no secure address."""
    require_office(request.user)
    context: dict[str, object] = {"here": "shop:settings"}
    if settings.LAN_AUTHORITY:
        trust = settings.LAN_HELP_URL + reverse("home:trust")
        shop = settings.LAN_URLS[0]
        context |= {
            "trust": {"address": trust, "picture": _picture(trust)},
            "shop_address": {"address": shop, "picture": _picture(shop)},
            "other_address": settings.LAN_URLS[-1],
            "fingerprint": _fingerprint(_authority()),
        }
    elif settings.PUBLIC_URL.startswith("https://"):
        context |= {"shop_address": {"address": settings.PUBLIC_URL, "picture": _picture(settings.PUBLIC_URL)}}
    return render(request, "home/office/phones.html", context)


def _picture(address: str) -> str:
    """A QR code as the source of an <img>, with the quiet zone of four modules that ISO/IEC 18004 asks for."""
    return segno.make(address, micro=False).svg_data_uri(scale=6, border=4, light="#fff")
