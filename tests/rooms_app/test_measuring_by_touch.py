"""Every starting shape measured on a phone, by touch on the keys for lengths, and at a desk by the keyboard alone."""

import time

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse

from rooms.models import BoxReading, PhoneSave, Room, Unfinished
from tests.factories import TileFactory
from tests.inspections.phones import log_in, states, wait_for_states
from tests.support.browsers import opened, wait_until

MOST_TAPS = 40
"""From New room to the layout of a three-wall shower, as the owner wants it; no outside source."""
# Keystroke-level model (Card, Moran and Newell, 1980): to think 1.35 s, to point 1.1 s, to press and let go 0.2 s; from
# memory.
SECONDS_A_TAP = 1.35 + 1.1 + 0.2

SHOWER = ["36", "8'", "9/16", "5'", "", "", "914.4 mm"]
SHAPES = {
    "tub": ["30", "58", "9/16", "60", "", "", "30", "", ""],
    "floor": ["60", "90", ""],
    "wall": ["63 1/2", "18", ""],
    "fireplace": ["60", "48", "", "15", "", "30", "30"],
    "free": ["36", "", "24", "", "24", "", "12", "", "12"],
    "free-wall": ["96", "", "18", "", "36", "", "12", ""],
}
"""What is typed into the lengths of the other shapes, one after the other."""


@pytest.fixture
def phone(browser, web_server, owner):
    """The owner's phone, 390 px wide and touched."""
    with opened(browser, viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True) as page:
        log_in(page, web_server, "ines")
        yield page


class Fingers:
    """Taps on a page, and counts them."""

    def __init__(self, page) -> None:
        self.page, self.taps = page, 0

    def tap(self, what) -> None:
        (self.page.locator(what) if isinstance(what, str) else what).tap()
        self.taps += 1

    def length(self, text: str) -> None:
        """A length on the keys, key by key, and on to the next."""
        whole, _, part = text.rpartition(" ") if "/" in text else (text, "", "")
        keys = [*whole, part or (text if "/" in text else ""), "Next"]
        for key in filter(None, keys):
            self.tap(self.page.locator(".keypad").get_by_role("button", name=key, exact=True))

    def pick(self, name: str, label: str) -> None:
        """Two taps: one opens the list, one picks."""
        self.tap(name)
        self.page.select_option(name, label=label)
        self.taps += 1


def wrong(page) -> list[str]:
    found = Axe().run(page).response["violations"]
    return [f"{fault['id']}: {node['html']}: {node['failureSummary']}" for fault in found for node in fault["nodes"]]


def runs_off(page) -> bool:
    return page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth")


def test_rooms_are_measured_by_touch_by_keyboard_and_without_signal(phone, page, web_server, job):
    """One server for all of it: a shower in forty taps, every other shape by touch, all of them by the keyboard."""
    TileFactory(name="Slate, sawn")
    new = f"{web_server}{reverse('rooms:new', args=[job.pk])}"
    at_the_job = f"{web_server}{reverse('home:job', args=[job.pk])}"
    a_shower_by_touch(phone, at_the_job)
    other_shapes_by_touch(phone, new)
    keys_fill_and_take_back(phone, new)
    log_in(page, web_server, "ines")
    every_shape_by_keyboard(page, new)
    assert (Room.objects.count(), Unfinished.objects.count()) == (2 + 2 * len(SHAPES), 0)
    without_signal_it_waits_and_arrives_once(phone, web_server, new, at_the_job)
    a_change_without_signal_stays_in_its_page_and_arrives_once(phone, web_server)
    tiles_from_the_box_wait_and_then_say_what_they_mean(phone, web_server)


def a_shower_by_touch(phone, at_the_job) -> None:
    phone.goto(at_the_job)
    fingers, begun = Fingers(phone), time.monotonic()
    fingers.tap(phone.get_by_role("link", name="Enter a room"))
    fingers.tap(phone.get_by_role("link", name="Shower, three walls", exact=True))
    fingers.tap("#id_surface-0-width")
    # The phone's own keyboard stays away.
    assert phone.get_attribute("#id_surface-0-width", "inputmode") == "none"
    for text in ("36", "96 1/2", "9/16", "60"):
        fingers.length(text)
    phone.wait_for_selector("#shown-1 svg")
    assert (wrong(phone), runs_off(phone)) == ([], False)
    # Height and build-up are those of the wall before.
    for text in ("", "", "36"):
        fingers.length(text)
    fingers.pick("#id_tile-tile", "Slate, sawn")
    fingers.tap(".actions button[name=save]")
    phone.wait_for_url("**/layout/")
    phone.wait_for_selector(".drawings svg")
    assert fingers.taps <= MOST_TAPS
    # Under two minutes: what the pages took here, and a hand that thinks before each of its taps.
    assert fingers.taps * SECONDS_A_TAP + time.monotonic() - begun < 120
    walls = Room.objects.get().surfaces.all()
    inches = [[round(float(part) / 25.4, 4) for part in wall.outline[2]] for wall in walls]
    assert inches == [[36, 96.5], [60, 96.5], [36, 96.5]]


