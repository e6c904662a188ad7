"""Chromium at the shop's address in its network: with the shop's own certificate the day goes along, without one the
page says that it can't. The name is looked up as 127.0.0.1, so that nothing here depends on the machine's network."""

import ssl
import urllib.request
from base64 import b64encode
from hashlib import sha256
from ipaddress import IPv4Address

import pytest
from axe_playwright_python.sync_playwright import Axe
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

from config.lan import START
from config.launcher.certificates import Names, prepare_certificates
from config.launcher.install import chromium_path
from config.launcher.lan import Lan
from tests.factories import PASSWORD
from tests.support.browsers import ARGUMENTS, PATIENCE
from tests.support.databases import ROOT
from tests.support.services import Process, _environment, free_port

HOST = "shop.local"


def serve(own_database, media, log, **env):
    return Process(
        ["gunicorn", "-c", str(ROOT / "config/gunicorn_conf.py")],
        env=_environment(own_database, "memory://", **{"MEDIA_ROOT": str(media), "WEB_WORKERS": "1"} | env),
        log=log,
        ready=lambda said: "Booting worker" in said,
    )


@pytest.fixture
def lan(own_database, media, tmp_path):
    names = Names(IPv4Address("127.0.0.1"), HOST)
    made = Lan(names, free_port(), prepare_certificates(tmp_path / "phones", names))
    server = serve(own_database, media, tmp_path / "web.log", **made.environment(), **made.secure_environment())
    server.start()
    yield made
    server.stop()


@pytest.fixture
def phone(browser):
    """Opens pages in a Chromium that looks HOST up as this machine and takes the server key that is named to it, in
    the place of a person who turned the certificate on: this Chromium has no settings to do that in."""
    running = []

    def open_page(server_key: str = ""):
        more = [f"--host-resolver-rules=MAP {HOST} 127.0.0.1", f"--ignore-certificate-errors-spki-list={server_key}"]
        chromium = browser.browser_type.launch(
            executable_path=chromium_path(), args=[*ARGUMENTS, *(more if server_key else more[:1])]
        )
        running.append(chromium)
        page = chromium.new_context(viewport={"width": 390, "height": 844}).new_page()
        page.set_default_timeout(PATIENCE)
        return page

    yield open_page
    for chromium in running:
        chromium.close()


def log_in(page, url) -> None:
    page.goto(f"{url}/login/")
    page.get_by_label("Log-in name").fill("rui")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Log in").click()
    page.locator("form[action$='/logout/']").first.wait_for(state="attached")


def key_of(made: Lan) -> str:
    public = x509.load_pem_x509_certificate(made.certificates.server.read_bytes()).public_key()
    return b64encode(sha256(public.public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)).digest()).decode()


def test_the_day_goes_along_and_opens_without_signal(lan, phone, installer):
    page = phone(key_of(lan))
    log_in(page, lan.addresses[1])
    page.get_by_text("On this phone since").wait_for()
    assert page.evaluate("isSecureContext")
    assert page.evaluate("navigator.serviceWorker.getRegistration().then((found) => found.active.state)") == "activated"
    assert all(cookie["secure"] for cookie in page.context.cookies())
    page.context.set_offline(True)
    page.goto(f"{lan.addresses[1]}/today/")
    page.get_by_text("No signal.").wait_for()
    page.get_by_role("heading", name="Today", exact=True).wait_for()


@pytest.mark.parametrize("width", [360, 390, 1280])
def test_the_three_steps_can_be_read_by_everybody(lan, phone, width):
    """WCAG 2.2 as far as axe judges it; the targets by the house's own measure of 48 px."""
    page = phone(key_of(lan))
    page.set_viewport_size({"width": width, "height": 844})
    page.goto(f"{lan.addresses[1]}{START}")
    found = Axe().run(page)
    assert len(found.response["passes"]) > 10
    assert [(fault["id"], fault["nodes"][0]["html"]) for fault in found.response["violations"]] == []
    assert page.evaluate("document.documentElement.scrollWidth") == width
    for link in page.get_by_role("main").get_by_role("link").all():
        assert link.bounding_box()["height"] >= 47.5
    with page.expect_download() as download:
        page.get_by_role("link", name="Get the certificate").first.click()
    assert download.value.suggested_filename == "shop.crt"


def test_chromium_itself_does_not_take_a_certificate_that_nobody_turned_on(lan, phone):
    with pytest.raises(Exception, match="ERR_CERT_AUTHORITY_INVALID"):
        phone().goto(f"{lan.addresses[1]}/login/")


def test_a_client_that_trusts_the_authority_verifies_the_name(lan):
    """Python's `ssl` (OpenSSL), which knows nothing of exceptions."""
    context = ssl.create_default_context(cadata=lan.certificates.authority.read_bytes())
    with urllib.request.urlopen(f"{lan.addresses[0]}/alive/", context=context, timeout=10) as answer:
        assert answer.status == 200
    with pytest.raises(urllib.error.URLError, match="certificate is not valid for 'localhost'"):
        urllib.request.urlopen(f"https://localhost:{lan.port}/alive/", context=context, timeout=10)


def test_a_plain_address_in_the_network_says_that_nothing_goes_along_and_what_to_do(
    own_database, media, tmp_path, phone, installer
):
    port = free_port()
    url = f"http://{HOST}:{port}"
    server = serve(own_database, media, tmp_path / "web.log", PUBLIC_URL=url, WEB_BIND=f"127.0.0.1:{port}")
    server.start()
    try:
        page = phone()
        log_in(page, url)
        page.get_by_text("At this address nothing can be taken along").wait_for()
        assert page.get_by_text("under Settings, Phones.").count() == 1
    finally:
        server.stop()
