"""The product's watch with a clock that a test drives: `python -m tests.faults.root SETTINGS`.

This is the tests' own composition root; the product has no hook for it.
"""

import json
import logging
import os
import sys
import time
from datetime import UTC, datetime
from pathlib import Path

from scheduler.channels.deadline import Limits
from scheduler.cli.running import run_watch
from scheduler.machine.clock import Readings
from scheduler.service.data_place import DataPlace
from scheduler.watch.process import Pace


class DrivenClock:
    """The machine's clocks, moved by what stands in a file: the seconds that each is ahead."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def read(self) -> Readings:
        """All clocks, moved."""
        ahead = json.loads(self._path.read_text())
        monotonic_s = time.monotonic()
        return Readings(
            wall=datetime.fromtimestamp(time.time() + ahead["wall_s"], UTC),
            boot_s=monotonic_s + ahead["boot_s"],
            monotonic_s=monotonic_s,
            synchronised=ahead.get("synchronised", False),
        )


def main() -> int:
    """Runs until SIGTERM."""
    settings = json.loads(sys.argv[1])
    logging.basicConfig(level=logging.INFO, format="%(levelname)s %(message)s", stream=sys.stderr)
    return run_watch(
        Path(settings["profile"]),
        DataPlace(Path(settings["data"]), settings.get("journal", "")),
        os.environ,
        DrivenClock(Path(settings["clock"])),
        Pace(
            period_s=settings["period_s"],
            limits=Limits(**settings["limits"]),
            still_s=settings["still_s"],
            incomplete_s=settings["incomplete_s"],
            deaf_after_s=settings["deaf_after_s"],
        ),
        needs_somebody=settings["needs_somebody"],
        wired={"reaches": lambda _: True},  # a push service on loopback
    )


if __name__ == "__main__":
    sys.exit(main())
