"""Where links can be opened, and the owner's button that tries the address."""

import threading
import time
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, HTTPServer
from urllib.parse import parse_qs, urlsplit

import pytest
from django.urls import reverse

from shop import reach
from shop.reach import alive_answer, link_reach

# The sources: RFC 1122 3.2.1.3 and RFC 4291 2.5.3 (loopback), RFC 1918 and RFC 4193 (private), RFC 3927 and
# RFC 4291 2.5.6 (link-local), RFC 6598 (100.64/10), RFC 6762 (.local), RFC 8375 (home.arpa), RFC 6761 (localhost).
HOSTS = {
    "http://localhost:8000": "this machine",
    "http://shop.localhost": "this machine",
    "http://LOCALHOST": "this machine",
    "http://127.0.0.1:8000": "this machine",
    "http://127.8.9.10": "this machine",
    "http://[::1]:8000": "this machine",
    "http://[::ffff:127.0.0.1]": "this machine",
    "http://0.0.0.0:8000": "this machine",
    "http://192.168.1.20:8000": "this network",
    "http://10.0.0.4": "this network",
    "http://172.31.255.254": "this network",
    "http://169.254.7.7": "this network",
    "http://100.64.0.1": "this network",
    "https://[fd12:3456::1]": "this network",
    "https://[fe80::1%25eth0]": "this network",
    "http://shop.local": "this network",
    "http://shop.local.": "this network",
    "http://tile.home.arpa": "this network",
    "http://shop": "this network",
    "http://172.32.0.1": "everywhere",
    "https://tile.example.com": "everywhere",
    "https://notlocal.example.com": "everywhere",
    "https://8.8.8.8": "everywhere",
    "https://[2606:4700::1111]": "everywhere",
}


@pytest.mark.parametrize(("url", "level"), HOSTS.items())
def test_an_address_says_how_far_its_links_go(url, level, settings):
    settings.PUBLIC_URL = url
    assert link_reach().level == level
    assert url in link_reach().sentence


@contextmanager
def listening(answer):
    """A server on this machine that lets `answer(handler)` answer; yields its address."""

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self):
            answer(self)

        def log_message(self, *args):
            pass

    server = HTTPServer(("127.0.0.1", 0), Handler)
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05})
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


def say(handler, body: str, *, status: int = 200, **headers: str) -> None:
    handler.send_response(status)
    for name, value in headers.items():
        handler.send_header(name, value)
    handler.end_headers()
    handler.wfile.write(body.encode())


def proof(handler) -> None:
    url = urlsplit(handler.path)
    assert url.path == "/alive/"
    say(handler, f"ok {alive_answer(parse_qs(url.query)['say'][0])}")


def test_this_shop_is_known_by_what_only_it_can_say(settings):
    with listening(proof) as settings.PUBLIC_URL:
        seen = reach.test_address()
    assert seen.ours
    assert "this machine only" in seen.sentence


@pytest.mark.parametrize(
    ("answer", "says"),
    [
        (lambda handler: say(handler, "ok"), "wasn't this shop's"),
        (lambda handler: say(handler, f"ok {alive_answer('replayed')}"), "wasn't this shop's"),
        (lambda handler: say(handler, "x" * 10_000_000), "wasn't this shop's"),
        (lambda handler: say(handler, "no", status=404), "404"),
        (lambda handler: say(handler, "", status=302, Location="http://127.0.0.1:1/"), "302"),
        (lambda handler: handler.wfile.write(b"SSH-2.0\r\n"), "can't be reached"),
    ],
    ids=["another", "replayed", "endless", "404", "redirect", "no http"],
)
def test_anything_else_is_told_as_what_was_seen(settings, answer, says):
    with listening(answer) as settings.PUBLIC_URL:
        seen = reach.test_address()
    assert not seen.ours
    assert says in seen.sentence


def test_an_address_that_does_not_answer_takes_about_three_seconds(settings):
    with listening(lambda handler: time.sleep(5)) as settings.PUBLIC_URL:
        began = time.monotonic()
        seen = reach.test_address()
        took = time.monotonic() - began
    assert not seen.ours
    assert "within 3 seconds" in seen.sentence
    assert 2.5 < took < 4.5


@pytest.mark.parametrize("url", ["http://127.0.0.1:1", "http://no-such-host.invalid", "ftp://[", "http://"])
def test_an_address_where_nothing_is_ends_in_a_sentence(settings, url):
    settings.PUBLIC_URL = url
    assert not reach.test_address().ours


@pytest.mark.django_db
def test_the_owner_tries_the_address_by_a_button(as_owner, settings):
    with listening(proof) as settings.PUBLIC_URL:
        answer = as_owner.post(reverse("shop:settings"), {"test_address": ""}, follow=True)
    assert "This shop answered" in answer.text


@pytest.mark.django_db
def test_the_office_cannot_make_the_server_ask_around(as_office, monkeypatch):
    monkeypatch.setattr("shop.office.test_address", lambda: pytest.fail("asked"))
    assert as_office.post(reverse("shop:settings"), {"test_address": ""}).status_code == 403


@pytest.mark.django_db
def test_the_sign_of_life_needs_no_log_in_and_is_never_cached(client):
    answer = client.get(reverse("shop:alive"))
    assert (answer.status_code, answer.text) == (200, "ok")
    assert "no-store" in answer.headers["Cache-Control"]
    assert client.get(reverse("shop:alive"), {"say": "abc"}).text == f"ok {alive_answer('abc')}"
    assert client.get(reverse("shop:alive"), {"say": "x" * 65}).status_code == 400


@pytest.mark.django_db
def test_the_banner_shows_only_where_links_do_not_go_everywhere(as_owner, rf, owner, settings):
    from django.template import engines

    request = rf.get("/")
    request.user = owner
    banner = engines["django"].from_string('{% include "shop/_reach.html" %}')
    settings.PUBLIC_URL = "https://tile.example.com"
    assert banner.render({}, request).strip() == ""
    settings.PUBLIC_URL = "http://192.168.1.20:8000"
    assert "in this network only" in banner.render({}, request)
