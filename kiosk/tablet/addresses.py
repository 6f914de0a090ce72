"""Where the tablet's pages are served, and which names they may be asked for by.

A page of somebody else's, open in the same browser, must not reach the bench. What it sends carries its own
Origin (RFC 6454), which a browser does not let it change. A name of its own that it points at this machine
(DNS rebinding) stands in the Host of what it asks (RFC 9110, section 7.2). So both are looked at: the host
has to be the number that the browser is connected to, this machine's own name, or the public address.
"""

import ipaddress
import socket
from urllib.parse import SplitResult, urlsplit

from kiosk.dataclass import dataclass
from kiosk.errors import KioskError


class WrongAddress(KioskError):
    """An address or a port that nothing can be served at."""


@dataclass(frozen=True)
class Served:
    """Where the server listens, and the address of a server in front of it, such as ``https://bench.lan``."""

    address: str
    port: int
    public: str = ""

    @property
    def is_open(self) -> bool:
        """True when other machines can reach it, by itself or through a server in front of it."""
        return bool(self.public) or not ipaddress.ip_address(self.address).is_loopback

    @property
    def by_tls(self) -> bool:
        """True when browsers come by https, through the server in front."""
        return self.public.startswith("https:")

    def is_own_host(self, host: str, reached: str) -> bool:
        """True when a request's Host names this server. ``reached`` is the number it was sent to."""
        if self._is_public(host):
            return True
        found = _split(f"http://{host}")
        if found is None or (found.port or 80) != self.port:
            return False
        number = _number(reached)
        name = found.hostname or ""
        if number.is_loopback and name == "localhost":
            return True
        try:
            return _number(name) == number
        except ValueError:
            own = socket.gethostname().lower()
            return not number.is_loopback and name in (own, f"{own}.local")

    def is_own_origin(self, origin: str, host: str) -> bool:
        """True when a page of this server asks. ``host`` is the request's own, found to be this server's."""
        plain = (
            "" if self._is_public(host) else f"http://{host}".lower()
        )  # a page of http is not one of https
        return bool(origin) and origin.lower() in (plain, self.public)

    def _is_public(self, host: str) -> bool:
        return bool(self.public) and host.lower() == urlsplit(self.public).netloc


def _number(text: str) -> ipaddress.IPv4Address | ipaddress.IPv6Address:
    """An address as a number; one of IPv4 is the same through an IPv6 socket."""
    number = ipaddress.ip_address(text.partition("%")[0])
    return (isinstance(number, ipaddress.IPv6Address) and number.ipv4_mapped) or number


def _split(url: str) -> SplitResult | None:
    """An address in its parts, or None when it is none or has more than host and port."""
    try:
        found = urlsplit(url)
        _ = found.port
    except ValueError:
        return None
    alone = found.netloc == url.partition("//")[2].rstrip("/") and "@" not in found.netloc
    return found if found.hostname and alone else None


def served_at(address: str, port: int, public: str) -> Served:
    """Where to serve, as it was given on the command line. Raises WrongAddress."""
    if not 1 <= port <= 65535:
        raise WrongAddress(f"there is no port {port}", "take one from 1024 to 65535")
    try:
        number = ipaddress.ip_address("127.0.0.1" if address == "localhost" else address)
    except ValueError:
        raise WrongAddress(
            f"{address!r} is no address of this machine",
            "give its number, such as 192.168.1.20, or 0.0.0.0 for all that it has",
        ) from None
    return Served(str(number), port, _public(public) if public else "")


def _public(url: str) -> str:
    found = _split(url)
    if found is None or found.scheme not in ("http", "https"):
        raise WrongAddress(f"{url!r} is no address of a page", "write it as https://bench.example")
    # As a browser writes it in an Origin (RFC 6454, section 6.2): in small letters, without the usual port.
    usual = {"http": 80, "https": 443}[found.scheme]
    host = f"[{found.hostname}]" if ":" in (found.hostname or "") else found.hostname
    return f"{found.scheme}://{host}" + (f":{found.port}" if found.port not in (None, usual) else "")
