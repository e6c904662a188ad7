"""The phone: phases of a room, their checks, and the sign-off. Owner and office open the same pages from the job."""

import json
from collections.abc import Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from base.errors import Refused
from documents.responses import send_upload
from inspections.access import get_check, get_entry, get_phase, get_sign_off
from inspections.actions import NotProved, amend, place_photo, record_entry, sign_phase, waive_check
from inspections.forms import AmendmentForm, EntryForm, WaiverForm, keypad
from inspections.judging import judged_by, yardstick_of, yardsticks
from inspections.models import Check, CheckKind, Entry, Phase, SignOff
from inspections.offline import before_it, for_the_phone
from inspections.placed import photos_of_phase
from inspections.queries import PhaseView, phases_of_rooms, photos_to_sort
from inspections.standing import still_to_answer
from inspections.surveyed import MEASURES
from inspections.uploads import keep_upload
from jobs.models import Stage
from rooms.access import get_room
from rooms.drawn import drawn_surfaces
from rooms.models import Surface
from rooms.queries import current_layout, room_with_parts, shop_unit
from shop.access import not_found, require, require_owner, require_staff
from shop.models import Role, Staff
from shop.phone import happened_at, keep_on_phone, not_taken, receipt, replay_of
from shop.queries import shop_limits


@require_GET
@keep_on_phone
def room(request: HttpRequest, pk: UUID) -> HttpResponse:
    """A room as the installer needs it: its phases and the layout sheet."""
    the_room = get_room(request.user, pk)
    context = {
        "room": the_room,
        "job": the_room.job,
        "phases": phases_of_rooms([the_room]),
        "layout": current_layout(the_room),
        "to_sort": photos_to_sort([the_room.job]).get(the_room.job_id, 0),
    }
    return render(request, "inspections/field/room.html", context)


@require_GET
@keep_on_phone
def phase(request: HttpRequest, pk: UUID) -> HttpResponse:
    return _phase_page(request, get_phase(request.user, pk))


@require_http_methods(["GET", "POST"])
def entry(request: HttpRequest, pk: UUID) -> HttpResponse:
    """A tick, a reading, a photo, a started wait, or why it couldn't be checked. A GET (the address of a refused entry,
    opened once more) leads to the card."""
    check = get_check(request.user, pk)
    if request.method == "GET":
        return redirect(card_of(check))
    staff, replay = require_staff(request.user), replay_of(request)
    surfaces = list(Surface.objects.filter(room=check.phase.room_id).select_related("room"))
    form = EntryForm(request.POST, request.FILES, check=check, units=shop_unit(), surfaces=surfaces)
    if not form.is_valid():
        return not_taken(replay, form) if replay else _phase_page(request, check.phase, form=form, status=422)
    try:
        _keep_entry(form, by=staff, happened_at=happened_at(replay, since=check.phase.created_at))
        if replay:
            return receipt(replay)
    except Refused as error:
        if replay:
            return not_taken(replay, error)
        form.come_back(error)
        return _phase_page(request, check.phase, form=form, status=422)
    return redirect(card_of(check))


def _keep_entry(form: EntryForm, *, by: Staff, happened_at: datetime) -> None:
    """The entry and its photo, both or none. Raises Refused."""
    check, data = form.check, form.cleaned_data
    with transaction.atomic():
        photo = keep_upload(form, job=check.phase.room.job, by=by, caption=check.text, happened_at=happened_at)
        entry = record_entry(
            check=check,
            by=by,
            happened_at=happened_at,
            key=data["key"],
            ticked="right" in form.data,
            values=data.get("values", ()),
            voids=data.get("voids", ()),
            photo=photo,
            note=data["note"],
            skipped=form.skipped,
            helper=data["helper"],
            seen=data["seen"],
            told=data.get("told"),
            surfaces=data.get("surfaces", ()),
            document=data.get("document"),
            read_by="" if form.skipped else data.get("read_by", ""),
        )
        if form.spot:
            place_photo(entry=entry, spot=form.spot)


def card_of(check: Check) -> str:
    """The address of a check's card."""
    return reverse("inspections:phase", args=[check.phase_id]) + f"#check-{check.pk}"


