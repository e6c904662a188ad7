"""From a template and its frozen input to the bytes of a tagged PDF. Reads no clock, no network and no database."""

import logging
import mimetypes
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

from django.conf import settings
from django.db import connection
from django.template.loader import render_to_string
from django.utils import translation
from weasyprint import HTML
from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

from documents.models import template_of
from documents.tagging import mend_tags

# Its warnings are about CSS meant for screens; what fails is raised.
for _name in ("weasyprint", "weasyprint.progress", "fontTools"):
    logging.getLogger(_name).setLevel(logging.ERROR)

# ISO 14289-1: tagged, with a language and a title, for readers that speak and for readers that reflow.
VARIANT = "pdf/ua-1"


class NotRendered(Exception):
    """The template or something that it shows is at fault; the text says what."""


class HouseFetcher(URLFetcher):
    """Fetches what a document may show: files of the static folder and data inside the document. Nothing else.

    An address typed by a client must neither reach the network nor read the server's files, and a drawing that
    can't be read must not be left out of a proposal in silence: the first failure ends the rendering.
    """

    def __init__(self, root: Path) -> None:
        super().__init__(allowed_protocols=("data", "file"), allow_redirects=False, fail_on_errors=True)
        self.root = root.resolve()

    def fetch(self, url: str, headers: dict[str, str] | None = None) -> URLFetcherResponse:
        """The response for `url`. Raises ValueError for anything but `data:` and files below `root`."""
        parts = urlsplit(url)
        if parts.scheme == "data":
            return super().fetch(url, headers)
        if parts.scheme != "file" or parts.netloc:
            raise ValueError("a document shows only static files and data of its own")
        path = Path(unquote(parts.path)).resolve()
        if not path.is_relative_to(self.root):
            raise ValueError("the file lies outside the static folder")
        kind = mimetypes.guess_type(path.name)[0] or "application/octet-stream"
        return URLFetcherResponse(url, path.read_bytes(), {"Content-Type": kind})


@contextmanager
def nothing_left_out() -> Iterator[None]:
    """Raises NotRendered at the end of the block if the renderer left something out, which it only logs."""
    lost: list[str] = []
    thread = threading.get_ident()

    class Collector(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            if record.thread == thread and record.msg.startswith(("Failed to", "Content discarded")):
                lost.append(record.getMessage())

    logger, collector = logging.getLogger("weasyprint"), Collector()
    logger.addHandler(collector)
    try:
        yield
    finally:
        logger.removeHandler(collector)
    if lost:
        raise NotRendered("; ".join(line[:300] for line in lost[:5]))


def _no_database(*args: Any) -> None:
    # Prices and units as they are today would slip into a document that was asked for yesterday.
    raise NotRendered("the template reads the database; its input has to hold all that it shows")


def render_pdf(*, kind: str, title: str, language: str, context: dict[str, Any]) -> bytes:
    """The PDF of `documents/<kind>.html` filled with `context` and nothing else: the same input gives the same bytes.

    `tries` in the context: one after the other is put into it (a size of text, say) until one page holds the document;
    the last counts in any case.
    Raises NotRendered where the document shows something that it may not or that isn't there; whatever the
    template raises goes through.
    """
    static = Path(settings.STATICFILES_DIRS[0])
    try:
        with nothing_left_out():
            for more in context.get("tries") or [{}]:
                with translation.override(language), connection.execute_wrapper(_no_database):
                    html = render_to_string(template_of(kind), context | more)
                pages = HTML(string=html, base_url=f"{static.as_uri()}/", url_fetcher=HouseFetcher(static)).render()
                if len(pages.pages) == 1:
                    break
            # What readers show in the window's title and speak by: never left to a template's forgetfulness.
            pages.metadata.title = title
            pages.metadata.lang = language
            return bytes(pages.write_pdf(finisher=mend_tags, pdf_variant=VARIANT))
    except FatalURLFetchingError as error:
        raise NotRendered(f"{error}: {error.__cause__}"[:2000]) from error
