"""A PIN is asked for before a page is shown: at reopening, after ten minutes out of sight, with signal or without."""

import base64
import hashlib
import json
import re

import pytest
from django.templatetags.static import static
from django.urls import reverse

from tests.factories import PASSWORD
from tests.inspections.opening import open_phases_of
from tests.inspections.phones import log_in, log_out, phase_url, states, wait_for_states
from tests.support.browsers import PATIENCE, let_in

PIN = "730182"
AT_LOG_IN = re.compile(r"/login/\?next=%2Ftoday%2F$")
RECORD = "JSON.parse(Object.entries(localStorage).find(([name]) => name.startsWith('gaugerod-pin:'))?.[1] ?? 'null')"
PAGES = "caches.open('pages').then((cache) => cache.keys()).then((keys) => keys.length)"
SET_HIDDEN = """(hidden) => {
    const state = hidden ? "hidden" : "visible";
    Object.defineProperty(document, "visibilityState", { value: state, configurable: true });
    document.dispatchEvent(new Event("visibilitychange"));
}"""
SMALL = """() => [...document.querySelectorAll(":is(#lock, main, .fieldbar) :is(a, button, input)")]
    .filter((each) => each.checkVisibility()).map((each) => [each.outerHTML, each.getBoundingClientRect()])
    .filter(([, box]) => box.width < 47.9 || box.height < 47.9).map(([html]) => html)"""


@pytest.fixture
def phases(own_database, room, owner):
    return open_phases_of(room)


@pytest.fixture
def context(browser, web_server, phases):
    context = browser.new_context(viewport={"width": 360, "height": 740})
    context.set_default_timeout(PATIENCE)
    errors: list[str] = []
    context.on("weberror", lambda found: errors.append(str(found.error)))
    yield context
    context.close()
    assert errors == []


@pytest.fixture
def phone(context, web_server, installer):
    """A page of Rui's, who has set a PIN here, at Today with the day on the phone."""
    page = context.new_page()
    let_in(context, installer, web_server)
    page.goto(f"{web_server}/pin/")
    set_pin(page, PIN)
    page.get_by_text("The PIN is set.").wait_for()
    page.goto(f"{web_server}/today/")
    page.get_by_text("On this phone since").wait_for()
    return page


def set_pin(page, pin: str, again: str | None = None) -> None:
    page.get_by_label("New PIN").fill(pin)
    page.get_by_label("The same again").fill(pin if again is None else again)
    page.get_by_role("button", name="Set the PIN").click()


def enter(page, pin: str) -> None:
    page.get_by_label("Your PIN").fill(pin)
    page.get_by_role("button", name="Open", exact=True).click()


def reopened(context, address: str):
    """The page after the phone closed the browser: the tab's own memory is empty."""
    page = context.new_page()
    page.goto(address)
    return page


def is_hidden(page) -> bool:
    """Nothing but the question for the PIN is to be seen."""
    page.locator("#lock[open]").wait_for()
    return page.evaluate(
        "[...document.body.children].filter((each) => each.checkVisibility()).every((each) => each.id === 'lock')"
    )


def tick(page, phase):
    return page.locator(f"#check-{phase.checks.filter(kind='tick').first().pk}").get_by_role("button", name="It is so")


def test_a_reopened_page_shows_nothing_before_the_pin(context, phone):
    page = reopened(context, phone.url)
    assert is_hidden(page)
    assert page.evaluate(SMALL) == []
    page.keyboard.press("Escape")
    page.keyboard.press("Escape")
    assert is_hidden(page)
    enter(page, "730183")
    page.get_by_text("Wrong PIN. 4 tries left.").wait_for()
    assert is_hidden(page)
    page.reload()
    assert is_hidden(page)
    enter(page, PIN)
    page.get_by_role("heading", name="Today").wait_for()
    assert page.evaluate(SMALL) == []
    # Until it's closed: other pages of the day ask no more, and the wrong try is forgiven.
    page.goto(phone.url.replace("/today/", "/pin/"))
    page.get_by_role("heading", name="PIN on this phone").wait_for()
    assert page.evaluate(f"{RECORD}.tries") == 0
    assert page.evaluate(SMALL) == []


def test_it_is_asked_for_and_judged_without_signal(context, phone):
    context.set_offline(True)
    page = reopened(context, phone.url)
    assert is_hidden(page)
    enter(page, PIN)
    page.get_by_role("heading", name="Today").wait_for()


