"""The box page with scripts: what the tiles say stands there while they are typed, and nothing typed is lost."""

from django.urls import reverse

from rooms.models import BoxReading
from tests.rooms_app.test_the_entry_page_in_a_browser import log_in


def test_it_says_at_once_and_keeps_what_was_typed(page, web_server, owner, room):
    page.set_viewport_size({"width": 390, "height": 844})
    log_in(page, web_server)
    page.goto(f"{web_server}{reverse('rooms:box', args=[room.pk])}", wait_until="networkidle")
    before = page.url
    page.evaluate("window.stayed = true")
    assert page.get_attribute("#id_width-0", "inputmode") == "decimal"
    page.select_option("#id_typed_in", "in")
    page.wait_for_selector("#id_width-0[inputmode=text]")
    for number in range(5):
        for side, text in (("width", "11 13/16"), ("height", "23 5/8"), ("bow", "-0.5")):
            page.fill(f"#id_{side}-{number}", text)
    page.wait_for_selector("#says .findings")
    page.fill("#id_height-4", "23 11/16")
    page.wait_for_selector("#says .findings .stop")
    assert page.input_value("#id_height-4") == "23 11/16"
    assert (page.evaluate("window.stayed"), page.url) == (True, before)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    page.press("#id_height-4", "Enter")
    page.wait_for_load_state()
    assert not BoxReading.objects.exists()
    page.click("button[name=keep]")
    # What it means stands there still, of what was kept.
    page.get_by_text("What was kept last").wait_for()
    page.wait_for_selector("#says .findings .stop")
    assert page.input_value("#id_height-4") == ""
    assert BoxReading.objects.count() == 1
