"""The key with which a first run is begun: random, good once, kept as a hash."""

import hmac
from hashlib import sha256
from pathlib import Path
from secrets import token_urlsafe

from scheduler.machine.paths import write_whole

KEY_FILE = "first-run.key"


def new_key(folder: Path) -> str:
    """A key of 144 random bits; the one before is good for nothing from now on.

    Raises:
        OSError: its hash cannot be written.
    """
    key = token_urlsafe(18)
    write_whole(folder / KEY_FILE, hash_of(key).encode(), private=True)
    return key


def is_good(folder: Path, given: str) -> bool:
    """Whether it is the newest key, and nobody has used it; compared in constant time."""
    try:
        kept = (folder / KEY_FILE).read_text().strip()
    except (OSError, UnicodeDecodeError):
        return False
    return hmac.compare_digest(kept, hash_of(given))


def use_up(folder: Path, given: str) -> bool:
    """Whether the key was good; from now on it is not. Of several who try at once one has it."""
    if not is_good(folder, given):
        return False
    try:
        (folder / KEY_FILE).unlink()
    except OSError:  # who was faster has unlinked it
        return False
    return True


def end_key(folder: Path) -> None:
    """Whatever key there is, it begins nothing any more."""
    (folder / KEY_FILE).unlink(missing_ok=True)


def hash_of(secret: str) -> str:
    """The SHA-256 of a key or a cookie, as it is kept."""
    return sha256(secret.encode("utf-8", "replace")).hexdigest()
