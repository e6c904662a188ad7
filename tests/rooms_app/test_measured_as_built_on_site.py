"""What the installer reads off the framing is kept, tells at once what differs, and waits for the office's answer."""

import json
from datetime import UTC, datetime
from decimal import Decimal
from uuid import UUID

import pytest
from django.db import DatabaseError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from base.keys import uuid7
from jobs.actions import move_job
from jobs.models import Job, Stage
from rooms.actions import change_room, choose_layout, import_room
from rooms.as_built_actions import keep_as_built, print_rough_in
from rooms.as_built_readings import as_built_waiting, readings_of
from rooms.models import AsBuilt, Layout, RoughInPrint
from rooms.queries import current_layout
from rooms.reading_on_site import read_on_site
from tests.rooms_app.rough_ins import fields, measured, shower

pytestmark = pytest.mark.django_db

HIGHER = "niche_bottom_of_the_rough_opening"
MORNING = datetime(2026, 11, 24, 9, tzinfo=UTC)


def page(room):
    return reverse("rooms:rough_in", args=[room.pk])


@pytest.fixture
def chosen(job, owner):
    return choose_layout(room=import_room(job=job, data=shower(), place="shower", by=owner), option=1, why="", by=owner)


def sent(client, layout, *, key: UUID | None = None, at: datetime = MORNING, **typed):
    """As a phone sends it."""
    headers = {"Phone-Item": str(key or uuid7()), "Phone-Happened-At": at.isoformat(), "Phone-Version": "1"}
    return client.post(page(layout.room), fields(layout, **typed) | {"save": ""}, headers=headers)


def said(client, layout) -> str:
    return client.get(page(layout.room)).text


def test_what_differs_is_told_at_once_and_nothing_of_room_and_layout_changes(as_installer, installer, chosen):
    """By hand: the sheet has the rough opening 13 in wide and 39 1/2 in up; 13 in is as it says, 41 1/4 in is not."""
    typed = fields(chosen, niche_rough_width="13", **{HIGHER: "41 1/4"})
    answer = as_installer.post(page(chosen.room), typed, follow=True)
    assert answer.redirect_chain == [(page(chosen.room) + "#as-built", 302)]
    assert [each.text for each in answer.context["found"]] == ['41 1/4"']
    for words in ("the sheet has", "as the sheet", "Don’t close the wall before"):
        assert words in answer.text
    (kept,) = AsBuilt.objects.all()
    assert (kept.by, kept.led_to, len(kept.measures)) == (installer, None, 2)
    assert (current_layout(chosen.room), Layout.objects.count()) == (chosen, 1)


def test_as_the_sheet_has_it_waits_for_nobody(as_installer, as_office, chosen):
    as_installer.post(page(chosen.room), fields(chosen, niche_rough_width="13"))
    assert "As the sheet has it" in said(as_installer, chosen)
    assert as_built_waiting() == []
    assert "waits for your answer" not in said(as_office, chosen)


def test_a_phone_gets_a_receipt_once_and_its_own_time_counts(as_installer, chosen):
    key = uuid7()
    for _twice in range(2):
        assert sent(as_installer, chosen, key=key, niche_rough_width="14").json() == {"kept": True, "id": str(key)}
    (kept,) = AsBuilt.objects.all()
    assert (kept.pk, kept.read_at) == (key, MORNING)
    told = as_installer.post(reverse("home:phone_known"), json.dumps({"keys": [str(key)]}), "application/json")
    assert told.json() == {"missing": []}


def test_a_key_of_somebody_elses_is_refused(as_installer, chosen, owner):
    other = read_on_site(
        room=chosen.room,
        sheet=chosen,
        measures=measured(chosen, niche_rough_width="14"),
        read_at=MORNING,
        key=uuid7(),
        by=owner,
    )
    assert sent(as_installer, chosen, key=other.pk, niche_rough_width="15").status_code == 409


