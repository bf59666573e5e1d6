"""What is done to a house from outside: system calls that fail, disks without room, held locks.

What this machine does not allow skips the test; see the `kernel` marker.
"""

import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from scheduler.machine.paths import JOURNAL_NAME
from tests.faults.house import House

# In a mount namespace of its own the watch sees its data folder as a read-only disk.
READ_ONLY = 'mount --bind "$0" "$0" && mount -o remount,bind,ro "$0"'
OWN_MOUNTS = ["unshare", "--map-root-user", "--mount"]
_LOCK = """
import os, signal, sqlite3, sys
connection = sqlite3.connect(sys.argv[1], isolation_level=None)
connection.execute("BEGIN EXCLUSIVE")
print("held", flush=True)
os.kill(os.getpid(), signal.SIGSTOP)
"""


@contextmanager
def struck(house: House, calls: str, fault: str) -> Iterator[None]:
    """The watch's system calls ("pwrite64") meet the fault ("error=ENOSPC:when=1+") meanwhile.

    strace(1) counts the calls of each thread by itself, from the moment it is attached.
    """
    if shutil.which("strace") is None:
        pytest.skip("no strace: apt-get install strace")
    assert house.process
    pid = house.process.pid
    command = ["strace", "-f", "-qqq", "-p", str(pid), "-e", f"trace={calls}"]
    command += ["-e", f"inject={calls}:{fault}", "-o", "/dev/null"]
    tracer = subprocess.Popen(command, stderr=subprocess.PIPE)
    try:
        house.wait(lambda: tracer.poll() is not None or _is_traced(pid), "strace was not attached")
        if tracer.poll() is not None:
            assert tracer.stderr
            pytest.skip(f"strace cannot trace here: {tracer.stderr.read().decode().strip()}")
        yield
    finally:
        tracer.terminate()
        tracer.communicate()


def _is_traced(pid: int) -> bool:
    status = [path / "status" for path in Path(f"/proc/{pid}/task").iterdir()]
    return all("TracerPid:\t0\n" not in path.read_text() for path in status)


@contextmanager
def locked(house: House) -> Iterator[None]:
    """Another program holds the journal exclusively, and stands still."""
    path = house.data / JOURNAL_NAME
    holder = subprocess.Popen([sys.executable, "-c", _LOCK, str(path)], stdout=subprocess.PIPE)
    try:
        assert holder.stdout
        assert holder.stdout.readline() == b"held\n"
        yield
    finally:
        holder.kill()
        holder.communicate()


@contextmanager
def no_larger_files(house: House, limit: int) -> Iterator[None]:
    """No file of the watch may grow beyond so many bytes meanwhile."""
    assert house.process
    limited = ["prlimit", f"--pid={house.process.pid}"]
    subprocess.run([*limited, f"--fsize={limit}:unlimited"], check=True)
    yield
    subprocess.run([*limited, "--fsize=unlimited:unlimited"], check=True)


@contextmanager
def read_only(house: House) -> Iterator[None]:
    """The data folder is a read-only disk meanwhile; the watch must have mounts of its own."""
    assert house.process
    inside = ["nsenter", "--target", str(house.process.pid), "--user", "--mount"]
    inside += ["--preserve-credentials"]
    data = str(house.data)
    subprocess.run([*inside, "sh", "-c", READ_ONLY, data], check=True)
    yield
    subprocess.run([*inside, "umount", data], check=True)


def needs_own_mounts() -> None:
    """Skips where a process cannot have mounts of its own."""
    probe = subprocess.run([*OWN_MOUNTS, "true"], check=False, capture_output=True)
    if probe.returncode:
        pytest.skip("no user and mount namespaces here")
