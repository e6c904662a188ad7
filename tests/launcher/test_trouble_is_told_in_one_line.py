"""What only the person can put right: one line that says what is wrong and what to do, exit code 1, no traceback."""

import errno
import os
import shutil
import subprocess
from collections import namedtuple

import pytest

from config.launcher import place
from config.launcher.words import Trouble, trouble_with_disk
from tests.launcher.conftest import install
from tests.support.databases import ROOT


def one_line(done: subprocess.CompletedProcess) -> str:
    assert done.returncode == 1, done
    assert done.stderr.startswith("gaugerod: ")
    assert done.stderr.count("\n") == 1, done.stderr
    return done.stderr


@pytest.fixture
def damaged(installation, folder_for_all):
    """A second installation with the data of the first, for spoiling."""
    folder = folder_for_all / "damaged"
    shutil.copytree(installation.folder, folder, symlinks=True)
    data, copy = installation.folder / "var", folder / "var"
    for path in (copy, *copy.rglob("*")):
        known = (data / path.relative_to(copy)).lstat()
        os.chown(path, known.st_uid, known.st_gid, follow_symlinks=False)
    yield type(installation)(folder, installation.user, installation.port)
    shutil.rmtree(folder)


def test_a_broken_data_folder(damaged):
    control = damaged.folder / "var/postgresql/global/pg_control"
    control.write_bytes(b"\0" * control.stat().st_size)
    said = one_line(damaged.run("start", "--port", str(damaged.port)))
    assert f"the database in {damaged.folder}/var/postgresql does not start" in said
    assert "Put a backup of that folder in its place" in said
    assert damaged.processes() == {}


def test_a_folder_that_is_not_this_users(folder_for_all, environment_for_all, me, ordinary_user):
    if me == ordinary_user:
        pytest.skip("only root can make a folder that belongs to somebody else")
    theirs = install(folder_for_all / "theirs", environment=environment_for_all, user=me)
    theirs.user = ordinary_user
    said = one_line(theirs.run("start"))
    assert said.startswith(
        f"gaugerod: this user may not write {theirs.folder}/var. Start Gaugerod as the user that owns"
    )
    shutil.rmtree(theirs.folder)


def test_a_full_disk(monkeypatch, tmp_path):
    usage = namedtuple("usage", "total used free")
    monkeypatch.setattr(place, "ROOT", tmp_path)
    monkeypatch.setattr(place, "unprivileged_account", lambda: None)
    monkeypatch.setattr(place.shutil, "disk_usage", lambda path: usage(10**9, 10**9 - 2**20, 2**20))
    with pytest.raises(Trouble, match=r"the disk is nearly full: 1 MB are left for .* Make room, then start again"):
        place.Place(environ={}).prepare()


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (errno.ENOSPC, "the disk is full: /x could not be written. Make room"),
        (errno.EROFS, "the disk of /x can only be read. Copy Gaugerod"),
        (errno.EACCES, "this user may not write /x."),
    ],
)
def test_what_the_disk_refuses_is_said_in_plain_words(number, words):
    assert str(trouble_with_disk(OSError(number, os.strerror(number), "/x"), ROOT)).startswith(words)


def test_an_old_python(tmp_path):
    for tool in ("sh", "id", "dirname", "readlink", "cat", "setpriv", "env", "test", "printf"):
        if path := shutil.which(tool):
            (tmp_path / tool).symlink_to(path)
    old = tmp_path / "python3"
    old.write_text('#!/bin/sh\n[ "$1" = -V ] && echo Python 3.9.2 && exit 0\nexit 1\n', encoding="ascii")
    old.chmod(0o755)
    folder = tmp_path / "shop"
    folder.mkdir()
    shutil.copy(ROOT / "gaugerod", folder)
    done = subprocess.run(
        [folder / "gaugerod", "test"], env={"PATH": str(tmp_path)}, capture_output=True, text=True, check=False
    )
    said = one_line(done)
    assert "Python 3.11 or newer is needed" in said
    assert "Python 3.9.2" in said


def test_an_unknown_command():
    done = subprocess.run([ROOT / "gaugerod", "begin"], capture_output=True, text=True, check=False)
    assert one_line(done) == "gaugerod: there is no command 'begin'. Say start, test or manage.\n"


def test_manage_before_the_first_start(folder_for_all, environment_for_all, me):
    fresh = install(folder_for_all / "fresh", environment=environment_for_all, user=me)
    said = one_line(fresh.run("manage", "clear_demo"))
    assert said == "gaugerod: there is no shop here yet. Run this once, then try again: ./gaugerod start\n"
    shutil.rmtree(fresh.folder)
