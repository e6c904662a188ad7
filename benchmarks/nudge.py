"""From a key on a line's handle to the picture and to the server's figures, in a browser.

Called by `benchmarks.pages`, which prints it. The baseline is the load of the same page in the same browser in the same
run, so that a slow machine and a busy one give comparable figures. Needs Playwright and Chromium, as the tests do.
"""

import shutil
import statistics
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from socketserver import ThreadingMixIn
from typing import Any
from wsgiref.simple_server import WSGIRequestHandler, WSGIServer, make_server

from django.conf import settings
from django.core.wsgi import get_wsgi_application
from django.test import Client

TIMES = 20

# Presses a key as a hand does; answers with milliseconds until the next picture, and until the server's figures.
_PRESS = """async (key) => {
  const picture = () => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)));
  const laying = document.querySelector(".laying"), handle = document.querySelector(".handle.ready");
  const start = performance.now();
  handle.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true, cancelable: true }));
  await picture();
  const shown = performance.now() - start;
  while (laying.dataset.state === "moving") await new Promise((done) => requestAnimationFrame(done));
  return [shown, performance.now() - start];
}"""


@dataclass(frozen=True, slots=True)
class Nudge:
    """Medians in milliseconds: the page's load, from key to picture, and from key to exact pieces and figures."""

    load: float
    picture: float
    exact: float


def nudge(client: Client, path: str) -> Nudge | None:
    """Measure the layout page at a path as the client's person; None where there is no browser."""
    chromium = shutil.which("chromium") or shutil.which("google-chrome")
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        return None
    if chromium is None:
        return None
    with _served() as url, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox", "--disable-dev-shm-usage"])
        context = browser.new_context(viewport={"width": 1280, "height": 900})
        name = settings.SESSION_COOKIE_NAME
        context.add_cookies([{"name": name, "value": client.cookies[name].value, "url": url}])
        page = context.new_page()
        loads = []
        for _ in range(4):
            page.goto(url + path, wait_until="load")
            loads.append(page.evaluate("performance.getEntriesByType('navigation')[0].loadEventEnd"))
        page.wait_for_selector(".handle.ready")
        pairs = [page.evaluate(_PRESS, key) for key in ["ArrowRight", "ArrowLeft"] * (TIMES // 2)]
        browser.close()
    pictures, exacts = zip(*pairs, strict=True)
    # The first load fills the memory and the browser's cache.
    return Nudge(statistics.median(loads[1:]), statistics.median(pictures), statistics.median(exacts))


class _Server(ThreadingMixIn, WSGIServer):
    daemon_threads = True


class _Quiet(WSGIRequestHandler):
    def log_message(self, *_args: Any) -> None:
        """Say nothing: the lines that are printed are figures."""


@contextmanager
def _served() -> Iterator[str]:
    """Serve the shop on a port of its own; gives the address."""
    server = make_server("127.0.0.1", 0, get_wsgi_application(), server_class=_Server, handler_class=_Quiet)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
