"""`./gaugerod start`."""

import errno
import hashlib
import os
import signal
import socket
import ssl
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterable
from pathlib import Path
from types import FrameType
from typing import NamedTuple

import psycopg

from config.launcher import ROOT
from config.launcher.children import Children, Program, wait_for_leftovers
from config.launcher.lan import Lan, lan_address, prepare_lan
from config.launcher.place import Place
from config.launcher.postgres import DATABASE, Postgres, PostgresFailed
from config.launcher.valkey import Valkey, ValkeyFailed
from config.launcher.words import Trouble, last_line, last_words, say

WORKER_FLAGS = ["--concurrency", "1", "--loglevel", "INFO", "--without-gossip", "--without-mingle"]
STOP_SIGNALS = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)


class Stopped(BaseException):
    """Somebody asked us to end: Ctrl-C, or the machine going down."""


class LanOptions(NamedTuple):
    """What was said after --lan: an address where this machine has several, and the port."""

    address: str | None
    port: int


def start(*, port: int, bind: str, demo: bool, lan: LanOptions | None = None) -> int:
    """Runs the shop until it is asked to stop; returns the exit code. Raises Trouble."""
    place = Place(environ=os.environ)
    place.prepare()
    if not place.lock():
        raise Trouble("Gaugerod is already running from this folder. Stop it there first (Ctrl-C).")
    notes = place.state / "children.json"
    wait_for_leftovers(notes)
    check_port(bind, port)
    for_phones = _prepare_lan(place, lan) if lan else None
    children = Children(notes=notes)
    for number in STOP_SIGNALS:
        signal.signal(number, _stop)
    try:
        _run(place, children, port=port, bind=bind, demo=demo, lan=for_phones)
        broken = children.watch(lambda: False)
        raise Trouble(f"the {broken} does not stay up. Its log says why: {place.logs}")
    except (PostgresFailed, ValkeyFailed) as error:
        raise Trouble(
            f"a service that ended does not start again: {last_line(str(error))} Logs: {place.logs}"
        ) from error
    except Stopped:
        say("Stopping ...")
    finally:
        for number in STOP_SIGNALS:
            signal.signal(number, signal.SIG_IGN)
        children.stop()
    say("Stopped.")
    return 0


def _stop(number: int, frame: FrameType | None) -> None:
    raise Stopped


def _prepare_lan(place: Place, options: LanOptions) -> Lan:
    address = lan_address(options.address)
    for port in (options.port, options.port + 1):
        check_port(str(address), port, option="--lan-port")
    return prepare_lan(place.phones, address=address, port=options.port)


def _run(place: Place, children: Children, *, port: int, bind: str, demo: bool, lan: Lan | None) -> None:
    postgres, valkey = place.postgres(), place.valkey()
    if valkey:
        start_broker(valkey, children)
    if postgres:
        start_database(postgres, children)
    local = f"http://localhost:{port}"
    environment = place.environment(postgres=postgres, valkey=valkey, public_url=local)
    owners = place.environment(postgres=postgres, valkey=valkey, public_url=local, as_owner=True)
    prepare_database(place, owners, postgres=postgres, demo=demo)
    collect_static(place, environment)

    python = [sys.executable, "-P", "-m"]
    gunicorn = [*python, "gunicorn", "--config", str(ROOT / "config/gunicorn_conf.py")]
    pages = environment | (lan.environment() if lan else {})
    web = Program(gunicorn, env=pages | {"WEB_BIND": f"{bind}:{port}"}, cwd=ROOT, log=place.log("web"))
    worker = Program(
        [*python, "celery", "-A", "config", "worker", "-B", "--schedule", str(place.state / "beat"), *WORKER_FLAGS],
        env=environment,
        cwd=ROOT,
        log=place.log("worker"),
    )
    children.start("web server", web)
    children.start("worker", worker)
    host = "127.0.0.1" if bind in ("0.0.0.0", "::") else bind  # noqa: S104 -- compared, not bound
    wait_for_page(f"http://{host}:{port}/alive/", web)
    if lan:
        secure = Program(gunicorn, env=pages | lan.secure_environment(), cwd=ROOT, log=place.log("web-phones"))
        children.start("web server for phones", secure)
        wait_for_page(f"{lan.addresses[0]}/alive/", secure, trusting=lan.certificates.authority)
    say(f"\nGaugerod runs: {environment['PUBLIC_URL']}")
    if place.logins.exists():
        say(f"The first log-ins of this installation ({place.logins}):\n{place.logins.read_text(encoding='utf-8')}")
    if lan:
        lan.tell()
    say("Ctrl-C stops it.")


def start_database(postgres: Postgres, children: Children) -> None:
    """Starts the embedded server, on a new data folder where there is none; roles and database are there after."""
    if not postgres.data.exists():
        say("Making a database ...")
        try:
            postgres.initialize()
        except PostgresFailed as error:
            raise Trouble(f"no database could be made in {postgres.data}: {error}") from error
    try:
        children.start("database", postgres)
        postgres.make_roles()
        # Pages are served only after the first filling is whole: what was cut short holds nothing of anybody's.
        if _unfinished(postgres).exists():
            postgres.drop_database(DATABASE)
        if postgres.make_database():
            _unfinished(postgres).touch()
    except (PostgresFailed, psycopg.Error) as error:
        raise Trouble(
            f"the database in {postgres.data} does not start: {last_line(str(error))} Put a backup of that folder in "
            f"its place, or move it away to begin with an empty shop (all of it: {postgres.log})"
        ) from error


