"""What of a profile lets others in: topics that can be guessed, tokens in the clear, wide trust."""

import ipaddress
import re
from collections.abc import Container, Iterator
from secrets import token_hex
from urllib.parse import urlsplit

from scheduler.profile.person import Person
from scheduler.profile.prepare import slug
from scheduler.profile.values import Profile
from scheduler.wording.service.household import Exposed

# From here on nobody finds a topic by trying: 12 letters and digits are some 60 bits.
_LONG_ENOUGH = 12
_DISTINCT = 7
_USUAL_WORDS = ("duskfold", "alerts", "alarm", "topic", "coop", "flock", "hens", "push", "phone")
_WIDEST_PROXIES = 256  # addresses outside of private networks


def with_topic(address: str) -> str:
    """The address of a push topic; where only a server is given, with a long random one of it."""
    parts = urlsplit(address)
    if not parts.netloc or parts.path not in {"", "/"}:
        return address
    return f"{parts.scheme}://{parts.netloc}/hens-{token_hex(12)}"


def exposures(profile: Profile, with_token: Container[str]) -> Iterator[str]:
    """Each in a sentence or two; `with_token` has the push servers that a token is sent to."""
    for person in profile.person:
        if person.push:
            yield from _of_topic(profile, person, person.push, with_token)
    for network in profile.web.trusted_proxies:
        found = ipaddress.ip_network(network)
        if not found.prefixlen or (found.is_global and found.num_addresses > _WIDEST_PROXIES):
            yield Exposed.proxies(network=network)


def _of_topic(
    profile: Profile, person: Person, address: str, with_token: Container[str]
) -> Iterator[str]:
    parts = urlsplit(address)
    server = f"{parts.scheme}://{parts.netloc}"
    if is_guessable(parts.path.strip("/"), profile):
        yield Exposed.guessable(name=person.name, example=with_topic(server))
    if parts.scheme == "http" and not _is_here(parts.hostname or ""):
        plain = Exposed.plain_token if server in with_token else Exposed.plain_topic
        yield plain(server=server, name=person.name)


def is_guessable(topic: str, profile: Profile) -> bool:
    """Whether little is left of the topic without the names and words that anybody would try."""
    names = [profile.site.name, *(one.name for one in profile.coop)]
    names += [one.name for one in profile.person]
    known = {word for name in names for word in slug(name).split("-") if len(word) > 1}
    rest = topic.casefold()
    for word in sorted({*known, *_USUAL_WORDS}, key=len, reverse=True):
        rest = rest.replace(word, "")
    rest = re.sub(r"[^a-z0-9]", "", rest)
    return len(rest) < _LONG_ENOUGH or len(set(rest)) < _DISTINCT


def _is_here(host: str) -> bool:
    try:
        return host == "localhost" or ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False
