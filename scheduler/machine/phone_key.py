"""The key pair that phones are rung with (VAPID, RFC 8292): made once, part of the backup."""

import os
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from scheduler.machine.paths import make_once
from scheduler.tokens.base64url import decoded, encoded
from scheduler.wording.machine.secrets import FileFaults

PHONE_KEY_NAME = "vapid.key"
PRIVATE_OCTETS = 32
POINT_OCTETS = 65  # of P-256, uncompressed (SEC 1 §2.3.3)
UNCOMPRESSED = b"\x04"
_LINES = 2
_ORDER = 0xFFFFFFFF00000000FFFFFFFFFFFFFFFFBCE6FAADA7179E84F3B9CAC2FC632551  # SEC 2 §2.4.2
_NO_LINK = getattr(os, "O_NOFOLLOW", 0)
_MOST_OCTETS = 1024


@dataclass(frozen=True, slots=True, kw_only=True)
class PhoneKey:
    """A pair on P-256; `public` is the uncompressed point in base64url without padding."""

    private: bytes = field(repr=False)
    public: str


def read_phone_key(folder: Path, environment: Mapping[str, str]) -> PhoneKey | None:
    """The pair in the file that DUSKFOLD_PHONE_KEY_FILE names, else the data folder's.

    None where there is no such file.

    Raises:
        OSError: it cannot be read, or is damaged.
    """
    path, named = _place(folder, environment)
    try:
        # The data folder's own is never a link; a key file that is named may be one.
        opened = os.open(path, os.O_RDONLY | (0 if named else _NO_LINK))
    except FileNotFoundError:
        return None
    with os.fdopen(opened, "rb") as file:
        content = file.read(_MOST_OCTETS)
    if key := _read(content):
        return key
    raise OSError(0, FileFaults.damaged_phone_key(), str(path))


def phone_key(folder: Path, environment: Mapping[str, str]) -> PhoneKey:
    """The same; the data folder's is made when missing, one that is named never.

    Raises:
        OSError: it can be neither read nor made, or is damaged.
    """
    path, named = _place(folder, environment)
    if not named and not path.is_symlink():
        make_once(path, _new_pair)
    if key := read_phone_key(folder, environment):
        return key
    raise FileNotFoundError(2, os.strerror(2), str(path))


def _place(folder: Path, environment: Mapping[str, str]) -> tuple[Path, bool]:
    named = environment.get("DUSKFOLD_PHONE_KEY_FILE")
    return (Path(named), True) if named else (folder / PHONE_KEY_NAME, False)


def _read(content: bytes) -> PhoneKey | None:
    """The pair of a file's two lines, private and public; None where they are not that."""
    lines = content.decode("ascii", "replace").split()
    if len(lines) != _LINES:
        return None
    private, point = (decoded(line) or b"" for line in lines)
    whole = (len(private), len(point), point[:1]) == (PRIVATE_OCTETS, POINT_OCTETS, UNCOMPRESSED)
    if not whole or not 0 < int.from_bytes(private) < _ORDER:
        return None
    return PhoneKey(private=private, public=lines[1])


def _new_pair() -> bytes:
    """The file's two lines."""
    # Only who makes a key or rings a phone pays for this import: 50 ms and 12 MB.
    from cryptography.hazmat.primitives.asymmetric import ec  # noqa: PLC0415 - see above
    from cryptography.hazmat.primitives.serialization import (  # noqa: PLC0415 - see above
        Encoding,
        PublicFormat,
    )

    private = ec.generate_private_key(ec.SECP256R1())
    octets = private.private_numbers().private_value.to_bytes(PRIVATE_OCTETS)
    point = private.public_key().public_bytes(Encoding.X962, PublicFormat.UncompressedPoint)
    return f"{encoded(octets)}\n{encoded(point)}\n".encode()
