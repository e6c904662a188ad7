"""One walk over every URL as every role and as nobody. A new URL without an expectation fails it."""

import io
from dataclasses import dataclass
from datetime import timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import transaction
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone
from PIL import Image

from tests.factories import CrewMemberFactory, JobFactory, RoomFactory, SiteFactory, StaffFactory
from tests.inspections.proofs import prove_and_sign
from tests.layout_survey.surveys import substrate

pytestmark = pytest.mark.django_db

# What each role meets: "in" is any answer to somebody who may be there (200, a redirect onward, a form's 422, …).
EVERYBODY = {"owner": "in", "office": "in", "installer": "in", "outsider": "in", "nobody": "in"}
STAFF = {"owner": "in", "office": "in", "installer": "in", "outsider": "in", "nobody": "log in"}
# The same, but a script asks: it is told 401 and not led to the log-in page.
PHONE = {**STAFF, "nobody": 401}
OFFICE = {"owner": "in", "office": "in", "installer": 403, "outsider": 403, "nobody": "log in"}
OWNER = {"owner": "in", "office": 403, "installer": 403, "outsider": 403, "nobody": "log in"}
# The crew of the job and the office; other installers can't tell that the job exists.
ON_THE_JOB = {"owner": "in", "office": "in", "installer": "in", "outsider": 404, "nobody": "log in"}
# The same rows, but only the office may do it: who can't see the job is told nothing about it.
OFFICE_ON_THE_JOB = {"owner": "in", "office": "in", "installer": 403, "outsider": 404, "nobody": "log in"}
OWNER_ON_THE_JOB = {"owner": "in", "office": 403, "installer": 403, "outsider": 404, "nobody": "log in"}
# Behind a token: whoever has the link is let in.
LINK = EVERYBODY
# Owner and the crew of the job: the office reads what is signed, and says nothing to it.
SIGNERS_ON_THE_JOB = {"owner": "in", "office": 403, "installer": "in", "outsider": 404, "nobody": "log in"}

POST = "POST"


@dataclass(frozen=True)
class Expected:
    roles: dict[str, Any]
    kwargs: tuple[str, ...] = ()
    method: str = "GET"