@pytest.mark.parametrize(
    ("typed", "words"), [({"niche_rough_width": "wide"}, "wide"), ({}, "Enter at least one length")]
)
def test_bad_lengths_say_where_and_keep_what_was_typed(as_installer, chosen, typed, words):
    posted = fields(chosen, **typed) | {"key": str(uuid7())}
    answer = as_installer.post(page(chosen.room), posted)
    assert (answer.status_code, words in answer.text) == (422, True)
    assert all(f'value="{text}"' in answer.text for text in [*typed.values(), posted["key"], posted["sheet"]])
    refused = sent(as_installer, chosen, **typed)
    assert (refused.status_code, refused.json()["kept"]) == (422, False)
    assert AsBuilt.objects.count() == 0


def test_what_an_owners_phone_kept_is_a_reading_too_and_no_answer(as_owner, owner, chosen):
    shown = as_owner.get(page(chosen.room))
    assert shown.headers["Phone-Keep"] == str(owner.pk)
    assert "data-queue" in shown.text
    assert sent(as_owner, chosen, **{HIGHER: "41 1/4"}).json()["kept"]
    (waiting,) = as_built_waiting()
    assert waiting.by == str(owner)
    # Without a script the same button does the same.
    typed = fields(chosen, niche_rough_width="14") | {"save": ""}
    assert as_owner.post(page(chosen.room), typed).status_code == 302
    assert all(row.read_at for row in AsBuilt.objects.all())
    assert AsBuilt.objects.count() == 2


def test_two_readings_add_up_and_the_one_read_last_counts_whenever_it_arrives(as_installer, chosen):
    sent(as_installer, chosen, at=MORNING.replace(hour=11), niche_rough_width="14")
    sent(as_installer, chosen, at=MORNING.replace(hour=10), niche_rough_width="15", niche_rough_height="26")
    by_name = {each["name"]: Decimal(each["mm"]) / Decimal("25.4") for each in readings_of(chosen).measures}
    assert by_name == {"rough width": 14, "rough height": 26}


def test_the_week_and_the_job_say_that_it_waits_until_the_office_answers(as_installer, as_office, as_owner, chosen):
    job = Job.objects.get(pk=chosen.room.job_id)
    pages = [reverse("home:week"), reverse("home:job", args=[job.pk])]
    assert all("uilt otherwise" not in as_owner.get(address).text for address in pages)
    sent(as_installer, chosen, **{HIGHER: "41 1/4"})
    assert all("uilt otherwise" in as_owner.get(address).text for address in pages)
    assert all(page(chosen.room) in as_owner.get(address).text for address in pages)
    shown = as_office.get(page(chosen.room))
    assert "waits for your answer" in shown.text
    assert "Keep on record only" in shown.text
    typed = fields(chosen, **{HIGHER: "41 1/4"}) | {"seen": shown.context["seen"], "take_over": ""}
    assert as_office.post(page(chosen.room), typed).status_code == 302
    assert current_layout(chosen.room).why.startswith("as built: Niche, bottom of the rough opening 41 1/4")
    assert all("uilt otherwise" not in as_owner.get(address).text for address in pages)


def test_kept_on_record_is_an_answer_and_what_comes_after_it_waits_anew(as_installer, chosen, office):
    sent(as_installer, chosen, **{HIGHER: "41 1/4"})
    keep_as_built(layout=chosen, measures=readings_of(chosen).measures, seen=readings_of(chosen).seen, by=office)
    assert as_built_waiting() == []
    assert "ask what holds" in said(as_installer, chosen)
    sent(as_installer, chosen, niche_rough_width="14")
    (waiting,) = as_built_waiting(chosen.room.job)
    assert {each.text for each in waiting.differ} == {'14"', '41 1/4"'}


