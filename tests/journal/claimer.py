"""Claims deliveries until none is left, as a process of its own: `python -m … PATH-OR-ADDRESS`.

Says "ready", waits for a line, then prints the row of every delivery it got.
"""

import sys
from datetime import UTC, datetime
from pathlib import Path

from scheduler.journal import claims
from scheduler.journal.fault import JournalFault
from scheduler.journal.store import Journal, open_journal

NOW = datetime(2026, 12, 21, 16, 20, tzinfo=UTC)


def claim_all(journal: Journal) -> list[int]:
    """One delivery a transaction, until there is none.

    SQLite's lock is not fair: who does nothing but write can keep another waiting past its
    patience. Then it tries again, as a watch does with its next tick.
    """
    rows: list[int] = []
    while True:
        try:
            with journal.writing() as writing:
                taken = claims.claim(writing.connection, "orchard", "push", NOW, 1)
        except JournalFault:
            continue
        if not taken:
            return rows
        rows += [one.row_id for one in taken]


if __name__ == "__main__":
    opened = open_journal(sys.argv[1] if "://" in sys.argv[1] else Path(sys.argv[1]))
    print("ready", flush=True)
    sys.stdin.readline()
    print(*claim_all(opened), flush=True)
    opened.close()
