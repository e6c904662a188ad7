"""The plain address in the shop's network: it exists to hand out the certificate, and shows nothing of the shop."""

from collections.abc import Callable
from typing import Any
from urllib.parse import urlsplit

from config.proxy import Application

START = "/phone/trust/"
"""The page with the three steps (home/trust.py), and what lies below it."""


def only_help(inner: Application, *, help_url: str) -> Application:
    """Requests that came in at the port of `help_url` see START and the static files; all else is sent to START.
    No cookie goes in or out there: on a plain line anybody could read it, and a cookie holds for all ports of a name.

    SERVER_PORT is the port that gunicorn listens at, not what the visitor's headers say.
    """
    port = str(urlsplit(help_url).port)

    def application(environ: dict[str, Any], start_response: Callable[..., Any]) -> Any:
        path = environ.get("PATH_INFO", "")
        if environ["SERVER_PORT"] != port:
            return inner(environ, start_response)
        if path.startswith((START, "/static/")):
            environ.pop("HTTP_COOKIE", None)
            return inner(environ, _without_cookies(start_response))
        start_response("302 Found", [("Location", START), ("Content-Length", "0")])
        return []

    return application


def _without_cookies(start_response: Callable[..., Any]) -> Callable[..., Any]:
    def start(status: str, headers: list[tuple[str, str]], *rest: Any) -> Any:
        kept = [(name, value) for name, value in headers if name.lower() != "set-cookie"]
        return start_response(status, kept, *rest)

    return start
