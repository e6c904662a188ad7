"""What the tape reads, typed by touch without signal: it stays on the phone, arrives once, and tells what differs."""

import pytest
from django.urls import reverse

from jobs.actions import move_job
from jobs.models import Stage
from rooms.actions import choose_layout, import_room
from rooms.models import AsBuilt
from tests.inspections.phones import phone, states, try_again, wait_for_states
from tests.rooms_app.rough_ins import shower

__all__ = ["phone"]


@pytest.fixture
def room(own_database, job, owner):
    room = import_room(job=job, data=shower(), place="shower", by=owner)
    choose_layout(room=room, option=1, why="", by=owner)
    job.refresh_from_db()
    for stage in (Stage.PROPOSED, Stage.WORKING):
        move_job(job=job, to=stage, by=owner)
    return room


def test_typed_without_signal_it_is_kept_and_tells_what_differs_once_it_is_sent(room, phone, web_server):
    phone.context.set_offline(True)
    # The day was taken along: the page is there.
    phone.goto(web_server + reverse("rooms:rough_in", args=[room.pk]))
    height = phone.get_by_label("Niche, bottom of the rough opening: as built")
    # A finger gets keys for lengths, and no soft keyboard.
    height.dispatch_event("pointerdown", {"pointerType": "touch", "bubbles": True})
    height.focus()
    for key in ('text-is("4")', 'text-is("1")', 'is([data-part="1/4"])'):
        phone.locator(f".keypad button:{key}").click()
    assert height.input_value() == "41 1/4"
    phone.get_by_role("button", name="Keep what the tape reads").click()
    phone.get_by_text("It is judged when it is sent, not before").wait_for()
    assert states(phone) == ["waiting"]
    assert phone.locator("#as-built").text_content().strip() == ""
    phone.context.set_offline(False)
    try_again(phone)
    wait_for_states(phone, "sent")
    phone.locator("#as-built").get_by_text("41").wait_for()
    assert "Don’t close the wall" in phone.locator("#as-built").text_content()
    assert phone.locator(".read", has_text="41").count() == 1
    kept = AsBuilt.objects.get()
    assert (kept.measures[0]["name"], kept.read_at < kept.created_at) == ("bottom of the rough opening", True)
