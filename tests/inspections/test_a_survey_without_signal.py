"""A survey for a check, filed on a phone without signal: it stays on the phone and arrives once."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from inspections.models import Entry
from rooms.forms import exact_text
from rooms.models import Survey
from rooms.surveys.keeping import keep_survey
from rooms.surveys.offline import NEWEST
from rooms.surveys.state import MOST_CELLS, MOST_LINES
from shop.models import ShopSettings
from tests.factories import RoomFactory
from tests.inspections.opening import open_phases_of
from tests.inspections.phones import log_in, states, wait_for_states
from tests.inspections.proofs import prove_and_sign
from tests.layout_survey.surveys import substrate
from tests.rooms_app.surveying import new_page
from tests.support.browsers import the_day_is_kept, wait_until
from trade.lengths import inches, parse_length


@pytest.fixture
def substrate_turn(own_database, open_phases, installer):
    """The phase whose turn it is when the day is taken along."""
    prove_and_sign(open_phases[0], by=installer)
    return open_phases[1]


@pytest.fixture
def phone(phone):
    the_day_is_kept(phone)
    return phone


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
    wait_until(
        phone,
        "() => { const at = document.querySelector('.on-phone').getBoundingClientRect();"
        " return at.top >= 0 && at.bottom <= innerHeight; }",
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


def test_without_signal_lines_and_places_are_added_and_arrive(plane, web_server, phone):
    """As the server would: test_the_grid_grows_and_shrinks_without_scripts in tests/rooms_app."""
    open_from_card(phone, web_server, plane)
    lines, places = (int(phone.locator(f"input[name={name}]").input_value()) for name in ("lines", "places"))
    phone.fill("#id_line-0-0", "1/8")
    phone.context.set_offline(True)
    grow, shrink = (f"button[value=%s][name={name}]" for name in ("add", "remove"))
    phone.click(grow % "line")
    phone.click(grow % "place")
    step, along = 16, 24
    assert phone.input_value(f"#id_line-{lines}-at") == f'{lines * step}"'
    assert phone.input_value(f"#id_place-{places}") == f'{places * along}"'
    assert phone.locator(f"#id_line-{lines}-{places}").count() == phone.locator(f"#id_line-0-{places}").count() == 1
    # The keys fill the new line, and each reading is called by where it is.
    assert f"Stud {lines + 1}, 0" in phone.text_content(".taps p")
    phone.locator(".taps [data-tap='3/16']").click()
    phone.locator(".taps [data-tap='0']").click()
    phone.fill("#id_along", "7 1/2")
    phone.locator("button[name=space]").click()
    assert phone.input_value(f"#id_place-{places}") == exact_text(inches("7.5") * places, unit="in")
    phone.fill("#id_along", "far")
    phone.locator("button[name=space]").click()
    phone.get_by_text("Type how far apart").wait_for()
    phone.fill("#id_along", "7 1/2")
    phone.fill("#id_line-0-1", "1/16")
    phone.click(shrink % "place")
    assert phone.locator(f"#id_line-0-{places}").count() == 0
    save(phone)
    phone.get_by_text("not sent yet").wait_for()
    back_online(phone)
    wait_for_states(phone, "sent")
    first, *_, last = Survey.objects.get().data["lines"]
    assert [out for _along, out in first["readings"]] == ["1/8", "1/16"]
    assert (last["id"], last["at"]) == (f"Stud {lines + 1}", f'{lines * step}"')
    assert last["readings"] == [['0"', "3/16"], ['7 1/2"', "0"]]


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_the_phone_writes_lengths_as_the_server_does(own_database, room, web_server, phone, unit):
    """The yardstick is `exact_text`, from which the server's own lines come."""
    ShopSettings.objects.update_or_create(pk=1, defaults={"units": unit})
    phone.goto(f"{web_server}{new_page(room, 'wall', surface='back')}")
    for across in ("1/64", "7 1/2", "24", "400 mm", "16.5", "1/3", "0.1", "1 m"):
        phone.fill("#id_across", across)
        phone.locator("button[name=space]").click()
        for line in range(3):
            wanted = exact_text(parse_length(across, unit=unit) * line, unit=unit)
            assert phone.input_value(f"#id_line-{line}-at") == wanted, (across, line)


def test_the_grid_grows_no_larger_than_a_form_may_be(own_database, room, web_server, phone):
    phone.goto(f"{web_server}{new_page(room, 'wall')}")
    press = """(name) => {
        const button = document.querySelector(`button[name=add][value=${name}]`);
        if (button.checkVisibility()) button.click();
    }"""
    for what, most in (("line", MOST_LINES), ("place", MOST_CELLS // MOST_LINES)):
        for _press in range(most + 1):
            phone.evaluate(press, what)
        assert phone.locator(f"input[name={what}s]").input_value() == str(most)
        assert not phone.locator(f"button[name=add][value={what}]").is_visible()


def test_what_comes_after_the_phase_whose_turn_it_is_is_on_the_phone_too(
    own_database, open_phases, installer, web_server, phone
):
    """Nobody has opened any of it; the phase before isn't signed yet."""
    plane = open_phases[1].checks.get(key="substrate.plane")
    phone.context.set_offline(True)
    open_from_card(phone, web_server, plane)
    for phase in open_phases:
        phone.goto(f"{web_server}{reverse('inspections:phase', args=[phase.pk])}")
        phone.locator("h1", has_text=phase.name).wait_for()
    room = open_phases[0].room
    phone.goto(f"{web_server}{reverse('rooms:surveys', args=[room.pk])}")
    phone.get_by_role("link", name="A shower floor’s mortar bed: Pan").click()
    phone.get_by_label("Slope", exact=True).wait_for()
    phone.get_by_role("link", name="Surveys").click()
    phone.get_by_role("link", name="Measurements").click()
    phone.get_by_role("heading", name="Back").wait_for()


@pytest.mark.django_db
def test_a_phone_takes_the_newest_surveys_along_and_those_of_no_other_room(as_installer, room, installer):
    kept, other = (
        [
            keep_survey(
                room=each, kind="studs", surface=None, data=substrate([("0", "0"), ("24", "1/16")]), by=installer,
                happened_at=timezone.now() - timedelta(hours=hours),
            )
            for hours in range(NEWEST + 1)
        ]
        for each in (room, RoomFactory())
    )  # fmt: skip
    open_phases_of(room)
    later = as_installer.get(reverse("home:phone_day")).json()["later"]
    assert [page for page in later if page in {reverse("rooms:survey", args=[each.pk]) for each in kept + other}] == [
        reverse("rooms:survey", args=[each.pk]) for each in kept[:NEWEST]
    ]


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
