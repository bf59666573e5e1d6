"""`python -m tests.recorder record CHECKOUT FOLDER`, `... compare OLD NEW`.

A checkout is recorded by its own copy of this package, so that its adapter fits, and with --python
in its own virtual environment. Lay another recorder over an old checkout by copying all but the
adapter.
"""

import argparse
import difflib
import json
import os
import subprocess
import sys
from collections import Counter
from collections.abc import Container
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

ROOT = Path(__file__).parents[2]
SEED = 1
SHOWN = 20  # differences of one kind


def record(
    checkout: Path, folder: Path, python: str, evenings: int, only: Container[str] | None = None
) -> int:
    """Records every shipped profile, as many at once as there are processors; 0, or 1."""
    folder.mkdir(parents=True, exist_ok=True)
    environment = {**os.environ, "PYTHONPATH": str(checkout), "PYTHONWARNINGS": "ignore"}

    def one(profile: Path) -> int:
        given = [str(profile), str(evenings), str(SEED), str(folder.absolute())]
        return subprocess.call([python, "-m", "tests.recorder.drive", *given], env=environment)

    profiles = sorted((ROOT / "config").glob("*.toml"))
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        return int(any(pool.map(one, [p for p in profiles if only is None or p.stem in only])))


def differences(old: Path, new: Path) -> list[tuple[str, str]]:
    """What differs: where it came out (profile, kind), and the lines of both."""
    found = []
    names = {path.name for folder in (old, new) for path in folder.glob("*.record")}
    for name in sorted(names):
        before, after = (_lines(folder / name) for folder in (old, new))
        matched = difflib.SequenceMatcher(None, before, after, autojunk=False)
        for tag, first, last, from_, to in matched.get_opcodes():
            if tag != "equal":
                lines = [*before[first:last], *after[from_:to]]
                what = " ".join(json.loads(lines[0])[1].split()[:1])
                found.append((f"{name} {what}", _shown(before[first:last], after[from_:to])))
    return found


def _lines(path: Path) -> list[str]:
    return path.read_text(encoding="utf-8").splitlines() if path.exists() else []


def _shown(before: list[str], after: list[str]) -> str:
    """Line by line of the words themselves, which hold many lines."""
    old, new = ([part for line in lines for part in _parts(line)] for lines in (before, after))
    changed = [one for one in difflib.unified_diff(old, new, lineterm="", n=0) if one[0] in "+-"]
    return "\n".join(changed[2:])


def _parts(line: str) -> list[str]:
    at, what, whose, words = json.loads(line)
    return [f"{at} {what} {whose}", *words.splitlines()]


def compare(old: Path, new: Path) -> int:
    """Shows what differs; 0 when nothing does and there was something to compare."""
    if not any(old.glob("*.record")):
        print(f"{old} holds no recording", file=sys.stderr)
        return 2
    found = differences(old, new)
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
    recording = what.add_parser("record")
    recording.add_argument("checkout", type=Path)
    recording.add_argument("folder", type=Path)
    recording.add_argument("--python", default=sys.executable)
    recording.add_argument("--evenings", type=int, default=40)
    comparing = what.add_parser("compare")
    comparing.add_argument("old", type=Path)
    comparing.add_argument("new", type=Path)
    given = asked.parse_args()
    if given.what == "record":
        return record(given.checkout.absolute(), given.folder, given.python, given.evenings)
    return compare(given.old, given.new)


if __name__ == "__main__":
    sys.exit(main())
