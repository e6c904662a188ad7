"""Where this installation keeps what it makes: `var/` in the project's folder, and a short folder for sockets."""

import compileall
import fcntl
import hashlib
import os
import secrets
import shutil
import stat
import tempfile
from collections.abc import Mapping
from pathlib import Path

from config.launcher import ROOT
from config.launcher.postgres import APP, OWNER, Postgres, binaries
from config.launcher.processes import Account, become, unprivileged_account
from config.launcher.valkey import Valkey, program
from config.launcher.words import Trouble, trouble_with_disk

# A data folder, its log and a day of photos fit; below that PostgreSQL stops in the middle of a write.
ROOM_NEEDED = 300 * 2**20
LOG_GROWS_TO = 5 * 2**20


class Place:
    """The folders of one installation, made where they are missing. As root, it makes us the shop's account first."""

    def __init__(self, *, environ: Mapping[str, str]) -> None:
        self.environ = environ
        self.var = ROOT / "var"
        self._lock: int | None = None
        self._sockets: Path | None = None

    def prepare(self) -> None:
        """From here on we are no longer root. Raises Trouble where the folder can't be written or the disk is full."""
        account = unprivileged_account()
        try:
            self.var.mkdir(mode=0o700, exist_ok=True)
            if account is not None:
                # Only what lies in root's own folders is given away; the rest is made by the account itself,
                # so that nothing which the account could plant is ever followed with root's rights.
                self._give_var(account)
                # The account can't write beside the code, and compiling it anew at each start takes seconds.
                for package in ROOT.glob("*/__init__.py"):
                    compileall.compile_dir(package.parent, quiet=2)
                self._sockets = self._make_sockets(account)
                become(account)
                os.chdir(ROOT)
            for folder in (self.logs, self.state, self.media):
                folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            with tempfile.TemporaryFile(dir=self.state):
                pass
        except OSError as error:
            raise trouble_with_disk(error, self.var) from error
        free = shutil.disk_usage(self.var).free
        if free < ROOM_NEEDED:
            raise Trouble(
                f"the disk is nearly full: {free // 2**20} MB are left for {self.var}, and Gaugerod wants at least "
                f"{ROOM_NEEDED // 2**20} MB. Make room, then start again."
            )
        if not self.secret_key.exists():
            write_secret(self.secret_key, secrets.token_urlsafe(50))

    def _give_var(self, account: Account) -> None:
        owner = self.var.lstat().st_uid
        if owner not in (0, account.uid):
            raise Trouble(f"the data in {self.var} belongs to user {owner}. Start Gaugerod as that user, not as root.")
        os.chown(self.var, account.uid, account.gid, follow_symlinks=False)

    @property
    def logs(self) -> Path:
        return self.var / "log"

    @property
    def state(self) -> Path:
        return self.var / "run"

    @property
    def static(self) -> Path:
        return self.var / "static"

    @property
    def media(self) -> Path:
        return Path(self.environ.get("MEDIA_ROOT") or self.var / "media")

    @property
    def phones(self) -> Path:
        """The certificates of `--lan`, with their keys."""
        return self.var / "phones"

    @property
    def secret_key(self) -> Path:
        return self.var / "secret-key"

    @property
    def logins(self) -> Path:
        """Log-in names and first passwords: of the demo shop, or of the owner that an empty shop begins with."""
        return self.var / "first-log-ins.txt"

    def log(self, name: str) -> Path:
        """The log file of that name; a long one is put aside first (one generation is kept)."""
        path = self.logs / f"{name}.log"
        if path.exists() and path.stat().st_size > LOG_GROWS_TO:
            path.replace(path.with_suffix(".log.1"))
        return path

    def lock(self) -> bool:
        """Takes the installation for this process; False where another launcher has it. A killed one lets go."""
        handle = os.open(self.state / "lock", os.O_RDWR | os.O_CREAT, 0o600)
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            os.close(handle)
            return False
        self._lock = handle
        return True

    def sockets(self) -> Path:
        """A short folder that only we may enter: a socket's path ends at 107 bytes. Raises Trouble."""
        if self._sockets is None:
            self._sockets = self._make_sockets(None)
        return self._sockets

    def _make_sockets(self, account: Account | None) -> Path:
        uid = account.uid if account else os.getuid()
        name = f"gaugerod-{hashlib.sha256(str(ROOT).encode()).hexdigest()[:10]}"
        runtime = self.environ.get("XDG_RUNTIME_DIR", "")
        if account is not None:
            base = Path("/run")
        elif 0 < len(runtime) < 40 and os.access(runtime, os.W_OK):
            base = Path(runtime)
        else:
            base, name = Path("/tmp"), f"{name}-{uid}"  # noqa: S108 -- owner and mode are checked below
        folder = base / name
        folder.mkdir(mode=0o700, exist_ok=True)
        if account is not None:
            os.chown(folder, account.uid, account.gid, follow_symlinks=False)
        found = folder.lstat()
        if not stat.S_ISDIR(found.st_mode) or found.st_uid != uid or stat.S_IMODE(found.st_mode) != 0o700:
            raise Trouble(f"{folder} is not ours: somebody else made it. Remove it, then start again.")
        return folder

    def postgres(self) -> Postgres | None:
        """The embedded server; None where DATABASE_URL names another."""
        if self.environ.get("DATABASE_URL"):
            return None
        return Postgres(
            data=self.var / "postgresql",
            sockets=self.sockets(),
            log=self.log("postgresql"),
            account=None,
            programs=binaries(),
        )

    def valkey(self) -> Valkey | None:
        """The embedded broker; None where BROKER_URL names another."""
        if self.environ.get("BROKER_URL"):
            return None
        return Valkey(
            data=self.var / "valkey",
            sockets=self.sockets(),
            log=self.log("valkey"),
            account=None,
            binary=program(),
        )

    def environment(
        self, *, postgres: Postgres | None, valkey: Valkey | None, public_url: str, as_owner: bool = False
    ) -> dict[str, str]:
        """What the processes of the shop get to know. Only commands get the owner role's address."""
        kept = {name: value for name, value in self.environ.items() if name in _PASSED_ON}
        environment = {
            "PATH": "/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin",
            "LANG": "C.UTF-8",
            **kept,
            "PYTHONPATH": str(ROOT),
            "PYTHONUNBUFFERED": "1",
            "DJANGO_SETTINGS_MODULE": "config.settings",
            "SECRET_KEY_FILE": str(self.secret_key),
            "STATIC_ROOT": str(self.static),
            "MEDIA_ROOT": str(self.media),
            "PUBLIC_URL": self.environ.get("PUBLIC_URL") or public_url,
            "DATABASE_URL": postgres.url(role=APP) if postgres else self.environ["DATABASE_URL"],
            "BROKER_URL": valkey.url if valkey else self.environ["BROKER_URL"],
            # The account has no home of its own; fontconfig and others want a place for what they keep.
            "HOME": str(self.state),
            "XDG_CACHE_HOME": str(self.state / "cache"),
        }
        if as_owner:
            environment["DATABASE_OWNER_URL"] = (
                postgres.url(role=OWNER)
                if postgres
                else self.environ.get("DATABASE_OWNER_URL") or self.environ["DATABASE_URL"]
            )
        return environment


_MAIL = ("EMAIL_URL", "EMAIL_FROM")
_PASSED_ON = frozenset(
    ("PATH", "LANG", "LANGUAGE", "TERM", "TZ", "TMPDIR", "DEBUG", "BEHIND_PROXY", "WEB_WORKERS", "WEB_THREADS", *_MAIL)
)


def write_secret(path: Path, text: str) -> None:
    """Whole or not at all, readable by us only."""
    new = path.with_name(path.name + ".new")
    new.unlink(missing_ok=True)
    with os.fdopen(os.open(new, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="utf-8") as file:
        file.write(text + "\n")
    new.rename(path)