EXPECTED: dict[str, Expected] = {
    "home:start": Expected(STAFF),
    "home:week": Expected(OFFICE),
    "home:today": Expected(STAFF),
    "home:job": Expected(ON_THE_JOB, ("pk=job",)),
    "home:pin": Expected(STAFF),
    "home:phone_worker": Expected(EVERYBODY),
    "home:phone_manifest": Expected(EVERYBODY),
    "home:phone_me": Expected(PHONE),
    "home:phone_day": Expected(PHONE),
    "home:phone_known": Expected(PHONE, method=POST),
    "home:phone_waiting": Expected(EVERYBODY),
    "home:phone_offline": Expected(EVERYBODY),
    "home:trust": Expected(dict.fromkeys(EVERYBODY, 404)),
    "home:trust_authority": Expected(dict.fromkeys(EVERYBODY, 404)),
    "home:phones": Expected(OFFICE),
    "shop:login": Expected(EVERYBODY),
    "shop:logout": Expected(STAFF, method=POST),
    "shop:language": Expected(STAFF),
    "shop:password": Expected(STAFF),
    "shop:alive": Expected(EVERYBODY),
    "shop:logo": Expected(dict.fromkeys(EVERYBODY, 404)),
    "shop:staff": Expected(OWNER),
    "shop:staff_new": Expected(OWNER),
    "shop:staff_edit": Expected(OWNER, ("pk=person",)),
    "shop:settings": Expected(OWNER),
    "shop:mail": Expected(OFFICE),
    "shop:limits": Expected(OWNER),
    "inspections:checklists": Expected(OWNER),
    "inspections:checklist": Expected(OWNER, ("phase=checklist",)),
    "shop:limit": Expected(OWNER, ("key=limit_key",)),
    "clients:list": Expected(OFFICE),
    "clients:new": Expected(OFFICE),
    "clients:client_list": Expected(OFFICE),
    "clients:client_list_file": Expected(OFFICE),
    "clients:detail": Expected(OFFICE, ("pk=client",)),
    "clients:edit": Expected(OFFICE, ("pk=client",)),
    "clients:site_new": Expected(OFFICE, ("pk=client",)),
    "clients:site_edit": Expected(OFFICE, ("pk=site",)),
    "jobs:list": Expected(OFFICE),
    "jobs:new": Expected(OFFICE),
    "jobs:edit": Expected(OFFICE, ("pk=job",)),
    "jobs:move": Expected(OFFICE, ("pk=job",), POST),
    "jobs:crew": Expected(OFFICE, ("pk=job",)),
    "jobs:bookings": Expected(OFFICE, ("pk=job",)),
    "jobs:photo_new": Expected(ON_THE_JOB, ("pk=job",)),
    "jobs:booking_cancel": Expected(OFFICE, ("pk=booking",), POST),
    "jobs:photo": Expected(ON_THE_JOB, ("pk=photo",)),
    "rooms:new": Expected(OFFICE, ("job_pk=job",)),
    "rooms:drawn": Expected(OFFICE, ("job_pk=job",), POST),
    "rooms:drawn_anew": Expected(OFFICE, ("pk=room",), POST),
    "rooms:unfinished": Expected(OFFICE, ("pk=unfinished",)),
    "rooms:upload": Expected(OFFICE, ("job_pk=job",)),
    "rooms:detail": Expected(ON_THE_JOB, ("pk=room",)),
    "rooms:edit": Expected(OFFICE, ("pk=room",)),
    "rooms:layout": Expected(OFFICE, ("pk=room",)),
    "rooms:nudge": Expected(OFFICE, ("pk=room",)),
    "rooms:foreseen": Expected(OFFICE, ("pk=room",)),
    "rooms:chosen": Expected(OFFICE, ("pk=layout",)),
    "rooms:specification": Expected(OFFICE, ("pk=room",)),
    "rooms:sheet": Expected(ON_THE_JOB, ("pk=room",)),
    "rooms:sheet_print": Expected(ON_THE_JOB, ("pk=room",), POST),
    "rooms:sheet_state": Expected(ON_THE_JOB, ("pk=sheet_print",)),
    "rooms:sheet_file": Expected(ON_THE_JOB, ("pk=sheet_print",)),
    "rooms:file": Expected(ON_THE_JOB, ("pk=room",)),
    "rooms:rough_in": Expected(ON_THE_JOB, ("pk=room",)),
    "rooms:rough_in_print": Expected(ON_THE_JOB, ("pk=room",), POST),
    "rooms:rough_in_state": Expected(ON_THE_JOB, ("pk=rough_in_print",)),
    "rooms:rough_in_file": Expected(ON_THE_JOB, ("pk=rough_in_print",)),
    "rooms:measure_sheet": Expected(OFFICE, ("job_pk=job",)),
    "rooms:surveys": Expected(ON_THE_JOB, ("pk=room",)),
    "rooms:survey_new": Expected(ON_THE_JOB, ("pk=room",)),
    "rooms:survey": Expected(ON_THE_JOB, ("pk=survey",)),
    "rooms:tiles": Expected(OFFICE),
    "rooms:tile_new": Expected(OFFICE),
    "rooms:tile": Expected(OFFICE, ("pk=tile",)),
    "rooms:room_tiles": Expected(ON_THE_JOB, ("pk=room",)),
    "rooms:room_tile": Expected(OFFICE, ("pk=room",)),
    "rooms:box": Expected(ON_THE_JOB, ("pk=room",)),
    "estimating:rates": Expected(OFFICE),
    "estimating:rate_people": Expected(OWNER),
    "estimating:rate_person": Expected(OWNER, ("pk=person",)),
    "estimating:rate_tile": Expected(OWNER, ("pk=tile",)),
    "estimating:rate_own_new": Expected(OWNER),
    "estimating:rate_own": Expected(OWNER, ("pk=own_rate",)),
    "estimating:rate_edit": Expected(OWNER, ("key=rate_key",)),
    "estimating:estimate": Expected(OFFICE, ("pk=job",)),
    "estimating:rate_rules": Expected(OWNER),
    "estimating:rate_list": Expected(OWNER),
    "estimating:rate_list_file": Expected(OWNER),
    "estimating:fill": Expected(OWNER, ("pk=job",)),
    "estimating:contingency_new": Expected(OWNER, ("pk=job",)),
    "estimating:contingency": Expected(OWNER, ("pk=contingency",), POST),
    "estimating:line_new": Expected(OWNER, ("pk=job",)),
    "estimating:line": Expected(OWNER, ("pk=line",)),
    "estimating:options_new": Expected(OWNER, ("pk=job",)),
    "estimating:option": Expected(OWNER, ("pk=option",)),
    "estimating:option_group": Expected(OWNER, ("pk=option_group",)),
    "estimating:proposal": Expected(OFFICE, ("pk=proposal",)),
    "estimating:proposal_file": Expected(OFFICE, ("pk=proposal",)),
    "estimating:proposal_state": Expected(OFFICE, ("pk=proposal",)),
    "estimating:proposal_changes": Expected(OFFICE, ("pk=proposal",)),
    "estimating:texts": Expected(OWNER),
    "estimating:text": Expected(OWNER, ("key=text_key",)),
    "estimating:payments": Expected(OWNER),
    "estimating:job_payments": Expected(OWNER, ("pk=job",)),
    "estimating:local_limits": Expected(OWNER),
    "estimating:local_limit_new": Expected(OWNER),
    "estimating:local_limit": Expected(OWNER, ("key=place_key",)),
    "estimating:send": Expected(OWNER, ("pk=proposal",), POST),
    "estimating:signed_paper": Expected(OFFICE, ("pk=proposal",)),
    "estimating:answer": Expected(OFFICE, ("pk=question",), POST),
    "estimating:client_proposal": Expected(LINK, ("token=token",)),
    "estimating:client_file": Expected(LINK, ("token=token",)),
    "estimating:client_ask": Expected(LINK, ("token=token",), POST),
    "estimating:client_decline": Expected(LINK, ("token=token",), POST),
    "estimating:changes": Expected(OFFICE, ("pk=job",)),
    "estimating:change_raise": Expected(ON_THE_JOB, ("pk=job",)),
    "estimating:change": Expected(OFFICE, ("pk=change",)),
    "estimating:change_file": Expected(OFFICE, ("pk=change",)),
    "estimating:change_state": Expected(OFFICE, ("pk=change",)),
    "estimating:change_send": Expected(OFFICE, ("pk=change",), POST),
    "estimating:change_sign": Expected(OFFICE, ("pk=change",)),
    "estimating:change_on_paper": Expected(OFFICE, ("pk=change",), POST),
    "estimating:change_signed_paper": Expected(OFFICE, ("pk=signed_change",)),
    "estimating:client_change": Expected(LINK, ("token=change_token",)),
    "estimating:client_change_file": Expected(LINK, ("token=change_token",)),
    "estimating:client_change_approve": Expected(LINK, ("token=change_token",), POST),
    "estimating:client_change_decline": Expected(LINK, ("token=change_token",), POST),
    "inspections:client_accept": Expected(LINK, ("token=token",), POST),
    "inspections:accept_in_person": Expected(OFFICE, ("pk=proposal",), POST),
    "inspections:accept_on_paper": Expected(OFFICE, ("pk=proposal",), POST),
    "inspections:room": Expected(ON_THE_JOB, ("pk=room",)),
    "inspections:as_built": Expected(OFFICE, ("pk=room",), POST),
    "inspections:phase": Expected(ON_THE_JOB, ("pk=phase",)),
    "inspections:sign": Expected(ON_THE_JOB, ("pk=phase",), POST),
    "inspections:entry": Expected(ON_THE_JOB, ("pk=check",), POST),
    "inspections:survey": Expected(ON_THE_JOB, ("pk=flat_check",)),
    "inspections:report": Expected(ON_THE_JOB, ("pk=report",)),
    "inspections:amend_entry": Expected(SIGNERS_ON_THE_JOB, ("pk=entry",), POST),
    "inspections:amend_sign_off": Expected(SIGNERS_ON_THE_JOB, ("pk=sign_off",), POST),
    "inspections:waive": Expected(OWNER_ON_THE_JOB, ("pk=check",), POST),
    "inspections:sort": Expected(ON_THE_JOB, ("pk=job",)),
    "inspections:punch_list": Expected(ON_THE_JOB, ("pk=job",)),
    "inspections:punch_start": Expected(OFFICE_ON_THE_JOB, ("pk=job",), POST),
    "inspections:punch_print": Expected(ON_THE_JOB, ("pk=job",), POST),
    "inspections:punch_item": Expected(ON_THE_JOB, ("pk=punch_item",), POST),
    "inspections:punch_state": Expected(ON_THE_JOB, ("pk=punch_print",)),
    "inspections:punch_file": Expected(ON_THE_JOB, ("pk=punch_print",)),
    "callbacks:list": Expected(OFFICE),
    "callbacks:detail": Expected(OFFICE, ("pk=callback",)),
    "callbacks:new": Expected(OFFICE, ("pk=closed_job",)),
    "callbacks:close_out": Expected(OFFICE, ("pk=job",)),
}


