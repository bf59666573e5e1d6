"""Guessing costs time: a source that asks for what is not there is soon told to wait."""

import ipaddress
from collections import OrderedDict
from collections.abc import Callable

MOST_A_MINUTE = 20
_MINUTE_S = 60.0
_MOST_SOURCES = 4096
_IPV6_SITE_BITS = 64  # whoever has one address of them has them all


class Misses:
    """Counts by source what was not found, or what else may not be done without end."""

    def __init__(
        self,
        monotonic_s: Callable[[], float],
        most: int = MOST_A_MINUTE,
        within_s: float = _MINUTE_S,
    ) -> None:
        """`monotonic_s` is a clock that never jumps; `most` are let through `within_s`."""
        self._monotonic_s = monotonic_s
        self._most = most
        self.within_s = within_s
        self._sources: OrderedDict[str, tuple[float, int]] = OrderedDict()

    def add(self, source: str) -> bool:
        """Counts one; False from the 21st on within a minute, as it is for misses."""
        name, now_s = _site(source), self._monotonic_s()
        since_s, count = self._sources.pop(name, (now_s, 0))
        if now_s - since_s >= self.within_s:
            since_s, count = now_s, 0
        self._sources[name] = (since_s, count + 1)
        if len(self._sources) > _MOST_SOURCES:
            self._sources.popitem(last=False)
        return count < self._most


def _site(source: str) -> str:
    try:
        address = ipaddress.ip_address(source)
    except ValueError:
        return source
    if isinstance(address, ipaddress.IPv6Address):
        if address.ipv4_mapped:
            return str(address.ipv4_mapped)
        return str(ipaddress.ip_network((address, _IPV6_SITE_BITS), strict=False))
    return source
