"""Runs commands on a shipped profile while another language is spoken, and prints what they print.

A process of its own: what `--help` says is said when the commands are imported. It prints JSON:
what was typed, and when, with what came of it.
"""

import io
import json
import shutil
import sys
from datetime import datetime
from pathlib import Path

from scheduler.machine import clock
from scheduler.wording.words import speak
from tests.wording.every_command import ANSWERS, ASKED, EVENINGS, HELPED
from tests.wording.marked import in_other_letters, printed

CONFIG = Path(__file__).parents[2] / "config"


class Terminal(io.StringIO):
    """What somebody types at a terminal."""

    def isatty(self) -> bool:
        """It is one."""
        return True


def main(profile: str) -> None:
    """The evenings and days of that profile, in the working directory; then each `--help`."""
    speak(in_other_letters())
    import typer  # noqa: PLC0415 # as below

    from scheduler.cli.app import app  # noqa: PLC0415 # its help is said when it is imported

    command = typer.main.get_command(app)
    shutil.copy(CONFIG / f"{profile}.toml", "duskfold.toml")
    said: dict[str, str] = {}

    def run(typed: str, at: str) -> None:
        sys.stdin = Terminal(ANSWERS) if typed == ASKED else io.StringIO()
        before = () if "--data" in typed else ("--data", "data")
        given = [*before, *typed.split()]
        said[f"{at} {typed}"] = printed(lambda: command.main(given, prog_name="duskfold"))

    for at, typed in EVENINGS[profile]:
        vars(clock)["now"] = lambda at=at: datetime.fromisoformat(at)  # the only one there is
        run(typed, at)
    if profile == HELPED:
        for name in ("", *getattr(command, "commands", {}), "journal copy"):
            run(f"{name} --help", "")
    print(json.dumps(said))


if __name__ == "__main__":
    main(*sys.argv[1:])
