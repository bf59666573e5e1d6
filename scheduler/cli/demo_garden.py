"""The made-up garden of `duskfold demo`: its profile, and what its people said in the last week."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from scheduler.journal.store import Journal
from scheduler.profile.starter import quoted
from scheduler.profile.values import Profile
from scheduler.service.almanac import Almanac
from scheduler.service.diary import Speaker
from scheduler.service.doors.say import say
from scheduler.service.doors.statement import Statement
from scheduler.service.egg_counts import count_eggs
from scheduler.wording.cli.demo import DemoGarden

_DAY = timedelta(days=1)
_DAYS_TOLD = 7
_EGGS_BEFORE_LOCK_UP = timedelta(hours=4)
_HENS, _PULLETS = 9, 5


def garden_text(day: date, listen: str) -> str:
    """The profile of the garden as it is on that day, with nobody's address in it."""
    return f"""\
units = "metric"

[site]
name = {quoted(DemoGarden.site())}
id = "made-up-garden"
latitude = 51.62
longitude = 8.31
timezone = "Europe/Berlin"
elevation = "110 m"
region = "EU"
west_horizon = 4

[forecast]
sources = []

[web]
listen = {quoted(listen)}

[[coop]]
name = {quoted(DemoGarden.first_house())}
id = "walnut-house"
floor = "1.6 m x 2.2 m"
height = "1.9 m"
ranging = "supervised"
[coop.run]
type = "secure"
floor = "3 m x 5 m"
[coop.perches]
length = "2.4 m"
[coop.nests]
count = 3
[[coop.drinker]]
type = "bell"
capacity = "8 L"

[[coop]]
name = {quoted(DemoGarden.second_house())}
id = "cart-shed"
floor = "1.4 m x 1.8 m"
ranging = "run only"
[coop.run]
type = "open"
floor = "4 m x 6 m"

[[flock]]
name = {quoted(DemoGarden.first_flock())}
id = "browns"
coop = "walnut-house"
hens = {_HENS}
kind = "medium"
hatched = {day - 600 * _DAY}

[[flock]]
name = {quoted(DemoGarden.second_flock())}
id = "speckled"
coop = "cart-shed"
hens = {_PULLETS}
kind = "light"
hatched = {day - 300 * _DAY}

[[person]]
name = "Robin"
id = "robin"

[[person]]
name = "Kim"
id = "kim"
role = "member"

[[person]]
name = "Jo"
id = "jo"
role = "member"
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    """What somebody said so long after a house's lock-up."""

    after: timedelta
    statement: Statement


def tell_the_last_week(journal: Journal, almanac: Almanac, today: date) -> None:
    """Keeps that each evening of the last week was seen to, one bird late once, and the eggs."""
    for ago in range(_DAYS_TOLD, 0, -1):
        day = today - ago * _DAY
        for coop in almanac.coops(day):
            for told in _of_the_evening(coop.coop_id, ago):
                at = coop.lock_up.instant + told.after
                say(journal, almanac, told.statement, at)
            hens = almanac.birds_in(coop.coop_id, day)
            collected = coop.lock_up.instant - _EGGS_BEFORE_LOCK_UP
            _eggs(journal, almanac.profile, coop.coop_id, day, hens - 2 - ago % 3, collected)


def _of_the_evening(coop_id: str, ago: int) -> Iterator[_Told]:
    birds = _HENS if coop_id == "walnut-house" else _PULLETS
    who = ("Robin", "Kim", "Jo")[ago % 3]
    is_one_late = ago == 3 and coop_id == "walnut-house"  # noqa: PLR2004 - some evening, but one
    count = birds - is_one_late
    shut = Statement(kind="closed", coop=coop_id, count=count, who=who)
    yield _Told(after=timedelta(minutes=2 + ago), statement=shut)
    if is_one_late:
        found = Statement(kind="found", coop=coop_id, count=1, who=who)
        yield _Told(after=timedelta(minutes=21), statement=found)


def _eggs(  # noqa: PLR0913, PLR0917 - of which house and day, how many, when
    journal: Journal, profile: Profile, house_id: str, day: date, eggs: int, at: datetime
) -> None:
    by = Speaker.called("Kim", profile, at, day)
    count_eggs(journal, profile, house_id, day, eggs, by)
