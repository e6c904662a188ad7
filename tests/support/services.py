"""The real web server and the real worker, as processes, on the test's own database."""

import os
import signal
import socket
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import kombu.pools
import pytest

from config.launcher.processes import stop_process
from config.launcher.valkey import Valkey, program
from tests.support.databases import ROOT
from tests.support.nursery import Forked, nursery

FLAGS = ["--concurrency", "1", "--loglevel", "INFO", "--without-gossip", "--without-mingle"]


@pytest.fixture
def broker(test_folder, tmp_path) -> Iterator[str]:
    """A Valkey of this test's own; yields its address. Tasks sent from the test itself go there, too."""
    from config.celery import app

    server = Valkey(
        data=tmp_path / "valkey", sockets=test_folder, log=tmp_path / "valkey.log", account=None, binary=program()
    )
    server.start()
    before = app.conf.broker_url
    _send_to(server.url)
    try:
        yield server.url
    finally:
        _send_to(before)
        server.stop()


def _send_to(url: str) -> None:
    from config.celery import app

    app.conf.broker_url = url
    app.conf.broker_write_url = url
    app.conf.broker_read_url = url
    # The pools keep connections to where they were first sent.
    kombu.pools.reset()
    app._pool = None
    app.amqp._producer_pool = None


class Process:
    """`python -m` with `args`, as a process that can be killed and started again."""

    def __init__(self, args: list[str], *, env: dict[str, str], log: Path, ready, ask=signal.SIGTERM) -> None:
        self.args, self.env, self.log, self.ready, self.ask = args, env, log, ready, ask
        self.process: Forked | None = None

    @property
    def pid(self) -> int:
        assert self.process is not None
        return self.process.pid

    def start(self, *, seconds: float = 40) -> None:
        self.log.touch()
        begins = self.log.stat().st_size
        self.process = nursery().fork(self.args[0], self.args[1:], env=self.env, log=self.log)
        until = time.monotonic() + seconds
        while not self.ready(self.said(begins)):
            if self.process.poll() is not None or time.monotonic() > until:
                self.kill()
                raise AssertionError(f"{self.args[0]} did not start:\n{self.said(begins)}")
            time.sleep(0.05)

    def said(self, begins: int = 0) -> str:
        """What it wrote to its log."""
        with self.log.open("rb") as log:
            log.seek(begins)
            return log.read().decode("utf-8", "replace")

    def kill(self) -> None:
        """kill -9, as a power cut would."""
        assert self.process is not None
        self.process.kill()
        self.process.wait()

    @contextmanager
    def halted(self) -> Iterator[None]:
        """It and its children stand still: they take what comes, and answer nothing."""
        children = Path(f"/proc/{self.pid}/task/{self.pid}/children").read_text().split()
        every = [self.pid, *map(int, children)]
        for pid in every:
            os.kill(pid, signal.SIGSTOP)
        try:
            yield
        finally:
            for pid in every:
                os.kill(pid, signal.SIGCONT)

    def stop(self) -> None:
        if self.process is not None:
            stop_process(self.process, ask=self.ask, seconds=10)


def _environment(database: str, broker: str, **more: str) -> dict[str, str]:
    from django.conf import settings

    return {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "tests.settings",
        "TEST_DATABASE_URL": database,
        "TEST_BROKER_URL": broker,
        # Celery reads this one before the settings are loaded.
        "BROKER_URL": broker,
        "MEDIA_ROOT": str(settings.MEDIA_ROOT),
        **more,
    }


def free_port() -> int:
    with socket.socket() as line:
        line.bind(("127.0.0.1", 0))
        return line.getsockname()[1]


def answers(url: str) -> bool:
    try:
        with urllib.request.urlopen(url, timeout=5) as response:
            return response.status == 200
    except urllib.error.HTTPError:
        return True
    except OSError:
        return False


def _web_process(*, database: str, broker: str, media: Path, log: Path) -> tuple[Process, str]:
    """The real web server (gunicorn, WhiteNoise), not started yet, and its address, such as http://127.0.0.1:1."""
    port = free_port()
    url = f"http://127.0.0.1:{port}"
    process = Process(
        ["gunicorn", "-c", str(ROOT / "config/gunicorn_conf.py")],
        env=_environment(
            database,
            broker,
            MEDIA_ROOT=str(media),
            PUBLIC_URL=url,
            WEB_BIND=f"127.0.0.1:{port}",
            WEB_WORKERS="1",
        ),
        log=log,
        ready=lambda said: answers(f"{url}/alive/"),
    )
    return process, url


@contextmanager
def running_web_server(*, database: str, broker: str, media: Path, log: Path) -> Iterator[str]:
    """The real web server; yields its address."""
    process, url = _web_process(database=database, broker=broker, media=media, log=log)
    try:
        process.start()
        yield url
    finally:
        process.stop()


@pytest.fixture
def web_process(request, own_database, media, tmp_path) -> Iterator[tuple[Process, str]]:
    """The real web server on `own_database`, as a process that can be killed and halted, and its address."""
    # With a broker in the test, documents go there; without one they wait, as with a dead broker.
    broker = request.getfixturevalue("broker") if "broker" in request.fixturenames else "memory://"
    process, url = _web_process(database=own_database, broker=broker, media=media, log=tmp_path / "web.log")
    try:
        process.start()
        yield process, url
    finally:
        process.stop()


@pytest.fixture
def web_server(web_process) -> str:
    """The real web server on `own_database`: its address."""
    return web_process[1]


@pytest.fixture
def worker(own_database, broker, tmp_path) -> Iterator[Process]:
    """A real Celery worker with beat on `own_database` and `broker`: `.kill()`, `.start()`, `.said()`, `.pid`."""
    process = Process(
        ["celery", "-A", "config", "worker", "-B", "--schedule", str(tmp_path / "beat"), *FLAGS],
        env=_environment(own_database, broker),
        log=tmp_path / "worker.log",
        ready=lambda said: " ready." in said,
    )
    process.start()
    yield process
    process.stop()
