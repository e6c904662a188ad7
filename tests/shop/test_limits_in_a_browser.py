"""The pages of the limits in a real browser, at a desk and on a phone."""

from decimal import Decimal

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse

from shop.actions import set_limit
from shop.models import LimitChange
from tests.factories import PASSWORD
from tests.support.browsers import PATIENCE
from trade.lengths import inches

WIDER_THAN_THE_PAGE = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


@pytest.fixture
def desk(browser, web_server, owner):
    """`desk(width)`: a page of the owner's, logged in."""
    contexts = []

    def log_in(width: int):
        context = browser.new_context(viewport={"width": width, "height": 900})
        context.set_default_timeout(PATIENCE)
        contexts.append(context)
        page = context.new_page()
        page.goto(f"{web_server}/login/")
        page.get_by_label("Log-in name").fill("ines")
        page.get_by_label("Password").fill(PASSWORD)
        page.get_by_role("button", name="Log in").click()
        page.get_by_role("button", name="Log out").first.wait_for(state="attached")
        return page

    yield log_in
    for context in contexts:
        context.close()


@pytest.fixture
def some_set(own_database, owner):
    set_limit(key="lippage_narrow_mm", value=inches("3/64"), reason="Handmade tile in two jobs", seen=0, by=owner)
    set_limit(key="mortar_hours", value=Decimal(48), reason="Dense tile on membrane", seen=0, by=owner)
    set_limit(key="grout_hours", value=Decimal(96), reason="Cold house", seen=0, by=owner)
    set_limit(key="grout_hours", value=None, reason="Spring", seen=1, by=owner)


@pytest.mark.parametrize("width", [390, 1280])
def test_the_pages_fit_and_have_no_barrier(desk, web_server, some_set, width):
    page = desk(width)
    for path in (reverse("shop:limits"), reverse("shop:limit", args=["lippage_narrow_mm"])):
        page.goto(web_server + path)
        assert page.evaluate(WIDER_THAN_THE_PAGE) <= 0, path
        assert Axe().run(page).response["violations"] == [], path


def test_the_owner_sets_a_limit_with_the_keyboard_and_puts_it_back(desk, web_server, own_database):
    page = desk(1280)
    page.goto(web_server + reverse("shop:settings"))
    page.get_by_role("link", name="Limits that work is judged by").click()
    page.get_by_role("link", name="From mortar to grout", exact=True).click()
    page.get_by_label("This shop’s limit").fill("half a day")
    page.get_by_label("Why").fill("Fast mortar")
    page.get_by_label("Why").press("Enter")
    assert page.get_by_label("Why").input_value() == "Fast mortar"
    assert page.get_by_label("This shop’s limit").get_attribute("aria-invalid") == "true"
    page.get_by_label("This shop’s limit").fill("12")
    page.get_by_label("Why").press("Enter")
    page.get_by_text("This is looser than its source, which has 24 hours").wait_for()
    page.get_by_role("link", name="From mortar to grout", exact=True).click()
    page.get_by_label("Why").fill("The bag says 24")
    page.get_by_role("button", name="Back to the source’s figure").click()
    page.get_by_text("from now on the source’s figure, 24 hours").wait_for()
    assert [change.value for change in LimitChange.objects.order_by("number")] == [Decimal(12), None]
