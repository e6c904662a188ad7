"""The installer's day, on the phone."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from home.queries import today_of
from shop.access import require_staff
from shop.phone import keep_on_phone


@keep_on_phone
def today(request: HttpRequest) -> HttpResponse:
    staff = require_staff(request.user)
    return render(request, "home/field/today.html", {"today": today_of(staff)})
