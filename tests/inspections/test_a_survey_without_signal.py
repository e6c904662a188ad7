"""A survey for a check, filed on a phone without signal: it stays on the phone and arrives once."""

import pytest
from django.urls import reverse

from inspections.models import Entry
from rooms.models import Survey
from tests.inspections.phones import log_in, states, wait_for_states
from tests.inspections.proofs import prove_and_sign
from tests.rooms_app.surveying import new_page


@pytest.fixture
def substrate_turn(own_database, open_phases, installer):
    """The phase whose turn it is when the day is taken along."""
    prove_and_sign(open_phases[0], by=installer)
    return open_phases[1]


@pytest.fixture
def plane(substrate_turn):
    return substrate_turn.checks.get(key="substrate.plane")


def open_from_card(phone, web_server, check) -> None:
    phone.goto(f"{web_server}{reverse('inspections:phase', args=[check.phase_id])}")
    phone.locator(f"#check-{check.pk}").get_by_role("link", name="Read it along a straightedge").click()
    phone.get_by_role("heading", name="What do you read?").wait_for()
    phone.get_by_role("link", name="Studs: Back", exact=True).click()
    phone.get_by_role("heading", name="Studs").wait_for()


def type_a_dip(phone, depth: str) -> None:
    for number, out in enumerate(("0", "0", depth, "0", "0")):
        phone.fill(f"#id_line-0-{number}", out)


def save(phone) -> None:
    phone.locator("button[name=save]:not(.unseen)").click()


def back_online(phone) -> None:
    phone.context.set_offline(False)
    phone.evaluate("dispatchEvent(new Event('online'))")


def test_filed_without_signal_it_is_one_survey_and_one_entry(plane, web_server, phone):
    phone.context.set_offline(True)
    open_from_card(phone, web_server, plane)
    type_a_dip(phone, "-3/16")
    save(phone)
    phone.get_by_text("It is judged when it is sent, not before").wait_for()
    assert states(phone) == ["waiting"]
    # The button stands at the foot of a long form: what became of it is brought into view.
    phone.wait_for_function(
        "() => { const at = document.querySelector('.on-phone').getBoundingClientRect();"
        " return at.top >= 0 && at.bottom <= innerHeight; }"
    )
    assert not Survey.objects.exists()
    # The card says that it waits, and gives no verdict of its own.
    phone.goto(f"{web_server}{reverse('inspections:phase', args=[plane.phase_id])}")
    card = phone.locator(f"#check-{plane.pk}")
    card.get_by_text("not sent yet").wait_for()
    assert "Studs: Back" in card.locator(".on-phone").text_content()
    assert "Fails" not in card.locator(".on-phone").text_content()
    back_online(phone)
    wait_for_states(phone, "sent")
    survey, entry = Survey.objects.get(), Entry.objects.get(survey__isnull=False)
    assert (entry.survey, entry.check_done, entry.outcome) == (survey, plane, "fails")
    assert survey.happened_at < survey.created_at
    # The card is renewed, with the way to the survey.
    card.get_by_role("link", name="read as a survey").wait_for()
    phone.evaluate("dispatchEvent(new Event('online'))")
    phone.reload()
    assert (Survey.objects.count(), plane.entries.count()) == (1, 1)


def test_with_signal_it_leads_back_to_the_card(plane, web_server, phone):
    open_from_card(phone, web_server, plane)
    type_a_dip(phone, "-1/16")
    save(phone)
    phone.wait_for_url(f"**/phases/{plane.phase_id}/#check-{plane.pk}")
    assert plane.entries.get().outcome == "holds"


def test_a_lost_reply_counts_once(plane, web_server, phone):
    lost = []

    def lose(route):
        if route.request.method == "POST" and not lost:
            lost.append(route.fetch())
            route.abort("connectionreset")
        else:
            route.continue_()

    open_from_card(phone, web_server, plane)
    type_a_dip(phone, "-1/16")
    phone.route("**/checks/*/survey/", lose)
    save(phone)
    phone.get_by_text("No signal.").wait_for()
    assert states(phone) == ["waiting"]
    assert (lost[0].status, Survey.objects.count()) == (200, 1)
    phone.evaluate("dispatchEvent(new Event('online'))")
    wait_for_states(phone, "sent")
    assert (Survey.objects.count(), plane.entries.count()) == (1, 1)


