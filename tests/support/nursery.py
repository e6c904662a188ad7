"""Web servers and workers forked from one process that has imported everything and read every template.

Each reads the settings anew, of its own environment, and is then begun as its command line would begin it: what is
spared is only what each would import and parse again, alike. Run as a module, with the number of an open socket: a line
of JSON in (`module`, `args`, `env`, `log`), a line with the child's number out.
"""

import gc
import importlib
import json
import os
import runpy
import select
import signal
import socket
import subprocess
import sys
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any

from config.launcher.processes import end_with_parent

ROOT = Path(__file__).resolve().parent.parent.parent


class Forked:
    """A child of the nursery, with what stop_process() asks of a subprocess.Popen."""

    def __init__(self, pid: int) -> None:
        self.pid = pid
        self.line = os.pidfd_open(pid)

    def poll(self) -> int | None:
        """0 once it has ended: with which code, only its parent hears."""
        return 0 if select.select([self.line], [], [], 0)[0] else None

    def wait(self, seconds: float | None = None) -> int:
        if not select.select([self.line], [], [], seconds)[0]:
            raise subprocess.TimeoutExpired(str(self.pid), seconds or 0)
        return 0

    def send_signal(self, number: int) -> None:
        if self.poll() is None:
            signal.pidfd_send_signal(self.line, number)

    def kill(self) -> None:
        self.send_signal(signal.SIGKILL)

    def __del__(self) -> None:
        os.close(self.line)


class Nursery:
    """One for all tests of a run; it ends with the run."""

    def __init__(self) -> None:
        ours, theirs = socket.socketpair()
        theirs.set_inheritable(True)
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.support.nursery", str(theirs.fileno())],
            cwd=ROOT,
            env={**os.environ, "DJANGO_SETTINGS_MODULE": "tests.settings"},
            stdin=subprocess.DEVNULL,
            pass_fds=[theirs.fileno()],
            start_new_session=True,
        )
        theirs.close()
        self.talk = ours.makefile("rw", encoding="utf-8")

    def fork(self, module: str, args: Sequence[str], *, env: dict[str, str], log: Path) -> Forked:
        """`python -m module args`, with its output behind what stands in `log`."""
        print(json.dumps({"module": module, "args": args, "env": env, "log": str(log)}), file=self.talk, flush=True)
        return Forked(int(self.talk.readline()))


@cache
def nursery() -> Nursery:
    return Nursery()


def _prepare() -> None:
    """Everything that doesn't hang on the environment of one server."""
    import django
    from django.template import engines
    from django.urls import get_resolver
    from django.utils import translation

    django.setup()
    get_resolver().url_patterns  # noqa: B018 -- imports every page
    engine = engines["django"]
    for template in sorted((ROOT / "templates").rglob("*.html")):
        engine.get_template(template.relative_to(ROOT / "templates").as_posix())
    for language in ("en", "es"):
        with translation.override(language):
            translation.gettext("Log in")
    for module in ("gunicorn.app.wsgiapp", "gunicorn.workers.gthread", "celery.bin.worker", "weasyprint"):
        importlib.import_module(module)
    # Nobody's garbage: each child would look through all of it again, and write to the memory that it shares.
    gc.collect()
    gc.freeze()


def _become(request: dict[str, Any], *, parent: int) -> None:
    os.setsid()
    with open(request["log"], "ab") as log:
        os.dup2(log.fileno(), 1)
        os.dup2(log.fileno(), 2)
    os.environ.clear()
    os.environ.update(request["env"])
    end_with_parent(signal.SIGKILL, parent=parent)
    _read_settings_anew()
    sys.argv = [request["module"], *request["args"]]


def _read_settings_anew() -> None:
    from django.conf import settings
    from django.core.signals import setting_changed
    from django.db import connections

    import config.celery
    import tests.settings

    del sys.modules["config.settings"]
    importlib.reload(tests.settings)
    for name, value in vars(tests.settings).items():
        if name.isupper() and getattr(settings, name) != value:
            setattr(settings, name, value)
            setting_changed.send(sender=None, setting=name, value=value, enter=True)
    connections.settings["default"].update(settings.DATABASES["default"])
    importlib.reload(config.celery)


def main() -> None:
    line = socket.socket(fileno=int(sys.argv[1]))
    end_with_parent(signal.SIGKILL, parent=os.getppid())
    _prepare()
    talk = line.makefile("rw", encoding="utf-8")
    us = os.getpid()
    while asked := talk.readline():
        _bury()
        pid = os.fork()
        if not pid:
            request = json.loads(asked)
            os.close(line.fileno())
            _become(request, parent=us)
            # As its own program: its exit is ours.
            runpy.run_module(request["module"], run_name="__main__", alter_sys=True)
            return
        print(pid, file=talk, flush=True)


def _bury() -> None:
    """Children that ended are forgotten only now: until the next one is asked for, their number is nobody else's."""
    try:
        while os.waitpid(-1, os.WNOHANG)[0]:
            pass
    except ChildProcessError:
        pass


if __name__ == "__main__":
    main()
