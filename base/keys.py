"""The one place where keys are made."""

import secrets
import time
import uuid


def uuid7() -> uuid.UUID:
    """A version 7 UUID (RFC 9562, section 5.7): 48 bits of Unix milliseconds, 74 random bits.

    Keys sort by the moment they were made, which keeps indexes dense. Nothing reads the time back
    out of a key: a phone's clock may be wrong, so rows carry `happened_at` and `received_at` instead.
    """
    milliseconds = time.time_ns() // 1_000_000 & (1 << 48) - 1
    value = milliseconds << 80 | 0x7 << 76 | secrets.randbits(12) << 64 | 0b10 << 62 | secrets.randbits(62)
    return uuid.UUID(int=value)


def free_key(wish: str, taken: set[str]) -> str:
    """The wish, or with a number behind it where somebody has it; it goes into `taken`."""
    key, number = wish, 1
    while key in taken:
        number += 1
        key = f"{wish}-{number}"
    taken.add(key)
    return key


def key_from(text: str) -> uuid.UUID:
    """The key that a form carries, so that sent twice it makes one row; a new one where it carries none."""
    try:
        return uuid.UUID(text)
    except ValueError:
        return uuid7()
