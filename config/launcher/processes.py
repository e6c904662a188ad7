"""Child processes that never outlive the one that started them, and that never run as root."""

import ctypes
import os
import pwd
import signal
import subprocess
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import IO, Any

ACCOUNT = "gaugerod"
PR_SET_PDEATHSIG = 1  # prctl(2)
_LIBC = ctypes.CDLL(None)


@dataclass(frozen=True)
class Account:
    """The user that child processes run as."""

    name: str
    uid: int
    gid: int


def unprivileged_account() -> Account | None:
    """The account to drop to when we are root, made if it is missing; None when we aren't root.

    Raises subprocess.CalledProcessError where the account can't be made.
    """
    if os.geteuid() != 0:
        return None
    try:
        entry = pwd.getpwnam(ACCOUNT)
    except KeyError:
        command = ["useradd", "--system", "--user-group", "--no-create-home", "--shell", "/usr/sbin/nologin", ACCOUNT]
        subprocess.run(command, check=True, capture_output=True)
        entry = pwd.getpwnam(ACCOUNT)
    return Account(name=entry.pw_name, uid=entry.pw_uid, gid=entry.pw_gid)


def as_account(account: Account | None) -> dict[str, Any]:
    """The arguments of subprocess that make a child run as the account."""
    return {} if account is None else {"user": account.uid, "group": account.gid, "extra_groups": []}


def become(account: Account) -> None:
    """Gives up root for good, for this process and all that it starts."""
    os.setgroups([])
    os.setgid(account.gid)
    os.setuid(account.uid)


def end_with_parent(death_signal: signal.Signals, *, parent: int) -> None:
    """Called in a child: from now on Linux sends it `death_signal` when the thread that forked it ends.

    A change of user undoes this, so it comes last. Where the parent was gone before, the child ends itself.
    """
    if sys.platform.startswith("linux"):
        _LIBC.prctl(PR_SET_PDEATHSIG, int(death_signal), 0, 0, 0)
        if os.getppid() != parent:
            os._exit(1)


def start_process(
    args: Sequence[str | Path],
    *,
    account: Account | None,
    death_signal: signal.Signals,
    cwd: Path,
    env: Mapping[str, str] | None = None,
    log: IO[bytes] | int | None = None,
) -> subprocess.Popen[bytes]:
    """A child in a session of its own (Ctrl-C reaches only us; we stop the children in order).

    Call it from the main thread: when the calling thread ends, the child gets `death_signal`.
    """
    return subprocess.Popen(
        [str(arg) for arg in args],
        cwd=cwd,
        env=dict(env) if env is not None else None,
        stdin=subprocess.DEVNULL,
        stdout=log,
        stderr=subprocess.STDOUT if log is not None else None,
        start_new_session=True,
        preexec_fn=partial(end_with_parent, death_signal, parent=os.getpid()),
        **as_account(account),
    )


def stop_process(process: subprocess.Popen[bytes], *, ask: signal.Signals, seconds: float) -> None:
    """Asks the process to stop, waits, and kills what hasn't stopped by then."""
    if process.poll() is not None:
        return
    process.send_signal(ask)
    try:
        process.wait(seconds)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()


def own(path: Path, account: Account | None) -> None:
    """Gives a file or folder (not what is in it) to the account that the children run as."""
    if account is not None:
        os.chown(path, account.uid, account.gid)
