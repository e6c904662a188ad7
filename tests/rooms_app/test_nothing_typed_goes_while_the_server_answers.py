"""A form that the server adds to keeps what stands in it: whatever comes back, however late, and without signal."""

import pytest
from django.urls import reverse

from jobs.actions import move_job
from jobs.models import Stage
from rooms.models import Room, Unfinished
from tests.factories import TileFactory
from tests.inspections.phones import wait_for_states
from tests.support.browsers import let_in, opened, wait_until

WIDTH = "#id_surface-0-width"
ADD = "button[name=add][value='opening:1']"
FIELD = "#id_surface-1-opening-0-width"


@pytest.fixture
def phone(browser, web_server, owner):
    """The owner's, touched."""
    with opened(browser, viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True) as page:
        let_in(page.context, owner, web_server)
        yield page


@pytest.fixture
def address(web_server, job):
    return f"{web_server}{reverse('rooms:new', args=[job.pk])}?shape=shower"


def posts(route) -> bool:
    return route.request.method == "POST" and "/drawn/" not in route.request.url


def answering(answer):
    return lambda route: route.fulfill(**answer)


def test_an_answer_without_the_form_takes_none_away(page, web_server, owner, job, address):
    let_in(page.context, owner, web_server)
    page.goto(address)
    answers = [
        {"status": 502, "body": "<h1>Bad gateway</h1>"},
        {"status": 500, "body": ""},
        {"status": 403, "body": "<p>Forbidden</p>"},
        {"status": 200, "body": "<form id=login></form>", "content_type": "text/html"},
    ]
    page.fill(WIDTH, "36")
    for answer in answers:
        page.route("**/rooms/new/*", answering(answer))
        page.click(ADD)
        page.locator("#entry .not-swapped").get_by_text("still here").wait_for()
        assert page.input_value(WIDTH) == "36"
        page.evaluate("document.querySelector('.not-swapped').remove()")
        page.unroute("**/rooms/new/*")
    page.route("**/rooms/new/*", lambda route: route.abort())
    page.click(ADD)
    # Without any answer the page adds it by itself.
    page.wait_for_selector(f"[data-here] {FIELD}")
    page.unroute("**/rooms/new/*")


def test_who_was_logged_out_goes_on_after_logging_in_elsewhere(page, web_server, owner, address):
    let_in(page.context, owner, web_server)
    page.goto(address)
    page.fill(WIDTH, "36")
    page.context.clear_cookies()
    page.click(ADD)
    page.locator(".not-swapped").get_by_text("log in in another tab").wait_for()
    let_in(page.context, owner, web_server)
    page.click(ADD)
    # The form's token was another session's: now it has this one's.
    page.locator(".not-swapped").get_by_text("try it once more").or_(page.locator(FIELD)).first.wait_for()
    if not page.locator(FIELD).count():
        page.click(ADD)
    page.wait_for_selector(FIELD)
    assert page.input_value(WIDTH) == "36"
    assert not page.locator(".not-swapped").count()


def test_a_room_locked_meanwhile_keeps_what_was_typed_on_the_page(page, web_server, owner, job, address):
    let_in(page.context, owner, web_server)
    page.goto(address)
    page.fill(WIDTH, "36")
    for stage in (Stage.PRICING, Stage.PROPOSED):
        move_job(job=job, to=stage, by=owner)
    page.click(ADD)
    page.get_by_text("Withdraw it first").wait_for()
    assert page.input_value(WIDTH) == "36"


def test_what_is_typed_while_the_server_answers_stays_and_goes_on(phone, address):
    phone.goto(address)
    phone.fill(WIDTH, "36")
    held = []
    phone.route("**/rooms/new/*", lambda route: held.append(route) if posts(route) else route.continue_())
    phone.locator(ADD).tap()
    wait_until(phone, "true")
    phone.locator("#id_surface-1-width").tap()
    keys = phone.locator(".keypad:visible")
    for key in ("6", "0"):
        keys.get_by_role("button", name=key, exact=True).tap()
    phone.fill(WIDTH, "37")
    phone.locator("#id_surface-1-height").tap()
    keys.get_by_role("button", name="9", exact=True).tap()
    phone.wait_for_timeout(100)
    held[0].continue_()
    phone.wait_for_selector(FIELD)
    # The keys go on in the field where they were.
    keys.get_by_role("button", name="6", exact=True).tap()
    values = [phone.input_value(f"#id_surface-{name}") for name in ("0-width", "1-width", "1-height")]
    assert values == ["37", "60", "96"]
    phone.wait_for_selector("#shown-1 svg")


def test_a_length_in_millimeters_has_its_keys_in_an_inch_shop(phone, address):
    phone.goto(address)
    phone.locator(WIDTH).tap()
    assert "metric" not in phone.locator(".keypad:visible").get_attribute("class")
    phone.locator("#id_tile-size_spread").tap()
    pad = phone.locator(".keypad.metric:visible")
    for key in ("0", ".", "4"):
        pad.get_by_role("button", name=key, exact=True).tap()
    assert phone.input_value("#id_tile-size_spread") == "0.4"


def test_a_shower_with_niche_and_valve_is_measured_without_signal(phone, web_server, owner, job, address):
    tile = TileFactory(name="Slate, sawn")
    phone.goto(address)
    phone.context.set_offline(True)
    phone.fill(WIDTH, "36")
    phone.locator(ADD).tap()
    phone.get_by_text("drawn once it is sent").wait_for()
    phone.locator(ADD).tap()
    phone.locator("button[name=add][value='surface:wall']").tap()
    phone.locator("button[name=add][value='surface:wall']").tap()
    phone.locator("button[name=ask][value='surface:4']").tap()
    assert not phone.locator("#id_surface-4-kind").count()
    values = {"surface-3-name": "Bench face", "surface-3-width": "30", "surface-3-height": "18"}
    values |= {"surface-0-height": "96", "surface-0-build_up": "9/16", "surface-1-width": "60", "surface-2-width": "36"}
    niche, valve = "surface-1-opening-0", "surface-1-opening-1"
    values |= {f"{niche}-left": "18", f"{niche}-bottom": "42", f"{niche}-width": "14", f"{niche}-height": "12"}
    values |= {f"{valve}-left": "30", f"{valve}-bottom": "20", f"{valve}-width": "3"}
    phone.select_option(f"#id_{valve}-kind", "valve")
    for name, value in values.items():
        phone.locator(f"#id_{name}").evaluate("(field, value) => { field.value = value; }", value)
    assert phone.locator(f"fieldset:has(> .line #id_{valve}-kind) legend").first.text_content() == "Opening 2"
    phone.locator("#id_corner-0-left").evaluate("(list) => list.options.length")
    assert "Surface 4" in phone.locator("#id_corner-0-left").text_content()
    phone.select_option("#id_tile-tile", str(tile.pk))
    phone.locator(".actions button[name=save]").tap()
    phone.get_by_text("not sent yet").first.wait_for()
    phone.context.set_offline(False)
    phone.evaluate("dispatchEvent(new Event('online'))")
    wait_for_states(phone, "sent")
    assert not Unfinished.objects.exists()
    back = Room.objects.get().surfaces.get(key="back")
    assert [each.kind for each in back.openings.all()] == ["niche", "valve"]
    assert Room.objects.get().surfaces.count() == 4
