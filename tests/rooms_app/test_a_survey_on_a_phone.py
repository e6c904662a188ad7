"""Readings are tapped on a phone's narrow screen, by touch, and typed where there are no scripts."""

import pytest
from django.urls import reverse

from rooms.models import Survey
from tests.factories import PASSWORD
from tests.rooms_app.surveying import new_page


@pytest.fixture
def phone(browser):
    """Opens a page as Rui on a phone of 390 px with a touch screen."""
    contexts = []

    def open_page(web_server, address, **options):
        context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True, **options)
        contexts.append(context)
        page = context.new_page()
        page.goto(f"{web_server}{reverse('shop:login')}")
        page.fill("input[name=username]", "rui")
        page.fill("input[name=password]", PASSWORD)
        page.press("input[name=password]", "Enter")
        page.wait_for_load_state()
        page.goto(f"{web_server}{address}", wait_until="networkidle")
        return page

    yield open_page
    for context in contexts:
        context.close()


def fits(page):
    return page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")


SMALL = """[...document.querySelectorAll('main :is(input:not([type=hidden]), select, button, .btn, summary)')]
    .filter(each => !each.matches('.unseen') && each.checkVisibility())
    .map(each => [each.outerHTML.slice(0, 80), each.getBoundingClientRect()])
    .filter(([, box]) => box.height < 47.9 || box.width < 47.9).map(([html]) => html)"""


def test_a_stud_is_tapped_and_saved(phone, web_server, room):
    page = phone(web_server, new_page(room, "studs", surface="back"))
    assert fits(page)
    assert page.evaluate(SMALL) == []
    for text in ("0", "1/16", "Skip", "-3/16", "0"):
        page.locator(".taps button", has_text=text).first.tap() if text == "Skip" else page.tap(
            f".taps button[data-tap='{text}']"
        )
    assert [page.input_value(f"#id_line-0-{number}") for number in range(5)] == ["0", "1/16", "", "-3/16", "0"]
    # Another line by a button, without losing what was tapped; then to a place of it by touch.
    lines = page.locator("input[name=lines]").input_value()
    page.tap("button[value=line][name=add]")
    page.wait_for_selector(f"#id_line-{lines}-0")
    page.tap(f"#id_line-{lines}-0")
    assert f"Stud {int(lines) + 1}" in page.text_content(".taps p")
    page.tap(".taps button[data-tap='1/8']")
    assert page.input_value(f"#id_line-{lines}-0") == "1/8"
    page.locator("button[name=save]:not(.unseen)").tap()
    page.wait_for_url("**/surveys/*/")
    assert fits(page)
    assert page.evaluate(SMALL) == []
    survey = Survey.objects.get()
    assert survey.by.username == "rui"
    assert survey.data["lines"][0]["readings"][1][1] == "1/16"
    assert [len(line["readings"]) for line in survey.data["lines"]] == [4, 1]


def test_without_scripts_the_same_form_is_typed(phone, web_server, room):
    page = phone(web_server, new_page(room, "floor"), java_script_enabled=False)
    assert not page.is_visible(".taps")
    page.click("button[value=line][name=add]")
    page.fill("#id_line-3-0", "1/8")
    page.fill("#id_line-2-0", "a bit")
    page.press("#id_line-2-0", "Enter")
    assert page.input_value("#id_line-2-0") == "a bit"
    page.fill("#id_line-2-0", "1/16")
    page.press("#id_line-2-0", "Enter")
    page.wait_for_url("**/surveys/*/")
    assert [line["id"] for line in Survey.objects.get().data["lines"]] == ["Line 3", "Line 4"]
