"""Which addresses a browser's subscription may name: somebody's word, to which we post."""

import re
from collections.abc import Collection
from ipaddress import IPv6Address, IPv6Network, ip_address

from scheduler.alerts.phone import Subscription
from scheduler.tokens.base64url import decoded
from scheduler.wording.channels.phone_words import WhyNotSubscribed
from scheduler.wording.words import Words

# Browsers' own, each with what is below it: Chrome and its kin; Chromium built without Google's
# keys; Firefox; Safari; Edge (gh:basecamp/once-campfire/pull/265).
KNOWN_HOSTS = (
    "fcm.googleapis.com",
    "jmt17.google.com",
    "push.services.mozilla.com",
    "push.apple.com",
    "notify.windows.com",
)
LONGEST_ENDPOINT = 1024
_ENDPOINT = re.compile(r"https://((?:[a-z0-9-]+\.)*[a-z0-9-]+(?::[0-9]{1,5})?)/[!-\"$-\[\]-~]*")
_POINT_OCTETS, _UNCOMPRESSED = 65, 4  # RFC 8291 §3.1: on P-256, X9.62
_AUTH_OCTETS = 16  # RFC 8291 §3.2
_NAT64 = IPv6Network("64:ff9b::/96")  # RFC 6052: an IPv4 address stands in its last 32 bits


def problem_of(subscription: Subscription, more_hosts: Collection[str] = ()) -> Words | None:
    """Why nothing is sealed for it and posted there; None where nothing speaks against it.

    `more_hosts` are the push services of the profile; one with a port is that port alone. Whether
    its point lies on the curve is found out when something is sealed for it.
    """
    found = _ENDPOINT.fullmatch(subscription.endpoint)
    if found is None or len(subscription.endpoint) > LONGEST_ENDPOINT:
        return WhyNotSubscribed.no_address
    if not _may_be(found[1], more_hosts):
        return WhyNotSubscribed.unknown_service
    point, auth = decoded(subscription.p256dh) or b"", decoded(subscription.auth) or b""
    if len(point) != _POINT_OCTETS or point[0] != _UNCOMPRESSED or len(auth) != _AUTH_OCTETS:
        return WhyNotSubscribed.no_key
    return None


def host_of(endpoint: str) -> str:
    """The push service of an endpoint, with its port if it has one; "" where it is none."""
    found = _ENDPOINT.fullmatch(endpoint)
    return found[1] if found else ""


def is_outside(address: str) -> bool:
    """Whether an IP address is one receiver's on the internet, and none of a network's own.

    What a translator would make of it (NAT64, 6to4) counts as much as what it is.
    """
    ip = ip_address(address.partition("%")[0])
    if isinstance(ip, IPv6Address):
        inner = ip_address(int(ip) & 0xFFFF_FFFF) if ip in _NAT64 else ip.sixtofour
        if inner is not None and not is_outside(str(inner)):
            return False
    return ip.is_global and not ip.is_multicast


def _may_be(host: str, more_hosts: Collection[str]) -> bool:
    return any(
        host == one or (":" not in host and host.endswith(f".{one}"))
        for one in (*KNOWN_HOSTS, *more_hosts)
    )
