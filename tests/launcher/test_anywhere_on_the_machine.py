"""Long paths, folders that only root can read, and users that aren't root."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.launcher.conftest import Installation, install
from tests.support.databases import ROOT


def test_an_ordinary_user_starts_it_from_a_path_of_150_characters(folder_for_all, environment_for_all, ordinary_user):
    parent = folder_for_all / ("a" * 60) / ("b" * 80)
    parent.mkdir(parents=True)
    far = install(parent / "shop", environment=environment_for_all, user=ordinary_user)
    assert len(str(far.folder)) >= 150
    running = far.start("--no-demo")
    answered, owners = running.answers(), {far.owner_of(pid) for pid in far.processes()}
    assert running.interrupt() == 0
    assert answered
    assert owners == {ordinary_user.pw_name}
    assert far.processes() == {}


def prepared_copy(here: Installation, environment: Path) -> Path:
    """The folder that the copy will run in, with a Python environment in it: making one takes minutes."""
    number = subprocess.run(["cksum"], input=str(here.folder).encode(), capture_output=True, check=True)
    copy = Path("/var/lib/gaugerod") / number.stdout.split()[0].decode()
    copy.mkdir(parents=True)
    (copy / ".venv").symlink_to(environment)
    return copy


def test_root_starts_it_from_a_folder_that_only_root_can_read(tmp_path, environment_for_all, me):
    if me.pw_uid != 0:
        pytest.skip("only root has folders that only root can read")
    closed = tmp_path / "closed"
    closed.mkdir(mode=0o700)
    here = install(closed / "shop", environment=environment_for_all, user=me)
    copy = prepared_copy(here, environment_for_all)
    there = Installation(copy, me, here.port)
    try:
        running = here.start("--no-demo")
        said, answered, owners = running.said(), running.answers(), {there.owner_of(pid) for pid in there.processes()}
        assert running.interrupt() == 0
        assert f"a copy of it runs in {copy}, with the data" in said
        assert answered
        assert owners == {"gaugerod"}
        # A second start takes the project's changes along and keeps the data.
        (here.folder / "README.added").write_text("new")
        logins = (copy / "var/first-log-ins.txt").read_text()
        again = here.start()
        again.interrupt()
        assert (copy / "README.added").exists()
        assert logins in again.said()
    finally:
        shutil.rmtree(copy)


def test_a_python_that_only_root_can_run_is_not_used_for_the_shop(folder_for_all, tmp_path, environment_for_all, me):
    if me.pw_uid != 0:
        pytest.skip("only root has a Python that only root can run")
    closed = tmp_path / "environment"
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", closed], check=True)
    tmp_path.chmod(0o700)
    here = install(folder_for_all / "open", environment=closed, user=me)
    copy = prepared_copy(here, environment_for_all)
    try:
        done = here.run("manage", "clear_demo")
        assert f"a copy of it runs in {copy}, with the data" in done.stderr
        assert "there is no shop here yet" in done.stderr
    finally:
        shutil.rmtree(copy)
        shutil.rmtree(here.folder)


def test_the_file_commands_need_no_database_and_no_installation(folder_for_all, environment_for_all, me):
    fresh = install(folder_for_all / "files", environment=environment_for_all, user=me)
    room = next((ROOT / "config/demo/rooms").glob("*.json"))
    done = fresh.run("manage", "layout", str(room), "--dxf", str(fresh.folder / "dxf"))
    assert done.returncode == 0, done.stderr
    assert list((fresh.folder / "dxf").glob("*.dxf"))
    # What a library has to tell of its work stays unsaid.
    assert "INFO" not in done.stderr
    assert '"gaugerod-layout/1"' in done.stdout
    assert not (fresh.folder / "var").exists()
    shutil.rmtree(fresh.folder)


@pytest.mark.skipif(os.getuid() != 0, reason="needs root to look into")
def test_the_sockets_are_for_the_shops_account_only(installation):
    running = installation.start()
    ours = [
        folder
        for folder in Path("/run").glob("gaugerod-*")
        if (folder / "valkey.sock").exists() and str(installation.folder) in _command_line_of(folder)
    ]
    modes = [folder.stat().st_mode & 0o777 for folder in ours]
    running.interrupt()
    assert modes == [0o700]


def _command_line_of(folder: Path) -> str:
    """The command of the PostgreSQL that listens in the folder; nothing where another one's has just ended."""
    try:
        pid = (folder / ".s.PGSQL.5432.lock").read_text().split("\n", 1)[0]
        return Path(f"/proc/{pid}/cmdline").read_bytes().replace(b"\0", b" ").decode()
    except (FileNotFoundError, ProcessLookupError):
        return ""
