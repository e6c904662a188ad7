"""The layout sheet at the wall: one surface at a time, large, the screen kept on, with signal or without."""

import math

import pytest
from django.urls import reverse

from rooms.actions import choose_layout
from rooms.sheet import sheet_of
from tests.factories import PASSWORD
from tests.support.browsers import PATIENCE

# Stands for the phone's own (W3C, Screen Wake Lock API): what is held, and what was asked for.
WAKE_LOCK = """
window.asked = 0; window.held = new Set();
Object.defineProperty(navigator, "wakeLock", { value: { request: async () => {
    window.asked += 1;
    if (window.refuses) throw new DOMException("low battery", "NotAllowedError");
    const lock = new EventTarget();
    lock.release = async () => { held.delete(lock); lock.dispatchEvent(new Event("release")); };
    held.add(lock);
    return lock;
} } });
"""
# The page goes out of sight: the browser lets go of the lock, as the standard says, and tells the page.
HIDE = """() => {
    Object.defineProperty(document, "visibilityState", { value: "hidden", configurable: true });
    for (const lock of [...held]) lock.release();
    document.dispatchEvent(new Event("visibilitychange"));
}"""
SHOW = """() => { delete document.visibilityState; document.dispatchEvent(new Event("visibilitychange")); }"""
SMALL = """() => [...document.querySelectorAll("#large button, #large-open button")]
    .filter((each) => each.checkVisibility()).map((each) => each.getBoundingClientRect())
    .filter(({ width, height }) => width < 48 || height < 48).length"""
PULL = """([from, to]) => {
    const body = document.querySelector("#large .body");
    const touch = (x) => new Touch({ identifier: 1, target: body, clientX: x, clientY: 300 });
    const tell = (name, touches, at) =>
        body.dispatchEvent(new TouchEvent(name, { touches, changedTouches: [touch(at)], bubbles: true }));
    tell("touchstart", [touch(from)], from);
    tell("touchend", [], to);
}"""

# ISO 9241-303 asks for characters at least 16 minutes of arc high (from memory). An arm is taken as 0.7 m long, a CSS
# pixel of a phone as 1/160 in, the capitals of the face as 0.66 of its size (common practice, no source).
LEAST = 2 * 700 * math.tan(math.radians(16 / 60) / 2) / 0.66 / (25.4 / 160)


@pytest.fixture
def layout(own_database, room, owner):
    return choose_layout(room=room, option=1, why="", by=owner)


@pytest.fixture
def phone(browser, web_server, layout):
    """Opens the sheet as Rui on a phone of 360 px; errors of the page fail the test."""
    contexts, errors = [], []

    def open_sheet(*, before: str = WAKE_LOCK, **options):
        context = browser.new_context(viewport={"width": 360, "height": 740}, has_touch=True, **options)
        context.set_default_timeout(PATIENCE)
        context.add_init_script(before)
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: errors.append(str(error)))
        page.goto(f"{web_server}{reverse('shop:login')}")
        page.fill("input[name=username]", "rui")
        page.fill("input[name=password]", PASSWORD)
        page.press("input[name=password]", "Enter")
        page.locator("form[action$='/logout/']").first.wait_for(state="attached")
        page.goto(f"{web_server}{reverse('rooms:sheet', args=[layout.room_id])}")
        return page

    yield open_sheet
    for context in contexts:
        context.close()
    assert errors == []


def enter(page):
    page.get_by_role("button", name="Full screen, keep the screen on").click()
    page.locator("#large[open]").wait_for()


def heading(page) -> str:
    return page.locator("#large-name").inner_text()