@pytest.mark.parametrize(("minutes", "asks"), [(9, False), (11, True)])
def test_ten_minutes_out_of_sight_ask_for_it(phone, minutes, asks):
    phone.clock.install()
    phone.reload()
    phone.get_by_role("heading", name="Today").wait_for()
    phone.evaluate(SET_HIDDEN, True)
    phone.clock.fast_forward(minutes * 60_000)
    phone.evaluate(SET_HIDDEN, False)
    assert phone.evaluate("document.documentElement.classList.contains('locked')") is asks
    assert phone.locator("#lock").is_visible() is asks
    if asks:
        enter(phone, PIN)
        phone.get_by_role("heading", name="Today").wait_for()


def test_a_page_in_use_is_never_locked(phone):
    phone.clock.install()
    phone.reload()
    phone.get_by_role("heading", name="Today").wait_for()
    for _ in range(3):
        phone.clock.run_for(5 * 60_000)
    assert phone.get_by_role("heading", name="Today").is_visible()


def test_what_waits_is_sent_behind_the_question(context, phone, phases, web_server):
    phone.goto(phase_url(web_server, phases[0]))
    context.set_offline(True)
    tick(phone, phases[0]).click()
    wait_for_states(phone, "waiting")
    phone.close()
    context.set_offline(False)
    page = reopened(context, f"{web_server}/today/")
    assert is_hidden(page)
    wait_for_states(page, "sent")
    assert is_hidden(page)


def test_five_wrong_pins_end_the_log_in_and_lose_nothing(context, phone, phases, web_server):
    phone.goto(phase_url(web_server, phases[0]))
    phone.route("**/checks/*/entry/", lambda route: route.abort())
    tick(phone, phases[0]).click()
    wait_for_states(phone, "waiting")
    phone.close()
    context.route("**/checks/*/entry/", lambda route: route.abort())
    page = reopened(context, f"{web_server}/today/")
    for says in ("4 tries left", "3 tries left", "2 tries left", "One try left"):
        enter(page, "111222")
        page.get_by_text(says).wait_for()
    enter(page, "111222")
    page.wait_for_url(AT_LOG_IN)
    assert states(page) == ["waiting"]
    assert page.evaluate(PAGES) == 0
    # The session is over: the server shows nothing either.
    assert page.request.get(f"{web_server}/today/", max_redirects=0).status == 302
    context.unroute("**/checks/*/entry/")
    page.get_by_label("Log-in name").fill("rui")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Log in").click()
    page.get_by_role("heading", name="Today").wait_for()
    wait_for_states(page, "sent")
    # The PIN is the same, with five tries.
    assert page.evaluate(f"{RECORD}.tries") == 0
    assert is_hidden(reopened(context, page.url))


def test_five_wrong_pins_without_signal_show_nothing_until_a_log_in(context, phone):
    context.set_offline(True)
    page = reopened(context, phone.url)
    for says in ("4 tries left", "3 tries left", "2 tries left", "One try left"):
        enter(page, "111222")
        page.get_by_text(says).wait_for()
    enter(page, "111222")
    page.get_by_text("Too many wrong PINs.").wait_for()
    assert page.get_by_label("Your PIN").is_hidden()
    assert page.evaluate(PAGES) == 0
    phone.close()
    context.set_offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    page.wait_for_url(AT_LOG_IN)


def test_a_forgotten_pin_is_replaced_after_a_log_in(context, phone, web_server):
    page = reopened(context, phone.url)
    page.get_by_role("button", name="Log in with the password").click()
    page.wait_for_url("**/login/**")
    log_in(page, web_server)
    page.locator(".fieldbar").get_by_text("More").click()
    page.get_by_role("link", name="PIN").click()
    set_pin(page, "9075")
    page.get_by_text("The PIN is set.").wait_for()
    other = reopened(context, phone.url)
    enter(other, "9075")
    other.get_by_role("heading", name="Today").wait_for()


def test_without_signal_a_forgotten_pin_opens_nothing_and_says_why(context, phone):
    context.set_offline(True)
    page = reopened(context, phone.url)
    page.get_by_role("button", name="Log in with the password").click()
    page.get_by_text("No signal: the password").wait_for()
    assert is_hidden(page)


