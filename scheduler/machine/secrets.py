"""Secrets by environment, file or systemd credential; never from the profile, never shown."""

import logging
import os
import stat
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from scheduler.machine.paths import journal_folder, write_whole
from scheduler.wording.machine.secrets import SecretFaults, SecretMissing, SecretUnreadable
from scheduler.wording.told_later import for_later
from scheduler.wording.words import Words, every

_MISSING, _UNREADABLE = every(SecretMissing), every(SecretUnreadable)
FOLDER = "secrets"  # of the data folder
_MOST_BYTES = 4096
_log = logging.getLogger(__name__)


class SecretFault(Exception):  # noqa: N818 - a fault by its name in DEVELOPERS.md
    """A secret is missing or cannot be read; the text says where, for a terminal, never what.

    `plainly` is kept for a page and a message: no variable and no path stands in it. `in_file`: it
    is read from a file of the keeper's, again and again.
    """

    def __init__(self, text: str, plainly: str, *, in_file: bool = False) -> None:
        """Keeps all of it."""
        super().__init__(text)
        self.plainly = plainly
        self.in_file = in_file


def variable_of(name: str) -> str:
    """The variable of the environment that holds the secret of that name."""
    return "DUSKFOLD_" + name.upper().replace("-", "_")


def missing(name: str) -> SecretFault:
    """Nobody has given the secret of that name."""
    text = SecretFaults.missing(name=name, variable=variable_of(name))
    return SecretFault(text, _plainly(_MISSING, name))


def _plainly(says: Mapping[str, Words], name: str) -> str:
    """What is said of a secret to whoever never saw its name."""
    if name == "mail-password":
        return for_later(says["mail"])
    return for_later(says["push" if name.startswith("push-") else "service"])


def secret(name: str, environment: Mapping[str, str]) -> str | None:
    """The secret of that name ("mail-password"), or None when nobody has given one.

    Looked for in DUSKFOLD_MAIL_PASSWORD, then in the file that DUSKFOLD_MAIL_PASSWORD_FILE names,
    then in `mail-password` under CREDENTIALS_DIRECTORY (systemd), and last in the folder `secrets`
    of the data folder, where the pages put what is typed there. White space around it is cut.

    Raises:
        SecretFault: the named file is missing, unreadable, empty or too large.
    """
    variable = variable_of(name)
    if given := environment.get(variable, "").strip():
        return given
    if named := environment.get(f"{variable}_FILE"):
        return _read(Path(named), variable, name, in_file=True)
    folder = environment.get("CREDENTIALS_DIRECTORY")
    if folder and (path := Path(folder) / name).is_file():
        return _read(path, variable, name)
    kept = journal_folder(None, environment) / FOLDER / name
    return _read(kept, variable, name, in_file=True) if kept.is_file() else None


def keep_secret(folder: Path, name: str, value: str) -> None:
    """Writes the secret where `secret` finds it last, for its owner alone (mode 0600).

    Raises:
        OSError: it cannot be written.
    """
    kept = folder / FOLDER
    kept.mkdir(mode=0o700, exist_ok=True)
    write_whole(kept / name, value.encode("utf-8", "replace"), private=True)


@cache
def _warn_once(path: Path, variable: str) -> None:
    """It is read at every look; who let everybody read it is told once."""
    del path
    _log.warning("secret.readable_by_all variable=%s", variable)


def _read(path: Path, variable: str, name: str, *, in_file: bool = False) -> str:
    try:
        with path.open("rb") as file:
            if os.name == "posix" and os.fstat(file.fileno()).st_mode & stat.S_IROTH:
                _warn_once(path, variable)
            content = file.read(_MOST_BYTES + 1)
        text = content.decode().strip()
    except (OSError, UnicodeDecodeError) as error:
        why = str(error.strerror) if isinstance(error, OSError) else SecretFaults.not_text()
        raise _unreadable(path, name, why, in_file=in_file) from error
    if not text:
        raise _unreadable(path, name, SecretFaults.empty(), in_file=in_file)
    if len(content) > _MOST_BYTES:
        raise _unreadable(path, name, SecretFaults.too_large(most=_MOST_BYTES), in_file=in_file)
    return text


def _unreadable(path: Path, name: str, why: str, *, in_file: bool) -> SecretFault:
    text = SecretFaults.unreadable(variable=variable_of(name), path=path, why=why)
    return SecretFault(text, _plainly(_UNREADABLE, name), in_file=in_file)
