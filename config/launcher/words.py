"""What the launcher says, and how it says that it can't go on."""

import sys
from pathlib import Path


class Trouble(Exception):
    """Something that only the person can put right: the text is one line that says what is wrong and what to do."""


def say(text: str) -> None:
    print(text, flush=True)


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
