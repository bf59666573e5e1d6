"""Eggs as they are collected: counted by house and day, added up, taken back."""

from dataclasses import dataclass
from datetime import date

from sqlalchemy import Connection

from scheduler.cares.diary.egg_entries import EggsCounted
from scheduler.cares.diary.of_eggs import counts_of, eggs_of
from scheduler.journal import entries
from scheduler.journal.store import Journal
from scheduler.profile.values import Profile
from scheduler.service import diary
from scheduler.service.diary import Judged, Refused, Speaker
from scheduler.service.too_late import cannot_be_of
from scheduler.wording.service.taking_back import NoEggCount
from scheduler.wording.spoken import short_day

# A hen lays one in about 25 hours; eggs found late may be of two days (common practice, no source).
_MOST_OF_A_HEN = 2
MOST_EGGS = 1000  # of one house and day: more is a slip of the finger, wherever it is typed


@dataclass(frozen=True, slots=True, kw_only=True)
class Eggs:
    """What was counted, or taken back, of a house and day; `in_all` what that day comes to."""

    house_id: str
    day: date
    eggs: int
    in_all: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ManyEggs:
    """More than its birds can have laid: is that meant? Nothing was kept."""

    eggs: int
    birds: int


def count_eggs(  # noqa: PLR0913, PLR0917 - of which house and day, how many, by whom
    journal: Journal,
    profile: Profile,
    house_id: str,
    day: date,
    eggs: int,
    by: Speaker,
    *,
    sure: bool = False,
) -> Eggs | Refused | ManyEggs:
    """Keeps that so many eggs were collected that day, beside what was counted before."""
    if beyond := cannot_be_of(day, by.today, "--date", "day"):
        return beyond
    flocks = profile.flocks_on(house_id, day)
    birds = sum(flock.birds - flock.roosters for flock in flocks)

    def judge(connection: Connection) -> Judged[Eggs | ManyEggs]:
        known = _known(connection, profile.site.id, house_id, day)
        if known + eggs > _MOST_OF_A_HEN * birds and not sure:
            return Judged(answer=ManyEggs(eggs=known + eggs, birds=birds))
        answer = Eggs(house_id=house_id, day=day, eggs=eggs, in_all=known + eggs)
        return Judged(answer=answer, said=[by.entry(EggsCounted(eggs=eggs), house_id, day)])

    return diary.say(journal, profile.site.id, by, "jobs", day, judge)


def take_back_eggs(
    journal: Journal, profile: Profile, house_id: str, day: date, by: Speaker
) -> Eggs | Refused:
    """Takes back what was counted last of that house and day."""

    def judge(connection: Connection) -> Judged[Eggs | Refused]:
        said = counts_of(entries.of_family(connection, profile.site.id, "eggs", day))
        mine = [one for one in said if (one.about, one.day) == (house_id, day)]
        if not mine or not isinstance(last := mine[-1].what, EggsCounted):
            return Judged(answer=_no_count(profile.house_names[house_id], day))
        known = _known(connection, profile.site.id, house_id, day)
        answer = Eggs(house_id=house_id, day=day, eggs=last.eggs, in_all=known - last.eggs)
        return Judged(answer=answer, back=[mine[-1].number])

    return diary.say(journal, profile.site.id, by, "jobs", day, judge)


def _no_count(house: str, day: date) -> Refused:
    return Refused(
        key="--undo",
        found=NoEggCount.found(),
        accepted=NoEggCount.accepted(),
        question=NoEggCount.left(house=house, day=short_day(day)),
    )


def _known(connection: Connection, site_id: str, house_id: str, day: date) -> int:
    found = eggs_of(entries.of_family(connection, site_id, "eggs", day))
    return found.get((house_id, day), 0)
