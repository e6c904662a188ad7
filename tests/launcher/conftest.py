"""Installations of their own: a copy of the project, with a Python environment that any user of the machine can run."""

import hashlib
import os
import pwd
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from config.launcher.processes import ACCOUNT, as_account, unprivileged_account
from tests.support.databases import ROOT
from tests.support.services import answers, free_port

LEFT_OUT = (".git", ".venv", "var", ".pytest_cache", ".mypy_cache", ".ruff_cache", ".hypothesis", "__pycache__")
READY = "Ctrl-C stops it."


@pytest.fixture(scope="session")
def environment_for_all() -> Iterator[Path]:
    """A virtual environment that borrows this one's packages and that an unprivileged user can run, too.

    Installing the lock anew for each test would take minutes; what is tested here is what comes after.
    """
    folder = Path(tempfile.mkdtemp(prefix="gaugerod-venv-"))
    folder.chmod(0o755)
    python = _python_for_all()
    subprocess.run([python, "-m", "venv", "--without-pip", folder], check=True)
    packages = next(Path(sys.prefix).glob("lib/python3*/site-packages"))
    borrowing = next(folder.glob("lib/python3*/site-packages"))
    assert borrowing.parent.name == packages.parent.name, f"{python} is another version than {sys.executable}"
    if unprivileged_account() and not _readable_by_all(packages):
        shutil.rmtree(borrowing)
        shutil.copytree(packages, borrowing, symlinks=True)
    else:
        (borrowing / "borrowed.pth").write_text(f"{packages}\n", encoding="utf-8")
    lock = hashlib.sha256((ROOT / "requirements.lock").read_bytes()).hexdigest()
    (folder / "installed-requirements").write_text(lock, encoding="ascii")
    yield folder
    shutil.rmtree(folder)


def _python_for_all() -> str:
    for candidate in (sys._base_executable, "/usr/bin/python3", "/usr/local/bin/python3"):
        account = unprivileged_account()
        command = [candidate, "-c", "import sys; print(sys.version_info[:2])"]
        if not Path(candidate).exists():
            continue
        try:
            said = subprocess.run(command, cwd="/", capture_output=True, text=True, check=False, **as_account(account))
        except PermissionError:
            continue
        if said.returncode == 0 and said.stdout.strip() == str(tuple(sys.version_info[:2])):
            return candidate
    pytest.skip(f"no Python {sys.version_info[0]}.{sys.version_info[1]} that the user {ACCOUNT} can run")


def _readable_by_all(path: Path) -> bool:
    return all(folder.stat().st_mode & 0o005 == 0o005 for folder in (path, *path.parents))


@dataclass
class Installation:
    """A copy of the project at `folder`; `user` runs it."""

    folder: Path
    user: pwd.struct_passwd
    port: int
    extra: dict[str, str] = field(default_factory=dict)
    first_words: str = ""

    def run(self, *arguments: str, timeout: float = 120, **env: str) -> subprocess.CompletedProcess[str]:
        """Runs ./gaugerod to its end."""
        return subprocess.run(
            [str(self.folder / "gaugerod"), *arguments],
            cwd="/",
            env=self._environment() | env,
            capture_output=True,
            text=True,
            timeout=timeout,
            check=False,
            **self._user(),
        )

    def start(self, *arguments: str) -> "Running":
        """Runs ./gaugerod start until it says that it is ready."""
        output = tempfile.TemporaryFile("w+", encoding="utf-8")  # noqa: SIM115 -- read until the test ends
        begun = time.monotonic()
        process = subprocess.Popen(
            [str(self.folder / "gaugerod"), "start", "--port", str(self.port), *arguments],
            cwd="/",
            env=self._environment(),
            stdin=subprocess.DEVNULL,
            stdout=output,
            stderr=subprocess.STDOUT,
            **self._user(),
        )
        running = Running(self, process, output)
        while READY not in running.said():
            if process.poll() is not None or time.monotonic() - begun > 180:
                process.kill()
                raise AssertionError(f"it did not start:\n{running.said()}")
            time.sleep(0.05)
        running.seconds = time.monotonic() - begun
        return running

    def processes(self) -> dict[int, str]:
        """Every process that works in this folder, with its command."""
        found = {}
        for entry in Path("/proc").iterdir():
            try:
                if entry.name.isdigit() and Path(os.readlink(entry / "cwd")).is_relative_to(self.folder):
                    found[int(entry.name)] = (entry / "cmdline").read_bytes().replace(b"\0", b" ").decode()
            except OSError:
                continue
        return {pid: command for pid, command in found.items() if command}

    def owner_of(self, pid: int) -> str:
        return pwd.getpwuid(Path(f"/proc/{pid}").stat().st_uid).pw_name

    def _environment(self) -> dict[str, str]:
        return {"PATH": "/usr/local/bin:/usr/bin:/bin:/usr/sbin:/sbin", "HOME": "/nonexistent", **self.extra}

    def _user(self) -> dict:
        if self.user.pw_uid == os.getuid():
            return {}
        return {"user": self.user.pw_uid, "group": self.user.pw_gid, "extra_groups": []}


@dataclass
class Running:
    installation: Installation
    process: subprocess.Popen
    output: object
    seconds: float = 0

    def said(self) -> str:
        self.output.seek(0)
        return self.output.read()

    def answers(self) -> bool:
        return answers(f"http://127.0.0.1:{self.installation.port}/alive/")

    def interrupt(self) -> int:
        """Ctrl-C; returns the exit code."""
        self.process.send_signal(signal.SIGINT)
        return self.process.wait(60)

    def kill(self) -> None:
        self.process.kill()
        self.process.wait()


def install(folder: Path, *, environment: Path, user: pwd.struct_passwd) -> Installation:
    shutil.copytree(ROOT, folder, ignore=shutil.ignore_patterns(*LEFT_OUT), symlinks=True)
    folder.chmod(0o755)
    (folder / ".venv").symlink_to(environment)
    if user.pw_uid != os.getuid():
        for path in (folder, *folder.rglob("*")):
            os.chown(path, user.pw_uid, user.pw_gid, follow_symlinks=False)
    return Installation(folder, user, free_port())


@pytest.fixture(scope="session")
def folder_for_all() -> Iterator[Path]:
    """A folder into which every user of the machine can look (pytest's own are closed)."""
    folder = Path(tempfile.mkdtemp(prefix="gaugerod-launch-"))
    folder.chmod(0o755)
    yield folder
    shutil.rmtree(folder)


@pytest.fixture(scope="session")
def me() -> pwd.struct_passwd:
    return pwd.getpwuid(os.getuid())


@pytest.fixture(scope="session")
def ordinary_user(me) -> pwd.struct_passwd:
    """Somebody who isn't root: the shop's account where the tests run as root."""
    account = unprivileged_account()
    return pwd.getpwnam(account.name) if account else me


@pytest.fixture(scope="session")
def installation(folder_for_all, environment_for_all, me) -> Installation:
    """One installation for all the tests that only start and stop it; the first start prepares it."""
    made = install(folder_for_all / "shop", environment=environment_for_all, user=me)
    running = made.start("--no-demo")
    made.first_words = running.said()
    running.interrupt()
    return made
