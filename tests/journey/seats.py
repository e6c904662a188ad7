"""Somebody of the story before a browser of their own."""

import io
import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from playwright.sync_api import Browser, Locator, Page, expect
from pypdf import PdfReader

from tests.support.browsers import PATIENCE

WIDTHS = {1280: 900, 390: 844}
# What a browser says on its console when a form comes back with what is wrong in it.
COMES_BACK = re.compile(r"status of (404|409|422)")


class Seat:
    """One browser context: cookies, width and console of one person.

    Whatever the console complains of is kept in `complaints`: an exception, a refusal by the content security policy.
    """

    def __init__(self, browser: Browser, url: str, *, width: int) -> None:
        self.url = url
        self.complaints: list[str] = []
        self.context = browser.new_context(
            viewport={"width": width, "height": WIDTHS[width]}, has_touch=width < 800, accept_downloads=True
        )
        self.context.set_default_timeout(PATIENCE)
        self.context.on("console", self._hear)
        self.context.on("weberror", lambda error: self.complaints.append(str(error.error)))
        self.page = self.context.new_page()

    def _hear(self, said: Any) -> None:
        if said.type == "error" and not COMES_BACK.search(said.text):
            self.complaints.append(said.text)

    def log_in(self, username: str, password: str) -> None:
        self.open("/")
        self.fill("Log-in name", username)
        self.fill("Password", password)
        self.press("Log in")
        expect(self.page.locator("form[action$='/logout/']").first).to_be_attached(timeout=PATIENCE)

    def open(self, path: str) -> None:
        self.page.goto(path if path.startswith("http") else self.url + path)

    def tab(self, path: str) -> Page:
        """The same person in a second tab."""
        page = self.context.new_page()
        page.goto(path)
        return page

    def goes_to(self, name: str, *, within: Locator | None = None) -> None:
        (within or self.page).get_by_role("link", name=name).first.click()

    def menu(self, name: str) -> None:
        self.page.get_by_role("navigation", name="Main").get_by_role("link", name=name, exact=True).first.click()

    def press(self, name: str, *, within: Locator | None = None) -> None:
        (within or self.page).get_by_role("button", name=name).first.click()

    def presses_all_the_same(self, name: str) -> None:
        """A button that says it is disabled (aria-disabled), and answers why to whoever presses it."""
        button = self.page.get_by_role("button", name=name)
        assert button.get_attribute("aria-disabled") == "true"
        button.click(force=True)

    def fill(self, label: str, text: str, *, within: Locator | None = None) -> None:
        self.field(label, within=within).fill(text)

    def choose(self, label: str, option: str, *, within: Locator | None = None) -> None:
        self.field(label, within=within).select_option(label=option)

    def tick(self, label: str, *, within: Locator | None = None) -> None:
        self.field(label, within=within).check()

    def attach(self, label: str, name: str, kind: str, data: bytes, *, within: Locator | None = None) -> None:
        self.field(label, within=within).set_input_files({"name": name, "mimeType": kind, "buffer": data})

    def field(self, label: str, *, within: Locator | None = None) -> Locator:
        """The field of this label, behind which may stand its unit, or that it is optional."""
        return (within or self.page).get_by_label(re.compile(rf"^\s*{re.escape(label)}(,.*|\s+optional)?\s*$")).first

    def group(self, name: str, *, within: Locator | None = None) -> Locator:
        return (within or self.page).get_by_role("group", name=name, exact=True)

    def part(self, name: str) -> Locator:
        """A section of the page by its heading or label."""
        return self.page.get_by_role("region", name=name)

    def reads(self, *texts: str, within: Locator | None = None) -> None:
        """Each of the texts stands on the page for everybody to see."""
        for text in texts:
            expect((within or self.page.locator("body")).get_by_text(text).first).to_be_visible(timeout=PATIENCE)

    def never_reads(self, text: str) -> None:
        expect(self.page.get_by_text(text)).to_have_count(0)

    def title(self) -> str:
        return self.page.locator("h1").inner_text()

    def pdf(self, link: str) -> str:
        """The text of the PDF behind a link, with single spaces."""
        href = self.page.get_by_role("link", name=link).get_attribute("href")
        answer = self.page.request.get(self.url + str(href))
        assert answer.headers["content-type"] == "application/pdf"
        return text_of(answer.body())

    @contextmanager
    def without_loading_again(self) -> Iterator[None]:
        """What happens inside changes this page, and doesn't bring a new one in its place."""
        self.page.evaluate("window.sameAsBefore = true")
        yield
        assert self.page.evaluate("window.sameAsBefore") is True


def text_of(pdf: bytes) -> str:
    pages = PdfReader(io.BytesIO(pdf)).pages
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pages))