def test_each_surface_stands_alone_with_its_own_cuts(phone, layout):
    page, sheet = phone(), sheet_of(layout)
    enter(page)
    cuts = [cut for tile in sheet.tiles for cut in tile.cuts]
    for number, surface in enumerate(sheet.surfaces, start=1):
        assert heading(page) == surface.name
        assert page.locator("#large .place").inner_text() == f"{number} / {len(sheet.surfaces)}"
        assert page.locator("#large svg").count() == 1
        own = [cut for cut in cuts if cut.surface == surface.name]
        assert page.locator(".large-cuts li").count() == len(own)
        shown = page.locator(".large-cuts li").first.inner_text()
        assert f"course {own[0].course}, tile {own[0].column}" in shown
        assert surface.name not in shown
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        assert page.locator("#large .body").evaluate("(body) => body.scrollWidth - body.clientWidth") == 0
        page.get_by_role("button", name="Next").click(force=True)
    assert heading(page) == sheet.surfaces[-1].name
    assert page.get_by_role("button", name="Next").get_attribute("aria-disabled") == "true"
    assert page.evaluate(SMALL) == 0


def test_the_sizes_can_be_read_at_arms_length(phone):
    page = phone()
    enter(page)
    for size in page.locator(".large-cuts b, .large table .n").all():
        assert size.evaluate("(e) => parseFloat(getComputedStyle(e).fontSize)") >= LEAST
    assert LEAST > 30  # the figures above weren't lost on the way


def test_the_screen_is_held_while_it_is_open_and_asked_for_again_after_a_call(phone):
    page = phone()
    assert page.evaluate("asked") == 0
    enter(page)
    page.get_by_text("The screen stays on.").wait_for()
    assert page.evaluate("held.size") == 1
    page.evaluate(HIDE)
    assert page.get_by_text("The screen stays on.").is_hidden()
    assert page.evaluate("held.size") == 0
    page.evaluate(SHOW)
    page.get_by_text("The screen stays on.").wait_for()
    assert (page.evaluate("asked"), page.evaluate("held.size")) == (2, 1)
    page.get_by_role("button", name="Close").click()
    assert page.evaluate("held.size") == 0
    # Closed, coming back into sight asks for nothing.
    page.evaluate(HIDE)
    page.evaluate(SHOW)
    assert page.evaluate("asked") == 2


@pytest.mark.parametrize(
    "before",
    [
        WAKE_LOCK + "window.refuses = true",
        "Object.defineProperty(navigator, 'wakeLock', { value: undefined })",
    ],
    ids=["refused", "not there"],
)
def test_where_the_screen_is_not_kept_on_it_says_so(phone, before):
    page = phone(before=before)
    enter(page)
    page.get_by_text("doesn’t let the page keep the screen on").wait_for()
    assert page.get_by_text("The screen stays on.").is_hidden()


def test_arrows_swipes_and_escape_do_as_the_buttons(phone, layout):
    page, names = phone(), [surface.name for surface in sheet_of(layout).surfaces]
    enter(page)
    page.keyboard.press("ArrowRight")
    assert heading(page) == names[1]
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("ArrowLeft")
    assert heading(page) == names[0]
    page.evaluate(PULL, [300, 100])
    assert heading(page) == names[1]
    page.evaluate(PULL, [200, 170])  # a thumb that rests
    assert heading(page) == names[1]
    page.evaluate(PULL, [100, 300])
    assert heading(page) == names[0]
    page.keyboard.press("Escape")
    page.locator("#large[open]").wait_for(state="detached")
    assert page.evaluate("[document.fullscreenElement, held.size]") == [None, 0]
    assert page.evaluate("document.activeElement.closest('#large-open') !== null")


def test_it_opens_without_signal(phone, layout):
    page = phone()
    page.evaluate("navigator.serviceWorker.ready.then(() => null)")
    page.reload(wait_until="networkidle")
    page.context.set_offline(True)
    page.reload()
    page.get_by_text("No signal.").wait_for()
    enter(page)
    assert heading(page) == sheet_of(layout).surfaces[0].name


def test_without_scripts_the_page_is_the_sheet(phone):
    page = phone(java_script_enabled=False)
    assert page.get_by_role("button", name="Full screen").is_hidden()
    page.get_by_role("heading", name="Cut list").wait_for()
