"""Nothing unsafe is on unless somebody asks for it: read in a process of its own, as the web server reads it."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
NAMES = (
    "DEBUG",
    "SESSION_COOKIE_SECURE",
    "CSRF_COOKIE_SECURE",
    "SECURE_HSTS_SECONDS",
    "SECURE_PROXY_SSL_HEADER",
    "ALLOWED_HOSTS",
    "X_FRAME_OPTIONS",
)


def read(**environment: str) -> subprocess.CompletedProcess[str]:
    code = f"import json, config.settings as s; print(json.dumps({{n: getattr(s, n) for n in {NAMES}}}))"
    kept = {"PATH": os.environ["PATH"], "PYTHONPATH": str(ROOT)}
    return subprocess.run(
        [sys.executable, "-c", code], env=kept | environment, cwd=ROOT, capture_output=True, text=True, check=False
    )


def settings(**environment: str) -> dict:
    done = read(SECRET_KEY="something long", **environment)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_there_is_no_default_secret():
    done = read()
    assert done.returncode != 0
    assert "Set SECRET_KEY or SECRET_KEY_FILE" in done.stderr


def test_debug_is_off_unless_asked_for():
    assert settings()["DEBUG"] is False
    assert settings(DEBUG="true")["DEBUG"] is False
    assert settings(DEBUG="1")["DEBUG"] is True


@pytest.mark.parametrize(("address", "secure"), [("http://localhost:8000", False), ("https://tile.example.com", True)])
def test_under_https_cookies_are_secure_and_browsers_stay_there(address, secure):
    found = settings(PUBLIC_URL=address)
    assert found["SESSION_COOKIE_SECURE"] is found["CSRF_COOKIE_SECURE"] is secure
    assert (found["SECURE_HSTS_SECONDS"] > 0) is secure


def test_only_the_public_name_and_this_machine_are_answered_to():
    assert settings(PUBLIC_URL="https://tile.example.com")["ALLOWED_HOSTS"] == [
        "127.0.0.1",
        "[::1]",
        "localhost",
        "tile.example.com",
    ]


def test_a_header_about_tls_is_believed_behind_our_own_proxy_only():
    assert settings()["SECURE_PROXY_SSL_HEADER"] is None
    assert settings(BEHIND_PROXY="1")["SECURE_PROXY_SSL_HEADER"] == ["HTTP_X_FORWARDED_PROTO", "https"]
