"""Why a journal cannot be used."""

from scheduler.wording.journal.advice import JournalFaults
from scheduler.wording.words import Words


class JournalFault(Exception):  # noqa: N818 - one of the three kinds of DEVELOPERS.md
    """The journal cannot be used; the text says which and why, `reason` only why (for logs).

    `is_locked`: another program holds it, which takes as long as one waits for a lock to find out.
    `is_away`: its server cannot be reached, and may be back at any time; `is_cut`: only the
    connection was lost, and the next one may hold. `is_refused`: it is there,
    and is not for this program or this site: nothing mends that but a person.
    """

    def __init__(  # noqa: PLR0913 - each says what can be done about it
        self,
        text: str,
        reason: str = "",
        *,
        is_locked: bool = False,
        is_away: bool = False,
        is_cut: bool = False,
        is_refused: bool = False,
    ) -> None:
        """Keeps the reason without any path."""
        super().__init__(text)
        self.reason = reason or text
        self.is_locked = is_locked
        self.is_away = is_away
        self.is_cut = is_cut
        self.is_refused = is_refused


def said_of(name: str, said: str, advice: Words | None) -> str:
    """What is wrong with the journal of that name, and what a keeper can do about it."""
    if advice:
        return JournalFaults.advised(name=name, said=said, advice=advice())
    return JournalFaults.bare(name=name, said=said)
