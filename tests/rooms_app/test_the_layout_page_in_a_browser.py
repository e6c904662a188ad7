"""The layout page under the hand: mouse, finger and keys move a line, the figures follow, and nothing old looks new."""

import os
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse

import layout
from rooms.actions import import_room
from rooms.files import layout_input
from rooms.laying import lay_by_hand
from rooms.models import Layout
from rooms.queries import room_with_parts
from rooms.varying import read_asked
from tests.factories import PASSWORD
from tests.layout.nasty import nasty
from tests.rooms_app.files import one_wall
from tests.support.browsers import PATIENCE

SIXTEENTH = 25.4 / 16
# Where somebody wants to look at the page: a folder for its pictures.
PICTURES = os.environ.get("LAYOUT_PICTURES", "")


@pytest.fixture
def room(own_database, job, owner):
    return import_room(job=job, data=nasty(), place="shower", by=owner)


def opened(page, web_server, room) -> str:
    """Logs in and opens the room's page; its address."""
    address = f"{web_server}{reverse('rooms:layout', args=[room.pk])}"
    page.set_default_timeout(PATIENCE)
    page.goto(f"{web_server}{reverse('shop:login')}")
    page.fill("input[name=username]", "ines")
    page.fill("input[name=password]", PASSWORD)
    page.press("input[name=password]", "Enter")
    page.wait_for_load_state()
    page.goto(address)
    page.wait_for_selector(".handle.ready")
    return address


def settled(page):
    """Waits until the figures are those of the lines as they stand, tiles counted."""
    page.wait_for_selector(".laying[data-state=counted]")
    assert page.locator("#figures[aria-busy=true], .dim-figures, .moving").count() == 0


def lines(page) -> dict[str, str]:
    return {each.get_attribute("name"): each.input_value() for each in page.locator(".move input[data-mm]").all()}


def at(page) -> dict[str, float]:
    """Where the lines stand by the page's address, mm."""
    query = page.evaluate("Object.fromEntries(new URLSearchParams(location.search))")
    return {name: float(text.removesuffix(" mm")) for name, text in query.items() if name[0] in "xy"}


def back_wall(page):
    return page.locator(".handle[data-name='Back wall']")


def middle(handle) -> tuple[float, float]:
    box = handle.bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def picture(page, name):
    if PICTURES:
        for width in (1280, 390):
            page.set_viewport_size({"width": width, "height": 844})
            page.screenshot(path=Path(PICTURES) / f"{name}-{width}.png", full_page=True)
        page.set_viewport_size({"width": 1280, "height": 900})


def test_mouse_keys_and_choice(page, web_server, room, owner):
    opened(page, web_server, room)
    picture(page, "recommended")
    before = lines(page)
    handle = back_wall(page)
    box = handle.locator(".reach").bounding_box()
    assert min(box["width"], box["height"]) >= 48

    # A key moves to the next mark of the tape; what stands there until the server says more is marked.
    asked = []
    page.route("**/nudge/?*", lambda route: route.continue_() if asked else asked.append(route))
    handle.focus()
    page.keyboard.press("ArrowRight")
    page.wait_for_selector("#findings.dim-figures")
    for title in ("#shown-title", "#findings h2"):
        assert "settling" in page.evaluate(f"getComputedStyle(document.querySelector('{title}'), '::after').content")
    assert page.locator("#figures[aria-busy=true]").count() == 1
    assert page.locator(".choose button").is_disabled()
    asked[0].continue_()
    settled(page)
    page.unroute("**/nudge/?*")
    assert page.evaluate("getComputedStyle(document.querySelector('#shown-title'), '::after').content") == "none"
    places = page.locator(".places .stands").all_text_contents()
    assert len(places) == 6
    assert set(places) == {"set by hand"}
    first = at(page)
    assert first["x1"] / SIXTEENTH == pytest.approx(round(first["x1"] / SIXTEENTH), abs=1e-3)
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Shift+ArrowLeft")
    settled(page)
    second = at(page)
    assert second["x1"] - first["x1"] == pytest.approx(SIXTEENTH - 25.4, abs=1e-3)
    assert second["y0"] > first["y0"]
    assert (second["x0"], second["x2"]) == (first["x0"], first["x2"])

    # By mouse: as far on the wall as on the screen, to a sixteenth; the bare pattern goes along, dimmed figures don't.
    x, y = middle(handle)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 40, y, steps=5)
    assert middle(handle)[0] == pytest.approx(x + 40, abs=2)
    page.mouse.up()
    settled(page)
    third = at(page)
    mm = (
        40
        / page.evaluate("document.querySelector('.unfolded').getScreenCTM().a")
        / float(page.get_attribute(".unfolded", "data-scale"))
    )
    assert third["x1"] - second["x1"] == pytest.approx(mm, abs=SIXTEENTH)
    assert third["y0"] == second["y0"]

    # What is shown is what the engine makes of these lines.
    asked = read_asked(page.evaluate("Object.fromEntries(new URLSearchParams(location.search))"), unit="in")
    laid = lay_by_hand(asked.applied(layout_input(room_with_parts(room), units="in"))).result.option
    shown = [each.inner_text() for each in page.locator("#figures dd").all()]
    assert shown[1:4] == [str(laid.counts.whole), str(laid.counts.cut), str(laid.needed)]
    assert page.inner_text("#shown-title") == "Set by hand"
    assert laid.least_cut.text in page.text_content("#said")
    assert lines(page) != before
    picture(page, "by-hand")

    # A reload shows the same, and so it is chosen.
    page.reload()
    page.wait_for_selector(".handle.ready")
    assert [each.inner_text() for each in page.locator("#figures dd").all()] == shown
    page.fill("[name=why]", "even beside the niche")
    page.click(".choose button")
    page.wait_for_selector(".notice.success")
    chosen = Layout.objects.get()
    assert chosen.asked == asked.query()
    assert chosen.result["options"][0]["counts"]["cut"] == laid.counts.cut
    picture(page, "chosen")
    page.set_viewport_size({"width": 390, "height": 844})
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert layout.read_room(chosen.input).surfaces[1].pin.x == pytest.approx(third["x1"], abs=1e-3)