def test_an_answer_to_less_than_was_measured_is_refused_and_shows_the_rest(as_installer, as_office, chosen):
    sent(as_installer, chosen, niche_rough_width="14")
    typed = fields(chosen, niche_rough_width="14") | {"seen": as_office.get(page(chosen.room)).context["seen"]}
    sent(as_installer, chosen, niche_rough_height="26")
    for button in ("keep", "take_over"):
        refused = as_office.post(page(chosen.room), {**typed, button: ""})
        assert (refused.status_code, "Something more was measured" in refused.text) == (422, True)
        assert "26&quot;" in refused.text
    assert (AsBuilt.objects.filter(read_at=None).count(), Layout.objects.count()) == (0, 1)
    assert as_office.post(page(chosen.room), {**typed, "seen": refused.context["seen"], "keep": ""}).status_code == 302


def test_a_reading_against_the_sheet_before_is_put_on_the_new_one(as_installer, chosen, owner):
    """A tape reads off the framing, whatever layout was chosen."""
    other = choose_layout(room=chosen.room, option=2, why="", by=owner)
    assert sent(as_installer, chosen, niche_rough_width="14").status_code == 200
    (kept,) = AsBuilt.objects.all()
    (wanted,) = measured(other, niche_rough_width="14")
    assert (kept.layout, len(kept.measures)) == (other, 1)
    assert kept.measures[0] | {"mm": wanted["mm"]} == wanted


def test_a_reading_that_the_new_sheet_lacks_is_refused_and_stands_by_its_own_item(as_installer, chosen, owner):
    room = change_room(room=chosen.room, data=shower(surfaces=without_niche()), by=owner)
    choose_layout(room=room, option=1, why="", by=owner)
    refused = sent(as_installer, chosen, niche_rough_width="14")
    assert (refused.status_code, "Another layout" in refused.text) == (422, True)
    mended = as_installer.post(page(room), fields(chosen, niche_rough_width="14"))
    assert (mended.status_code, 'value="14"' in mended.text, "earlier sheet" in mended.text) == (422, True, True)
    assert AsBuilt.objects.count() == 0


def without_niche() -> list[dict]:
    surfaces = shower()["surfaces"]
    surfaces[1]["openings"] = []
    return surfaces


def test_nothing_waits_on_a_job_that_is_over(as_installer, chosen, owner):
    sent(as_installer, chosen, **{HIGHER: "41 1/4"})
    assert len(as_built_waiting()) == 1
    for stage in (Stage.PROPOSED, Stage.LOST):
        move_job(job=Job.objects.get(pk=chosen.room.job_id), to=stage, by=owner)
    assert as_built_waiting() == []


def test_the_day_on_the_phone_takes_the_sheet_along(as_installer, chosen, job, owner):
    for stage in (Stage.PROPOSED, Stage.WORKING):
        move_job(job=Job.objects.get(pk=job.pk), to=stage, by=owner)
    assert page(chosen.room) in as_installer.get(reverse("home:phone_day")).json()["pages"]
    assert as_installer.get(page(chosen.room)).headers["Phone-Keep"]


def test_queries_do_not_grow_with_rooms_and_readings(as_installer, as_owner, job, owner):
    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            as_built_waiting()
        return len(queries)

    for name in ("One", "Two"):
        room = import_room(job=job, data=shower(name=name), place="shower", by=owner)
        layout = choose_layout(room=room, option=1, why="", by=owner)
        sent(as_installer, layout, **{HIGHER: "41 1/4"})
        sent(as_installer, layout, niche_rough_width="14")
        assert asked() == 1
    assert len(as_built_waiting()) == 2


def test_prints_and_readings_are_never_rewritten(chosen, installer, owner):
    print_rough_in(layout=chosen, by=owner)
    read_on_site(
        room=chosen.room,
        sheet=chosen,
        measures=measured(chosen, niche_rough_width="14"),
        read_at=MORNING,
        key=uuid7(),
        by=installer,
    )
    for model in (RoughInPrint, AsBuilt):
        with pytest.raises(DatabaseError), transaction.atomic():
            model.objects.update(created_at=MORNING)
