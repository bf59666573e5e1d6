"""How a line of text, an email address or a web address is read."""

import ipaddress
import re
import unicodedata
from typing import Any

from pydantic import BeforeValidator, ValidationInfo

from scheduler.profile.field_readers import reader
from scheduler.profile.problem import Unreadable
from scheduler.wording.profile.reading_words import Addresses, Lines
from scheduler.wording.words import Words

LONGEST_NAME = 80
LONGEST_TEXT = 400
_FORBIDDEN = frozenset(
    "\ufffd\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
)


def forbidden_character(text: str) -> str | None:
    """The first control, bidi control, surrogate or line separator in `text`, if there is one.

    Joiners stay allowed: emoji and several scripts need them. U+FFFD is what is left of a
    character that some program could not read.
    """
    bad = {"Cc", "Cs", "Zl", "Zp"}
    return next((c for c in text if unicodedata.category(c) in bad or c in _FORBIDDEN), None)


def _clean_text(value: Any, longest: int, accepted: str) -> str:  # noqa: ANN401 - as above
    if not isinstance(value, str) or not _shows(value):
        raise Unreadable(accepted)
    if len(value) > longest:
        raise Unreadable(accepted, Lines.longer(characters=len(value)))
    if character := forbidden_character(value):
        raise Unreadable(accepted, Lines.invisible(character=f"U+{ord(character):04X}"))
    return unicodedata.normalize("NFC", value.strip())


def _shows(text: str) -> bool:
    """Whether anything of the text can be seen: neither blanks nor joiners can."""
    return any(unicodedata.category(c) not in {"Zs", "Zl", "Zp", "Cc", "Cf"} for c in text)


def read_line(value: object, longest: int) -> str:
    """One line of text that shows something.

    Raises:
        Unreadable: anything else, or one that is longer.
    """
    return _clean_text(value, longest, Lines.one_line(longest=longest))


def one_line(longest: int) -> BeforeValidator:
    return reader(lambda value, _: read_line(value, longest))


def matching(pattern: re.Pattern[str], accepted: Words) -> BeforeValidator:
    def read(value: Any, _: ValidationInfo) -> str:  # noqa: ANN401 - as above
        text = _clean_text(value, LONGEST_TEXT, accepted())
        if not pattern.fullmatch(text):
            raise Unreadable(accepted())
        return text

    return reader(read)


_PUSH = re.compile(r"https?://[^\s/@:]+(?::\d+)?/[^\s/?#]+")
_TOPIC = re.compile(r"[-_A-Za-z0-9]{1,64}")
# ntfy server/config.go (2.x): what its own pages and interfaces are called.
RESERVED_TOPICS = frozenset(
    ("docs", "static", "file", "app", "metrics", "account", "settings", "signup", "login", "v1")
)
_BASE_URL = re.compile(
    r"https?://(?:[a-z0-9](?:[a-z0-9.-]{0,250}[a-z0-9])?|\[[0-9a-f:]+\])(?::\d{1,5})?"
)
_LISTEN = re.compile(
    r"([A-Za-z0-9](?:[A-Za-z0-9.-]{0,250}[A-Za-z0-9])?|\[[0-9A-Fa-f:]+\]):(\d{1,5})"
)
_HOST_AND_PORT = re.compile(r"(?:[a-z0-9-]{1,63}\.)*[a-z0-9-]{1,63}(?::(\d{1,5}))?")
_PORTS = 65535


def read_push(value: Any, _: ValidationInfo) -> str:  # noqa: ANN401 - as above
    accepted = Addresses.push()
    text = _clean_text(value, LONGEST_TEXT, accepted)
    if not _PUSH.fullmatch(text):
        begins = (
            "" if "://" in text or not _PUSH.fullmatch(f"https://{text}") else Addresses.begins()
        )
        raise Unreadable(accepted, begins)
    topic = text.rpartition("/")[2]
    if topic.lower() in RESERVED_TOPICS:
        raise Unreadable(accepted, Addresses.reserved(topic=topic))
    if not _TOPIC.fullmatch(topic):
        raise Unreadable(accepted, Addresses.topic())
    return text


def read_base_url(value: Any, _: ValidationInfo) -> str:  # noqa: ANN401 - as above
    accepted = Addresses.pages()
    text = _clean_text(value, LONGEST_TEXT, accepted).lower().removesuffix("/")
    if not _BASE_URL.fullmatch(text):
        raise Unreadable(accepted)
    return text


def read_listen(value: Any, _: ValidationInfo) -> str:  # noqa: ANN401 - as above
    accepted = Addresses.listen()
    text = _clean_text(value, LONGEST_TEXT, accepted)
    if not can_be_listened_on(text):
        raise Unreadable(accepted)
    return text


def can_be_listened_on(text: str) -> bool:
    """Whether it is an address and a port ("127.0.0.1:8640")."""
    found = _LISTEN.fullmatch(text)
    return found is not None and 0 < int(found[2]) <= _PORTS


def read_networks(value: Any, _: ValidationInfo) -> tuple[str, ...]:  # noqa: ANN401 - as above
    accepted = Addresses.networks()
    if not isinstance(value, list | tuple) or not all(isinstance(item, str) for item in value):
        raise Unreadable(accepted)
    for item in value:
        try:
            ipaddress.ip_network(item)
        except ValueError as error:
            not_one = Addresses.no_network(network=item[:LONGEST_NAME])
            raise Unreadable(accepted, not_one) from error
    return tuple(value)


def read_push_services(value: Any, _: ValidationInfo) -> tuple[str, ...]:  # noqa: ANN401 - as above
    accepted = Addresses.push_services()
    if not isinstance(value, list | tuple) or not all(isinstance(item, str) for item in value):
        raise Unreadable(accepted)
    hosts = tuple(item.strip().lower() for item in value)
    for host in hosts:
        found = _HOST_AND_PORT.fullmatch(host)
        if found is None or not 0 < int(found[1] or 1) <= _PORTS:
            raise Unreadable(accepted, Addresses.no_host(host=host[:LONGEST_NAME]))
    return hosts