@require_http_methods(["GET", "POST"])
def waive(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The owner lets a check's hold go."""
    check = get_check(request.user, pk)
    owner = require_owner(request.user)
    if request.method == "GET":
        return redirect(card_of(check))
    form = WaiverForm(request.POST, auto_id=f"id_waive_{check.pk}_%s")
    if not form.is_valid():
        return _phase_page(request, check.phase, waiver_form=(check, form), status=422)
    try:
        waive_check(check=check, reason=form.cleaned_data["reason"], by=owner)
    except Refused as error:
        messages.error(request, str(error))
    return redirect(card_of(check))


@require_http_methods(["GET", "POST"])
def sign(request: HttpRequest, pk: UUID) -> HttpResponse:
    the_phase, replay = get_phase(request.user, pk), replay_of(request)
    if request.method == "GET":
        return redirect("inspections:phase", the_phase.pk)
    staff, key = require_staff(request.user), replay.key if replay else None
    try:
        sign_phase(phase=the_phase, by=staff, happened_at=happened_at(replay, since=the_phase.created_at), key=key)
    except NotProved as error:
        if replay:
            return not_taken(replay, error)
        return _phase_page(request, the_phase, refused=error.holds, status=422)
    messages.success(request, _("%(phase)s is signed: it may be covered now.") % {"phase": _(the_phase.name)})
    if replay:
        return receipt(replay)
    return redirect("inspections:room", the_phase.room_id)


def _tag_of_cable(views: Sequence[PhaseView]) -> str:
    """What the tag of the room's heating cable says, where it was entered before: nobody types it five times."""
    checks = (check for view in views for check in view.checks if check.check.kind == CheckKind.OHMS)
    return next((check.newest.values[0] for check in checks if check.newest and check.newest.values), "")


@require_GET
def report(request: HttpRequest, pk: UUID) -> HttpResponseBase:
    """The PDF of an outside inspection, as it came."""
    kept = get_entry(request.user, pk)
    return send_upload(kept.document or not_found(), filename=f"{kept.pk}.pdf")


@require_http_methods(["GET", "POST"])
def amend_entry(request: HttpRequest, pk: UUID) -> HttpResponse:
    entry = get_entry(request.user, pk)
    return _amend(request, entry, entry.check_done.phase, back=card_of(entry.check_done))


@require_http_methods(["GET", "POST"])
def amend_sign_off(request: HttpRequest, pk: UUID) -> HttpResponse:
    sign_off = get_sign_off(request.user, pk)
    back = reverse("inspections:phase", args=[sign_off.phase_id]) + "#signed"
    return _amend(request, sign_off, sign_off.phase, back=back)


def _amend(request: HttpRequest, row: Entry | SignOff, the_phase: Phase, *, back: str) -> HttpResponse:
    """A correction beside `row`, by the owner or an installer on the job."""
    staff = require(request.user, Role.OWNER, Role.INSTALLER)
    if request.method == "GET":
        return redirect(back)
    form, replay = AmendmentForm(request.POST, row=row), replay_of(request)
    if not form.is_valid():
        return not_taken(replay, form) if replay else _phase_page(request, the_phase, amendment_form=form, status=422)
    data = form.cleaned_data
    try:
        amend(row=row, text=data["text"], by=staff, happened_at=happened_at(replay), key=data["key"])
        if replay:
            return receipt(replay)
    except Refused as error:
        if replay:
            return not_taken(replay, error)
        form.come_back(error)
        return _phase_page(request, the_phase, amendment_form=form, status=422)
    return redirect(back)


def _phase_page(
    request: HttpRequest,
    the_phase: Phase,
    *,
    form: EntryForm | None = None,
    waiver_form: tuple[Check, WaiverForm] | None = None,
    amendment_form: AmendmentForm | None = None,
    refused: tuple[str, ...] = (),
    status: int = 200,
) -> HttpResponse:
    """The phase's page; a form that couldn't be taken stands on its card as it was typed."""
    staff, units = require_staff(request.user), shop_unit()
    views = phases_of_rooms([the_phase.room])
    place, view = next((place, view) for place, view in enumerate(views) if view.phase.pk == the_phase.pk)
    covered = views[place - 1].phase if place else None
    job = the_phase.room.job
    limits = shop_limits()
    now = yardsticks(the_phase, limits)
    tag = _tag_of_cable(views)
    measured = room_with_parts(the_phase.room)
    surfaces = list(measured.surfaces.all())
    photos = photos_of_phase(view, measured, shown_in=units)
    takes_entries = job.stage != Stage.CLOSED
    cards = []
    for check_view in view.checks:
        check = check_view.check
        known: dict[str, Any] = {
            "seen": check_view.last_arrived.pk if check_view.last_arrived else "none",
            "surfaces": still_to_answer(check_view.places),
        }
        if check.kind == CheckKind.OHMS:
            known["value_0"] = tag
        mine = (
            form
            if form and form.check.pk == check.pk
            else EntryForm(check=check, units=units, surfaces=surfaces, initial=known)
        )
        today = yardstick_of(check, now)
        limit = today.limit if today else None
        then = judged_by(check_view.newest, check) if check_view.newest else None
        waive_here = waiver_form[1] if waiver_form and waiver_form[0].pk == check.pk else None
        cards.append(
            {
                "view": check_view,
                "data": json.dumps(for_the_phone(check_view, units, limit, covered)),
                "form": mine,
                "surveyed": reverse("inspections:survey", args=[check.pk]) if check.key in MEASURES else "",
                "keypad": keypad(check, units, limit),
                # What was signed keeps what it was signed by.
                "yardstick": (then or today) if view.signed_at else today,
                "today": today,
                "limits": limits,
                "waiver_form": waive_here or WaiverForm(auto_id=f"id_waive_{check.pk}_%s"),
                "may_waive": staff.is_owner and bool(check_view.holds),
            }
        )
    context = {
        "phase": view,
        "phases": views,
        "before": json.dumps(before_it(view, views, units)),
        "room": the_phase.room,
        "job": job,
        "cards": cards,
        "photos": photos,
        "units": units,
        "drawings": drawn_surfaces(measured, shown_in=units) if takes_entries else [],
        # What comes after the closeout is a callback.
        "takes_entries": takes_entries,
        # A record can be corrected as long as it is kept.
        "may_amend": view.signed_at is not None and staff.role != Role.OFFICE,
        "amendment_form": amendment_form,
        "refused": refused,
    }
    side = "office" if staff.runs_the_office else "field"
    return render(request, f"inspections/{side}/phase.html", context, status=status)
