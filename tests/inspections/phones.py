"""A phone in a browser: Rui's, with the day on it, and what it keeps."""

import io
import time

import pytest
from django.urls import reverse
from PIL import Image

from tests.factories import PASSWORD
from tests.support.browsers import PATIENCE, evaluated, let_in, opened

ITEMS = """() => new Promise((resolve) => {
    const asked = indexedDB.open("gaugerod");
    asked.onsuccess = () => {
        const all = asked.result.transaction("items").objectStore("items").getAll();
        const short = ({ key, at, state, errors, verdict }) => ({ key, at, state, errors, verdict });
        all.onsuccess = () => {
            asked.result.close();
            resolve(all.result.map(short).sort((a, b) => a.at.localeCompare(b.at)));
        };
    };
})"""


@pytest.fixture
def phone(browser, web_server, installer):
    """A page of Rui's, logged in, 390 px wide, with the day on the phone."""
    with opened(browser, viewport={"width": 390, "height": 844}) as page:
        let_in(page.context, installer, web_server)
        page.goto(f"{web_server}/")
        page.get_by_text("On this phone since").wait_for()
        yield page


def log_in(page, web_server, username: str = "rui") -> None:
    page.goto(f"{web_server}/login/")
    page.get_by_label("Log-in name").fill(username)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Log in").click()
    page.locator("form[action$='/logout/']").first.wait_for(state="attached")


def log_out(page) -> None:
    page.locator(".fieldbar").get_by_text("More").click()
    page.get_by_role("button", name="Log out").click()


def kept(page) -> list[dict]:
    """What the phone keeps, oldest first."""
    return evaluated(page, ITEMS)


def states(page) -> list[str]:
    return [item["state"] for item in kept(page)]


def wait_for_states(page, *wanted: str) -> None:
    """The items on the phone come to be in these states, oldest first."""
    until = time.monotonic() + PATIENCE / 1000
    while states(page) != list(wanted):
        assert time.monotonic() < until, kept(page)
        page.wait_for_timeout(50)


def try_again(page) -> None:
    """What a phone does when its signal is back."""
    page.evaluate("dispatchEvent(new Event('online'))")


def phase_url(web_server, phase) -> str:
    return web_server + reverse("inspections:phase", args=[phase.pk])


def picture(size: tuple[int, int] = (1600, 1200)) -> dict:
    """A photo as a camera makes it: noise, which JPEG can't make small."""
    buffer = io.BytesIO()
    Image.effect_noise(size, 60).convert("RGB").save(buffer, "JPEG", quality=95)
    return {"name": "evidence.jpg", "mimeType": "image/jpeg", "buffer": buffer.getvalue()}


def enter(page, check, photo: dict | None = None) -> None:
    """Presses what proves a tick or a photo check on its card."""
    card = page.locator(f"#check-{check.pk}")
    if check.kind == "photo":
        with page.expect_file_chooser() as chooser:
            card.get_by_label("Photo").click()
        chooser.value.set_files(photo or picture((400, 300)))
        card.get_by_role("button", name="Keep the photo").click()
    else:
        card.get_by_role("button", name="It is so").click()
