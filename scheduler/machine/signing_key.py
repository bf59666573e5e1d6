"""The key that tokens are derived from: made once, kept at mode 0600, part of the backup."""

import hashlib
import hmac
import os
from collections.abc import Mapping
from pathlib import Path
from secrets import token_bytes

from scheduler.machine.paths import make_once
from scheduler.tokens.derived import KEY_BYTES
from scheduler.wording.machine.secrets import FileFaults

KEY_NAME = "signing.key"
_NO_LINK = getattr(os, "O_NOFOLLOW", 0)


def fingerprint(key: bytes) -> str:
    """What two hosts compare to know that they have one key; it gives nothing of the key away."""
    return hmac.new(key, b"duskfold fingerprint", hashlib.sha256).hexdigest()[:16]


def signing_key(folder: Path, environment: Mapping[str, str]) -> bytes:
    """The key in the file that DUSKFOLD_KEY_FILE names, else the data folder's, made when missing.

    Raises:
        OSError: it can be neither read nor made, or is too short to be one.
    """
    named = environment.get("DUSKFOLD_KEY_FILE")
    path = Path(named) if named else folder / KEY_NAME
    if not named:
        make_once(path, lambda: token_bytes(KEY_BYTES))
    # The data folder's own is never a link; a key file that is named may be one.
    with os.fdopen(os.open(path, os.O_RDONLY | (0 if named else _NO_LINK)), "rb") as file:
        key = file.read()
    if len(key) < KEY_BYTES:
        raise OSError(0, FileFaults.short_key(least=KEY_BYTES), str(path))
    return key
