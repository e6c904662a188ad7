"""The keys under the grid of readings, on a phone: a tap fills the field touched last and goes on to the next."""

import pytest
from django.urls import reverse

from rooms.actions import import_room
from rooms.models import Survey
from tests.factories import PASSWORD
from tests.rooms_app.files import one_wall


@pytest.fixture
def room(own_database, job, owner, installer):
    data = one_wall(units="in", tile={"width": 24, "height": 24, "thickness": "3/8"}, joint="1/8")
    data["surfaces"][0]["outline"] = [[0, 0], [48, 0], [48, 72], [0, 72]]
    return import_room(job=job, data=data, place="dry_wall", by=owner)


@pytest.mark.parametrize("scripts", [True, False])
def test_studs_are_read_by_touch_and_typed_without_scripts(browser, web_server, room, scripts):
    context = browser.new_context(viewport={"width": 390, "height": 800}, has_touch=True, java_script_enabled=scripts)
    page = context.new_page()
    page.goto(f"{web_server}{reverse('shop:login')}")
    page.fill("input[name=username]", "rui")
    page.fill("input[name=password]", PASSWORD)
    page.press("input[name=password]", "Enter")
    page.wait_for_load_state()
    page.goto(f"{web_server}{reverse('rooms:new_survey', args=[room.pk])}?kind=studs")
    count = page.locator(".reading input").count()
    assert count == 4 * 4
    if scripts:
        page.locator("#id_r-0-0").tap()
        for number in range(count):
            if number == 5:
                page.locator("[data-sign]").tap()
            page.locator("[data-tap='1/8']" if number == 5 else "[data-tap='0']").tap()
        for key in page.locator(".taps button").all():
            box = key.bounding_box()
            assert box["width"] >= 48
            assert box["height"] >= 40
    else:
        assert page.locator(".taps").is_hidden()
        page.fill("#id_r-0-0", "0")
        page.fill("#id_r-1-1", "-1/8")
        page.fill("#id_r-3-3", "0")
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    page.locator(".buttons.end button").click()
    page.wait_for_url("**/surveys/*/")
    stud = Survey.objects.get().data["lines"][1]
    assert ["609.6 mm", "-3.175 mm"] in stud["readings"]
    context.close()
