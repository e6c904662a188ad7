"""`./gaugerod start --lan`: the shop on its own network by HTTPS, for phones."""

import ipaddress
import re
import socket
import sys
from dataclasses import dataclass
from io import StringIO
from pathlib import Path

import segno

from config.launcher.certificates import Certificates, Names, prepare_certificates
from config.launcher.words import Trouble, say

# Photos come slowly, and browsers open connections ahead of what they ask for: threads cost little, workers memory.
PROCESSES = {"WEB_WORKERS": "1", "WEB_THREADS": "16"}


@dataclass(frozen=True)
class Lan:
    """Where phones find the shop: HTTPS at `port`, and the page that explains the certificate, plain, at the next."""

    names: Names
    port: int
    certificates: Certificates

    @property
    def addresses(self) -> list[str]:
        return [f"https://{host}:{self.port}" for host in (self.names.address, self.names.host)]

    @property
    def help_address(self) -> str:
        return f"http://{self.names.address}:{self.port + 1}"

    def environment(self) -> dict[str, str]:
        """What both web servers get to know."""
        return {
            "LAN_URLS": " ".join(self.addresses),
            "LAN_HELP_URL": self.help_address,
            "LAN_AUTHORITY": str(self.certificates.authority),
        }

    def secure_environment(self) -> dict[str, str]:
        """What only the server with HTTPS gets to know. No proxy stands before it, whatever stands before the other."""
        own = {"WEB_BIND": f"{self.names.address}:{self.port}", "WEB_CERTIFICATE": str(self.certificates.server)}
        return PROCESSES | own | {"BEHIND_PROXY": ""}

    def tell(self) -> None:
        """Where phones begin, as text and as a picture to point a camera at."""
        say(f"\nPhones on this network: {self.addresses[0]}")
        say(f"A new phone begins here, once, to trust this shop's certificate: {self.help_address}/")
        if self.certificates.anew:
            say(
                "The certificate is a new one, since this machine's address or name changed or the old one ran out: "
                "each phone has to trust it anew. What waits on a phone under an old address is sent once the shop has "
                "that address again. Let the router always give this machine the same address."
            )
        if (sys.stdout.encoding or "").lower().replace("-", "") == "utf8":
            picture = StringIO()
            segno.make(f"{self.help_address}/", micro=False).terminal(picture, compact=True)
            say(picture.getvalue())
        say(f"The certificate's fingerprint (SHA-256): {self.certificates.fingerprint}")


def prepare_lan(folder: Path, *, address: ipaddress.IPv4Address, port: int) -> Lan:
    """The certificates are in `folder` after."""
    names = Names(address, host_name(socket.gethostname()))
    return Lan(names, port, prepare_certificates(folder, names))


def lan_address(wanted: str | None) -> ipaddress.IPv4Address:
    """The one that was asked for, or the one by which this machine reaches others. Raises Trouble."""
    try:
        address = ipaddress.IPv4Address(wanted or _outgoing())
    except ValueError as error:
        raise Trouble(f"{wanted} is not an address such as 192.168.1.20. Look: ip -4 address") from error
    if address.is_loopback or address.is_unspecified or address.is_multicast:
        raise Trouble(f"phones can't reach {address}. Name the address in your network: {_ADVICE}")
    if not wanted and not address.is_private:
        raise Trouble(
            f"this machine's address {address} is one that the whole internet can reach, not one of a network of your "
            f"own. See docker-compose.yml for a server; if you mean this address, say so: {_ADVICE}"
        )
    return address


_ADVICE = "./gaugerod start --lan --lan-address ADDRESS (shown by: ip -4 address)"


def _outgoing() -> str:
    """Nothing is sent: a datagram's socket only picks its route. 192.0.2.1 is kept for documentation (RFC 5737)."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as line:
        try:
            line.connect(("192.0.2.1", 9))
        except OSError as error:
            raise Trouble(
                f"this machine seems to be in no network. Connect it to the shop's Wi-Fi or router; or say {_ADVICE}"
            ) from error
        return str(line.getsockname()[0])


def host_name(name: str) -> str:
    """The name that multicast DNS (RFC 6762) would give this machine, where something on it speaks that."""
    label = name.split(".")[0].lower()
    return f"{label}.local" if re.fullmatch(r"[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?", label) else "gaugerod.local"
