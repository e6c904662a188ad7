"""./gaugerod start --lan: HTTPS in the shop's network by its own certificate, and one plain page that explains it."""

import http.client
import socket
import ssl
import time
import urllib.error
import urllib.request
from concurrent.futures import ThreadPoolExecutor
from ipaddress import IPv4Address

import pytest
from django.http import HttpResponse

from config import gunicorn_conf, patient
from config.lan import START, only_help
from config.launcher.certificates import Names, prepare_certificates
from config.launcher.lan import _outgoing, host_name, lan_address
from config.launcher.start import check_port
from config.launcher.words import Trouble
from tests.support.services import free_port

HELP = "http://192.168.1.20:8444"


@pytest.fixture(scope="module")
def address() -> str:
    try:
        return _outgoing()
    except Trouble:
        pytest.skip("this machine is in no network: --lan can't be tried")


@pytest.fixture(scope="module")
def lan(installation, address):
    """The running shop with --lan: its HTTPS port, what it said, and a TLS client that trusts its authority only."""
    port = free_port()
    running = installation.start("--lan", "--lan-address", address, "--lan-port", str(port))
    trusted = (installation.folder / "var/phones/authority.der").read_bytes()
    yield port, running.said(), ssl.create_default_context(cadata=trusted)
    assert running.interrupt() == 0
    assert installation.processes() == {}


class Stay(urllib.request.HTTPRedirectHandler):
    def redirect_request(self, *args):
        return None


def ask(url, context=None) -> tuple[int, http.client.HTTPMessage, bytes]:
    opener = urllib.request.build_opener(Stay, urllib.request.HTTPSHandler(context=context))
    try:
        with opener.open(url, timeout=10) as answer:
            return answer.status, answer.headers, answer.read()
    except urllib.error.HTTPError as error:
        return error.code, error.headers, error.read()


def test_a_client_that_trusts_the_authority_sees_the_shop(lan, address):
    port, _, context = lan
    status, headers, body = ask(f"https://{address}:{port}/login/", context)
    assert status == 200
    assert b"Log in" in body
    # RFC 6265, 4.1.2.5: a Secure cookie goes back over secure channels only.
    assert all("; Secure" in cookie for cookie in headers.get_all("Set-Cookie"))
    # HSTS (RFC 6797, 8.2) holds for every port of a name, so it would close the plain page beside it.
    assert "Strict-Transport-Security" not in headers


def test_a_client_that_does_not_trust_it_is_not_let_through(lan, address):
    with pytest.raises(urllib.error.URLError, match="CERTIFICATE_VERIFY_FAILED"):
        ask(f"https://{address}:{lan[0]}/login/", ssl.create_default_context())


def test_the_plain_address_shows_the_three_steps_and_nothing_of_the_shop(lan, address, installation):
    port, said, _ = lan
    plain = f"http://{address}:{port + 1}"
    assert f"{plain}/" in said
    assert ask(f"{plain}/phone/trust/../../login/")[0] == 404
    for path in ("/", "/login/", "/today/", "/alive/", "/week/", "/phone/me/", "/sw.js", "/phone/trust"):
        status, headers, body = ask(plain + path)
        assert (status, headers["Location"], body) == (302, START, b""), path
    status, headers, body = ask(plain + START)
    assert status == 200
    assert b"Certificate Trust Settings" in body
    assert f"https://{address}:{port}".encode() in body
    assert headers.get_all("Set-Cookie") is None
    status, headers, body = ask(f"{plain}{START}shop.crt")
    assert (status, headers["Content-Type"]) == (200, "application/x-x509-ca-cert")
    assert body == (installation.folder / "var/phones/authority.der").read_bytes()


def test_the_pages_on_this_machine_stay_as_they_were(lan, installation):
    status, headers, _ = ask(f"http://127.0.0.1:{installation.port}/login/")
    assert status == 200
    assert all("; Secure" not in cookie for cookie in headers.get_all("Set-Cookie"))


def test_the_start_tells_both_addresses_and_the_fingerprint(lan, address):
    port, said, _ = lan
    assert f"Phones on this network: https://{address}:{port}\n" in said
    assert "fingerprint (SHA-256): " in said
    assert "█" in said or "▀" in said


def test_idle_connections_do_not_keep_others_out(lan, address):
    """Browsers open connections ahead of what they ask for, and finish the handshake on them."""
    port, _, context = lan
    idle = [
        context.wrap_socket(socket.create_connection((address, port), timeout=10), server_hostname=address)
        for _ in range(12)
    ]
    try:
        assert ask(f"https://{address}:{port}/alive/", context)[0] == 200
    finally:
        for line in idle:
            line.close()


