"""Secrets by environment, file or systemd credential; never from the profile, never shown."""

import logging
import os
import stat
from collections.abc import Mapping
from functools import cache
from pathlib import Path

_MOST_BYTES = 4096
_log = logging.getLogger(__name__)


class SecretFault(Exception):  # noqa: N818 - a fault by its name in DEVELOPERS.md
    """A secret is missing or cannot be read; the text says where, for a terminal, never what.

    `plainly` says it for a page and a message: no variable and no path stands in it. `in_file`: it
    is read from a file of the keeper's, again and again.
    """

    def __init__(self, text: str, plainly: str, *, in_file: bool = False) -> None:
        """Keeps all of it."""
        super().__init__(text)
        self.plainly = plainly
        self.in_file = in_file


def in_plain_words(name: str) -> str:
    """What a secret is ("the password of the mail server"), for who never saw its name."""
    if name == "mail-password":
        return "the password of the mail server"
    if name.startswith("push-"):
        return "the token of the push server"
    return "the address of the message service"


def secret(name: str, environment: Mapping[str, str]) -> str | None:
    """The secret of that name ("mail-password"), or None when nobody has given one.

    Looked for in DUSKFOLD_MAIL_PASSWORD, then in the file that DUSKFOLD_MAIL_PASSWORD_FILE names,
    then in `mail-password` under CREDENTIALS_DIRECTORY (systemd). White space around it is cut.

    Raises:
        SecretFault: the named file is missing, unreadable, empty or too large.
    """
    variable = "DUSKFOLD_" + name.upper().replace("-", "_")
    if given := environment.get(variable, "").strip():
        return given
    if named := environment.get(f"{variable}_FILE"):
        return _read(Path(named), variable, name, in_file=True)
    folder = environment.get("CREDENTIALS_DIRECTORY")
    if folder and (path := Path(folder) / name).is_file():
        return _read(path, variable, name)
    return None


@cache
def _warn_once(path: Path, variable: str) -> None:
    """It is read at every look; who let everybody read it is told once."""
    del path
    _log.warning("secret.readable_by_all variable=%s", variable)


def _read(path: Path, variable: str, name: str, *, in_file: bool = False) -> str:
    plainly = f"{in_plain_words(name)} cannot be read"
    try:
        with path.open("rb") as file:
            if os.name == "posix" and os.fstat(file.fileno()).st_mode & stat.S_IROTH:
                _warn_once(path, variable)
            content = file.read(_MOST_BYTES + 1)
        text = content.decode().strip()
    except (OSError, UnicodeDecodeError) as error:
        why = error.strerror if isinstance(error, OSError) else "not text"
        raise SecretFault(f"{variable}_FILE: {path}: {why}", plainly, in_file=in_file) from error
    if not text or len(content) > _MOST_BYTES:
        why = "empty" if not text else f"more than {_MOST_BYTES} bytes"
        raise SecretFault(f"{variable}_FILE: {path}: {why}", plainly, in_file=in_file)
    return text
