"""Connections of the web server with HTTPS that wait for a while, not for good."""

import errno
import ssl
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

PATIENCE = 30.0
"""Seconds without a byte. A photo over a bad Wi-Fi has such pauses hardly ever, and the phone sends it again."""


class PatientSocket(ssl.SSLSocket):
    """A blocking one blocks for PATIENCE at most, then counts as reset by the other end.

    A phone that walks out of the Wi-Fi, and a browser that opens a connection ahead of what it asks for, would each
    keep one of gunicorn's threads: after the handshake it waits without a limit.
    """

    def settimeout(self, value: float | None) -> None:
        super().settimeout(PATIENCE if value is None else value)

    def setblocking(self, flag: bool) -> None:
        self.settimeout(None if flag else 0.0)

    def do_handshake(self, block: bool = False) -> None:
        with _lost_patience():
            super().do_handshake(block)

    def recv(self, buflen: int = 1024, flags: int = 0) -> bytes:
        with _lost_patience():
            return super().recv(buflen, flags)

    def sendall(self, data: Any, flags: int = 0) -> None:
        with _lost_patience():
            super().sendall(data, flags)


@contextmanager
def _lost_patience() -> Iterator[None]:
    try:
        yield
    except TimeoutError as error:
        raise ConnectionResetError(errno.ECONNRESET, "nothing came for too long") from error
