"""Secrets by environment, file or systemd credential; never from the profile, never shown."""

import logging
import os
import stat
from collections.abc import Mapping
from pathlib import Path

_MOST_BYTES = 4096
_log = logging.getLogger(__name__)


class SecretFault(Exception):  # noqa: N818 - a fault by its name in DEVELOPERS.md
    """A secret was named but cannot be read; the text says where, never what."""


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
        return _read(Path(named), variable)
    folder = environment.get("CREDENTIALS_DIRECTORY")
    if folder and (path := Path(folder) / name).is_file():
        return _read(path, variable)
    return None


def _read(path: Path, variable: str) -> str:
    try:
        with path.open("rb") as file:
            if os.name == "posix" and os.fstat(file.fileno()).st_mode & stat.S_IROTH:
                _log.warning("secret.readable_by_all variable=%s", variable)
            content = file.read(_MOST_BYTES + 1)
        text = content.decode().strip()
    except (OSError, UnicodeDecodeError) as error:
        why = error.strerror if isinstance(error, OSError) else "not text"
        raise SecretFault(f"{variable}_FILE: {path}: {why}") from error
    if not text or len(content) > _MOST_BYTES:
        why = "empty" if not text else f"more than {_MOST_BYTES} bytes"
        raise SecretFault(f"{variable}_FILE: {path}: {why}")
    return text
