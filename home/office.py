"""The Week and the job page, for owner and office; and the page that each role starts on."""

from datetime import date
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from home.queries import job_page, week_of
from jobs.access import get_job
from shop.access import require_office, require_staff
from shop.models import Role
from shop.phone import keep_on_phone


def start(request: HttpRequest) -> HttpResponse:
    """Each role's home: the installer's is Today, everybody else's the Week."""
    staff = require_staff(request.user)
    return redirect("home:today" if staff.role == Role.INSTALLER else "home:week")


def week(request: HttpRequest) -> HttpResponse:
    require_office(request.user)
    return render(request, "home/office/week.html", {"week": week_of(_day_asked_for(request))})


def _day_asked_for(request: HttpRequest) -> date:
    """The day in `?day=2026-11-24`, or today where there is none or it can't be read."""
    try:
        day = date.fromisoformat(request.GET.get("day", ""))
    except ValueError:
        return timezone.localdate()
    # A week beyond either end of the calendar can't be shown.
    return day if date(2000, 1, 1) <= day <= date(2200, 1, 1) else timezone.localdate()


@keep_on_phone
def job(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The job: the office's page for owner and office, the phone's page for the installers on it."""
    the_job = get_job(request.user, pk)
    side = "office" if require_staff(request.user).runs_the_office else "field"
    return render(request, f"home/{side}/job.html", {"job": the_job, "page": job_page(the_job)})
