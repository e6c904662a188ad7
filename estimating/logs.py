"""Keeps the tokens of private links out of the log: a line there must not open anybody's proposal."""

import logging
import re

_LINK = re.compile(r"(/p/)[^/\s?#\"']+")


class WithoutTokens(logging.Filter):
    """Writes `/p/…/` for `/p/<token>/` in every message of the handler that it sits on."""

    def filter(self, record: logging.LogRecord) -> bool:
        text = record.getMessage()
        if "/p/" in text:
            record.msg, record.args = _LINK.sub(r"\1…", text), None
        return True
