"""The evenings from tonight on, as Today carries them for a phone without reception."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

from scheduler.alerts.crew import duty
from scheduler.cares.coop_day import CoopDay
from scheduler.cares.reasons import why_no_birds
from scheduler.profile.words import local_clock
from scheduler.service.almanac import Almanac
from scheduler.wording.spoken import in_a_row

EVENINGS = 14
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class EveningAhead:
    """An evening's times by the clock and who shuts the door; `houses` is empty for all alike."""

    day: date
    houses: str
    lock_up: str
    latest: str
    who: str


def evenings_ahead(almanac: Almanac, first: date) -> tuple[EveningAhead, ...]:
    """Fourteen evenings, those of houses with other times on lines of their own."""
    return almanac.kept(("evenings-ahead", first), lambda: tuple(_evenings(almanac, first)))


def _evenings(almanac: Almanac, first: date) -> Iterator[EveningAhead]:
    for number in range(EVENINGS):
        day = first + number * _DAY
        profile = almanac.profile.on(day)
        first_called = duty(almanac.crew(day), day).first
        who = first_called.name if first_called else ""
        coops = [one for one in almanac.coops(day) if not why_no_birds(profile, one.coop_id, day)]

        def times(coop: CoopDay, day: date = day) -> tuple[str, str]:
            site = almanac.profile.on(day).site
            lock_up, latest = (
                local_clock(at, site.zone, site.region, day)
                for at in (coop.lock_up.instant, coop.lock_up.latest)
            )
            return lock_up, latest

        for (lock_up, latest), same in groupby(sorted(coops, key=times), key=times):
            names = [profile.coop_of(coop.coop_id).name for coop in same]
            houses = in_a_row(names) if len(names) < len(coops) else ""
            yield EveningAhead(day=day, houses=houses, lock_up=lock_up, latest=latest, who=who)
