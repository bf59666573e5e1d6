"""Sets up .venv with nothing but Python 3.11, venv and pip, and runs every check.

`python3 tests/run.py` is what a contributor runs. What the machine cannot run is skipped, listed
at the end and remembered: `--skipped` runs just that, when more was installed; `--extra NAME`
installs one more optional set of the project, `--coverage` tells what the pure rooms' own tests do
not reach of them. What follows `--` goes to pytest.
"""

import argparse
import os
import subprocess
import sys
import time
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
FOLDER = ROOT / ".venv"
PROGRAMS = FOLDER / ("Scripts" if os.name == "nt" else "bin")
SKIPPED = FOLDER / "skipped-tests.txt"
BESIDE = 3  # many tests wait for other processes; more of them only wait for the two cores
PURE_ROOMS = ("profile", "light", "climate", "husbandry", "cares", "tokens", "alerts", "feeds")


def works() -> bool:
    """Whether .venv is there with its pip: a run that was stopped leaves half of one."""
    python = next((path for path in PROGRAMS.glob("python*") if path.exists()), None)
    probe = [str(python), "-m", "pip", "--version"]
    return bool(python) and not subprocess.run(probe, check=False, capture_output=True).returncode


def run_all(python: str) -> list[str]:
    """Every test, a few beside each other; what was skipped is remembered."""
    SKIPPED.unlink(missing_ok=True)
    began_s = time.monotonic()
    beside = ["-n", str(BESIDE), "--dist", "worksteal"]
    failed = run_some(python, beside, {"DUSKFOLD_SKIPPED_TO": str(SKIPPED)})
    print(f"\nThe tests took {(time.monotonic() - began_s) / 60:.1f} minutes.")
    return failed


def compiled_once() -> dict[str, str]:
    """This environment, in which pytest keeps what it has compiled of the tests."""
    return {name: to for name, to in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}


def compiling(python: str) -> subprocess.Popen[bytes]:
    """Compiles the tests, on the core that the checks leave idle.

    Else each process of the run compiles all of them for itself. What is wrong is told there.
    """
    command = [python, "-m", "pytest", "--collect-only", "-qq"]
    quiet = subprocess.DEVNULL
    return subprocess.Popen(command, cwd=ROOT, env=compiled_once(), stdout=quiet, stderr=quiet)


def run_some(python: str, chosen: list[str], setting: dict[str, str] | None = None) -> list[str]:
    """One run of pytest with these arguments; what failed, by name, as `check` gives it."""
    print("\n== tests ==", flush=True)
    environment = {**compiled_once(), **(setting or {})}
    command = [python, "-m", "pytest", *chosen]
    status = subprocess.run(command, cwd=ROOT, check=False, env=environment).returncode
    return ["tests"] if status else []


def check(python: str) -> list[str]:
    """Linter, formatter, types and arrows; the names of those that failed."""
    checks = {
        "linter": [python, "-m", "ruff", "check", "."],
        "formatter": [python, "-m", "ruff", "format", "--check", "."],
        "types": [python, "-m", "mypy"],
        "arrows": [str(PROGRAMS / "lint-imports")],
    }
    failed = []
    for name, command in checks.items():
        print(f"\n== {name} ==", flush=True)
        if subprocess.run(command, cwd=ROOT, check=False).returncode:
            failed.append(name)
    return failed


def show_coverage(python: str) -> None:
    """What the pure rooms' own tests do not reach of them, in a run of its own."""
    print("\n== coverage of the pure rooms ==", flush=True)
    rooms = [f"tests/{room}" for room in PURE_ROOMS]
    measured = [python, "-m", "coverage", "run", "-m", "pytest", *rooms]
    subprocess.run(measured, cwd=ROOT, check=False)
    include = ",".join(f"scheduler/{room}/*" for room in PURE_ROOMS)
    report = [python, "-m", "coverage", "report", "--skip-covered", f"--include={include}"]
    subprocess.run(report, cwd=ROOT, check=False)


def main() -> int:
    """Exit status 0 when every check passes; all are run, whatever the first ones say."""
    if sys.version_info < (3, 11):
        print("Duskfold needs Python 3.11 or newer; this is", sys.version.split()[0])
        return 2
    parser = argparse.ArgumentParser(description=__doc__.split("\n\n", 1)[0])
    parser.add_argument("--extra", action="append", default=[], help="one more optional set")
    parser.add_argument("--coverage", action="store_true", help="what their own tests miss")
    parser.add_argument("--skipped", action="store_true", help="only what the last run skipped")
    parser.add_argument("pytest", nargs="*", help="arguments for pytest, after --")
    options = parser.parse_args()
    if not works():
        print("Setting up .venv …", flush=True)
        venv.create(FOLDER, with_pip=True, clear=True)
    python = str(PROGRAMS / "python")
    extras = ",".join(["test", *options.extra])
    install = [python, "-m", "pip", "install", "--quiet", "--editable", f"{ROOT}[{extras}]"]
    if subprocess.run(install, check=False).returncode:
        return 1
    if options.skipped:
        if not SKIPPED.exists():
            print("The last whole run skipped nothing.")
            return 0
        failed = run_some(python, [f"@{SKIPPED}", *options.pytest])
    elif options.pytest:
        failed = check(python) + run_some(python, options.pytest)
    else:
        with compiling(python):
            failed = check(python)
        failed += run_all(python)
        if options.coverage:
            show_coverage(python)
    print(f"\nFailed: {', '.join(failed)}" if failed else "\nEvery check passed.", flush=True)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
