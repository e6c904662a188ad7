"""Marks texts that a person reads, so that the pages can translate them; this package itself knows no language."""

from collections.abc import Callable, Mapping

Say = Callable[[str], str]
"""Returns a text of ours in a reader's language."""


def english(text: str) -> str:
    """Return a text as it is."""
    return text


def gettext_noop(message: str) -> str:
    """Return `message` unchanged: the name is what message extraction looks for."""
    return message


class Unreadable(ValueError):
    """What was typed can't be read.  `str()` says what is wrong and what to type instead, in English; `template` and
    `params` are the same for translation."""

    def __init__(self, template: str, params: Mapping[str, str] | None = None) -> None:
        super().__init__(template, params)
        self.template = template
        self.params: Mapping[str, str] = params or {}

    def __str__(self) -> str:
        return self.template % self.params if self.params else self.template
