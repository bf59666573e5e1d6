"""The product's pages with a clock that a test drives: `python -m tests.web.root SETTINGS`.

This is the tests' own composition root; the product has no hook for it.
"""

import json
import logging
import os
import resource
import sys
from pathlib import Path

from scheduler.cli import serving
from scheduler.service.data_place import DataPlace
from tests.faults.root import DrivenClock


def main() -> int:
    """Serves until SIGTERM."""
    settings = json.loads(sys.argv[1])
    logging.basicConfig(level=logging.INFO, format="%(levelname)s %(message)s", stream=sys.stderr)
    if files := settings["files"]:
        resource.setrlimit(resource.RLIMIT_NOFILE, (files, files))
    serving.REMINDERS_BEGIN_WITHIN_S = settings.get("patience_s", 0.0)
    return serving.run_web(
        Path(settings["profile"]),
        DataPlace(Path(settings["data"]), settings.get("journal", "")),
        os.environ,
        first_run=settings.get("first_run", False),
        clock=DrivenClock(Path(settings["clock"])),
        wired={"reaches": lambda _: True},  # a push service on loopback
    )


if __name__ == "__main__":
    sys.exit(main())
