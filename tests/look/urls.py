"""Addresses that the base templates name, so that the gallery needs no other app."""

from django.http import HttpResponse
from django.urls import include, path

NAMES = {
    "home": ("week", "today", "pin", "phone_manifest", "phone_waiting"),
    "jobs": ("list",),
    "clients": ("list",),
    "callbacks": ("list",),
    "estimating": ("rates",),
    "rooms": ("tiles",),
    "shop": ("settings", "staff", "login", "logout", "logo", "language"),
}


def nothing(_request: object) -> HttpResponse:
    return HttpResponse(status=204)


urlpatterns = [
    path("", include(([path(f"{app}/{name}/", nothing, name=name) for name in names], app)))
    for app, names in NAMES.items()
]