def other_shapes_by_touch(phone, new) -> None:
    fingers = Fingers(phone)
    for shape, lengths in SHAPES.items():
        phone.goto(f"{new}?shape={shape}")
        fingers.tap(phone.locator("input[data-length]").first)
        for text in lengths:
            fingers.length(text)
        fingers.pick("#id_tile-tile", "Slate, sawn")
        fingers.tap(".actions button[name=save]")
        phone.wait_for_url("**/layout/", wait_until="commit")


def keys_fill_and_take_back(phone, new) -> None:
    phone.goto(f"{new}?shape=wall")
    fingers, width = Fingers(phone), "#id_surface-0-width"
    fingers.tap(width)

    def press(*names: str) -> str:
        for name in names:
            fingers.tap(phone.locator(".keypad").get_by_role("button", name=name, exact=True))
        return phone.input_value(width)

    assert press("5", "feet", "3", "1/2") == "5' 3 1/2"
    assert press("1/16") == "5' 3 1/16"
    # After a fraction there is nothing to add but another fraction.
    assert press("7") == "5' 3 1/16"
    assert press("Take the last one away", "Take the last one away") == "5'"
    assert press("minus") == "-5'"
    # A field that is touched again begins anew.
    fingers.tap("#id_surface-0-height")
    fingers.tap(width)
    assert press("9") == "9"
    fingers.tap(phone.get_by_role("button", name="Keyboard"))
    assert phone.get_attribute(width, "inputmode") == ""
    assert not phone.locator(".keypad:visible").count()
    phone.keyboard.type(" 1/4")
    phone.keyboard.press("Enter")
    assert phone.evaluate("document.activeElement.id") == "id_surface-0-height"
    assert phone.input_value(width) == "9 1/4"


def go_to(page, field: str) -> None:
    """By the tabulator, as far as it takes."""
    for _ in range(120):
        if page.evaluate("document.activeElement.id || document.activeElement.name") == field:
            return
        page.keyboard.press("Tab")
    pytest.fail(f"no tab leads to {field}")


def every_shape_by_keyboard(page, new) -> None:
    for shape, lengths in {"shower": SHOWER, **SHAPES}.items():
        page.goto(f"{new}?shape={shape}")
        go_to(page, page.locator("input[data-length]").first.get_attribute("id"))
        for text in lengths:
            # As typed over a length that stands there already; Enter goes on to the next.
            if text:
                page.keyboard.press("ControlOrMeta+a")
                page.keyboard.type(text)
            page.keyboard.press("Enter")
        assert not page.locator(".keypad:visible").count()
        if shape == "shower":
            page.wait_for_selector("#shown-2 svg")
            assert (wrong(page), runs_off(page)) == ([], False)
        go_to(page, "id_tile-tile")
        page.keyboard.type("Slate")
        go_to(page, "save")
        page.keyboard.press("Enter")
        page.wait_for_url("**/layout/", wait_until="commit")


def without_signal_it_waits_and_arrives_once(phone, web_server, new, at_the_job) -> None:
    phone.goto(f"{web_server}{reverse('home:today')}")
    phone.get_by_text("On this phone since").wait_for()
    phone.context.set_offline(True)
    phone.goto(f"{new}?shape=shower")
    fingers = Fingers(phone)
    fingers.tap("#id_surface-0-width")
    fingers.length("36")
    fingers.tap(phone.get_by_role("button", name="Add an opening").first)
    phone.get_by_text("drawn once it is sent").wait_for()
    fingers.tap(phone.get_by_role("button", name="Remove the opening"))
    fingers.tap(".actions button[name=save]")
    phone.get_by_text("not sent yet").first.wait_for()
    assert states(phone)[-1] == "waiting"
    assert not Unfinished.objects.exists()
    phone.context.set_offline(False)
    phone.evaluate("dispatchEvent(new Event('online'))")
    wait_for_states(phone, *["sent"] * len(states(phone)))
    assert Unfinished.objects.get().typed["surface-0-width"] == "36"
    phone.goto(at_the_job)
    phone.get_by_role("region", name="Shower").last.get_by_role("link", name="Shower", exact=True).click()
    phone.get_by_role("heading", name="Kept unfinished").wait_for()
    assert phone.input_value("#id_surface-0-width") == "36"
    assert wrong(phone) == []


