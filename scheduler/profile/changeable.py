"""What of a profile can be changed on a page: whose right it is, how it is asked and measured."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Literal

from scheduler.profile import input_words
from scheduler.profile.every_key import ProfileKey, every_key
from scheduler.profile.prepare import NAMED_TABLES
from scheduler.profile.raw_tables import Where
from scheduler.profile.units import Region
from scheduler.profile.who_may import Matter

Section = Literal["place", "birds", "house", "run", "people", "alerts", "jobs", "weather", "server"]
# Keys that no page changes.
NOT_ON_PAGES: frozenset[tuple[str, ...]] = frozenset({
    # Diary and calendars know a thing by its id: a new one would be a new thing.
    *((kind, "id") for kind in (*NAMED_TABLES, "site")),
    # A slip would take the pages away from whoever would put it right.
    ("web", "listen"),
    # Whoever can say who is asking can be anybody: only the machine's owner decides on that.
    ("web", "trusted_proxies"),
    # Whoever names a push service has this machine post there: as above.
    ("web", "push_services"),
})  # fmt: skip
_SECTIONS: Mapping[tuple[str, ...], Section] = MappingProxyType({
    ("units",): "place", ("site",): "place", ("move",): "place",
    ("flock",): "birds",
    ("coop",): "house",
    ("coop", "run"): "run", ("coop", "ranging"): "run",
    ("coop", "lockup"): "alerts", ("coop", "letout"): "alerts",
    ("person",): "people",
    ("lockup",): "alerts", ("letout",): "alerts", ("reminders",): "alerts", ("duty",): "alerts",
    ("rounds",): "jobs", ("cares",): "jobs", ("care",): "jobs",
    ("climate",): "weather", ("forecast",): "weather", ("sensor",): "weather",
    ("mail",): "server", ("web",): "server",
})  # fmt: skip
_MEMBERS_CHANGE: frozenset[Section] = frozenset({"birds", "jobs"})


@dataclass(frozen=True, slots=True)
class Changeable:
    """One key that a page can change; what is `measured` has words on how."""

    of: ProfileKey
    section: Section

    @property
    def key(self) -> tuple[str, ...]:
        """Its place in any profile, without ids and positions."""
        return self.of.key

    @property
    def matter(self) -> Matter:
        """Whose right it is to change it: members change birds and jobs, owners everything."""
        return "flocks" if self.section in _MEMBERS_CHANGE else "household"

    @property
    def is_measured(self) -> bool:
        """Whether it is found out by hand, so that it may be unknown for a while."""
        return input_words.is_measured(self.of)

    def label(self, region: Region) -> str:
        """What the input is called."""
        return input_words.label(self.of, region)

    def purpose(self, region: Region) -> str:
        """What it is for; "" where its label says so."""
        return input_words.purpose(self.of, region)

    def measure(self, region: Region) -> str:
        """How to measure it; "" where it is not measured."""
        return input_words.measure(self.of, region)

    def option(self, option: str) -> str:
        """What one of its options is called; what is none of them, as it is written."""
        return input_words.choice(self.of, option)


def key_of(where: Where) -> tuple[str, ...]:
    """The key of what stands there, without ids and positions."""
    has_id = len(where) > 1 and where[0] in (*NAMED_TABLES, "cares")
    parts = (where[0], *where[2:]) if has_id else where
    return tuple(part for part in parts if isinstance(part, str))


@cache
def changeable() -> tuple[Changeable, ...]:
    """Every key that a page can change, in the order of the profile."""
    return tuple(
        Changeable(key, _section(key.key)) for key in every_key() if key.key not in NOT_ON_PAGES
    )


def changeable_at(where: Where) -> Changeable | None:
    """What is changed under that address; None where it is a whole thing, or no page changes it."""
    return _by_key().get(key_of(where))


def changeable_or_fail(where: Where) -> Changeable:
    """What is changed under that address.

    Raises:
        KeyError: no page changes it, or it is a whole thing.
    """
    return _by_key()[key_of(where)]


def matter_at(where: Where) -> Matter:
    """Whose right a change under that address is; of a thing as a whole and its keys the same."""
    section = next(filter(None, _sections(key_of(where))), None)
    return "flocks" if section in _MEMBERS_CHANGE else "household"


@cache
def _by_key() -> Mapping[tuple[str, ...], Changeable]:
    return MappingProxyType({one.key: one for one in changeable()})


def _section(key: tuple[str, ...]) -> Section:
    return next(filter(None, _sections(key)))


def _sections(key: tuple[str, ...]) -> Iterator[Section | None]:
    """By the longest part of the key that has one."""
    yield from (_SECTIONS.get(key[:n]) for n in range(len(key), 0, -1))
