"""How long after a key on a line's handle the picture, the cuts and the warnings follow.

Called by `benchmarks.pages`, which prints it. `nudge` measures in a browser; its baseline is the load of the same page
in the same run. `work` measures the server's share alone, in processor time, beside that of `/alive/`, which does
nothing but answer. So a slow machine and a busy one give comparable figures. The browser's part needs Playwright and
Chromium, as the tests do.
"""

import shutil
import statistics
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from decimal import Decimal
from socketserver import ThreadingMixIn
from typing import Any
from wsgiref.simple_server import WSGIRequestHandler, WSGIServer, make_server

from django.conf import settings
from django.core.wsgi import get_wsgi_application
from django.test import Client
from django.urls import reverse

from rooms.files import layout_input
from rooms.laying import lay
from rooms.models import Room
from rooms.queries import room_with_parts, shop_unit
from rooms.showing import lines_at
from rooms.varying import read_asked

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
        # A busy machine is slow, not broken.
        page.set_default_timeout(180_000)
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


@dataclass(frozen=True, slots=True)
class Work:
    """Medians of processor time in milliseconds: of `/alive/`, and of the exact answer to a line moved 1/16 in."""

    alive: float
    across: float
    up: float
    """The level line: every surface that hangs on it is laid anew."""


def work(client: Client, room: Room) -> Work:
    """Measure what a move costs the server, as the client's person. Raises layout.RoomError as `lay`."""
    laid = lay(layout_input(room_with_parts(room), units=shop_unit()))
    # The lines as they stand when the hand takes hold, with what the option changes.
    lines = lines_at(laid)
    asked = read_asked({}, unit="mm").with_changes(laid.result.option.changes, laid.room)
    address = reverse("rooms:nudge", args=[room.pk])

    def ask(line: tuple[str, int], step: int) -> None:
        moved = {**lines, line: lines[line] + step * Decimal("1.5875")}
        answer = client.get(address, asked.by_hand(moved).query())
        assert answer.status_code == 200, answer.content

    across, up = (next(line for line in lines if line[0] == axis) for axis in "xy")
    return Work(
        _median(lambda _step: client.get(reverse("shop:alive"))),
        _median(lambda step: ask(across, step)),
        _median(lambda step: ask(up, step)),
    )


def _median(request: Callable[[int], object]) -> float:
    """Median milliseconds of processor time of TIMES calls, each at another step, after one that isn't counted."""
    request(0)
    times = []
    for step in range(1, TIMES + 1):
        start = time.process_time()
        request(step)
        times.append((time.process_time() - start) * 1000)
    return statistics.median(times)


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
