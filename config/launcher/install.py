"""What has to be on the machine: the locked Python packages, Pango for the PDFs, Chromium for the tests."""

import ctypes
import hashlib
import os
import shutil
import subprocess
import sys
from pathlib import Path

from config.launcher import ROOT
from config.launcher.words import Trouble, tell, trouble_with_disk

PANGO = {
    "libpango-1.0.so.0": "libpango-1.0-0",
    "libpangoft2-1.0.so.0": "libpangoft2-1.0-0",
    "libharfbuzz-subset.so.0": "libharfbuzz-subset0",
}


def install_packages(lock: str) -> None:
    """Installs what the lock names into the virtual environment; nothing when that was done before.

    Raises Trouble where pip fails; its output goes to the terminal.
    """
    path = ROOT / lock
    wanted = hashlib.sha256(path.read_bytes()).hexdigest()
    stamp = Path(sys.prefix) / f"installed-{path.stem}"
    if stamp.exists() and stamp.read_text(encoding="ascii") == wanted:
        return
    tell(f"Installing the Python packages of {lock} (a minute or two) ...")
    pip = [sys.executable, "-m", "pip", "install", "-qq", "--disable-pip-version-check", "--no-input"]
    done = subprocess.run([*pip, "--require-hashes", "--requirement", str(path)], check=False, stdout=sys.stderr)
    if done.returncode != 0:
        raise Trouble(
            f"the Python packages could not be installed (pip's own words are above). Is there a network, and room in "
            f"{sys.prefix}? Then start again."
        )
    try:
        stamp.write_text(wanted, encoding="ascii")
    except OSError as error:
        raise trouble_with_disk(error, stamp) from error


def ensure_pango() -> None:
    """The library that draws text in PDFs. Raises Trouble with the exact command where we may not install it."""
    missing = [package for library, package in PANGO.items() if not _loads(library)]
    if missing:
        _install_debian(missing, why="the PDFs need Pango")


def chromium_path() -> str | None:
    """The path of the browser that the tests drive, or None."""
    return shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")


def lacking_for_browser_tests() -> list[str]:
    """The Debian packages that are missing."""
    lacking = [] if chromium_path() else ["chromium"]
    if not _loads("libatomic.so.1"):  # what Playwright brings is linked to it
        lacking.append("libatomic1")
    return lacking


def ensure_browser() -> None:
    """For the browser tests: installed as root, else left to the tests to say what is missing."""
    lacking = lacking_for_browser_tests()
    if lacking and os.geteuid() == 0 and shutil.which("apt-get"):
        _install_debian(lacking, why="the browser tests need Chromium")


def _loads(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def _install_debian(packages: list[str], *, why: str) -> None:
    prefix: list[str] | None = None
    if shutil.which("apt-get"):
        if os.geteuid() == 0:
            prefix = []
        elif shutil.which("sudo") and subprocess.run(["sudo", "-n", "true"], capture_output=True).returncode == 0:
            prefix = ["sudo", "-n"]
    command = ["apt-get", "install", "-y", "--no-install-recommends", *packages]
    advice = f"{why}. Run this, then start again: sudo {' '.join(command)}"
    if prefix is None:
        raise Trouble(advice)
    tell(f"Installing {', '.join(packages)}: {why} ...")
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for step in (["apt-get", "update", "-qq"], [*command, "-qq"]):
        done = subprocess.run([*prefix, *step], check=False, stdout=subprocess.DEVNULL, env=environment)
    if done.returncode != 0:
        raise Trouble(advice)
