"""docker-compose.yml, as far as it can be checked without running it: it asks for what the settings read, and gives the
owner role's password to nobody but the step that migrates. The database's start script is run for real."""

import os
import re
import subprocess

import psycopg
import pytest
import yaml

from config.proxy import behind_proxy
from tests.support.databases import ROOT

COMPOSE = yaml.safe_load((ROOT / "docker-compose.yml").read_text(encoding="utf-8"))
SERVICES = COMPOSE["services"]
SETTINGS = "".join((ROOT / name).read_text() for name in ("config/settings.py", "config/celery.py", "config/wsgi.py"))


def test_every_part_is_there():
    assert set(SERVICES) == {"postgres", "valkey", "prepare", "web", "worker", "beat", "proxy"}


def test_what_the_app_is_told_is_what_the_settings_read():
    gunicorn = (ROOT / "config/gunicorn_conf.py").read_text()
    for name in ("prepare", "web", "worker", "beat"):
        for variable in SERVICES[name]["environment"]:
            assert f'"{variable}"' in SETTINGS + gunicorn, f"{name} is told {variable}, which nothing reads"


def test_only_the_step_that_migrates_knows_the_owner_roles_password():
    knowing = {name for name, service in SERVICES.items() if "OWNER_PASSWORD" in str(service.get("environment"))}
    assert knowing == {"postgres", "prepare"}


def test_no_secret_has_a_default():
    text = (ROOT / "docker-compose.yml").read_text()
    secrets = re.findall(r"\$\{(\w*(?:PASSWORD|SECRET)\w*)(.*?)\}", text)
    assert secrets
    assert all(rest.startswith(":?") for _, rest in secrets)
    example = dict(
        line.split("=", 1) for line in (ROOT / "deploy/example.env").read_text().splitlines() if "=" in line[:40]
    )
    assert {name for name, _ in secrets} <= set(example)
    assert {example[name] for name, _ in secrets} == {""}


def test_only_the_proxy_can_be_reached_from_outside():
    assert {name for name, service in SERVICES.items() if "ports" in service} == {"proxy"}


def test_the_database_script_makes_two_roles_that_log_in_by_their_passwords(databases, tmp_path):
    """The real script against the real server, under other names, since the test's own roles are there already."""
    script = (ROOT / "deploy/postgres/roles.sh").read_text().replace("gaugerod", "composed")
    (tmp_path / "roles.sh").write_text(script)
    server = databases.server
    subprocess.run(
        ["sh", str(tmp_path / "roles.sh")],
        env={
            "PATH": f"{server.programs}:{os.environ['PATH']}",
            "PGHOST": str(server.sockets),
            "DATABASE_OWNER_PASSWORD": "o'wner",
            "DATABASE_APP_PASSWORD": "app",
        },
        check=True,
        capture_output=True,
    )
    with server.connect() as admin:
        made = admin.execute(
            "SELECT pg_get_userbyid(datdba), (SELECT count(*) FROM pg_authid WHERE rolname LIKE 'composed%%' "
            "AND rolpassword LIKE 'SCRAM-SHA-256%%' AND rolcanlogin AND NOT rolsuper) "
            "FROM pg_database WHERE datname = 'composed'"
        ).fetchone()
        assert made == ("composed_owner", 2)
        admin.execute("DROP DATABASE composed")
        admin.execute("DROP ROLE composed_owner, composed_app")


def test_a_wrong_role_is_not_let_in_by_the_socket(databases):
    """`peer`: the user of the machine decides, and a role that isn't in the map has no way in."""
    with pytest.raises(psycopg.OperationalError, match="Peer authentication failed"):
        databases.server.connect(role="somebody")


@pytest.mark.parametrize(
    ("header", "address"),
    [
        ("203.0.113.7", "203.0.113.7"),
        ("10.0.0.1, 203.0.113.7", "203.0.113.7"),
        ("", "172.18.0.5"),
        (None, "172.18.0.5"),
    ],
)
def test_behind_the_proxy_the_address_is_the_one_the_proxy_saw(header, address):
    """Addresses from the ranges kept for documentation (RFC 5737)."""
    seen = {}
    environ = {"REMOTE_ADDR": "172.18.0.5"} | ({} if header is None else {"HTTP_X_FORWARDED_FOR": header})
    behind_proxy(lambda environ, start: seen.update(environ) or [])(environ, None)
    assert seen["REMOTE_ADDR"] == address
