"""`python -m tests.recorder against-base`, `... record CHECKOUT FOLDER`, `... compare OLD NEW`.

A checkout is recorded by this recorder over its own adapter, sinks and driven clock, in its own
virtual environment where it has one or --py says so.
"""

import argparse
import difflib
import io
import json
import os
import shutil
import subprocess
import sys
import tarfile
import tempfile
from collections import Counter
from collections.abc import Container, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).parents[2]
BASE = "8258e0b670eac7dabf12773290b18a956c835166"  # what a change is compared with
ADAPTER = "adapter.py"  # knows the program, so each checkout keeps its own
SEED = 1
SHOWN = 20  # differences of one kind


def record(
    checkout: Path,
    folder: Path,
    evenings: int,
    *,
    python: str | None = None,
    only: Container[str] | None = None,
) -> int:
    """Records every shipped profile, as many at once as there are processors; 0, or 1."""
    folder.mkdir(parents=True, exist_ok=True)
    own = checkout / ".venv" / "bin" / "python"
    python = python or (str(own) if own.exists() else sys.executable)
    environment = {name: os.environ[name] for name in ("PATH", "HOME") if name in os.environ}
    environment |= {"TZ": "UTC", "LC_ALL": "C.UTF-8", "COLUMNS": "80", "PYTHONWARNINGS": "ignore"}

    def one(profile: Path) -> int:
        given = [str(profile), str(evenings), str(SEED), str(folder.absolute())]
        # From within it: Python looks for `tests` and the program where it is started.
        drive = [python, "-m", "tests.recorder.drive", *given]
        return subprocess.call(drive, cwd=checkout, env=environment)

    profiles = sorted((ROOT / "config").glob("*.toml"))
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        return int(any(pool.map(one, [p for p in profiles if only is None or p.stem in only])))


@contextmanager
def checked_out(commit: str) -> Iterator[Path]:
    """That commit in a folder of its own, with this recorder over its own adapter.

    Raises:
        NoHistory: the commit is not here.
    """
    command = ["git", "archive", "--format=tar", commit, "scheduler", "tests"]
    packed = subprocess.run(command, cwd=ROOT, capture_output=True, check=False)
    if packed.returncode:
        raise NoHistory(packed.stderr.decode().strip())
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        with tarfile.open(fileobj=io.BytesIO(packed.stdout)) as archive:
            archive.extractall(folder, filter="data")
        for file in (ROOT / "tests" / "recorder").glob("*.py"):
            if file.name != ADAPTER:
                shutil.copy(file, folder / "tests" / "recorder")
        yield folder


class NoHistory(Exception):  # noqa: N818 - said as the faults of the house are
    """The commit is not in this repository, or this is no repository."""


def against_base(
    evenings: int, *, python: str | None, base: Path | None, only: Container[str] | None
) -> int:
    """Records BASE, unless there is a recording of it, and this checkout; what `compare` says."""
    with tempfile.TemporaryDirectory() as name:
        old, new = base or Path(name) / "old", Path(name) / "new"
        if base is None:
            try:
                with checked_out(BASE) as checkout:
                    if record(checkout, old, evenings, python=python, only=only):
                        return 1
            except NoHistory as fault:
                print(f"{BASE} cannot be checked out: {fault}", file=sys.stderr)
                return 2
        return record(ROOT, new, evenings, python=python, only=only) or compare(old, new, only)


def differences(old: Path, new: Path, only: Container[str] | None = None) -> list[tuple[str, str]]:
    """What differs: where it came out (profile, kind), and the lines of both."""
    found = []
    paths = [path for folder in (old, new) for path in folder.glob("*.record")]
    for name in sorted({path.name for path in paths if only is None or path.stem in only}):
        before, after = (_lines(folder / name) for folder in (old, new))
        matched = difflib.SequenceMatcher(None, before, after, autojunk=False)
        for tag, first, last, from_, to in matched.get_opcodes():
            if tag != "equal":
                found += _by_kind(name, before[first:last], after[from_:to])
    return found


def _by_kind(name: str, before: list[str], after: list[str]) -> list[tuple[str, str]]:
    def kind(line: str) -> str:
        return str(json.loads(line)[1]).split()[0]

    return [
        (
            f"{name} {one}",
            _shown(*([line for line in lines if kind(line) == one] for lines in (before, after))),
        )
        for one in dict.fromkeys(map(kind, [*before, *after]))
    ]


def _lines(path: Path) -> list[str]:
    return path.read_text(encoding="utf-8").splitlines() if path.exists() else []


def _shown(before: list[str], after: list[str]) -> str:
    """Line by line of the words themselves, which hold many lines."""
    old, new = ([part for line in lines for part in _parts(line)] for lines in (before, after))
    changed = [one for one in difflib.unified_diff(old, new, lineterm="", n=0) if one[0] in "+-"]
    return "\n".join([f"at {(old or new)[0]}", *changed[2:]])


def _parts(line: str) -> list[str]:
    at, what, whose, words = json.loads(line)
    return [f"{at} {what} {whose}", *words.splitlines()]


def compare(old: Path, new: Path, only: Container[str] | None = None) -> int:
    """Shows what differs; 0 when nothing does and there was something to compare."""
    for folder in (old, new):
        if not any(folder.glob("*.record")):
            print(f"{folder} holds no recording", file=sys.stderr)
            return 2
    found = differences(old, new, only)
    counts: Counter[str] = Counter()
    for where, shown in found:
        counts[where] += 1
        if counts[where] <= SHOWN:
            print(f"== {where}\n{shown}")
    for where, count in sorted(counts.items()):
        print(f"{where}: {count} different")
    if not found:
        print("no difference")
    return int(bool(found))


def main() -> int:
    """Does what was asked; 0 when it went well and nothing differs."""
    asked = argparse.ArgumentParser(prog="python -m tests.recorder", description=__doc__)
    what = asked.add_subparsers(dest="what", required=True)
    basing = what.add_parser("against-base", help="this checkout against BASE: 0, or 1")
    basing.add_argument("--base", type=Path, help="a recording of BASE that is there already")
    recording = what.add_parser("record", help="all that a checkout says")
    recording.add_argument("checkout", type=Path)
    recording.add_argument("folder", type=Path)
    comparing = what.add_parser("compare", help="two recordings")
    comparing.add_argument("old", type=Path)
    comparing.add_argument("new", type=Path)
    for one in (basing, recording):
        one.add_argument("--py", help="the Python with what the program needs")
        one.add_argument("--evenings", type=int, default=40)
    for one in (basing, recording, comparing):
        one.add_argument("--only", action="append", metavar="PROFILE", help="by its file's name")
    given = asked.parse_args()
    match given.what:
        case "against-base":
            return against_base(given.evenings, python=given.py, base=given.base, only=given.only)
        case "record":
            checkout = given.checkout.absolute()
            return record(checkout, given.folder, given.evenings, python=given.py, only=given.only)
    return compare(given.old, given.new, given.only)


if __name__ == "__main__":
    sys.exit(main())
