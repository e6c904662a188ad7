"""The entry page with scripts and without: the same fields, and none takes another one's value."""

import pytest
from django.urls import reverse

from rooms.models import Room
from tests.factories import PASSWORD

TAKE_WALL = "button[name=ask][value='surface:0']"


def log_in(page, web_server):
    page.goto(f"{web_server}{reverse('shop:login')}")
    page.fill("input[name=username]", "ines")
    page.fill("input[name=password]", PASSWORD)
    page.press("input[name=password]", "Enter")
    page.wait_for_load_state()


def open_entry(page, web_server, job):
    log_in(page, web_server)
    page.goto(f"{web_server}{reverse('rooms:new', args=[job.pk])}?shape=shower", wait_until="networkidle")


def test_with_scripts_the_page_stays_and_an_empty_field_stays_empty(page, web_server, owner, job):
    open_entry(page, web_server, job)
    before = page.url
    page.evaluate("window.stayed = true")
    page.fill("#id_surface-1-width", "63 1/2")
    page.click("button[value='opening:1']")
    page.wait_for_selector("#id_surface-1-opening-0-left")
    assert page.evaluate("document.activeElement.id") == "id_surface-1-opening-0-kind"
    page.click(TAKE_WALL)
    page.wait_for_selector("#id_surface-2-name", state="detached")
    # Long enough for anything that settles late.
    page.wait_for_timeout(300)
    assert page.input_value("#id_surface-0-width") == "63 1/2"
    assert page.input_value("#id_surface-1-width") == ""
    assert (page.evaluate("window.stayed"), page.url) == (True, before)


@pytest.mark.parametrize("scripts", [True, False])
def test_enter_saves_and_never_removes(browser, web_server, owner, job, scripts):
    context = browser.new_context(java_script_enabled=scripts)
    page = context.new_page()
    open_entry(page, web_server, job)
    page.click(TAKE_WALL)
    page.wait_for_selector("#id_surface-2-name", state="detached")
    page.get_by_text("Inside corners").click()
    page.select_option("#id_corner-0-first", "joins")
    typed = {"tile-width": "6", "tile-height": "6", "tile-thickness": "1/4", "room-joint": "1/8", "room-name": "Bath"}
    typed |= {f"surface-{index}-{side}": "60" for index in (0, 1) for side in ("width", "height")}
    for name, value in typed.items():
        page.fill(f"#id_{name}", value)
    page.press("#id_room-name", "Enter")
    page.wait_for_url("**/layout/")
    context.close()
    assert [wall.key for wall in Room.objects.get().surfaces.all()] == ["back", "right"]
