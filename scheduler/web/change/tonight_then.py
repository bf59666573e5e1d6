"""What tonight would be by a profile that is not kept yet: the messages, step by step."""

from collections.abc import Sequence
from datetime import date

from scheduler.alerts.reminded_evening import CalledStep, Evening
from scheduler.service.almanac import Almanac
from scheduler.service.household.open_profile import Household
from scheduler.service.reachable import ways_of
from scheduler.web.request_and_answer import Visit
from scheduler.wording.spoken import in_a_row
from scheduler.wording.web.change import TonightThen
from scheduler.wording.words import by_code

_HOURLY = "hourly"


def tonight_then(visit: Visit, household: Household, day: date) -> list[tuple[str, list[str]]]:
    """Each walk of that evening by that household: its houses and times, and who is told when."""
    standing = visit.standing
    household = household.with_phones(visit.profile.phones, household.today(visit.now))
    almanac = Almanac(
        household=household,
        records=standing.records,
        ways=ways_of(household.profile),
        key=standing.almanac.key,
    )
    evenings = almanac.planned(day, standing.said)
    return [(_houses(almanac, one), _steps(almanac, one)) for one in evenings]


def _houses(almanac: Almanac, evening: Evening) -> str:
    return TonightThen.of_houses(
        houses=in_a_row([door.name for door in evening.doors]),
        lock_up=almanac.clock(evening.lock_up, evening.day),
        latest=almanac.clock(evening.latest, evening.day),
    )


def _steps(almanac: Almanac, evening: Evening) -> list[str]:
    if not evening.crew:
        return [TonightThen.nobody()]
    told = [_step(almanac, evening, one) for one in _first_of_each(evening.steps)]
    return told or [TonightThen.nobody()]


def _first_of_each(steps: Sequence[CalledStep]) -> list[CalledStep]:
    """Of what comes every hour the first one stands for all."""
    first = next((one for one in steps if one.kind == _HOURLY), None)
    return [one for one in steps if one.kind != _HOURLY or one is first]


def _step(almanac: Almanac, evening: Evening, step: CalledStep) -> str:
    who = in_a_row([evening.contact(person).name for person in step.people])
    return by_code(TonightThen, step.kind)(at=almanac.clock(step.at, evening.day), who=who)
