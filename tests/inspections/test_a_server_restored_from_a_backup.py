"""A server that came back from yesterday's backup gets again what it took since, each thing once, whatever it was."""

import json
import time

import psycopg
import pytest
from django.conf import settings
from django.urls import reverse
from django.utils import timezone

from estimating.models import ChangeOrder
from inspections import actions
from inspections.actions import add_punch_item, reopen_punch_item, sign_phase
from inspections.models import Entry, Phase, SignOff
from rooms.models import Room
from shop.models import Receipt
from tests.estimating.changes import accepted_job
from tests.factories import RoomFactory, SurfaceFactory
from tests.inspections.phones import phase_url, wait_for_states
from tests.inspections.proofs import prove
from tests.support.browsers import PATIENCE

KEY = "01a21147-39bd-7897-8218-fe2a96966b03"
OTHER = "01a21147-39bd-7897-8218-fe2a96966b04"


def sent(client, url: str, key: str = KEY, **fields):
    """As the phone's queue sends a form."""
    headers = {"Phone-Item": key, "Phone-Happened-At": "2026-11-25T10:00:00Z", "Phone-Version": "1"}
    return client.post(url, {"key": key, **fields}, headers=headers)


def missing(client, *keys: str) -> list[str]:
    asked = {"keys": list(keys)}
    return client.post(reverse("home:phone_known"), asked, content_type="application/json").json()["missing"]


@pytest.fixture
def accepted(job, owner):
    """A job that is being worked on, its proposal accepted, with the phases of a dry floor."""
    room = RoomFactory(job=job, name="Hall", place="dry_floor", walls=False)
    SurfaceFactory(room=room, key="floor", kind="floor", wet=False)
    accepted_job(job, owner)
    actions.open_phases(job)
    return job


def restore_without(*tables: str) -> None:
    """As a backup that knows nothing of these tables' rows."""
    with psycopg.connect(settings.DATABASE_OWNER_URL) as owner:
        owner.execute("SET CONSTRAINTS ALL IMMEDIATE")
        for table in tables:
            # Without the triggers that keep what was written.
            owner.execute(f"ALTER TABLE {table} DISABLE TRIGGER USER")
            owner.execute(f"DELETE FROM {table}")
            owner.execute(f"ALTER TABLE {table} ENABLE TRIGGER USER")


def test_the_same_item_sent_twice_is_one_entry_and_known(own_database, open_phases, as_installer):
    check = open_phases[0].checks.filter(kind="tick").first()
    for _ in range(2):
        answer = sent(as_installer, reverse("inspections:entry", args=[check.pk]), seen="none", right="1")
        assert (answer.status_code, answer.json()["id"]) == (200, KEY)
    assert check.entries.count() == 1
    assert missing(as_installer, KEY, OTHER) == [OTHER]


@pytest.mark.django_db
def test_a_change_raised_on_site_without_a_photo_is_known(accepted, as_installer):
    url = reverse("estimating:change_raise", args=[accepted.pk])
    answer = sent(as_installer, url, what="Rotten joist")
    assert answer.status_code == 200, answer.text
    assert ChangeOrder.objects.get().pk == Receipt.objects.get().pk
    assert missing(as_installer, KEY) == []


@pytest.mark.django_db
def test_a_second_phones_sign_off_is_known_though_the_row_has_the_firsts_key(open_phases, installer, as_installer):
    phase = open_phases[0]
    prove(phase, by=installer)
    first = sign_phase(phase=phase, by=installer, happened_at=timezone.now())
    assert sent(as_installer, reverse("inspections:sign", args=[phase.pk])).status_code == 200
    assert SignOff.objects.get() == first
    assert missing(as_installer, KEY) == []


@pytest.mark.django_db
def test_nothing_is_known_of_what_was_refused(open_phases, as_installer):
    url = reverse("inspections:sign", args=[open_phases[0].pk])
    assert sent(as_installer, url).status_code == 422
    assert missing(as_installer, KEY) == [KEY]


