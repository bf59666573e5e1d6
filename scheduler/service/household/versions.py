"""The versions of the profile that are kept: when each began, by whose word, and what differs."""

from dataclasses import dataclass, field
from datetime import datetime

from scheduler.cares.diary.profile_entries import ProfileChanged
from scheduler.journal import entries, memos
from scheduler.journal.store import Journal
from scheduler.profile.difference import Difference, differences


@dataclass(frozen=True, slots=True, kw_only=True)
class Version:
    """A profile that was accepted: its number, when, by whose word, its text and the one before.

    `who` is empty where it was changed in the file, a text where it is not kept any more.
    `put_back` is the number of the version whose text it has again.
    """

    number: int
    at: datetime
    who: str
    text: str = field(repr=False)
    before: str = field(repr=False)
    put_back: int | None = None

    @property
    def can_be_put_back(self) -> bool:
        """Whether its text is still there."""
        return bool(self.text)

    @property
    def differences(self) -> tuple[Difference, ...]:
        """What it has changed; of the oldest nobody knows."""
        return differences(self.before, self.text) if self.before and self.text else ()


def versions(journal: Journal, site_id: str) -> tuple[Version, ...]:
    """At most twenty, the newest first; of the oldest nobody knows what differs.

    Raises:
        JournalFault: the journal cannot be read.
    """
    with journal.reading() as connection:
        kept = memos.accepted(connection)
        told = entries.of_family(connection, site_id, "profile")
    said = {one.what.number: one for one in told if isinstance(one.what, ProfileChanged)}
    older = [*(text for _, text, _ in kept[1:]), *([""] if kept else [])]
    found = []
    for (number, text, at), before in zip(kept, older, strict=True):
        one = said.get(number)
        what = one.what if one else None
        found.append(
            Version(
                number=number,
                at=at,
                who=one.who if one else "",
                text=text,
                before=before,
                put_back=what.put_back if isinstance(what, ProfileChanged) else None,
            )
        )
    return tuple(found)
