"""What is asked of a checkout's program for a while, and what it says to it.

`python -m tests.recorder.stage` reads JSON, {"profile", "data", "at", "boot_s", "secrets", "ask"},
and writes a list of answers, one for each of `ask`: ["start"], ["go", INSTANT], the same without
sending, ["claim", INSTANT], ["say", WORD, ...], ["visit", PATH, FORM, COOKIE]. Then it ends at
once, as a killed program does.
"""

import asyncio
import json
import logging
import os
import sys
from datetime import datetime
from pathlib import Path
from typing import Any

from tests.recorder.adapter import DrivenClock, Program
from tests.recorder.serving import answer


def done(program: Program, what: str, *given: Any) -> Any:
    """Does it; the answer."""
    match what:
        case "start":
            return program.start()
        case "go" | "claim":
            program.clock.go_to(datetime.fromisoformat(given[0]))
            return program.tick(send=what == "go")
        case "say":
            return program.command(*given)
        case "visit":
            return asyncio.run(_visit(program, *given))  # noqa: TID251 - no browser comes here
    raise ValueError(what)


async def _visit(
    program: Program, path: str, form: dict[str, str] | None, cookie: str
) -> tuple[int, dict[str, str], str]:
    async with program.pages() as app:
        status, headers, body = await answer(app, path, form, cookie)
        return status, headers, body.decode()


def main() -> None:
    """Answers what is asked on standard input."""
    logging.disable()
    given = json.load(sys.stdin)
    clock = DrivenClock(datetime.fromisoformat(given["at"]), given["boot_s"])
    program = Program(Path(given["profile"]), Path(given["data"]), clock, given["secrets"])
    json.dump([done(program, *one) for one in given["ask"]], sys.stdout)
    sys.stdout.flush()
    os._exit(0)


if __name__ == "__main__":
    main()
