"""One PostgreSQL per test run, one migrated template in it, and a clone of that for whoever needs one."""

import fcntl
import hashlib
import itertools
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from config.launcher.postgres import APP, OWNER, Postgres, binaries
from config.launcher.processes import unprivileged_account

ROOT = Path(__file__).resolve().parent.parent.parent
TEMPLATE = "template_migrated"


@dataclass
class TestDatabases:
    """The run's server. `clone()` names a fresh, migrated, empty database."""

    __test__ = False
    server: Postgres
    names: Iterator[str] = field(default_factory=lambda: (f"test_{n}" for n in itertools.count(1)))

    def clone(self) -> str:
        name = next(self.names)
        self.server.make_database(name, template=TEMPLATE)
        return name

    def drop(self, name: str) -> None:
        self.server.drop_database(name)

    def app_url(self, name: str) -> str:
        return self.server.url(role=APP, database=name)

    def owner_url(self, name: str) -> str:
        return self.server.url(role=OWNER, database=name)


@contextmanager
def use_database(databases: TestDatabases, name: str) -> Iterator[None]:
    """Points Django's default connection at the database, for this thread and every later one."""
    from django.conf import settings
    from django.db import connections

    from config.databases import database_from_url

    ours = connections.settings["default"]
    before, owner_before = dict(ours), settings.DATABASE_OWNER_URL
    connections["default"].close()
    target = database_from_url(databases.app_url(name))
    ours.update({key: target[key] for key in ("NAME", "USER", "PASSWORD", "HOST", "PORT")})
    settings.DATABASE_OWNER_URL = databases.owner_url(name)
    try:
        yield
    finally:
        connections["default"].close()
        ours.update(before)
        settings.DATABASE_OWNER_URL = owner_before


def content_of_migrations() -> str:
    """A hash of everything that the migrated template is made from."""
    sources = sorted(ROOT.glob("*/migrations/*.py")) + sorted((ROOT / "base").glob("*.py"))
    sources += [ROOT / "config/databases.py", ROOT / "config/launcher/postgres.py", ROOT / "requirements.lock"]
    digest = hashlib.sha256()
    for source in sources:
        digest.update(source.relative_to(ROOT).as_posix().encode() + b"\0" + source.read_bytes() + b"\0")
    return digest.hexdigest()[:16]


@contextmanager
def running_databases(*, folder: Path, cache: Path) -> Iterator[TestDatabases]:
    """Starts the server under `folder`; takes the migrated data folder from `cache`, or makes it and leaves it there.

    `folder` must be short (a socket's path ends at 107 bytes). As root, it is given to the unprivileged account.
    """
    account = unprivileged_account()
    if account is not None:
        os.chown(folder, account.uid, account.gid)
    server = Postgres(
        data=folder / "pg",
        sockets=folder,
        log=folder / "postgres.log",
        account=account,
        programs=binaries(),
        durable=False,
    )
    databases = TestDatabases(server)
    kept = cache / content_of_migrations()
    # The workers of one run wait for the first of them, which makes it for all.
    with cache.with_name("gaugerod.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        made_here = not kept.exists()
        if made_here:
            server.initialize()
            server.start()
            _migrate(databases)
            server.stop()
            _keep(server.data, kept)
    if not made_here:
        _copy(kept, server.data, owner=(account.uid, account.gid) if account else None)
    server.start()
    try:
        yield databases
    finally:
        server.stop()


def _migrate(databases: TestDatabases) -> None:
    from django.core.management import call_command

    databases.server.make_roles()
    databases.server.make_database(TEMPLATE)
    with use_database(databases, TEMPLATE):
        call_command("migrate", verbosity=0, interactive=False, skip_checks=True)


def _copy(source: Path, target: Path, *, owner: tuple[int, int] | None) -> None:
    shutil.copytree(source, target)
    target.chmod(0o700)
    if owner is not None:
        for path in [target, *target.rglob("*")]:
            os.chown(path, *owner)


def _keep(data: Path, kept: Path) -> None:
    """Several runs may do this at once: each copies for itself, and the last rename wins or finds itself too late."""
    kept.parent.mkdir(parents=True, exist_ok=True)
    for old in sorted(kept.parent.iterdir(), key=lambda path: path.stat().st_mtime)[:-2]:
        shutil.rmtree(old, ignore_errors=True)
    making = kept.with_name(f"{kept.name}.{os.getpid()}")
    shutil.copytree(data, making)
    try:
        making.rename(kept)
    except OSError:
        shutil.rmtree(making, ignore_errors=True)
