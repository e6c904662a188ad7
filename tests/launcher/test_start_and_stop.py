"""./gaugerod start, stop, kill -9 and start again, with the real services. What is promised here is our own."""

import os
import resource
import shutil
import signal
import socket
import stat
import subprocess
import sys
import time

from config.launcher.processes import ACCOUNT
from tests.launcher.conftest import install


def crowding() -> float:
    """How much longer a piece of work takes than it needs the processor for: 1.0 on a machine with nothing to do."""
    begun, before = time.monotonic(), resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([sys.executable, "-c", "import celery, django.forms, weasyprint"], check=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    needed = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return max(1.0, (time.monotonic() - begun) / needed)


def wait_until_gone(installation, seconds: float) -> dict[int, str]:
    until = time.monotonic() + seconds
    while (left := installation.processes()) and time.monotonic() < until:
        time.sleep(0.1)
    return left


def test_the_first_start_tells_the_address_and_a_log_in_for_the_owner(installation):
    assert f"http://localhost:{installation.port}" in installation.first_words
    name, password, role = (installation.folder / "var/first-log-ins.txt").read_text().split()
    assert (name, role) == ("owner", "(owner)")
    assert password in installation.first_words


def test_secrets_are_for_the_shops_account_only(installation):
    for name in ("secret-key", "first-log-ins.txt"):
        assert stat.S_IMODE((installation.folder / "var" / name).stat().st_mode) == 0o600
    assert stat.S_IMODE((installation.folder / "var").stat().st_mode) == 0o700


def test_the_page_answers_and_ctrl_c_stops_everything_in_order(installation):
    running = installation.start()
    assert running.answers()
    assert len(installation.processes()) >= 6  # launcher, PostgreSQL, Valkey, web server, worker, their children
    begun = time.monotonic()
    assert running.interrupt() == 0
    assert time.monotonic() - begun < 20
    assert running.said().rstrip().endswith("Stopped.")
    assert installation.processes() == {}
    log = (installation.folder / "var/log/postgresql.log").read_text()
    assert log.rstrip().endswith("database system is shut down")


def test_nothing_of_the_shop_runs_as_root(installation, me):
    running = installation.start()
    owners = {installation.owner_of(pid) for pid in installation.processes()}
    running.interrupt()
    assert owners == {ACCOUNT if me.pw_uid == 0 else me.pw_name}


def test_killed_with_9_it_leaves_nothing_behind_and_starts_again_within_five_seconds(installation):
    tries = []
    for _ in range(3):
        crowded = crowding()
        running = installation.start()
        tries.append((running.seconds, crowded))
        before = installation.processes()
        running.kill()
        assert len(before) >= 6
        assert wait_until_gone(installation, 15) == {}
    assert min(seconds / crowded for seconds, crowded in tries) <= 5, tries


def test_a_start_right_after_kill_9_waits_for_what_is_still_ending(installation):
    installation.start().kill()
    running = installation.start()
    assert running.answers()
    assert running.interrupt() == 0


def test_a_worker_or_web_server_that_dies_is_started_again(installation):
    running = installation.start()
    for words in ("celery -A config worker", "gunicorn"):
        # The first one is the parent of the others.
        os.kill(min(pid for pid, command in installation.processes().items() if words in command), signal.SIGKILL)
    until = time.monotonic() + 60
    while running.said().count("starting it again") < 2 and time.monotonic() < until:
        time.sleep(0.1)
    while not running.answers() and time.monotonic() < until:
        time.sleep(0.1)
    answered = running.answers()
    assert running.interrupt() == 0
    assert "The worker ended (code -9); starting it again." in running.said()
    assert "The web server ended (code -9); starting it again." in running.said()
    assert answered


def test_a_database_and_media_folder_of_the_shops_own_take_the_place_of_ours(
    folder_for_all, environment_for_all, me, databases
):
    """DATABASE_URL and MEDIA_ROOT, here of the tests' own server; `peer` lets the shop's account in."""
    name = databases.clone()
    mine = install(folder_for_all / "elsewhere", environment=environment_for_all, user=me)
    mine.extra = {"DATABASE_URL": databases.app_url(name), "DATABASE_OWNER_URL": databases.owner_url(name)}
    running = mine.start("--no-demo")
    answered, commands = running.answers(), " ".join(mine.processes().values())
    assert running.interrupt() == 0
    assert answered
    assert "bin/postgres" not in commands
    assert not (mine.folder / "var/postgresql").exists()
    mine.extra["DATABASE_URL"] = mine.extra["DATABASE_OWNER_URL"] = "postgresql://nobody@127.0.0.1:1/none"
    done = mine.run("start")
    assert done.returncode == 1
    assert done.stderr.startswith("gaugerod: the database could not be prepared: The database can't be reached: ")
    assert done.stderr.count("\n") == 1
    databases.drop(name)
    shutil.rmtree(mine.folder)


def test_two_launchers_in_one_folder_are_refused(installation):
    running = installation.start()
    second = installation.run("start", "--port", str(installation.port + 1))
    still = running.answers()
    running.interrupt()
    assert second.returncode == 1
    assert second.stderr == "gaugerod: Gaugerod is already running from this folder. Stop it there first (Ctrl-C).\n"
    assert still


def test_a_taken_port_is_told_with_the_way_out(installation):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        done = installation.run("start", "--port", str(port))
    assert done.returncode == 1
    assert done.stderr == (
        f"gaugerod: port {port} is taken by another program. Choose another: ./gaugerod start --port {port + 1}\n"
    )
    assert installation.processes() == {}


def test_manage_starts_the_database_for_one_command_and_stops_it(installation):
    done = installation.run("manage", "shell", "-v0", "-c", "from shop.models import Staff; print(Staff.objects.get())")
    assert done.stdout.strip() == "Owner", done.stderr
    assert installation.processes() == {}


def test_manage_uses_the_database_of_the_running_shop(installation):
    running = installation.start()
    done = installation.run("manage", "shell", "-v0", "-c", "from shop.models import Staff; print(Staff.objects.get())")
    still = running.answers()
    running.interrupt()
    assert done.stdout.strip() == "Owner", done.stderr
    assert still
    assert (running.process.returncode, done.returncode) == (0, 0)