def test_the_pin_of_one_person_is_not_asked_of_another(context, phone, web_server, other_installer):
    log_out(phone)
    phone.get_by_label("Log-in name").fill("marek")
    phone.get_by_label("Password").fill(PASSWORD)
    phone.get_by_role("button", name="Log in").click()
    phone.get_by_role("heading", name="Nothing for you today").wait_for()
    page = reopened(context, f"{web_server}/pin/")
    page.get_by_text("This phone asks for no PIN.").wait_for()
    assert not page.locator("#pin-remove").is_visible()


def test_a_removed_pin_is_asked_for_no_more(context, phone, web_server):
    phone.goto(f"{web_server}/pin/")
    phone.get_by_role("button", name="Remove the PIN").click()
    phone.get_by_text("asks for no PIN any more").wait_for()
    reopened(context, f"{web_server}/today/").get_by_role("heading", name="Today").wait_for()


@pytest.mark.parametrize(
    ("pin", "again", "says"),
    [
        ("730", "730", "Type 4 to 8 digits."),
        ("73o1", "73o1", "Type 4 to 8 digits."),
        ("5555", "5555", "guessed at once"),
        ("3456", "3456", "guessed at once"),
        ("7301", "7310", "The two PINs differ"),
    ],
)
def test_a_bad_pin_is_refused_in_words_and_stays_typed(context, web_server, installer, pin, again, says):
    page = context.new_page()
    let_in(context, installer, web_server)
    page.goto(f"{web_server}/pin/")
    set_pin(page, pin, again)
    page.get_by_role("alert").get_by_text(says).wait_for()
    assert page.get_by_label("New PIN").input_value() == pin
    assert page.evaluate(RECORD) is None


def test_the_pin_never_leaves_the_phone_and_is_not_kept_as_typed(context, web_server, installer):
    page = context.new_page()
    sent: list[str] = []
    page.on("request", lambda request: sent.append(f"{request.url} {request.post_data or ''}"))
    log_in(page, web_server)
    page.goto(f"{web_server}/pin/")
    set_pin(page, PIN)
    page.get_by_text("The PIN is set.").wait_for()
    page.goto(f"{web_server}/today/")
    page.get_by_text("On this phone since").wait_for()
    assert any(PASSWORD in line for line in sent)
    assert not any(PIN in line for line in sent)
    kept = page.evaluate(RECORD)
    assert PIN not in json.dumps(kept)
    # What is kept is what Python's own PBKDF2 makes of it.
    made = hashlib.pbkdf2_hmac("sha256", PIN.encode(), base64.b64decode(kept["salt"]), kept["rounds"])
    assert base64.b64encode(made).decode() == kept["hash"]
    # OWASP Password Storage Cheat Sheet, PBKDF2-HMAC-SHA256 (from memory).
    assert kept["rounds"] >= 600_000


# RFC 7914, section 11: PBKDF2-HMAC-SHA-256.
RFC_7914 = [
    (
        "passwd",
        "salt",
        1,
        "55ac046e56e3089fec1691c22544b605f94185216dde0465e68b9d57c20dacbc"
        "49ca9cccf179b645991664b39d77ef317c71b845b1e30bd509112041d3a19783",
    ),
    (
        "Password",
        "NaCl",
        80000,
        "4ddcd8f60b98be21830cee5ef22701f9641a4418d04c0414aeff08876b34ab56"
        "a1d425a1225833549adb841b51c9b3176a272bdebba1d078478f62b397f33c8d",
    ),
]
DERIVE = """async ([address, secret, salt, rounds]) => {
    const pin = await import(address);
    return pin.derive(secret, new TextEncoder().encode(salt), rounds, 64);
}"""


@pytest.mark.parametrize(("secret", "salt", "rounds", "expected"), RFC_7914)
def test_it_is_derived_as_the_standard_says(context, web_server, installer, secret, salt, rounds, expected):
    page = context.new_page()
    log_in(page, web_server)
    made = page.evaluate(DERIVE, [static("js/phone/pin.js"), secret, salt, rounds])
    assert base64.b64decode(made).hex() == expected


def test_a_phone_without_a_pin_is_asked_for_none(context, web_server, installer):
    page = context.new_page()
    log_in(page, web_server)
    reopened(context, f"{web_server}{reverse('home:today')}").get_by_role("heading", name="Today").wait_for()
