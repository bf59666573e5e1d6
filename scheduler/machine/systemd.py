"""Talks to systemd, where it is there: ready, still alive, stopping (sd_notify(3))."""

import socket
from collections.abc import Mapping
from contextlib import suppress


def notify(state: str, environment: Mapping[str, str]) -> None:
    """Sends the state ("READY=1", "WATCHDOG=1", "STOPPING=1"); nothing where nobody listens."""
    address = environment.get("NOTIFY_SOCKET")
    if not address:
        return
    if address.startswith("@"):
        address = "\0" + address[1:]
    # A supervisor that cannot hear will restart us, which is what it is for.
    with suppress(OSError), socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as to:
        to.sendto(state.encode(), address)
