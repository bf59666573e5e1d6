"""`duskfold journal copy`: how far it is, and at the end what both sides have."""

import sys
from dataclasses import asdict
from pathlib import Path
from typing import Literal

from scheduler.cli.faults import CANNOT_USE, FAILED, by_program, complain, go_on_after
from scheduler.cli.screens.tables import as_json, table
from scheduler.cli.terminal import is_terminal
from scheduler.cli.typed import Typed
from scheduler.machine.clock import SystemClock
from scheduler.machine.paths import JOURNAL_NAME
from scheduler.service.journal_copy import (
    CopyOf,
    InUse,
    NotCopied,
    Place,
    copy_journal,
    place_named,
)
from scheduler.wording.cli.help import Metavar
from scheduler.wording.cli.household import CopyScreen
from scheduler.wording.cli.refusals import AcceptedThere, FoundThere, RefusalHints
from scheduler.wording.spoken import listed

_COMMAND: Literal["journal copy"] = "journal copy"
_SHOWN = 16  # digits of a digest: enough to compare two screens by


def copy(source: str, target: str, *, yes: bool, json: bool) -> None:
    """Copies it, and says what came of it; where reminders still write into it, asks first."""
    typed = Typed(_COMMAND)
    old, new = _place(typed, Metavar.from_(), source), _place(typed, Metavar.to(), target)
    if old is None or new is None:
        typed.give_up()
    readings, progress = SystemClock().read(), _Progress()
    found = copy_journal(old, new, readings, progress.tell, sure=yes)
    if isinstance(found, InUse):
        go_on_after(CopyScreen.in_use(places=listed(found.names)))
        found = copy_journal(old, new, readings, progress.tell, sure=True)
    progress.end()
    if isinstance(found, NotCopied):
        complain(by_program(found.why))
        sys.exit(CANNOT_USE if found.is_refused else FAILED)
    if isinstance(found, CopyOf):
        _show(found, new, json=json)


def _place(typed: Typed, option: str, text: str) -> Place | None:
    found = place_named(text)
    if found is None:  # it may hold a password: not shown
        hint = RefusalHints.postgresql() if "postgres" in text else ""
        unknown = FoundThere.something_else if text.strip() else FoundThere.nothing
        typed.refuse(option, unknown(), AcceptedThere.journal(), hint)
    return found


class _Progress:
    """One line on standard error, where somebody sees it."""

    def __init__(self) -> None:
        self._is_seen = is_terminal(sys.stderr)
        self._said = ""

    def tell(self, doing: str, rows: int, of: int) -> None:
        """Says how far it is."""
        percent = 100 * rows // max(of, 1)
        said = CopyScreen.progress(doing=doing, percent=percent, rows=of)
        if self._is_seen and said != self._said:
            print(f"\r{said}\x1b[K", end="", file=sys.stderr, flush=True)
            self._said = said

    def end(self) -> None:
        """Takes the line away."""
        if self._said:
            print("\r\x1b[K", end="", file=sys.stderr, flush=True)


def _show(found: CopyOf, new: Place, *, json: bool) -> None:
    rows = sum(one.rows for one in found.tables)
    if json:
        told = {"from": found.source, "to": found.target, "rows": rows}
        print(as_json(told | {"tables": [asdict(one) for one in found.tables]}))
        return
    before = sum(one.before for one in found.tables)
    print(
        table(
            [(one.table, str(one.rows), one.digest[:_SHOWN]) for one in found.tables],
            (CopyScreen.table(), CopyScreen.rows(), CopyScreen.digest()),
        )
    )
    copied = {"source": found.source, "target": found.target, "rows": rows}
    went_on = CopyScreen.went_on(**copied, before=before) if before else ""
    print("\n" + (went_on or CopyScreen.copied(**copied)))
    print(CopyScreen.equal())
    print(_how_to_use(new))


def _how_to_use(new: Place) -> str:
    if not isinstance(new, Path):
        return CopyScreen.use_address()
    if new.name == JOURNAL_NAME:
        return CopyScreen.use_folder(folder=new.parent)
    return CopyScreen.use_file(name=JOURNAL_NAME)