def _unfinished(postgres: Postgres) -> Path:
    """There from the making of the database to the end of its first filling."""
    return postgres.data / "gaugerod-unfinished"


def is_prepared(postgres: Postgres) -> bool:
    """True once the database was filled for the first time."""
    return postgres.data.exists() and _stamp(postgres).exists()


def _stamp(postgres: Postgres) -> Path:
    """Says which version's migrations the database stands at."""
    return postgres.data / "gaugerod-prepared"


def start_broker(valkey: Valkey, children: Children) -> None:
    """Starts the embedded broker. What waits in it can be lost without harm: the database knows what is to be done."""
    try:
        children.start("broker", valkey)
    except ValkeyFailed as error:
        raise Trouble(
            f"the broker does not start: {last_line(str(error))} Move {valkey.data} away, then start again; nothing of "
            f"the shop is in it (all of it: {valkey.log})"
        ) from error


def prepare_database(place: Place, environment: dict[str, str], *, postgres: Postgres | None, demo: bool) -> None:
    """Migrates, and fills a new shop; skipped when an embedded database already stands at this version's migrations."""
    files = [*ROOT.glob("*/migrations/*.py"), *ROOT.glob("config/*.py"), ROOT / "requirements.lock"]
    files += ROOT.glob("config/management/commands/*.py")
    stamp = _stamp(postgres) if postgres else None
    version = _hash(files)
    if stamp and stamp.exists() and stamp.read_text(encoding="ascii") == version:
        return
    say("Preparing the database ...")
    command = ["prepare", "--logins", str(place.logins), *(["--demo"] if demo else [])]
    run_quietly(place, environment, command, trouble="the database could not be prepared")
    if postgres and stamp:
        stamp.write_text(version, encoding="ascii")
        _unfinished(postgres).unlink(missing_ok=True)


def collect_static(place: Place, environment: dict[str, str]) -> None:
    """Puts the static files under their hashed names; skipped when nothing in them changed."""
    files = [path for path in (ROOT / "static").rglob("*") if path.is_file()]
    version = _hash([*files, ROOT / "requirements.lock", ROOT / "config/settings.py"])
    stamp = place.static / "collected.txt"
    if stamp.exists() and stamp.read_text(encoding="ascii") == version:
        return
    run_quietly(
        place, environment, ["collectstatic", "--no-input", "-v0"], trouble="the static files could not be collected"
    )
    stamp.write_text(version, encoding="ascii")


def run_quietly(place: Place, environment: dict[str, str], command: list[str], *, trouble: str) -> None:
    """Runs a manage.py command as the shop's account into var/log/prepare.log. Raises Trouble with its last line."""
    log_path = place.log("prepare")
    with log_path.open("ab") as log:
        begins = log.tell()
        done = subprocess.run(
            [sys.executable, "-P", str(ROOT / "manage.py"), *command],
            cwd=ROOT,
            env=environment,
            stdin=subprocess.DEVNULL,
            stdout=log,
            stderr=subprocess.STDOUT,
            check=False,
        )
    if done.returncode != 0:
        raise Trouble(f"{trouble}: {last_words(log_path, begins)} (all of it: {log_path})")


def check_port(bind: str, port: int, *, option: str = "--port") -> None:
    """Raises Trouble where the web server won't get the port."""
    try:
        free_from = int(Path("/proc/sys/net/ipv4/ip_unprivileged_port_start").read_text(encoding="ascii"))
    except (OSError, ValueError):
        free_from = 1024
    if port < free_from:
        raise Trouble(
            f"port {port} is kept for root (those below {free_from} are), and the web server never runs as root. "
            f"Choose another: ./gaugerod start {option} {8000 if option == '--port' else 8443}"
        )
    family = socket.AF_INET6 if ":" in bind else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as line:
        line.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            line.bind((bind, port))
        except OSError as error:
            if error.errno == errno.EADDRINUSE:
                raise Trouble(
                    f"port {port} is taken by another program. Choose another: ./gaugerod start {option} {port + 1}"
                ) from error
            raise Trouble(f"this machine has no address {bind} to serve the pages on ({error.strerror}).") from error


def wait_for_page(url: str, web: Program, *, trusting: Path | None = None, seconds: float = 60) -> None:
    """Returns when the page answers. Raises Trouble where the server ends or says nothing.

    `trusting`: the only authority (DER) whose word counts for an https:// address.
    """
    until = time.monotonic() + seconds
    begins = web.log.stat().st_size
    context = ssl.create_default_context(cadata=trusting.read_bytes()) if trusting else None
    while True:
        if (web.process and web.process.poll() is not None) or time.monotonic() > until:
            raise Trouble(f"the web server does not answer: {last_words(web.log, begins)} (all of it: {web.log})")
        try:
            with urllib.request.urlopen(url, timeout=5, context=context):  # noqa: S310 -- our own address
                return
        except urllib.error.HTTPError as error:
            raise Trouble(f"the web server answers {error.code} at {url}. Its log says why: {web.log}") from error
        except OSError:
            time.sleep(0.05)


def _hash(files: Iterable[Path]) -> str:
    digest = hashlib.sha256()
    for path in sorted(files):
        digest.update(path.relative_to(ROOT).as_posix().encode() + b"\0" + path.read_bytes() + b"\0")
    return digest.hexdigest()
