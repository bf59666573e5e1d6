"""`duskfold serve` before there is a profile: an address to scan, and pages that ask the rest."""

import signal
import threading
from pathlib import Path
from types import FrameType

from scheduler.cli.code_to_scan import show_code
from scheduler.cli.compose import Session
from scheduler.cli.faults import CANNOT_USE, by_program, complain
from scheduler.cli.running import run_watch
from scheduler.cli.screens.tables import wrapped
from scheduler.cli.serving import FIRST_LISTEN, beside
from scheduler.machine.home_address import url_for_phones
from scheduler.machine.systemd import notify
from scheduler.profile.text_fields import can_be_listened_on
from scheduler.service.data_place import DataPlace
from scheduler.service.first_run.first_key import new_key
from scheduler.service.first_run.so_far import ANSWERS_FILE
from scheduler.service.household.reload import has_profile
from scheduler.wording.cli.running import FirstRun, PagesStart

_LOOK_EVERY_S = 0.3


def is_being_answered(place: DataPlace) -> bool:
    """Whether somebody has answered, and has not been seen signed in yet."""
    return (place.folder / ANSWERS_FILE).is_file()


def ask_on_a_page(session: Session, path: Path, place: DataPlace) -> int:
    """Shows the first pages until there is a profile, then reminds by it; the exit status.

    The pages go on in their process, at their address: nobody who looks at one loses it.
    """
    listen = session.environment.get("DUSKFOLD_LISTEN", "")
    if listen and not can_be_listened_on(listen):
        complain(by_program(PagesStart.bad_listen(listen=listen)))
        return CANNOT_USE
    _show_address(new_key(place.folder), listen)
    stopped = threading.Event()

    def asked(number: int, frame: FrameType | None) -> None:
        del number, frame
        stopped.set()

    signal.signal(signal.SIGTERM, asked)
    signal.signal(signal.SIGINT, asked)
    pages = beside(path, place, first_run=True)
    pages.start()
    notify("READY=1", session.environment)
    try:
        while not has_profile(path, place):
            notify("WATCHDOG=1", session.environment)
            if stopped.wait(_LOOK_EVERY_S):
                return 0
        return run_watch(
            path, place, session.environment, beside=lambda _: pages, needs_somebody=False
        )
    finally:
        pages.stop()


def _show_address(key: str, listen: str) -> None:
    """One address, the code to scan for it, and a sentence for each thing that is to be known."""
    url = f"{url_for_phones(listen or FIRST_LISTEN)}/begin/with/{key}"
    print(wrapped(FirstRun.open_this()))
    print(f"\n{url}\n")
    show_code(url)
    print(wrapped(FirstRun.same_network()))
    listens = FirstRun.listens_as_told if listen else FirstRun.listens
    print(wrapped(listens(listen=listen or FIRST_LISTEN)))
    print(wrapped(FirstRun.once()), flush=True)
