"""Who looks for the missing birds of an evening, as they have said themselves."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from scheduler.cares.closing import Closing
from scheduler.cares.door_fold import door


@dataclass(frozen=True, slots=True, kw_only=True)
class Looker:
    """Somebody who said at `said_at` that they have looked for a house's birds since `since`."""

    number: int
    coop_id: str
    evening: date
    who: str
    person_id: str | None
    since: datetime
    said_at: datetime

    @property
    def whose(self) -> str:
        """What tells one person from another: their id, or their name where none fits it."""
        return self.person_id or self.who

    @property
    def known_at(self) -> datetime:
        """The later of the two: a phone's clock may be ahead."""
        return max(self.since, self.said_at)


def search_since(
    closings: Iterable[Closing], coop_id: str, evening: date, birds: int
) -> datetime | None:
    """When it became known that the birds looked for now are missing; None where none is.

    A find that was taken back has not ended the search.
    """
    told = [one for one in closings if one.coop_id == coop_id and one.evening <= evening]
    since = None
    for at in sorted({one.known_at for one in told if one.evening == evening}):
        known = [one for one in told if one.evening < evening or one.known_at <= at]
        if door(known, coop_id, evening, birds).state != "searching":
            since = None
        elif since is None:
            since = at
    return since


def who_looks(
    lookers: Iterable[Looker],
    closings: Iterable[Closing],
    coop_id: str,
    evening: date,
    birds: int,
) -> tuple[Looker, ...]:
    """Everybody who looks for the birds missing now, each once, whoever said it first first."""
    said = [one for one in lookers if (one.coop_id, one.evening) == (coop_id, evening)]
    if not said:
        return ()  # as on most evenings
    since = search_since(closings, coop_id, evening, birds)
    found: dict[str, Looker] = {}
    for one in sorted(said, key=lambda one: one.number):
        if since and one.known_at >= since:
            found.setdefault(one.whose, one)
    return tuple(found.values())