def test_who_says_nothing_after_the_handshake_does_not_keep_a_thread_for_good(tmp_path, monkeypatch):
    monkeypatch.setattr(patient, "PATIENCE", 0.2)
    names = Names(IPv4Address("127.0.0.1"), "shop.local")
    made = prepare_certificates(tmp_path, names)
    serving = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    serving.load_cert_chain(made.server)
    serving.sslsocket_class = patient.PatientSocket
    trusting = ssl.create_default_context(cadata=made.authority.read_bytes())
    with socket.create_server(("127.0.0.1", 0)) as door, ThreadPoolExecutor() as pool:
        opening = pool.submit(
            lambda: trusting.wrap_socket(socket.create_connection(door.getsockname()), server_hostname="shop.local")
        )
        with serving.wrap_socket(door.accept()[0], server_side=True) as line, opening.result(10) as phone:
            phone.sendall(b"GET")
            assert line.recv(10) == b"GET"
            line.setblocking(True)  # as gunicorn does before each request
            begun = time.monotonic()
            with pytest.raises(ConnectionResetError):
                line.recv(10)
            assert 0.1 < time.monotonic() - begun < 5
        # Nor before it.
        with socket.create_connection(door.getsockname()), pytest.raises(ConnectionResetError):
            serving.wrap_socket(door.accept()[0], server_side=True)


@pytest.mark.parametrize("path", ["/login/", "/staticx", "", "//phone/trust/"])
def test_the_gate_sends_everything_else_to_the_steps(path):
    said = []
    gate = only_help(lambda environ, start: pytest.fail(f"{path} was let in"), help_url=HELP)
    assert gate({"SERVER_PORT": "8444", "PATH_INFO": path}, lambda *args: said.append(args)) == []
    assert said[0][0] == "302 Found"


def test_the_gate_goes_by_the_port_that_was_listened_at_and_not_by_the_host_header():
    reached = []
    gate = only_help(lambda environ, start: reached.append(environ) or HttpResponse(), help_url=HELP)
    gate({"SERVER_PORT": "8444", "PATH_INFO": "/login/", "HTTP_HOST": "localhost:8000"}, lambda *args: None)
    assert reached == []
    gate(
        {"SERVER_PORT": "8000", "HTTP_COOKIE": "sessionid=1", "PATH_INFO": "/login/", "HTTP_HOST": "192.168.1.20:8444"},
        lambda *args: None,
    )
    gate({"SERVER_PORT": "8444", "HTTP_COOKIE": "sessionid=1", "PATH_INFO": START}, lambda *args: None)
    assert [environ.get("HTTP_COOKIE") for environ in reached] == ["sessionid=1", None]


@pytest.mark.parametrize(
    ("wanted", "words"),
    [
        ("shop.local", "shop.local is not an address such as 192.168.1.20. Look: ip -4 address"),
        ("127.0.0.1", "phones can't reach 127.0.0.1. Name the address in your network:"),
        ("0.0.0.0", "phones can't reach 0.0.0.0."),  # noqa: S104 -- refused, not bound
    ],
)
def test_an_address_that_phones_cannot_reach_is_refused_in_plain_words(wanted, words):
    with pytest.raises(Trouble) as trouble:
        lan_address(wanted)
    assert str(trouble.value).startswith(words)


def test_a_machine_without_a_network_is_told_what_to_do(monkeypatch):
    class Nowhere:
        def __init__(self, *args): ...
        def __enter__(self):
            return self

        def __exit__(self, *args): ...
        def connect(self, to):
            raise OSError(101, "Network is unreachable")

    monkeypatch.setattr("config.launcher.lan.socket.socket", Nowhere)
    with pytest.raises(Trouble, match=r"Connect it to the shop's Wi-Fi or router; or say \./gaugerod start --lan"):
        lan_address(None)


def test_an_address_of_the_whole_internet_is_used_only_when_it_was_named(monkeypatch):
    monkeypatch.setattr("config.launcher.lan._outgoing", lambda: "8.8.8.8")
    with pytest.raises(Trouble, match="the whole internet can reach"):
        lan_address(None)
    assert lan_address("8.8.8.8") == IPv4Address("8.8.8.8")


@pytest.mark.parametrize(
    ("name", "host"),
    [
        ("Shop-PC", "shop-pc.local"),
        ("shop.lan.example.com", "shop.local"),
        ("my_shop", "gaugerod.local"),
        ("", "gaugerod.local"),
    ],
)
def test_the_name_is_the_machines_own_where_it_can_be_one(name, host):
    assert host_name(name) == host


def test_a_port_that_is_taken_is_told_with_the_option_that_changes_it():
    with socket.socket() as line:
        line.bind(("127.0.0.1", 0))
        line.listen()
        port = line.getsockname()[1]
        with pytest.raises(Trouble) as trouble:
            check_port("127.0.0.1", port, option="--lan-port")
    said = f"port {port} is taken by another program. Choose another: ./gaugerod start --lan-port {port + 1}"
    assert str(trouble.value) == said


def test_the_web_server_uses_those_connections():
    context = gunicorn_conf.ssl_context(None, lambda: ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER))
    assert context.sslsocket_class is patient.PatientSocket
