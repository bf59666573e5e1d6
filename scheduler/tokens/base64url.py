"""Octets as text that stands in an address or a header: base64url without padding (RFC 4648 §5)."""

import re
from base64 import urlsafe_b64decode, urlsafe_b64encode

_ALPHABET = re.compile(r"[A-Za-z0-9_-]*")


def encoded(octets: bytes) -> str:
    """The text of these octets."""
    return urlsafe_b64encode(octets).rstrip(b"=").decode()


def decoded(text: str) -> bytes | None:
    """The octets of a text; None for padding, for other letters and for a length that none has."""
    if not _ALPHABET.fullmatch(text) or len(text) % 4 == 1:
        return None
    return urlsafe_b64decode(text + "=" * (-len(text) % 4))
