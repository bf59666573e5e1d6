"""Where the profile and the data lie, by option, environment or custom of the system."""

import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from socket import gethostname

from platformdirs import user_config_path, user_data_path

from scheduler.wording.machine.secrets import FileFaults, LookedAt

PROFILE_NAME = "duskfold.toml"
_TAKEN_OVER_NAME = "profile-taken-over-from"
JOURNAL_NAME = "journal.sqlite3"


@dataclass(frozen=True, slots=True)
class NoProfile:
    """No profile was found; `looked_at` says where, in order."""

    looked_at: tuple[str, ...]


def find_profile(
    option: Path | None, environment: Mapping[str, str], folder: Path
) -> Path | NoProfile:
    """The profile: option, DUSKFOLD_PROFILE, ./duskfold.toml, the data folder, the user's config.

    What is named by option or environment is taken as it is, whether it exists or not. Instead of
    one that the pages have taken over, it is the data folder's.
    """
    if option:
        return now_kept_at(option, folder)
    if named := environment.get("DUSKFOLD_PROFILE"):
        return now_kept_at(Path(named), folder)
    here, kept = Path(PROFILE_NAME), folder / PROFILE_NAME
    users = user_config_path("duskfold", appauthor=False) / PROFILE_NAME
    for candidate in (here, kept, users):
        if candidate.is_file():
            return now_kept_at(candidate, folder)
    looked_at = (f"./{PROFILE_NAME}", str(kept), str(users))
    return NoProfile((LookedAt.option(), LookedAt.variable(), *looked_at))


def note_taken_over(folder: Path, from_path: Path) -> None:
    """Notes that the profile in the data folder was taken over from there.

    Raises:
        OSError: the note cannot be written.
    """
    note = str(from_path.resolve()).encode("utf-8", "surrogateescape")
    write_whole(folder / _TAKEN_OVER_NAME, note, private=True)


def now_kept_at(path: Path, folder: Path) -> Path:
    """That path, or the data folder's profile where the pages have taken this one over."""
    kept = folder / PROFILE_NAME
    try:
        taken_from = (folder / _TAKEN_OVER_NAME).read_bytes().decode("utf-8", "surrogateescape")
    except OSError:
        return path
    return kept if kept.is_file() and str(path.resolve()) == taken_from else path


def journal_folder(option: Path | None, environment: Mapping[str, str]) -> Path:
    """Where the data folder is or would be.

    By option, DUSKFOLD_DATA, STATE_DIRECTORY (systemd), else the user's data folder.
    """
    # systemd joins several state directories with colons; the first is ours.
    state = environment.get("STATE_DIRECTORY", "").split(":")[0]
    named = option or environment.get("DUSKFOLD_DATA") or state
    return Path(named) if named else user_data_path("duskfold", appauthor=False)


def data_folder(option: Path | None, environment: Mapping[str, str]) -> Path:
    """The data folder, made (mode 0700) when it is not there.

    Raises:
        OSError: it cannot be made; or we are root, it is not, and a link lies in it.
    """
    folder = journal_folder(option, environment)
    folder.mkdir(parents=True, mode=0o700, exist_ok=True)
    _refuse_links(folder)
    return folder


def _refuse_links(folder: Path) -> None:
    """Keeps root from writing through a link that somebody less powerful has put there.

    Raises:
        OSError: the folder is another user's, and a link lies in it.
    """
    if os.name != "posix" or os.geteuid() != 0 or folder.stat().st_uid == 0:
        return
    for entry in folder.rglob("*"):
        if entry.is_symlink():
            raise OSError(0, FileFaults.link(), str(entry))


def host_name(folder: Path) -> str:
    """How this host's process is told from others: the machine's name and its data folder."""
    return f"{gethostname()} {folder.absolute()}"


def write_whole(path: Path, content: bytes, *, private: bool = False) -> bool:
    """Replaces the file by rename, so that nobody reads half of it; False when nothing changed.

    A link is followed and the mode of the old file kept, unless it is to be `private`: its
    owner's alone.

    Raises:
        OSError: it cannot be written; the old file is still there.
    """
    path = path.resolve()
    old = path.is_file()
    if old and path.read_bytes() == content:
        return False
    draft = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        with draft.open("wb") as file:
            if private:
                draft.chmod(0o600)
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        if old and not private:
            draft.chmod(path.stat().st_mode & 0o777)
        draft.replace(path)
    except OSError as error:
        # Name the file the keeper knows, not the draft beside it.
        raise OSError(error.errno, error.strerror, str(path)) from error
    finally:
        draft.unlink(missing_ok=True)
    return True


def make_once(path: Path, content: Callable[[], bytes]) -> None:
    """Makes the file, whole and its owner's alone; leaves one that is there as it is.

    Raises:
        OSError: it cannot be made.
    """
    if path.exists():
        return
    draft = path.with_name(f".{path.name}.{os.getpid()}")
    draft.unlink(missing_ok=True)  # left by a crash; in a container our number is always the same
    file = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        os.write(file, content())
        os.fsync(file)
    finally:
        os.close(file)
    try:
        # A link fails where another process was first: its file is the file.
        os.link(draft, path)
    except FileExistsError:
        pass
    finally:
        draft.unlink()
