"""Spanish words are longer: a wide screen shows where one is. On a small one: test_every_screen_of_the_phone."""

import pytest
from django.urls import reverse

from tests.factories import PASSWORD


@pytest.fixture
def screen(browser, web_server, installer):
    """A page of that many px, on which Rui has logged in, who chose Spanish."""
    installer.language = "es"
    installer.save(update_fields=["language"])
    contexts = []

    def open_page(width):
        context = browser.new_context(viewport={"width": width, "height": 740}, has_touch=True)
        contexts.append(context)
        page = context.new_page()
        page.goto(f"{web_server}{reverse('shop:login')}")
        page.fill("input[name=username]", "rui")
        page.fill("input[name=password]", PASSWORD)
        page.press("input[name=password]", "Enter")
        page.wait_for_load_state()
        return page

    yield open_page
    for context in contexts:
        context.close()


def test_the_rod_shows_where_one_is_on_a_wide_screen_too(screen, web_server, open_phases):
    page = screen(1280)
    page.goto(web_server + reverse("inspections:phase", args=[open_phases[0].pk]))
    assert page.locator(".rod").evaluate("rod => rod.scrollLeft") == 0
