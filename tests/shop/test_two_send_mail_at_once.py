"""Two workers at the same mails, and a worker killed in the middle of one: each mail arrives once."""

import os
import signal
import threading
import time

import pytest
from django.db import connection

from base.errors import Refused
from shop.mail import queue_mail, send_mails, try_again
from shop.models import Mail
from tests.support.services import FLAGS, Process, _environment


def queue(key: str) -> Mail:
    return queue_mail(key=key, to="rui@example.com", subject=f"Wait {key}", text="It is over.\n")


def in_a_thread(work) -> threading.Thread:
    def run() -> None:
        try:
            work()
        finally:
            connection.close()

    thread = threading.Thread(target=run)
    thread.start()
    return thread


def test_workers_at_once_share_the_mails(own_database, postbox):
    for number in range(12):
        queue(str(number))
    threads = [in_a_thread(send_mails) for _ in range(3)]
    for thread in threads:
        thread.join(30)
    assert sorted(message["Subject"] for message in postbox.messages) == sorted(f"Wait {n}" for n in range(12))
    assert not Mail.objects.filter(sent_at=None).exists()


def test_while_one_is_being_sent_nobody_else_sends_it(own_database, postbox):
    mail = queue("held")
    postbox.holds = True
    sending = in_a_thread(send_mails)
    assert postbox.reached.wait(10)
    postbox.holds = False
    assert send_mails() == 0
    with pytest.raises(Refused, match="being sent right now"):
        try_again(mail)
    queue("other")
    assert send_mails() == 1  # the held one stops no other
    postbox.let_go.set()
    sending.join(10)
    mail.refresh_from_db()
    assert (mail.state, mail.error) == ("failing", "451 try again later")


@pytest.fixture
def worker(own_database, broker, tmp_path, closed_postbox):
    """A real worker with beat, whose mail server is the postbox."""
    url = f"smtp+plain://127.0.0.1:{closed_postbox.port}"
    process = Process(
        ["celery", "-A", "config", "worker", "-B", "--schedule", str(tmp_path / "beat"), *FLAGS],
        env=_environment(own_database, broker, TEST_EMAIL_URL=url),
        log=tmp_path / "worker.log",
        ready=lambda said: " ready." in said,
    )
    process.start()
    yield process
    process.stop()


def test_a_worker_killed_in_the_middle_of_a_mail_leaves_it_to_the_next(worker, postbox):
    postbox.holds = True
    mail = queue("killed")
    assert postbox.reached.wait(30)

    os.killpg(worker.pid, signal.SIGKILL)
    worker.kill()
    postbox.holds = False
    postbox.let_go.set()
    mail.refresh_from_db()
    assert (mail.state, mail.attempts) == ("waiting", 0)

    worker.start()
    until = time.monotonic() + 30
    while mail.state != "sent":
        assert time.monotonic() < until, worker.said()
        time.sleep(0.1)
        mail.refresh_from_db()
    # Long enough for another round: it must not go again.
    time.sleep(12)
    assert [message["Message-ID"] for message in postbox.messages] == [f"<{mail.pk}@example.com>"]