def test_a_finger_moves_a_line_and_the_page_keeps_still(browser, web_server, job, owner):
    room = import_room(job=job, data=one_wall(), place="dry_wall", by=owner)
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    page = context.new_page()
    address = opened(page, web_server, room)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    handle = page.locator(".handle.ready").first
    handle.scroll_into_view_if_needed()
    box = handle.locator(".reach").bounding_box()
    assert min(box["width"], box["height"]) >= 48
    top = page.evaluate("scrollY")
    x, y = middle(handle)
    touch = context.new_cdp_session(page)
    for kind, points in (
        ("touchStart", [(x, y)]),
        *(("touchMove", [(x + n, y - n)]) for n in range(4, 28, 4)),
        ("touchEnd", []),
    ):
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": a, "y": b} for a, b in points]})
    settled(page)
    moved = at(page)
    assert moved["y0"] > 0
    assert page.inner_text("#shown-title") == "Set by hand"
    assert page.evaluate("scrollY") == top
    # Off the wall is refused where it is seen, and the way back is open.
    refused = page.locator("#cant")
    handle.focus()
    for _ in range(11):
        page.keyboard.press("Shift+ArrowDown")
    refused.wait_for(state="visible")
    assert "below what is tiled" in refused.inner_text()
    for _ in range(11):
        page.keyboard.press("Shift+ArrowUp")
    refused.wait_for(state="hidden")
    settled(page)
    found = Axe().run(page).response["violations"]
    assert [(each["id"], [node["html"][:200] for node in each["nodes"]]) for each in found] == []
    page.goto(f"{address}?option=1&compare=2")
    page.wait_for_selector(".compared")
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    found = Axe().run(page).response["violations"]
    assert [(each["id"], [node["html"][:200] for node in each["nodes"]]) for each in found] == []
    picture(page, "compared")
    context.close()


def test_what_is_typed_and_not_sent_stays(page, web_server, room, owner):
    opened(page, web_server, room)
    names = list(lines(page))
    typed = page.locator(f".move input[name={names[0]}]")
    # A line of another surface than the one that is moved by hand.
    moved = page.locator(f".handle:not([data-surface='{names[0].lstrip('xy')}'])").first
    typed.fill("12 3/16")
    page.fill("#id_why", "The client wants it so")
    moved.focus()
    page.keyboard.press("ArrowRight")
    settled(page)
    assert typed.input_value() == "12 3/16"
    # On another option's page, too, until it is used.
    page.locator(".options a.opt:not(.on)").first.click()
    page.wait_for_selector(".handle.ready")
    assert page.input_value("#id_why") == "The client wants it so"
    page.click(".choose button")
    page.wait_for_load_state()
    assert Layout.objects.get().why == "The client wants it so"
    page.goto(f"{web_server}{reverse('rooms:layout', args=[room.pk])}")
    page.wait_for_selector(".handle.ready")
    assert page.input_value("#id_why") == ""
