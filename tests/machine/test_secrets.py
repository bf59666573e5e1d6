"""Secrets: where they may lie, and F10 of FAULTS.md; and the key that tokens come from."""

import logging
import os
import subprocess
import sys
from pathlib import Path

import pytest

from scheduler.machine.secrets import SecretFault, secret
from scheduler.machine.signing_key import KEY_NAME, signing_key
from tests.unhurried import unhurried

NAME = "mail-password"
ROOT = Path(__file__).parents[2]
STARTED = """
import sys
from pathlib import Path
from scheduler.machine.signing_key import signing_key
print(signing_key(Path(sys.argv[1]), {}).hex(), end="")
"""
VARIABLE = "DUSKFOLD_MAIL_PASSWORD"


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    """A file that holds a secret and a new line, for its owner alone."""
    path = tmp_path / NAME
    path.write_text("hush hush\n")
    path.chmod(0o600)
    return path


def test_nobody_has_given_one() -> None:
    assert secret(NAME, {}) is None
    assert secret(NAME, {VARIABLE: "  "}) is None


def test_the_environment_comes_first_then_a_file_then_a_credential(kept: Path) -> None:
    credentials = {"CREDENTIALS_DIRECTORY": str(kept.parent)}
    assert secret(NAME, credentials) == "hush hush"
    assert secret("push-token", credentials) is None
    other = kept.with_name("other")
    other.write_text("\n other\t\n")
    in_file = credentials | {f"{VARIABLE}_FILE": str(other)}
    assert secret(NAME, in_file) == "other"
    assert secret(NAME, in_file | {VARIABLE: " given "}) == "given"


def named(path: Path) -> dict[str, str]:
    return {f"{VARIABLE}_FILE": str(path)}


def test_f10_a_trailing_new_line_is_cut(kept: Path) -> None:
    assert secret(NAME, named(kept)) == "hush hush"


def test_f10_a_missing_file_is_a_fault_that_says_where(tmp_path: Path) -> None:
    with pytest.raises(SecretFault, match=rf"^{VARIABLE}_FILE: .*gone: No such file"):
        secret(NAME, named(tmp_path / "gone"))


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (b"", "empty"),
        (b" \n", "empty"),
        (b"x" * 4097, "more than 4096 bytes"),
        (b"\xff", "not text"),
    ],
)
def test_what_is_no_secret_is_a_fault_that_does_not_show_it(
    tmp_path: Path, content: bytes, why: str
) -> None:
    path = tmp_path / "secret"
    path.write_bytes(content)
    path.chmod(0o600)
    with pytest.raises(SecretFault, match=f": {why}$"):
        secret(NAME, named(path))


def test_a_folder_is_no_secret(tmp_path: Path) -> None:
    with pytest.raises(SecretFault):
        secret(NAME, named(tmp_path))


def test_f10_a_file_that_all_may_read_is_used_with_a_warning(
    kept: Path, caplog: pytest.LogCaptureFixture
) -> None:
    with caplog.at_level(logging.WARNING):
        secret(NAME, named(kept))
        assert caplog.records == []
        kept.chmod(0o644)
        for _ in range(2):  # it is read at every look
            assert secret(NAME, named(kept)) == "hush hush"
    (record,) = caplog.records
    assert record.getMessage() == f"secret.readable_by_all variable={VARIABLE}"


# The signing key


def test_a_key_is_made_once_for_its_owner_alone(tmp_path: Path) -> None:
    first = signing_key(tmp_path, {})
    assert len(first) == 32
    assert signing_key(tmp_path, {}) == first
    assert (tmp_path / KEY_NAME).stat().st_mode & 0o777 == 0o600
    assert [path.name for path in tmp_path.iterdir()] == [KEY_NAME]
    (tmp_path / "other").mkdir()
    assert signing_key(tmp_path / "other", {}) != first


def test_what_a_crash_left_behind_does_not_prevent_the_next_start(tmp_path: Path) -> None:
    # In a container the process has the same number every time.
    (tmp_path / f".{KEY_NAME}.{os.getpid()}").write_bytes(b"half a key")
    assert len(signing_key(tmp_path, {})) == 32
    assert [path.name for path in tmp_path.iterdir()] == [KEY_NAME]


def test_a_key_that_another_process_made_first_is_the_key(tmp_path: Path) -> None:
    command = [sys.executable, "-c", STARTED, str(tmp_path)]
    started = [subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE) for _ in range(3)]
    keys = {process.communicate(timeout=30)[0] for process in started}
    assert [process.returncode for process in started] == [0, 0, 0]
    assert keys == {signing_key(tmp_path, {}).hex().encode()}


def test_a_named_key_is_used_and_never_made(tmp_path: Path) -> None:
    named_key = {"DUSKFOLD_KEY_FILE": str(tmp_path / "shared.key")}
    with pytest.raises(FileNotFoundError):
        signing_key(tmp_path, named_key)
    assert list(tmp_path.iterdir()) == []
    (tmp_path / "shared.key").write_bytes(b"k" * 40)
    assert signing_key(tmp_path, named_key) == b"k" * 40


def test_a_short_key_is_none(tmp_path: Path) -> None:
    (tmp_path / KEY_NAME).write_bytes(b"k" * 31)
    with pytest.raises(OSError, match="not a key of at least 32 bytes"):
        signing_key(tmp_path, {})


@pytest.mark.skipif(os.name != "posix" or os.geteuid() != 0, reason="only root can be misled")
@pytest.mark.parametrize("name", ["journal.sqlite3", "signing.key", "calendars/lockup.ics"])
@unhurried
def test_s12_a_command_of_roots_follows_no_link_in_the_services_folder(
    tmp_path: Path, name: str
) -> None:
    data, victim = tmp_path / "data", tmp_path / "victim"
    (data / name).parent.mkdir(parents=True)
    victim.write_bytes(b"v" * 64)
    (data / name).symlink_to(victim)
    os.chown(data, 65534, 65534)
    profile = ROOT / "config" / "annotated.toml"
    command = [sys.executable, "-m", "scheduler", "--profile", str(profile), "--data", str(data)]
    for words in (["links"], ["weather", "frost"]):
        done = subprocess.run([*command, *words], capture_output=True, text=True, check=False)
        assert done.returncode == 1
        assert "a link that root would follow" in done.stderr
        assert "Traceback" not in done.stderr
    assert victim.read_bytes() == b"v" * 64


def test_s12_the_key_of_the_data_folder_is_no_link(tmp_path: Path) -> None:
    (tmp_path / "elsewhere").write_bytes(b"k" * 32)
    (tmp_path / KEY_NAME).symlink_to(tmp_path / "elsewhere")
    with pytest.raises(OSError, match="symbolic links"):
        signing_key(tmp_path, {})
    assert signing_key(tmp_path, {"DUSKFOLD_KEY_FILE": str(tmp_path / KEY_NAME)}) == b"k" * 32
