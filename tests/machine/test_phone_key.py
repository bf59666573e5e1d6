"""The key pair that phones are rung with."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

from scheduler.machine.phone_key import PHONE_KEY_NAME, PhoneKey, phone_key, read_phone_key
from scheduler.tokens.base64url import decoded, encoded

ROOT = Path(__file__).parents[2]
TOO_LARGE = encoded(b"\xff" * 32)
STARTED = """
import sys
from pathlib import Path
from scheduler.machine.phone_key import phone_key
print(phone_key(Path(sys.argv[1]), {}).public, end="")
"""
WITHOUT_CRYPTOGRAPHY = """
import sys
from pathlib import Path
from scheduler.machine.phone_key import read_phone_key
print(read_phone_key(Path(sys.argv[1]), {}).public, end="")
assert "cryptography" not in sys.modules
"""


def test_a_pair_is_made_once_for_its_owner_alone(tmp_path: Path) -> None:
    assert read_phone_key(tmp_path, {}) is None
    first = phone_key(tmp_path, {})
    assert phone_key(tmp_path, {}) == read_phone_key(tmp_path, {}) == first
    assert (tmp_path / PHONE_KEY_NAME).stat().st_mode & 0o777 == 0o600
    assert [path.name for path in tmp_path.iterdir()] == [PHONE_KEY_NAME]
    (tmp_path / "other").mkdir()
    assert phone_key(tmp_path / "other", {}) != first


def test_the_public_part_belongs_to_the_private_one(tmp_path: Path) -> None:
    key = phone_key(tmp_path, {})
    private = ec.derive_private_key(int.from_bytes(key.private), ec.SECP256R1())
    point = private.public_key().public_bytes(Encoding.X962, PublicFormat.UncompressedPoint)
    assert decoded(key.public) == point
    assert len(key.public) == 87, "without padding"
    assert encoded(key.private) not in repr(key)
    assert repr(key.private) not in repr(key)


def test_it_is_read_without_cryptography(tmp_path: Path) -> None:
    key = phone_key(tmp_path, {})
    command = [sys.executable, "-c", WITHOUT_CRYPTOGRAPHY, str(tmp_path)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout == key.public


def test_a_pair_that_another_process_made_first_is_the_pair(tmp_path: Path) -> None:
    command = [sys.executable, "-c", STARTED, str(tmp_path)]
    started = [subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE) for _ in range(3)]
    keys = {process.communicate(timeout=30)[0] for process in started}
    assert [process.returncode for process in started] == [0, 0, 0]
    assert keys == {phone_key(tmp_path, {}).public.encode()}


def test_what_a_crash_left_behind_does_not_prevent_the_next_start(tmp_path: Path) -> None:
    (tmp_path / f".{PHONE_KEY_NAME}.{os.getpid()}").write_bytes(b"half a key")
    assert phone_key(tmp_path, {}) == read_phone_key(tmp_path, {})
    assert [path.name for path in tmp_path.iterdir()] == [PHONE_KEY_NAME]


def test_a_named_pair_is_shared_by_hosts_and_never_made(tmp_path: Path) -> None:
    named = {"DUSKFOLD_PHONE_KEY_FILE": str(tmp_path / "shared.key")}
    assert read_phone_key(tmp_path, named) is None
    with pytest.raises(FileNotFoundError):
        phone_key(tmp_path, named)
    assert list(tmp_path.iterdir()) == []
    made = phone_key(tmp_path, {})
    (tmp_path / "shared.key").symlink_to(tmp_path / PHONE_KEY_NAME)
    assert phone_key(tmp_path / "another host", named) == made


def damaged(key: PhoneKey) -> list[bytes]:
    """What a disk, an editor or a half-made copy leaves of a key file."""
    private, public = encoded(key.private), key.public
    compressed = encoded(b"\x02" + key.private)
    return [
        b"",
        private.encode(),
        f"{private[:-1]}\n{public}\n".encode(),
        f"{private}\n{public[:-2]}\n".encode(),
        f"{private}\n{compressed}\n".encode(),
        f"{private}\n{'A' + public[1:]}\n".encode(),
        f"{private}\n{public}=\n".encode(),
        f"{private}\n{public}\n{public}\n".encode(),
        f"{public}\n{private}\n".encode(),
        f"{encoded(bytes(32))}\n{public}\n".encode(),
        f"{TOO_LARGE}\n{public}\n".encode(),
        bytes(range(256)),
        os.urandom(32),
    ]


def test_a_damaged_pair_is_said_and_never_made_anew(tmp_path: Path) -> None:
    file = tmp_path / PHONE_KEY_NAME
    for content in damaged(phone_key(tmp_path, {})):
        file.write_bytes(content)
        for read in (read_phone_key, phone_key):
            with pytest.raises(OSError, match="file of the backup") as raised:
                read(tmp_path, {})
            assert raised.value.filename == str(file)
        assert file.read_bytes() == content


@pytest.mark.parametrize("there", [True, False])
def test_the_pair_of_the_data_folder_is_no_link(tmp_path: Path, there: bool) -> None:
    (tmp_path / "data").mkdir()
    (tmp_path / "data" / PHONE_KEY_NAME).symlink_to(tmp_path / PHONE_KEY_NAME)
    if there:
        phone_key(tmp_path, {})
    for read in (read_phone_key, phone_key):
        with pytest.raises(OSError, match="symbolic links"):
            read(tmp_path / "data", {})
    assert (tmp_path / PHONE_KEY_NAME).exists() is there
