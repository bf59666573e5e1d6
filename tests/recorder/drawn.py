"""Nothing that is recorded may be drawn anew in the next run; imported before the program."""

import secrets
from hashlib import sha256
from itertools import count

_drawn = count(1)


def _token(nbytes: int | None = None) -> str:
    return sha256(str(next(_drawn)).encode()).hexdigest()[: 2 * (nbytes or 32)]


secrets.token_urlsafe = secrets.token_hex = _token
