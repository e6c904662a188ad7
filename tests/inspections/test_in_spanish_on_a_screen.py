"""Spanish words are longer: they fit a small phone, and a wide screen shows where one is."""

import pytest
from django.urls import reverse

from tests.factories import PASSWORD
from tests.rooms_app.surveying import new_page
from tests.rooms_app.test_a_survey_on_a_phone import SMALL, fits


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


def test_spanish_words_fit_a_small_phone(screen, web_server, open_phases):
    room = open_phases[0].room
    page = screen(360)
    addresses = [
        reverse("home:today"),
        reverse("shop:language"),
        *(reverse("inspections:phase", args=[phase.pk]) for phase in open_phases),
        *(new_page(room, kind) for kind in ("studs", "floor", "bed")),
    ]
    misfits = []
    for address in addresses:
        page.goto(web_server + address)
        assert page.locator("html").get_attribute("lang") == "es-us"
        if not fits(page):
            misfits.append(address)
        misfits += page.evaluate(SMALL)
    assert misfits == []


def test_the_rod_shows_where_one_is_on_a_wide_screen_too(screen, web_server, open_phases):
    page = screen(1280)
    page.goto(web_server + reverse("inspections:phase", args=[open_phases[0].pk]))
    assert page.locator(".rod").evaluate("rod => rod.scrollLeft") == 0