def test_what_is_refused_is_mended_on_its_page_and_nothing_typed_is_lost(plane, web_server, phone):
    open_from_card(phone, web_server, plane)
    type_a_dip(phone, "a bit")
    save(phone)
    phone.locator("#id_line-0-2_error").wait_for()
    assert phone.input_value("#id_line-0-0") == "0"
    assert phone.input_value("#id_line-0-2") == "a bit"
    assert states(phone) == ["parked"]
    # A line more, by the server, doesn't part the page from what waits.
    lines = int(phone.locator("input[name=lines]").input_value())
    phone.click("button[value=line][name=add]")
    phone.locator(f"#id_line-{lines}-0").wait_for()
    phone.fill("#id_line-0-2", "-1/16")
    save(phone)
    phone.wait_for_url("**/phases/**")
    wait_for_states(phone, "sent")
    assert plane.entries.get().outcome == "holds"


def test_what_is_refused_later_is_found_on_the_card(plane, web_server, phone):
    open_from_card(phone, web_server, plane)
    phone.context.set_offline(True)
    type_a_dip(phone, "a bit")
    save(phone)
    phone.get_by_text("not sent yet").wait_for()
    phone.goto(f"{web_server}{reverse('inspections:phase', args=[plane.phase_id])}")
    back_online(phone)
    card = phone.locator(f"#check-{plane.pk}")
    card.get_by_text("Not taken:").wait_for()
    card.get_by_role("button", name="Mend it").click()
    phone.locator("#id_line-0-2_error").wait_for()
    assert phone.input_value("#id_line-0-2") == "a bit"
    phone.fill("#id_line-0-2", "-1/16")
    save(phone)
    phone.wait_for_url("**/phases/**")
    assert plane.entries.get().outcome == "holds"
    assert states(phone) == ["sent"]


def test_an_empty_page_does_not_wait(plane, web_server, phone):
    open_from_card(phone, web_server, plane)
    phone.context.set_offline(True)
    save(phone)
    phone.get_by_text("Enter the reading.").wait_for()
    assert states(phone) == []


def test_without_signal_lines_are_not_added_and_it_says_so(plane, web_server, phone):
    open_from_card(phone, web_server, plane)
    phone.fill("#id_line-0-0", "1/8")
    phone.context.set_offline(True)
    phone.click("button[value=line][name=add]")
    phone.get_by_text("lines and places can’t be added").wait_for()
    assert phone.input_value("#id_line-0-0") == "1/8"
    back_online(phone)
    lines = int(phone.locator("input[name=lines]").input_value())
    phone.click("button[value=line][name=add]")
    phone.locator(f"#id_line-{lines}-0").wait_for()
    assert phone.input_value("#id_line-0-0") == "1/8"


def test_a_survey_of_the_room_alone_waits_as_well(own_database, room, web_server, phone):
    phone.goto(f"{web_server}{reverse('rooms:surveys', args=[room.pk])}", wait_until="networkidle")
    phone.goto(f"{web_server}{new_page(room, 'wall', surface='back')}", wait_until="networkidle")
    phone.context.set_offline(True)
    type_a_dip(phone, "1/8")
    save(phone)
    phone.get_by_text("not sent yet").wait_for()
    phone.goto(f"{web_server}{reverse('rooms:surveys', args=[room.pk])}")
    phone.locator(".on-phone", has_text="Wall: Back").wait_for()
    back_online(phone)
    wait_for_states(phone, "sent")
    assert Survey.objects.get().data["lines"][0]["readings"][2][1] == "1/8"


def test_the_phone_of_somebody_logged_out_keeps_it(plane, web_server, phone):
    open_from_card(phone, web_server, plane)
    phone.context.clear_cookies()
    type_a_dip(phone, "-1/16")
    save(phone)
    phone.get_by_text("Log in again to send.").wait_for()
    assert states(phone) == ["waiting"]
    log_in(phone, web_server)
    wait_for_states(phone, "sent")
    assert plane.entries.get().outcome == "holds"
