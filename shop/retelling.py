"""Sentences that were frozen in English (layouts, surveys), told in the reader's language.

What was frozen stays as it is. A sentence is recognized by the text that it was made from, out of those that the
catalog has, and its figures are put into that text's translation; one that isn't recognized is shown as it stands.
"""

import re
from functools import lru_cache

from django.utils.translation import get_language, gettext, trans_real

BLANK = re.compile(r"%\((\w+)\)[a-z]|%s")
FEWEST_LETTERS = 4
"""A text with blanks is told from others by its own letters: with fewer, what people typed would match it too."""
STEP = re.compile(r"([a-z]+) (\d.*)")
"""What is to be done and by how much, as the survey's schedule says it: shim 1/8."""


@lru_cache(maxsize=8)
def _told(language: str) -> list[tuple[re.Pattern[str], str]]:
    """The catalog's texts with blanks, the one that says most of itself first."""
    found = []
    catalog = trans_real.translation(language)._catalog  # type: ignore[attr-defined]  # as Django's own JSON view
    for text in catalog.keys():  # noqa: SIM118  it is no dict
        if not isinstance(text, str) or not BLANK.search(text):
            continue
        if (letters := own_letters(text)) >= FEWEST_LETTERS:
            found.append((letters, re.compile(_pattern(text)), text))
    return [(pattern, text) for _letters, pattern, text in sorted(found, key=lambda each: -each[0])]


def own_letters(text: str) -> int:
    """How many letters a text has besides its blanks."""
    return sum(each.isalpha() for each in BLANK.sub("", text))


def _pattern(text: str) -> str:
    """The text as an expression in which each blank matches something: within its sentence, or, where it follows a
    sentence, sentences. A blank that repeats matches the same."""
    seen: set[str] = set()
    parts, at = [], 0
    for blank in BLANK.finditer(text):
        parts.append(re.escape(text[at : blank.start()].replace("%%", "%")))
        name = blank[1]
        some = ".+" if text[: blank.start()].endswith(". ") else r"(?:(?!\. ).)+?"
        parts.append(f"(?P={name})" if name in seen else f"(?P<{name}>{some})" if name else f"({some})")
        seen |= {name} if name else set()
        at = blank.end()
    return "".join(parts) + re.escape(text[at:].replace("%%", "%"))


def is_english() -> bool:
    """Whether what was frozen can be shown as it is: the language that is on is its own."""
    return (get_language() or "en").startswith("en")


def retold(text: str) -> str:
    """The text, sentence by sentence, in the language that is on; English for English."""
    return text if is_english() else _retold(text, get_language() or "en")


@lru_cache(maxsize=2000)
def _retold(text: str, language: str) -> str:
    sentences = re.split(r"(?<=\.) ", text)
    said = []
    while sentences:
        # A text may be several sentences.
        for count in range(len(sentences), 0, -1):
            if (whole := _sentence(" ".join(sentences[:count]), language)) is not None:
                break
        said.append(sentences[0] if whole is None else whole)
        del sentences[:count]
    return " ".join(said)


def _sentence(text: str, language: str) -> str | None:
    """One text of the catalog with its figures; None where it is none. A full stop may have been put behind it."""
    for words, stop in ((text, ""), (text.removesuffix("."), ".")):
        if not words:
            continue
        if (same := gettext(words)) != words:
            return same + stop
        for pattern, own in _told(language):
            if match := pattern.fullmatch(words):
                values = {name: _retold(value, language) for name, value in match.groupdict().items()}
                return gettext(own) % (values or tuple(_retold(value, language) for value in match.groups())) + stop
    if step := STEP.fullmatch(text):
        return f"{gettext(step[1])} {step[2]}"
    head, colon, rest = text.partition(": ")
    return f"{_retold(head, language)}: {_retold(rest, language)}" if colon else None
