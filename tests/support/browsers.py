"""Chromium by Playwright. Where it is missing, browser tests are skipped with one line; under CI=true they fail."""

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest

from config.launcher.install import chromium_path, lacking_for_browser_tests

ARGUMENTS = ["--no-sandbox", "--disable-background-networking", "--no-first-run", "--disable-dev-shm-usage"]


PATIENCE = 60_000  # ms: everything of the stack runs on this machine, and the rest of the tests may, too


@pytest.fixture(scope="session")
def browser() -> Iterator:
    if lacking := lacking_for_browser_tests():
        say = f"For the browser tests something is missing: apt-get install {' '.join(lacking)}"
        if os.environ.get("CI") == "true":
            pytest.fail(say)
        pytest.skip(say)
    from playwright.sync_api import sync_playwright

    # Playwright's own loop runs in this thread, and Django refuses its database beside a loop unless told.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=chromium_path(), args=ARGUMENTS)
        yield running
        running.close()
    del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]


@contextmanager
def opened(browser, **options: Any) -> Iterator:
    """A page in a fresh profile; errors of the page's own scripts fail the test."""
    context = browser.new_context(**options)
    context.set_default_timeout(PATIENCE)
    page = context.new_page()
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    yield page
    context.close()
    assert errors == []


@pytest.fixture
def page(browser) -> Iterator:
    """A page in a fresh profile, 1280 px wide; errors of the page's own scripts fail the test."""
    with opened(browser, viewport={"width": 1280, "height": 900}, service_workers="allow") as page:
        yield page


def wait_until(page, script: str, arg: Any = None) -> None:
    """Until the script says, or promises, so.

    Playwright's own wait takes any promise for a yes, and asks an expression again in a way that the pages' policy
    refuses.
    """
    until = time.monotonic() + PATIENCE / 1000
    while not evaluated(page, script, arg):
        assert time.monotonic() < until, f"after {PATIENCE} ms not so: {script}"
        page.wait_for_timeout(50)


def evaluated(page, script: str, arg: Any = None) -> Any:
    """What the script says; a page that makes room for the next meanwhile is asked again."""
    from playwright.sync_api import Error

    try:
        return page.evaluate(script, arg)
    except Error as error:
        if "context was destroyed" not in str(error):
            raise
        page.wait_for_load_state()
        return page.evaluate(script, arg)


def the_day_is_kept(page) -> None:
    """All of the day's pages are on this phone: the surveys' and the photos', which come last, as well."""
    page.locator("#day-kept[aria-busy=false]").wait_for(timeout=PATIENCE)


def let_in(context, person, web_server: str) -> None:
    """As if the person had logged in there a while ago: by the session's cookie, without the form."""
    from django.conf import settings
    from django.test import Client

    client = Client()
    client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
    name = settings.SESSION_COOKIE_NAME
    context.add_cookies([{"name": name, "value": client.cookies[name].value, "url": web_server}])
