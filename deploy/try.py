"""Sets up .venv with nothing but Python 3.11, venv and pip, and runs the main job.

Shows today for a shipped profile and writes its calendars to calendars/. An argument names another
profile: `python3 deploy/try.py my.toml`.
"""

import os
import subprocess
import sys
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
FOLDER = ROOT / ".venv"
PROGRAMS = FOLDER / ("Scripts" if os.name == "nt" else "bin")


def works() -> bool:
    """Whether .venv is there with its pip: a run that was stopped leaves half of one."""
    python = next((path for path in PROGRAMS.glob("python*") if path.exists()), None)
    probe = [str(python), "-m", "pip", "--version"]
    return bool(python) and not subprocess.run(probe, check=False, capture_output=True).returncode


def main() -> int:
    """Exit status of the first step that fails, or 0."""
    if sys.version_info < (3, 11):
        print("Duskfold needs Python 3.11 or newer; this is", sys.version.split()[0])
        return 2
    profile = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "config" / "annotated.toml"
    if not works():
        print("Setting up .venv …", flush=True)
        venv.create(FOLDER, with_pip=True, clear=True)
    duskfold = [str(PROGRAMS / "duskfold"), "--profile", str(profile)]
    out = ROOT / "calendars"
    steps = [
        [str(PROGRAMS / "python"), "-m", "pip", "install", "--quiet", "--editable", str(ROOT)],
        [*duskfold, "today"],
        [*duskfold, "--data", str(FOLDER / "duskfold-data"), "feed", "--out", str(out)],
    ]
    for step in steps:
        status = subprocess.run(step, check=False).returncode
        if status:
            return status
        print(flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
