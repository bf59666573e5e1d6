"""Sets up .venv with nothing but Python 3.11, venv and pip, and runs every check.

`python3 tests/run.py` is what a contributor runs. What the machine cannot run is skipped, listed
at the end and remembered: `--skipped` runs just that, when more was installed; `--extra NAME`
installs one more optional set of the project, `--coverage` tells what the tests do not reach of
the pure rooms. What follows `--` goes to pytest.
"""

import argparse
import os
import subprocess
import sys
import tempfile
import time
import venv
from contextlib import ExitStack
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
FOLDER = ROOT / ".venv"
PROGRAMS = FOLDER / ("Scripts" if os.name == "nt" else "bin")
SKIPPED = FOLDER / "skipped-tests.txt"
# Their tests wait for other processes most of the time, so several run beside each other; the
# longest first, for nobody to wait for them at the end.
WAITING = (
    "tests/faults/test_driven_year.py",
    "tests/faults/test_random_run.py",
    "tests/faults/test_edited_evenings.py",
    "tests/watch/test_how_much_it_speaks.py",
    "tests/faults",
    "tests/web",
    "tests/browser",
    "tests/service",
    "tests/journal",
    "tests/channels",
    "tests/cli",
    "tests/reference",
)
BESIDE = 4  # more only wait for the two cores
PURE_ROOMS = ("profile", "light", "climate", "husbandry", "cares", "tokens", "alerts", "feeds")


def works() -> bool:
    """Whether .venv is there with its pip: a run that was stopped leaves half of one."""
    python = next((path for path in PROGRAMS.glob("python*") if path.exists()), None)
    probe = [str(python), "-m", "pip", "--version"]
    return bool(python) and not subprocess.run(probe, check=False, capture_output=True).returncode


def run_together(python: str, *, coverage: bool) -> list[str]:
    """The tests that wait for processes beside those that do not; the names of what failed."""
    ignored = [f"--ignore={path}" for path in WAITING]
    measured = ["-m", "coverage", "run"] if coverage else []
    runs = {
        "tests": [python, *measured, "-m", "pytest", *ignored],
        "tests with processes": [
            *(python, "-m", "pytest", "-n", str(BESIDE), "--dist", "worksteal"),
            *WAITING,
        ],
    }
    SKIPPED.unlink(missing_ok=True)
    environment = {**os.environ, "DUSKFOLD_SKIPPED_TO": str(SKIPPED)}
    print(f"\n{' and '.join(runs)}: at once, each is shown when it has ended …", flush=True)
    failed = []
    began_s = time.monotonic()
    with tempfile.TemporaryDirectory() as folder, ExitStack() as open_files:
        outputs = {
            name: open_files.enter_context((Path(folder) / name).open("w+")) for name in runs
        }
        started = {
            name: subprocess.Popen(
                command, cwd=ROOT, stdout=outputs[name], stderr=outputs[name], env=environment
            )
            for name, command in runs.items()
        }
        for name, process in started.items():
            if process.wait():
                failed.append(name)
            outputs[name].seek(0)
            print(f"\n== {name} ==\n{outputs[name].read()}", flush=True)
    print(f"\nThe tests took {(time.monotonic() - began_s) / 60:.1f} minutes.")
    return failed


def run_some(python: str, chosen: list[str]) -> list[str]:
    """One run of pytest with these arguments; the same list as `run_together` gives."""
    status = subprocess.run([python, "-m", "pytest", *chosen], cwd=ROOT, check=False).returncode
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
    """What the tests that ran did not reach of the pure rooms."""
    print("\n== coverage of the pure rooms ==", flush=True)
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
    parser.add_argument("--coverage", action="store_true", help="tell what was not reached")
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
        failed = check(python) + run_together(python, coverage=options.coverage)
        if options.coverage:
            show_coverage(python)
    print(f"\nFailed: {', '.join(failed)}" if failed else "\nEvery check passed.", flush=True)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
