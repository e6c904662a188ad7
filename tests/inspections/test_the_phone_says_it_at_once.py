"""What the phone says itself, before the server does: what comes too early, what is missing, that its clock is off."""

import hashlib
from datetime import timedelta

from django.utils import timezone

from inspections.models import Check
from inspections.queries import phase_view
from tests.inspections.phones import enter, phase_url, states, try_again, wait_for_states
from tests.inspections.test_cables_and_inspectors import PDF


def state_of(check: Check) -> str:
    return next(view.state for view in phase_view(check.phase).checks if view.check.pk == check.pk)


def test_what_comes_before_its_turn(own_database, phone, web_server, open_phases, installer):
    """The waterproofing isn't signed, and the water test's waits are begun and its level ticked all the same."""
    water_test = open_phases[4]
    cured, level = (water_test.checks.get(key=f"water_test.{name}") for name in ("cured", "level"))
    phone.goto(phase_url(web_server, water_test))
    phone.context.set_offline(True)
    phone.reload()
    for check, button in ((cured, "It begins now"), (level, "It is so")):
        card = phone.locator(f"#check-{check.pk}")
        card.get_by_role("button", name=button).click()
        card.locator(".on-phone").get_by_text("Too early: it counts only once").wait_for()
        assert card.locator(".on-phone .countdown, .on-phone [data-due]").count() == 0
    phone.context.set_offline(False)
    try_again(phone)
    wait_for_states(phone, "sent", "sent")
    phone.locator(f"#check-{level.pk}").get_by_text("“Water has stood” comes first").wait_for()
    assert (state_of(cured), state_of(level)) == ("early", "early")


def test_the_phone_asks_for_what_the_server_asks(own_database, phone, web_server, open_phases):
    """Without an inspector nothing is kept: it would come back hours later."""
    check = Check.objects.create(
        phase=open_phases[0],
        key="rough_in.inspection",
        position=90,
        text="Inspector has passed it",
        kind="inspection",
        source="-",
        confidence="memory",
    )
    phone.goto(phase_url(web_server, check.phase))
    phone.context.set_offline(True)
    card = phone.locator(f"#check-{check.pk}")
    card.get_by_role("button", name="It passed").click()
    card.get_by_text("Say who inspected it").wait_for()
    assert states(phone) == []
    card.get_by_label("Inspector").fill("M. Quillfeather")
    card.get_by_label("The report or the card").set_input_files(
        {"name": "report.pdf", "mimeType": "application/pdf", "buffer": PDF}
    )
    card.get_by_role("button", name="It passed").click()
    card.get_by_text("not sent yet").wait_for()
    phone.context.set_offline(False)
    try_again(phone)
    wait_for_states(phone, "sent")
    assert check.entries.get().document_sha256 == hashlib.sha256(PDF).hexdigest()


def test_the_phone_says_that_its_clock_is_off(own_database, phone, web_server, open_phases):
    check = open_phases[0].checks.filter(kind="tick", surfaces=[]).first()
    phone.clock.install(time=timezone.now() - timedelta(days=2))
    phone.goto(phase_url(web_server, open_phases[0]))
    phone.get_by_text("This phone’s clock is off by 48 h 00 min").wait_for()
    enter(phone, check)
    wait_for_states(phone, "sent")
    assert timezone.now() - check.entries.get().happened_at < timedelta(minutes=1)