def on_the_phone(phone, page: str) -> None:
    """Opens the page, and waits until the phone has it as it is now: that comes after the page is shown."""
    phone.goto(page)
    until = time.monotonic() + 15
    while not phone.evaluate("async (page) => Boolean(await caches.match(page, { ignoreVary: true }))", page):
        assert time.monotonic() < until, page
        phone.wait_for_timeout(50)


def with_signal_again(phone) -> None:
    phone.context.set_offline(False)
    phone.evaluate("dispatchEvent(new Event('online'))")
    wait_for_states(phone, *["sent"] * len(states(phone)))


def a_change_without_signal_stays_in_its_page_and_arrives_once(phone, web_server) -> None:
    room = Room.objects.earliest("created_at")
    page = f"{web_server}{reverse('rooms:edit', args=[room.pk])}"
    on_the_phone(phone, page)
    phone.context.set_offline(True)
    phone.goto(page)
    fingers = Fingers(phone)
    fingers.tap("#id_surface-0-width")
    fingers.length("37")
    fingers.tap(phone.get_by_role("button", name="Remove this room"))
    phone.get_by_text("can be removed only with signal").wait_for()
    fingers.tap(".actions button[name=save]")
    phone.get_by_text("not sent yet").first.wait_for()
    # Opened again it is as it was left, and goes on from there.
    phone.goto(page)
    phone.locator(".on-phone").wait_for()
    assert phone.input_value("#id_surface-0-width") == "37"
    phone.fill("#id_room-name", "Guest shower")
    fingers.tap(".actions button[name=save]")
    phone.locator(".on-phone").nth(1).wait_for()
    assert (states(phone)[-2:], runs_off(phone), wrong(phone)) == (["waiting", "waiting"], False, [])
    assert not PhoneSave.objects.exists()
    with_signal_again(phone)
    room.refresh_from_db()
    corner = room.surfaces.first().outline[1]
    assert (room.name, float(corner[0]) / 25.4) == ("Guest shower", 37)
    assert (PhoneSave.objects.count(), Unfinished.objects.filter(room=room).count()) == (2, 0)
    # What was added with signal and saved without isn't on the page as the phone has it: nothing goes on from there.
    on_the_phone(phone, page)
    # A slow server's page takes the kept one's place.
    wait_until(phone, "document.getElementById('id_room-name')?.value === 'Guest shower'")
    phone.get_by_role("button", name="Add an opening").first.tap()
    phone.locator("#id_surface-0-opening-0-width").wait_for()
    phone.context.set_offline(True)
    phone.locator(".actions button[name=save]").tap()
    phone.get_by_text("not sent yet").first.wait_for()
    phone.goto(page)
    phone.get_by_text("has other walls or openings").wait_for()
    phone.locator(".actions button[name=save]").tap()
    phone.locator(".kept-not").wait_for()
    assert states(phone).count("waiting") == 1
    with_signal_again(phone)
    phone.locator("#id_surface-0-opening-0-width").wait_for()
    assert Unfinished.objects.filter(room=room).count() == 1


def tiles_from_the_box_wait_and_then_say_what_they_mean(phone, web_server) -> None:
    room = Room.objects.earliest("created_at")
    page = f"{web_server}{reverse('rooms:box', args=[room.pk])}"
    on_the_phone(phone, page)
    phone.context.set_offline(True)
    phone.goto(page)
    phone.select_option("#id_typed_in", "in")
    fingers = Fingers(phone)
    fingers.tap("#id_width-0")
    for key in ("1", "1", "13/16", "Next", "2", "3", "5/8", "Next"):
        fingers.tap(phone.locator(".keypad:visible").get_by_role("button", name=key, exact=True))
    # A bow is in millimeters, whatever the sides are in.
    for key in ("0", ".", "5", "minus"):
        fingers.tap(phone.locator(".keypad:visible").get_by_role("button", name=key, exact=True))
    read = {side: phone.input_value(f"#id_{side}-0") for side in ("width", "height", "bow")}
    assert read == {"width": "11 13/16", "height": "23 5/8", "bow": "-0.5"}
    phone.locator("h1").tap()
    fingers.tap("button[name=keep]")
    phone.get_by_text("It is judged when it is sent, not before").wait_for()
    assert not BoxReading.objects.exists()
    with_signal_again(phone)
    phone.locator("#says").get_by_text("1 tile says").wait_for()
    (kept,) = BoxReading.objects.all()
    # 25.4 mm an inch (NIST SP 811): 11 13/16 in = 300.0375 mm.
    assert kept.pieces == [{"width": "300.0375 mm", "height": "600.075 mm", "bow": "-0.5 mm"}]
    assert (runs_off(phone), wrong(phone)) == (False, [])
