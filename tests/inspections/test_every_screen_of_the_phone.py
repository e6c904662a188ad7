"""Every screen an installer meets, on a small phone of 360 px, in English and in Spanish.

    SCREENSHOTS=/tmp/screens ./gaugerod test tests/inspections/test_every_screen_of_the_phone.py

leaves a picture of each there, to be looked at.
"""

import os
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse

from tests.inspections.screens import scene_of
from tests.look.test_pages_can_be_read_and_worked_by_everybody import TOO_SMALL
from tests.support.browsers import PATIENCE, let_in

PICTURES = os.environ.get("SCREENSHOTS", "")
# A square of the lifted tile's back: ten of them are the width of the phone, and the share can be typed instead.
# WCAG 2.2, 2.5.8, asks for 24 px. The unseen button is the one that Enter presses.
SMALL = f"""() => {{
    const small = ({TOO_SMALL})().filter((html) => !/class="unseen"|^<button type="button" aria-pressed/.test(html));
    const cells = [...document.querySelectorAll(".void-grid button")].filter((each) => each.checkVisibility());
    const tiny = cells.filter((each) => Math.min(each.offsetWidth, each.offsetHeight) < 24);
    return [...small, ...tiny.map((each) => each.outerHTML)];
}}"""
WIDE = "document.documentElement.scrollWidth - innerWidth"
BAR = "document.querySelector('.fieldbar')?.offsetHeight ?? 0"
# The colors of all pages: tests/journey/test_every_page_is_accessible.py. They are what takes longest.
AS_BUILT = {"rules": {"color-contrast": {"enabled": False}}}
# What axe finds that could be another in another language; colors and structure are the same.
IN_WORDS = {
    "runOnly": ["html-has-lang", "html-lang-valid", "document-title", "label", "link-name", "button-name", "image-alt"]
}
FOLDED = "document.querySelector('main details:not([open])') !== null"
OPEN_ALL = "document.querySelectorAll('main details').forEach((each) => (each.open = true))"

# Kept as static/js/phone/main.js keeps it: an entry that waits, one that was refused, one of somebody else.
KEEP = """async ([address, group, label, words]) => {
    const url = performance.getEntriesByType("resource").map(({ name }) => name)
        .find((name) => /\\/js\\/phone\\/store\\./.test(name));
    const store = await import(url);
    const person = document.getElementById("phone").dataset;
    const { user, name } = person;
    const item = {
        user, name, address, group, page: location.pathname, label, at: new Date().toISOString(),
        fields: [["value_0", "5/16"], ["note", words]], verdict: "fails", version: "1", state: "waiting", errors: null,
        sent: null, last: false, counted: true, photo: null,
    };
    await store.put({ ...item, key: store.newKey() });
    const errors = { __all__: ["Read it as 3/16 or 5 mm."] };
    await store.put({ ...item, key: store.newKey(), state: "parked", errors });
    await store.put({ ...item, key: store.newKey(), user: "another", name: "Marek Dunn" });
}"""


class Walk:
    """`look(name)` looks at what is shown, and keeps what is wrong with it; `show` only at its size and its targets."""

    def __init__(self, page, url: str, language: str) -> None:
        self.page, self.url, self.language, self.wrong = page, url, language, list[str]()

    def open(self, name: str, address: str) -> None:
        self.page.goto(self.url + address)
        if self.page.evaluate(FOLDED):
            self.show(name)
            self.page.evaluate(OPEN_ALL)
            name += "-opened"
        self.look(name, AS_BUILT)

    def show(self, name: str) -> None:
        if PICTURES:
            folder = Path(PICTURES, self.language)
            folder.mkdir(parents=True, exist_ok=True)
            self.page.screenshot(path=folder / f"{name}.png", full_page=True)
        if self.page.evaluate(WIDE) > 0:
            self.wrong.append(f"{name}: wider than the screen")
        if self.page.evaluate(BAR) > 50:
            self.wrong.append(f"{name}: the bar takes more than a line")
        self.wrong += [f"{name}: small: {html}" for html in self.page.evaluate(SMALL)]

    def look(self, name: str, rules: dict | None = None) -> None:
        self.show(name)
        found = Axe().run(self.page, options=(rules or {}) if self.language == "en" else IN_WORDS).response
        assert len(found["passes"]) >= (10 if self.language == "en" else 1)
        self.wrong += [f"{name}: {fault['id']}: {fault['nodes'][0]['html']}" for fault in found["violations"]]


