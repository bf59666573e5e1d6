"""As tests.faults.root, with one thing broken: `HARM` names it, `HARM_ARGUMENT` says more.

Where the argument is a path, the harm is done while that file exists.
"""

import os
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

_ARGUMENT = os.environ.get("HARM_ARGUMENT", "")


def _coop() -> None:
    """The coop of that id cannot be planned, by nobody who asks."""
    from scheduler.cares import coop_day  # noqa: PLC0415 - before anybody else imports from it

    right = coop_day.coop_day

    def wrong(profile: Any, sky: Any, coop: Any, *rest: Any) -> Any:
        if coop.id == _ARGUMENT:
            raise ArithmeticError("this house cannot be planned")
        return right(profile, sky, coop, *rest)

    vars(coop_day)["coop_day"] = wrong


def _metronome() -> None:
    """The metronome's thread dies of its store, as it does of a locked one (measured)."""
    from apscheduler.jobstores.memory import MemoryJobStore  # noqa: PLC0415 - one harm only

    right = MemoryJobStore.update_job

    def wrong(self: Any, job: Any) -> None:
        if Path(_ARGUMENT).exists():
            raise RuntimeError("the store cannot be written")
        right(self, job)

    MemoryJobStore.update_job = wrong


def _push(harm: Callable[[], object]) -> None:
    from scheduler.channels.push import PushChannel  # noqa: PLC0415 - one harm only

    right = PushChannel.deliver

    def wrong(self: Any, outgoing: Any) -> Any:
        if Path(_ARGUMENT).exists():
            harm()
        return right(self, outgoing)

    vars(sys.modules[PushChannel.__module__])["PushChannel"].deliver = wrong


def _push_hangs() -> None:
    """A send by push never comes back, whatever its deadline."""
    _push(threading.Event().wait)


def _push_raises() -> None:
    """A send by push raises what no channel should."""

    def harm() -> None:
        raise ArithmeticError("a fault of the channel")

    _push(harm)


def _ears() -> None:
    """Whatever listens ends, and no thread can be started for it."""
    from scheduler.sources.push_answers import AnswerReader  # noqa: PLC0415 - one harm only

    listen, start = AnswerReader._listen, threading.Thread.start  # noqa: SLF001 - inside of it

    def ends(self: Any, stop: Any) -> bool:
        if Path(_ARGUMENT).exists():
            raise SystemExit
        return listen(self, stop)

    def full(self: threading.Thread) -> None:
        if self.name in {"duskfold-ear", "answers"} and Path(_ARGUMENT).exists():
            raise RuntimeError("can't start new thread")
        start(self)

    vars(sys.modules[AnswerReader.__module__])["AnswerReader"]._listen = ends  # noqa: SLF001 - as above
    vars(threading)["Thread"].start = full


def _mounts() -> None:
    """The system's table of mounts is that file."""
    from scheduler.watch import journal_recovery  # noqa: PLC0415 - before anybody else imports from it

    vars(journal_recovery)["MOUNTS"] = Path(_ARGUMENT)


if __name__ == "__main__":
    {
        "coop": _coop,
        "metronome": _metronome,
        "push hangs": _push_hangs,
        "push raises": _push_raises,
        "ears": _ears,
        "mounts": _mounts,
    }[os.environ["HARM"]]()
    from tests.faults.root import main

    sys.exit(main())
