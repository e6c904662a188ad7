"""What the launcher says, and how it says that it can't go on."""

import errno
import sys
from pathlib import Path


class Trouble(Exception):
    """Something that only the person can put right: the text is one line that says what is wrong and what to do."""


def say(text: str) -> None:
    print(text, flush=True)


def tell(text: str) -> None:
    """What is being set up: beside the output of a command, which may be read by a program."""
    print(text, file=sys.stderr, flush=True)


def complain(text: str) -> None:
    print(f"gaugerod: {text}", file=sys.stderr, flush=True)


def last_line(text: str) -> str:
    """The last line that says something, ended by a full stop."""
    line = next((line.strip() for line in reversed(text.splitlines()) if line.strip()), "it ended without a word")
    return line if line.endswith((".", "!", "?")) else f"{line}."


def last_words(log: Path, begins: int = 0) -> str:
    """The last line of a log, read from the byte `begins` on."""
    with log.open("rb") as file:
        file.seek(begins)
        return last_line(file.read().decode("utf-8", "replace"))


def trouble_with_disk(error: OSError, path: Path) -> Trouble:
    """One line for what the disk refused."""
    where = error.filename or path
    if error.errno == errno.ENOSPC:
        return Trouble(f"the disk is full: {where} could not be written. Make room, then start again.")
    if error.errno == errno.EROFS:
        return Trouble(f"the disk of {where} can only be read. Copy Gaugerod to a folder that can be written.")
    if error.errno in (errno.EACCES, errno.EPERM):
        return Trouble(
            f"this user may not write {where}. Start Gaugerod as the user that owns the folder, or copy it to one that "
            "you own."
        )
    return Trouble(f"{where} could not be written: {error.strerror}.")
