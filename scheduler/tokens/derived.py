"""Tokens that prove who may do what: derived from a key, never stored."""

from base64 import urlsafe_b64encode
from hashlib import sha256
from hmac import compare_digest, new
from typing import Literal

Purpose = Literal["answer", "return topic", "confirm", "evening", "feed", "tonight", "receipt"]
KEY_BYTES = 32


def token(  # noqa: PLR0913 - all that a token stands for
    key: bytes,
    purpose: Purpose,
    *,
    site_id: str,
    person_id: str = "",
    subject: str = "",
    generation: int = 0,
) -> str:
    """43 characters of base64url: HMAC-SHA256 over everything it stands for."""
    said = "|".join((purpose, site_id, person_id, subject, str(generation)))
    return urlsafe_b64encode(new(key, said.encode(), sha256).digest()).decode().rstrip("=")


def same(given: str, right: str) -> bool:
    """Whether two tokens are equal, in a time that does not tell where they differ."""
    return compare_digest(given.encode(), right.encode())
