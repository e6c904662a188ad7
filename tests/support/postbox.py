"""The shop's mail server, as a real one (aiosmtpd): keeps what it took, and can be told to refuse, hold and hang up."""

import asyncio
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from email import message_from_bytes, policy
from email.message import EmailMessage

import pytest

from tests.support.services import free_port


class Postbox:
    """`taken`: the bytes of each mail that was answered with 250. `refuses`: address -> answer to RCPT.

    `holds`: DATA isn't answered until `let_go` is set; `reached` is set once one is held.
    """

    def __init__(self) -> None:
        self.port = free_port()
        self.taken: list[bytes] = []
        self.refuses: dict[str, str] = {}
        self.holds = self.hangs_up = False
        self.reached, self.let_go = threading.Event(), threading.Event()

    async def handle_RCPT(self, server, session, envelope, address, options):
        if answer := self.refuses.get(address):
            return answer
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server, session, envelope):
        if self.holds:
            self.reached.set()
            # A real server's line would break here, too, when the sender is killed: nothing was answered.
            while not self.let_go.is_set():
                await asyncio.sleep(0.02)
            return "451 try again later"
        self.taken.append(envelope.original_content)
        return "250 OK"

    async def handle_QUIT(self, server, session, envelope):
        if self.hangs_up:
            server.transport.abort()
        return "221 Bye"

    @property
    def messages(self) -> list[EmailMessage]:
        return [message_from_bytes(data, policy=policy.default) for data in self.taken]

    @contextmanager
    def open(self, **options) -> Iterator[None]:
        from aiosmtpd.controller import Controller

        controller = Controller(self, hostname="127.0.0.1", port=self.port, **options)
        controller.start()
        try:
            yield
        finally:
            self.let_go.set()
            controller.stop()


@pytest.fixture
def closed_postbox(settings) -> Postbox:
    """The shop's mail server, down: nothing listens at its port until `.open()`."""
    box = Postbox()
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", box.port
    settings.EMAIL_TIMEOUT = 5
    settings.DEFAULT_FROM_EMAIL = "office@example.com"
    return box


@pytest.fixture
def postbox(closed_postbox) -> Iterator[Postbox]:
    with closed_postbox.open():
        yield closed_postbox