def url_names(patterns=None, namespace: str = "") -> list[str]:
    """Every URL of the project by its name."""
    names = []
    for pattern in get_resolver().url_patterns if patterns is None else patterns:
        if isinstance(pattern, URLResolver):
            names += url_names(pattern.url_patterns, f"{namespace}{pattern.namespace or ''}:")
        elif isinstance(pattern, URLPattern):
            assert pattern.name, f"{pattern} has no name"
            names.append(namespace + pattern.name)
    return names


@pytest.fixture
def world(owner, office, installer, other_installer, client_person):
    """One row of everything, all of one job that only the installer is on; documents are made."""
    from callbacks.actions import close_out_job, log_callback
    from documents.actions import make_document
    from estimating.actions import (
        add_change_line,
        add_contingency,
        add_line,
        approve_change,
        ask_question,
        fill_estimate,
        install_example_rates,
        make_change_link,
        make_link,
        make_own_rate,
        make_proposal,
        offer_change,
        raise_change,
        set_rate,
    )
    from estimating.models import Option, OptionGroup
    from estimating.signing import Paper
    from inspections.actions import accept_and_open, add_punch_item, print_punch_list, record_entry
    from inspections.models import Check
    from jobs.actions import book, keep_photo, move_job
    from rooms.actions import choose_layout, print_sheet
    from rooms.as_built_actions import print_rough_in
    from rooms.models import Unfinished
    from rooms.surveys.keeping import keep_survey
    from shop.models import ShopSettings

    job = JobFactory(site=SiteFactory(client=client_person))
    CrewMemberFactory(job=job, person=installer)
    room = RoomFactory(job=job)
    install_example_rates(by=owner)
    set_rate(key="tile", tile=room.tile, cost=8, unit="piece", by=owner)
    rough_in = print_rough_in(layout=choose_layout(room=room, option=1, why="", by=owner), by=owner)
    make_document(document_id=rough_in.document_id)
    job.refresh_from_db()
    fill_estimate(job=job, by=owner)
    line = add_line(job=job, kind="other", text="Parking", quantity=1, unit="day", unit_cost=20, by=owner)
    found = add_contingency(job=job, text="Rotten stud", unit="stud", unit_cost=45, by=owner)
    proposal = make_proposal(job=job, by=owner)
    make_document(document_id=proposal.document_id)
    proposal.document.refresh_from_db()
    token = make_link(proposal=proposal, by=owner)
    question = ask_question(link=proposal.links.get(), text="When?")
    paper = Paper(data=b"%PDF stand-in", ending="pdf", signed_on=timezone.localdate())
    accept_and_open(proposal=proposal, typed_name="Odalys Brandt", witness=owner, paper=paper)
    job.refresh_from_db()
    signed_change = raise_change(job=job, what="A bench", directed_by="Odalys Brandt", by=office)
    add_change_line(change=signed_change, kind="other", text="Bench", quantity=1, unit="each", unit_cost=5, by=office)
    on_paper = offer_change(change=signed_change, by=office)
    make_document(document_id=on_paper.document_id)
    approve_change(offer=on_paper, typed_name="Odalys Brandt", witness=office, paper=paper)
    change = raise_change(job=job, what="Another niche", directed_by="Odalys Brandt", by=office)
    add_change_line(change=change, kind="other", text="Niche", quantity=1, unit="each", unit_cost=90, by=office)
    make_document(document_id=offer_change(change=change, by=office).document_id)
    picture = io.BytesIO()
    Image.new("RGB", (20, 20)).save(picture, "PNG")
    photo = keep_photo(job=job, by=installer, upload=picture, happened_at=timezone.now())
    starts = timezone.now()
    booking = book(
        job=job,
        person=installer,
        kind="phase",
        what="Setting",
        starts=starts,
        ends=starts + timedelta(hours=2),
        by=office,
    )
    add_punch_item(job=job, text="Haze", by=office)
    printed = print_punch_list(job=job, by=office)
    make_document(document_id=printed.document_id)
    sheet_print = print_sheet(room=room, paper="letter", by=installer)
    make_document(document_id=sheet_print.document_id)
    closed = JobFactory(site=job.site, title="Kitchen floor")
    for stage in ("pricing", "proposed", "working", "punch_list"):
        move_job(job=closed, to=stage, by=owner)
    close_out_job(job=closed, walked_with="Odalys", by=office)
    callback = log_callback(
        job=closed,
        symptom="leak",
        text="Water below",
        reported_by="Odalys",
        reported_on=timezone.localdate(timezone=ZoneInfo(ShopSettings().time_zone)),
        by=office,
    )
    check = Check.objects.filter(phase__room=room, kind="tick").order_by("phase__position", "position").first()
    signed = room.phases.first()
    prove_and_sign(signed, by=installer)
    group = OptionGroup.objects.create(job=job, name="Wall tile", kind="one")
    option = Option.objects.create(group=group, room=room, name="White")
    data = substrate([(0, 0), (24, "1/8"), (48, 0)])
    survey = keep_survey(room=room, kind="studs", surface=None, data=data, happened_at=starts, by=installer)
    return {
        "job": job.pk,
        "room": room.pk,
        "unfinished": Unfinished.objects.create(job=job, name="Pantry floor", typed={}).pk,
        "survey": survey.pk,
        "sheet_print": sheet_print.pk,
        "layout": room.layouts.get().pk,
        "tile": room.tile_id,
        "client": client_person.pk,
        "site": job.site_id,
        "person": StaffFactory().pk,
        "photo": photo.pk,
        "booking": booking.pk,
        "rate_key": "grout",
        "own_rate": make_own_rate(name="Container", kind="disposal", unit="load", cost=420, by=owner).pk,
        "limit_key": "mortar_hours",
        "text_key": "scope.grout",
        "place_key": "california",
        "checklist": "grout",
        "line": line.pk,
        "contingency": found.pk,
        "option": option.pk,
        "option_group": option.group_id,
        "proposal": proposal.pk,
        "token": token,
        "question": question.pk,
        "change": change.pk,
        "signed_change": signed_change.pk,
        "change_token": make_change_link(change=change, by=office),
        "report": record_entry(
            check=check, by=installer, happened_at=timezone.now(), ticked=True, document=b"%PDF stand-in"
        ).pk,
        "phase": check.phase_id,
        "check": check.pk,
        "flat_check": Check.objects.get(phase__room=room, key="substrate.plane").pk,
        "entry": signed.checks.filter(required=True).first().entries.first().pk,
        "sign_off": signed.sign_off.pk,
        "punch_item": job.punch_items.get().pk,
        "punch_print": printed.pk,
        "rough_in_print": rough_in.pk,
        "callback": callback.pk,
        "closed_job": closed.pk,
    }