@pytest.mark.django_db
def test_a_punch_item_opened_again_stays_open_when_done_is_sent_once_more(punch_listed, installer, as_installer):
    item = add_punch_item(job=punch_listed, text="Grout", by=installer)
    url = reverse("inspections:punch_item", args=[item.pk])
    assert sent(as_installer, url, done="1").status_code == 200
    reopen_punch_item(item=item, by=installer)
    assert sent(as_installer, url, done="1").status_code == 200
    item.refresh_from_db()
    assert item.done_at is None
    assert missing(as_installer, KEY) == []


def test_row_and_receipt_are_written_together_or_not_at_all(own_database, open_phases, as_installer, monkeypatch):
    check = open_phases[0].checks.filter(kind="tick").first()
    monkeypatch.setattr("inspections.field.receipt", lambda replay: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        sent(as_installer, reverse("inspections:entry", args=[check.pk]), seen="none", right="1")
    assert not Entry.objects.exists()


@pytest.mark.django_db
def test_another_persons_question_says_nothing_but_whether(open_phases, as_installer, as_office, client):
    check = open_phases[0].checks.filter(kind="tick").first()
    sent(as_installer, reverse("inspections:entry", args=[check.pk]), seen="none", right="1")
    assert missing(as_office, KEY, OTHER) == [OTHER]
    asked = client.post(reverse("home:phone_known"), json.dumps({"keys": [KEY]}), content_type="application/json")
    assert asked.status_code == 401


def test_each_thing_of_a_day_arrives_once_more_and_once_only(
    own_database, accepted, web_server, phone, installer, office
):
    """A tick, a change without a photo, and a punch item that was done: all gone from the server."""
    job, phase = accepted, Phase.objects.order_by("position").first()
    check = phase.checks.filter(kind="tick").first()
    item = add_punch_item(job=job, text="Grout", by=office)
    posts = []
    phone.on("request", lambda request: posts.append(request.url) if request.method == "POST" else None)
    phone.goto(phase_url(web_server, phase))
    phone.locator(f"#check-{check.pk}").get_by_role("button", name="It is so").click()
    wait_for_states(phone, "sent")
    phone.goto(web_server + reverse("estimating:change_raise", args=[job.pk]))
    phone.get_by_label("What changes").fill("Rotten joist")
    phone.get_by_role("button", name="Send to the office").click()
    wait_for_states(phone, "sent", "sent")
    phone.goto(web_server + reverse("inspections:punch_list", args=[job.pk]))
    phone.get_by_role("button", name="Done").click()
    wait_for_states(phone, "sent", "sent", "sent")
    before = {str(pk) for pk in Receipt.objects.values_list("pk", flat=True)}
    assert len(before) == 3

    restore_without("shop_receipt", "inspections_entry", "estimating_changeorder")
    with psycopg.connect(settings.DATABASE_OWNER_URL) as owner:
        owner.execute("UPDATE inspections_punchitem SET done_at = NULL, done_by_id = NULL")
    posts.clear()
    phone.goto(f"{web_server}/today/")
    until = time.monotonic() + PATIENCE / 1000
    while Receipt.objects.count() < 3:
        assert time.monotonic() < until, posts
        phone.wait_for_timeout(50)
    wait_for_states(phone, "sent", "sent", "sent")
    phone.reload()
    phone.get_by_text("On this phone since").wait_for()
    assert {str(pk) for pk in Receipt.objects.values_list("pk", flat=True)} == before
    assert (check.entries.count(), ChangeOrder.objects.count()) == (1, 1)
    item.refresh_from_db()
    assert item.done_by == installer
    once = [
        reverse("inspections:entry", args=[check.pk]),
        reverse("estimating:change_raise", args=[job.pk]),
        reverse("inspections:punch_item", args=[item.pk]),
    ]
    assert [sum(url.endswith(address) for url in posts) for address in once] == [1, 1, 1], posts


@pytest.mark.django_db
def test_a_room_that_was_removed_since_is_not_made_again(job, office, as_office):
    """Its receipt says that it was taken once."""
    Receipt.objects.create(pk=KEY, by=office)
    answer = sent(as_office, reverse("rooms:new", args=[job.pk]), **{"room-name": "Bath"})
    assert answer.json() == {"kept": True, "id": KEY}
    assert not Room.objects.filter(pk=KEY).exists()
