"""The processes of a running shop: started in order, watched, stopped the other way round."""

import json
import os
import signal
import subprocess
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Protocol

from config.launcher.processes import start_process, stop_process
from config.launcher.words import say

# A process that ends this often within a minute won't get better by being started again.
TRIES_A_MINUTE = 4


class Service(Protocol):
    """What can be started, stopped and started again; `process` is there from the first start on."""

    process: subprocess.Popen[bytes] | None

    def start(self) -> None: ...

    def stop(self) -> None: ...


@dataclass
class Program:
    """A service that is one command, up when it is started.

    When the launcher is killed it goes at once, as in a power cut: nothing that it does may be lost by that
    (a task is acknowledged only when done, a request is one transaction).
    """

    command: Sequence[str | Path]
    env: dict[str, str]
    cwd: Path
    log: Path
    process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        with self.log.open("ab") as log:
            self.process = start_process(
                self.command, account=None, death_signal=signal.SIGKILL, cwd=self.cwd, env=self.env, log=log
            )

    def stop(self) -> None:
        if self.process is not None:
            stop_process(self.process, ask=signal.SIGTERM, seconds=8)


@dataclass
class _Child:
    name: str
    service: Service
    ended_at: list[float] = field(default_factory=list)


class Children:
    """`notes` remembers who was started, so that the start after a kill -9 knows whom to wait for."""

    def __init__(self, *, notes: Path) -> None:
        self.children: list[_Child] = []
        self.notes = notes

    def start(self, name: str, service: Service) -> None:
        self.children.append(_Child(name, service))
        service.start()
        self._note()

    def stop(self) -> None:
        for child in reversed(self.children):
            child.service.stop()
        if self.children:
            self.notes.unlink(missing_ok=True)

    def watch(self, stopping: Callable[[], bool]) -> str | None:
        """Starts again whatever ends, until `stopping()`; or returns the name of the one that won't stay up."""
        while not stopping():
            for child in self.children:
                process = child.service.process
                if process is None or process.poll() is None:
                    continue
                now = time.monotonic()
                child.ended_at = [then for then in child.ended_at if now - then < 60] + [now]
                if len(child.ended_at) > TRIES_A_MINUTE:
                    return child.name
                say(f"The {child.name} ended (code {process.returncode}); starting it again.")
                time.sleep(len(child.ended_at) - 1)
                child.service.start()
                self._note()
            time.sleep(0.2)
        return None

    def _note(self) -> None:
        running = [child.service.process.pid for child in self.children if child.service.process]
        self.notes.write_text(json.dumps({pid: _started(pid) for pid in running}), encoding="ascii")


def wait_for_leftovers(notes: Path, *, seconds: float = 15) -> None:
    """Children of a launcher that was killed are ending by themselves: waits for them, then kills what is left."""
    try:
        left = {int(pid): started for pid, started in json.loads(notes.read_text(encoding="ascii")).items()}
    except (OSError, ValueError):
        return
    until = time.monotonic() + seconds
    while alive := [pid for pid, started in left.items() if started is not None and _started(pid) == started]:
        if time.monotonic() > until:
            for pid in alive:
                os.kill(pid, signal.SIGKILL)
            until += 5
        time.sleep(0.05)
    notes.unlink(missing_ok=True)


def _started(pid: int) -> str | None:
    """When the process of that number started, in clock ticks since boot; None where there is none (or a zombie)."""
    try:
        # The name, in brackets, may hold spaces and brackets itself.
        fields = Path(f"/proc/{pid}/stat").read_text(encoding="ascii", errors="replace").rpartition(")")[2].split()
    except OSError:
        return None
    return None if fields[0] == "Z" else fields[19]
