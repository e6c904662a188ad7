"""The web server behind a reverse proxy."""

from collections.abc import Callable, Iterable
from typing import Any

Application = Callable[[dict[str, Any], Callable[..., Any]], Iterable[bytes]]


def behind_proxy(inner: Application) -> Application:
    """Gives `inner` the visitor's address in place of the proxy's: the last one in X-Forwarded-For, which is the
    proxy's own word. Whatever stands before it came from the visitor and proves nothing."""

    def application(environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
        last = environ.get("HTTP_X_FORWARDED_FOR", "").rpartition(",")[2].strip()
        if last:
            environ["REMOTE_ADDR"] = last
        return inner(environ, start_response)

    return application