def test_every_url_has_an_expectation():
    assert sorted(url_names()) == sorted(EXPECTED)


def test_each_role_meets_what_it_should(world, as_owner, as_office, as_installer, as_other_installer):
    roles = {
        "owner": as_owner,
        "office": as_office,
        "installer": as_installer,
        "outsider": as_other_installer,
        "nobody": Client(),
    }
    surprises = []
    for name, expected in EXPECTED.items():
        kwargs = dict(pair.split("=") for pair in expected.kwargs)
        url = reverse(name, kwargs={key: world[value] for key, value in kwargs.items()})
        for role, meets in expected.roles.items():
            outcome = _what_happens(roles[role], expected.method, url)
            if outcome != meets:
                surprises.append(f"{name} as {role}: {outcome}, not {meets}")
    assert surprises == []


def _what_happens(client: Client, method: str, url: str) -> str | int:
    """403, 404, "log in", or "in". Whatever the request changed is rolled back."""
    with transaction.atomic():
        session = client.cookies.copy()
        response = client.get(url) if method == "GET" else client.post(url)
        if hasattr(response, "streaming_content"):
            b"".join(response.streaming_content)
        client.cookies = session
        transaction.set_rollback(True)
    assert response.status_code < 500, url
    if response.status_code in (401, 403, 404):
        return response.status_code
    if response.status_code == 302 and response["Location"].startswith(reverse("shop:login") + "?"):
        return "log in"
    return "in"


def test_a_wrong_token_tells_nothing(world, as_owner):
    for name, expected in EXPECTED.items():
        if {"token=token", "token=change_token"} & set(expected.kwargs):
            url = reverse(name, kwargs={"token": "A" * 22})
            for client in (Client(), as_owner):
                response = client.get(url) if expected.method == "GET" else client.post(url)
                assert response.status_code == 404, name
                assert b"Brandt" not in response.content
