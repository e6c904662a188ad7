"""The pages by which a phone gets onto the shop: what the office shows, what the phone is told."""

import hashlib
from ipaddress import IPv4Address

import pytest
from django.test import Client
from django.urls import reverse

from config.launcher.certificates import Names, prepare_certificates

pytestmark = pytest.mark.django_db


@pytest.fixture
def lan(settings, tmp_path):
    """The settings of a shop that was started with --lan."""
    made = prepare_certificates(tmp_path / "phones", Names(IPv4Address("192.168.1.20"), "shop.local"))
    settings.LAN_URLS = ["https://192.168.1.20:8443", "https://shop.local:8443"]
    settings.LAN_HELP_URL = "http://192.168.1.20:8444"
    settings.LAN_AUTHORITY = str(made.authority)
    return made


def page(user=None, name="home:phones") -> tuple[int, str]:
    client = Client()
    if user:
        client.force_login(user)
    response = client.get(reverse(name))
    return response.status_code, response.content.decode()


def test_the_office_sees_both_addresses_as_pictures_and_as_text(lan, office):
    status, text = page(office)
    assert status == 200
    assert 'alt="QR code of http://192.168.1.20:8444/phone/trust/"' in text
    assert 'alt="QR code of https://192.168.1.20:8443"' in text
    assert text.count("data:image/svg+xml") == 2
    assert lan.fingerprint in text


def test_an_installer_does_not_see_it(lan, installer):
    assert page(installer)[0] == 403


def test_where_phones_have_no_secure_address_it_says_so_and_what_to_do(office, settings):
    settings.PUBLIC_URL = "http://localhost:8000"
    _, text = page(office)
    assert "Phones can’t work without signal here yet" in text
    assert "./gaugerod start --lan" in text
    assert "data:image" not in text


def test_a_shops_server_with_a_name_of_its_own_shows_that_name_and_no_certificate(office, settings):
    settings.PUBLIC_URL = "https://tile.example.com"
    _, text = page(office)
    assert 'alt="QR code of https://tile.example.com"' in text
    assert "fingerprint" not in text


def test_whoever_is_in_the_network_gets_the_certificate_without_a_log_in(lan):
    status, text = page(name="home:trust")
    assert status == 200
    assert text.count("<li>") >= 8  # three steps for each kind of phone, and the two addresses
    response = Client().get(reverse("home:trust_authority"))
    assert response["Content-Type"] == "application/x-x509-ca-cert"
    assert hashlib.sha256(response.content).digest().hex(" ").upper() == lan.fingerprint
    assert b"PRIVATE" not in response.content
    # Whoever could put another certificate into a plain line could put its fingerprint there as well.
    assert lan.fingerprint not in text


def test_without_lan_there_is_no_certificate_to_get():
    assert page(name="home:trust")[0] == 404
    assert page(name="home:trust_authority")[0] == 404
