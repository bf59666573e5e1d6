"""How other devices of the home network reach this machine."""

import ipaddress
import socket
from contextlib import closing

# TEST-NET-1 (RFC 5737): belongs to nobody. Connecting a UDP socket sends nothing; the system only
# chooses the address that it would send from.
_NOWHERE = ("192.0.2.1", 9)


def home_address() -> str:
    """This machine's address on the network that it reaches others by; without one, its name."""
    with closing(socket.socket(socket.AF_INET, socket.SOCK_DGRAM)) as line:
        try:
            line.connect(_NOWHERE)
            found: str = line.getsockname()[0]
        except OSError:
            return socket.gethostname()
    address = ipaddress.ip_address(found)
    return socket.gethostname() if address.is_loopback or address.is_unspecified else found


def url_for_phones(listen: str) -> str:
    """The address of the pages for a phone at home, where they listen on `listen`."""
    host, _, port = listen.rpartition(":")
    own = home_address() if host in {"0.0.0.0", "[::]"} else host  # noqa: S104 - read, not bound
    return f"http://{own}:{port}"
