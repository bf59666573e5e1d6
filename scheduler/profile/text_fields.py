"""How a line of text, a mail address or a web address is read."""

import ipaddress
import re
import unicodedata
from typing import Any

from pydantic import BeforeValidator, ValidationInfo

from scheduler.profile.field_readers import reader
from scheduler.profile.problem import Unreadable

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
        raise Unreadable(accepted, f"It has {len(value)} characters.")
    if character := forbidden_character(value):
        raise Unreadable(accepted, f"It holds the invisible character U+{ord(character):04X}.")
    return unicodedata.normalize("NFC", value.strip())


def _shows(text: str) -> bool:
    """Whether anything of the text can be seen: neither blanks nor joiners can."""
    return any(unicodedata.category(c) not in {"Zs", "Zl", "Zp", "Cc", "Cf"} for c in text)


def read_line(value: object, longest: int) -> str:
    """One line of text that shows something.

    Raises:
        Unreadable: anything else, or one that is longer.
    """
    return _clean_text(value, longest, f"one line of text, at most {longest} characters")


def one_line(longest: int) -> BeforeValidator:
    return reader(lambda value, _: read_line(value, longest))


def matching(pattern: re.Pattern[str], accepted: str) -> BeforeValidator:
    def read(value: Any, _: ValidationInfo) -> str:  # noqa: ANN401 - as above
        text = _clean_text(value, LONGEST_TEXT, accepted)
        if not pattern.fullmatch(text):
            raise Unreadable(accepted)
        return text

    return reader(read)


_BEGINS = "It must begin with https:// (or at home perhaps http://)."
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
_PORTS = 65535


def read_push(value: Any, _: ValidationInfo) -> str:  # noqa: ANN401 - as above
    accepted = 'a push topic address such as "https://push.example.org/topic-name"'
    text = _clean_text(value, LONGEST_TEXT, accepted)
    if not _PUSH.fullmatch(text):
        begins = "" if "://" in text or not _PUSH.fullmatch(f"https://{text}") else _BEGINS
        raise Unreadable(accepted, begins)
    topic = text.rpartition("/")[2]
    if topic.lower() in RESERVED_TOPICS:
        hint = f'A push server keeps "{topic}" for its own pages. Choose a long random topic.'
        raise Unreadable(accepted, hint)
    if not _TOPIC.fullmatch(topic):
        hint = "A topic has at most 64 letters without accents, digits, hyphens and underscores."
        raise Unreadable(accepted, hint)
    return text


def read_base_url(value: Any, _: ValidationInfo) -> str:  # noqa: ANN401 - as above
    accepted = 'the address of the pages without a path, such as "https://hens.example.org"'
    text = _clean_text(value, LONGEST_TEXT, accepted).lower().removesuffix("/")
    if not _BASE_URL.fullmatch(text):
        raise Unreadable(accepted)
    return text


def read_listen(value: Any, _: ValidationInfo) -> str:  # noqa: ANN401 - as above
    accepted = 'an address and a port of this machine, such as "127.0.0.1:8640"'
    text = _clean_text(value, LONGEST_TEXT, accepted)
    if not can_be_listened_on(text):
        raise Unreadable(accepted)
    return text


def can_be_listened_on(text: str) -> bool:
    """Whether it is an address and a port ("127.0.0.1:8640")."""
    found = _LISTEN.fullmatch(text)
    return found is not None and 0 < int(found[2]) <= _PORTS


def read_networks(value: Any, _: ValidationInfo) -> tuple[str, ...]:  # noqa: ANN401 - as above
    accepted = 'a list of addresses or networks such as ["127.0.0.1", "10.0.0.0/8"]'
    if not isinstance(value, list | tuple) or not all(isinstance(item, str) for item in value):
        raise Unreadable(accepted)
    for item in value:
        try:
            ipaddress.ip_network(item)
        except ValueError as error:
            raise Unreadable(accepted, f'"{item[:LONGEST_NAME]}" is not one.') from error
    return tuple(value)
