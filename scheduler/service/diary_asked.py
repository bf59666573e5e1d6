"""What of the diary somebody asks for, and what its entries are called."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType

from sqlalchemy import Connection

from scheduler.cares.diary.codec import KINDS
from scheduler.cares.diary.door_entries import (
    BirdsFound,
    DoorReopened,
    DoorShut,
    LookingStopped,
    OfBirds,
)
from scheduler.cares.diary.egg_entries import EggsCounted
from scheduler.cares.diary.entry import Entry, Family, Said, TakenBack
from scheduler.cares.diary.entry_words import NamesInDiary
from scheduler.cares.diary.job_entries import OfAJob
from scheduler.cares.diary.of_reports import as_made
from scheduler.cares.diary.profile_entries import ProfileChanged
from scheduler.cares.diary.report_entries import OfAReport, ReportMade
from scheduler.cares.diary.search_entries import LookingToo
from scheduler.cares.job_title import cares_by_id
from scheduler.journal import entries, entries_by_day, memos
from scheduler.journal.entries_by_day import Asked
from scheduler.journal.store import Journal
from scheduler.profile.by_name import from_id
from scheduler.service.household.open_profile import Household


@dataclass(frozen=True, slots=True, kw_only=True)
class KindOfDiary:
    """What of the diary is read alone under that word: these kinds of these families."""

    families: tuple[Family, ...]
    kinds: tuple[str, ...]


def _kind(*of: type[Said]) -> KindOfDiary:
    told = [one for one in KINDS.values() if issubclass(one, of)]
    families = {one.FAMILY: None for one in told}
    return KindOfDiary(families=(*families,), kinds=tuple(one.KIND for one in told))


KINDS_ASKED: Mapping[str, KindOfDiary] = MappingProxyType({
    # A search belongs to the door that it began with, and to the birds that were looked for.
    "doors": KindOfDiary(
        families=("door", "search"),
        kinds=tuple(
            one.KIND for one in (DoorShut, DoorReopened, BirdsFound, LookingStopped, LookingToo)
        ),
    ),
    "birds": _kind(OfBirds, LookingToo),
    "jobs": _kind(OfAJob),
    "eggs": _kind(EggsCounted),
    "reports": _kind(OfAReport),
    "changes": _kind(ProfileChanged),
})  # fmt: skip


def asked_for(
    kind: str | None, house: "HouseOfDiary | None", since: date | None, until: date | None
) -> Asked:
    """What is asked for by these; None: of all."""
    of = KINDS_ASKED[kind] if kind else None
    return Asked(
        families=of.families if of else (),
        kinds=of.kinds if of else (),
        abouts=house.abouts if house else (),
        since=since or date.min,
        until=until or date.max,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class HouseOfDiary:
    """A house that the diary may speak of; `abouts` are its id and those of its flocks."""

    id: str
    name: str
    abouts: tuple[str, ...]


def houses(journal: Journal, household: Household) -> list[HouseOfDiary]:
    """The houses of the profile, then those that it has no more."""
    profile = household.profile
    with journal.reading() as connection:
        gone = memos.houses(connection, profile.site.id) - profile.house_names.keys()
    names = {**profile.house_names, **{one: from_id(one) for one in sorted(gone)}}
    return [
        HouseOfDiary(
            id=house_id,
            name=name,
            abouts=(house_id, *(one.id for one in profile.flock if one.coop == house_id)),
        )
        for house_id, name in names.items()
    ]


def called(connection: Connection, household: Household, told: Iterable[Entry]) -> NamesInDiary:
    """What these entries are called, with those that they are about."""
    profile, known = household.profile, {one.number: one for one in told}
    site_id = profile.site.id
    while (
        wanted := {
            what.entry
            for one in known.values()
            if isinstance(what := one.what, TakenBack) and what.entry < one.number
        }
        - known.keys()
    ):
        found = {one.number: one for one in entries.by_number(connection, site_id, wanted)}
        if not wanted & found.keys():
            break
        known |= found
    changed = [one for one in known.values() if isinstance(one.what, OfAReport)]
    # All that is said of a report is kept with its first day.
    numbers = entries_by_day.of_days(connection, site_id, "report", {one.day for one in changed})
    made = [
        (what.report, as_made(one))
        for one in entries.by_number(connection, site_id, numbers)
        if isinstance(what := one.what, ReportMade)
    ]
    return NamesInDiary(
        profile=profile,
        cares=cares_by_id(profile, household.catalogue),
        entries=known,
        reports=dict(made),
    )
