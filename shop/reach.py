"""Where the links that we send can be opened: by what PUBLIC_URL says, and by trying it."""

import http.client
import ipaddress
import secrets
import ssl
import urllib.error
import urllib.request
from dataclasses import dataclass
from typing import Literal
from urllib.parse import urlsplit

from django.conf import settings
from django.utils.crypto import constant_time_compare, salted_hmac
from django.utils.translation import gettext as _

TIMEOUT_SECONDS = 3
# Names that no public name server answers: RFC 6762 (local), RFC 8375 (home.arpa), RFC 6761 (test, invalid);
# internal is reserved for private use; lan and home are common practice, no source.
PRIVATE_ENDINGS = ("local", "home.arpa", "internal", "lan", "home", "test", "invalid")


@dataclass(frozen=True)
class Reach:
    """`level` says how far a link goes, `sentence` says it to the owner."""

    level: Literal["everywhere", "this network", "this machine"]
    sentence: str

    @property
    def everywhere(self) -> bool:
        return self.level == "everywhere"


def link_reach() -> Reach:
    """How far links with PUBLIC_URL can go, judged by its host alone: nothing is asked, nothing is looked up."""
    url = settings.PUBLIC_URL
    host = (urlsplit(url).hostname or "").rstrip(".")
    level = _level(host)
    if level == "this machine":
        sentence = _("Links begin with %(url)s: they open on this machine only. A client can accept here, in person.")
    elif level == "this network":
        sentence = _("Links begin with %(url)s: they open in this network only, not at a client's home.")
    else:
        sentence = _("Links begin with %(url)s.")
    return Reach(level, sentence % {"url": url})


def _level(host: str) -> Literal["everywhere", "this network", "this machine"]:
    try:
        address = ipaddress.ip_address(host.split("%")[0])
    except ValueError:
        if host in ("", "localhost") or host.endswith(".localhost"):
            return "this machine"
        if "." not in host or host.endswith(tuple(f".{ending}" for ending in PRIVATE_ENDINGS)):
            return "this network"
        return "everywhere"
    if isinstance(address, ipaddress.IPv6Address) and address.ipv4_mapped:
        address = address.ipv4_mapped
    if address.is_loopback or address.is_unspecified:
        return "this machine"
    return "everywhere" if address.is_global else "this network"


def alive_answer(say: str) -> str:
    """What `/alive/?say=…` answers: only this installation, which knows its secret key, can say it."""
    return salted_hmac("shop.reach.alive", say).hexdigest()


@dataclass(frozen=True)
class Seen:
    """What a try of PUBLIC_URL saw. `ours`: this installation answered there."""

    ours: bool
    sentence: str


class _NoRedirects(urllib.request.HTTPRedirectHandler):
    def redirect_request(self, *args: object, **kwargs: object) -> None:
        return None


def test_address() -> Seen:
    """GET PUBLIC_URL/alive/ from this machine, and say what was seen. Takes about TIMEOUT_SECONDS at most."""
    say = secrets.token_hex(16)
    url = f"{settings.PUBLIC_URL}/alive/?say={say}"
    opener = urllib.request.build_opener(urllib.request.ProxyHandler({}), _NoRedirects)
    names: dict[str, object] = {"url": settings.PUBLIC_URL, "seconds": TIMEOUT_SECONDS}
    try:
        with opener.open(url, timeout=TIMEOUT_SECONDS) as response:
            body = response.read(400).decode("ascii", "replace")
    except urllib.error.HTTPError as error:
        names["status"] = f"{error.code} {error.reason}"
        return Seen(False, _("%(url)s answered “%(status)s”, so something else than this shop is there.") % names)
    except (urllib.error.URLError, OSError, ValueError, http.client.HTTPException) as error:
        reason = getattr(error, "reason", error)
        names["reason"] = str(reason)
        if isinstance(reason, ssl.SSLCertVerificationError):
            return Seen(False, _("%(url)s answered with a certificate that isn't trusted: %(reason)s") % names)
        if isinstance(reason, TimeoutError):
            return Seen(False, _("%(url)s didn't answer within %(seconds)s seconds.") % names)
        return Seen(False, _("%(url)s can't be reached from this machine: %(reason)s") % names)
    if not constant_time_compare(body.strip(), f"ok {alive_answer(say)}"):
        return Seen(False, _("Something answered at %(url)s, but it wasn't this shop's Gaugerod.") % names)
    if link_reach().level == "everywhere":
        return Seen(
            True,
            _(
                "This shop answered at %(url)s, asked from this machine. To be sure about the outside, open it once on "
                "a phone that isn't in the shop's network."
            )
            % names,
        )
    names["reach"] = link_reach().sentence
    return Seen(True, _("This shop answered at %(url)s, asked from this machine. %(reach)s") % names)