@pytest.fixture
def scene(own_database, room, installer, other_installer, owner):
    return scene_of(room, installer=installer, other=other_installer, owner=owner)


@pytest.fixture
def small_phone(browser, web_server):
    """`small_phone(person)`: the person's page on a phone of 360 px with a touch screen, logged in."""
    contexts = []

    def of(person, **options):
        context = browser.new_context(
            viewport={"width": 360, "height": 740}, has_touch=True, service_workers="block", **options
        )
        context.set_default_timeout(PATIENCE)
        contexts.append(context)
        if person:
            let_in(context, person, web_server)
        return context.new_page()

    yield of
    for context in contexts:
        context.close()


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_screen_fits_and_can_be_worked(scene, small_phone, web_server, installer, language):
    installer.language = language
    installer.save(update_fields=["language"])
    stranger = Walk(small_phone(None, locale=language), web_server, language)
    stranger.open("log-in", f"{reverse('shop:login')}?next={reverse('home:today')}")
    walk = Walk(small_phone(installer), web_server, language)
    for name, address in scene.addresses().items():
        walk.open(name, address)
    walk.open("not-found", "/rooms/of-nobody/")
    walk.open("not-yours", reverse("home:week"))
    look_at_the_sheet_in_full(walk, scene)
    look_at_what_waits(walk, scene)
    look_at_the_question_for_the_pin(walk)
    assert stranger.wrong + walk.wrong == []


def look_at_the_sheet_in_full(walk, scene) -> None:
    page = walk.page
    page.goto(walk.url + scene.addresses()["sheet"])
    page.locator("#large-open button").click()
    page.locator("#large[open]").wait_for()
    walk.look("sheet-in-full")
    page.locator("#large [data-step=next]").click()
    walk.look("sheet-in-full-next")


def look_at_what_waits(walk, scene) -> None:
    """Without signal: on the card, on the list, and the bar above both."""
    page, phase = walk.page, scene.phases[1]
    check = phase.checks.get(key="substrate.short_plane")
    address = reverse("inspections:entry", args=[check.pk])
    of_phase = reverse("inspections:phase", args=[phase.pk])
    page.goto(walk.url + of_phase)
    page.route("**/phone/me/", lambda route: route.abort())
    page.evaluate(KEEP, [address, str(phase.pk), check.text, "at the left of the niche, behind the valve"])
    for name, address in (("phase-with-what-waits", of_phase), ("waiting-list", reverse("home:phone_waiting"))):
        page.goto(walk.url + address)
        page.locator("#phone-bar a:not(:empty)").wait_for()
        walk.look(name)
    page.locator(".fieldbar summary").click()
    walk.look("more")
    page.locator(".fieldbar .call").evaluate("(call) => (call.textContent += ' Guadalupe-Maximiliana')")
    walk.show("a-long-name")


def look_at_the_question_for_the_pin(walk) -> None:
    page = walk.page
    page.goto(walk.url + reverse("home:pin"))
    page.locator("#pin-first").fill("1234")
    page.locator("#pin-form .btn").click()
    walk.look("pin-refused")
    for name in ("#pin-first", "#pin-again"):
        page.locator(name).fill("730182")
    page.locator("#pin-form .btn").click()
    page.locator("#pin-remove").wait_for()
    walk.look("pin-set")
    page.evaluate("sessionStorage.clear()")
    page.goto(walk.url + reverse("home:today"))
    page.locator("#lock[open]").wait_for()
    walk.look("pin-asked")
    page.locator("#lock-pin").fill("1111")
    page.locator("#lock form .btn").click()
    page.locator("#lock-said:not([hidden])").wait_for()
    walk.look("pin-wrong")


def test_a_planted_fault_is_found(small_phone, web_server, installer):
    walk = Walk(small_phone(installer), web_server, "en")
    walk.page.goto(web_server + reverse("shop:language"))
    walk.page.evaluate("""() => {
        document.querySelector("main .btn").style.cssText = "min-height: 0; height: 30px; padding: 0";
        document.querySelector(".fieldbar").style.paddingTop = "48px";
        document.querySelector("main h1").style.cssText = "width: 400px; color: #bbb";
    }""")
    walk.look("planted")
    for fault in ("wider", "small", "more than a line", "color-contrast"):
        assert any(fault in each for each in walk.wrong), fault
