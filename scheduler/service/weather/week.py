"""Works out the weather of the coming days, and keeps what is decided of it."""

from collections.abc import Iterable
from datetime import date, datetime, timedelta

from scheduler.cares.catalogue import in_force
from scheduler.cares.decide_weather import added, decide, weather_signs
from scheduler.cares.decided import DecidedDay
from scheduler.cares.plan import sky_over
from scheduler.climate.blend import CivilDay, Known, weather
from scheduler.climate.curve import averages
from scheduler.climate.fold_hours import HeatScale
from scheduler.husbandry.heat import heat_index_f
from scheduler.journal import weather as kept
from scheduler.journal.store import Journal
from scheduler.light.sun import At, Sky
from scheduler.service.household.open_profile import Household

DAYS_AHEAD = 7
_DANGER_F = 81.0  # as the catalogue's emergency
_HEAT = HeatScale(heat_index_f, _DANGER_F)
_PERCHED_DEG = -4.0
_EVENING_AFTER_NOON = timedelta(hours=6)  # where the sun does not get there
_BEFORE_LOCK_UP = timedelta(hours=3)
_DAY = timedelta(days=1)


def decide_week(
    journal: Journal, household: Household, known: Known, now: datetime, *, worse_only: bool
) -> tuple[DecidedDay, ...]:
    """Decides today and the seven days after it, and keeps what differs from what was decided.

    Between two decisions, with `worse_only`, jobs and warnings are added and nothing is taken back.

    Raises:
        JournalFault: the journal cannot be written.
    """
    site_id, today = household.profile.site.id, household.today(now)
    last = today + DAYS_AHEAD * _DAY
    with journal.reading() as connection:
        before = {one.day: one for one in kept.decided(connection, site_id, today, last)}
    found = tuple(_decided(household, known, before, now))
    if worse_only:
        found = tuple(one for new in found if (one := added(before.get(new.day), new)))
    if found:
        with journal.writing() as writing:
            kept.decide(writing.connection, site_id, found)
    return found


def _decided(
    household: Household, known: Known, before: dict[date, DecidedDay], now: datetime
) -> Iterable[DecidedDay]:
    profile, today = household.profile, household.today(now)
    yearly, sky = averages(profile), sky_over(profile)
    signs = weather_signs(in_force(profile, household.catalogue))
    for ahead in range(DAYS_AHEAD + 1):
        day = today + ahead * _DAY
        of = CivilDay(day=day, zone=profile.site.zone, dusk=_dusk(sky, day), heat=_HEAT)
        known_before = before[day].weather if day in before else None
        yield decide(
            weather(yearly, known, of, now, known_before),
            signs,
            yearly,
            sky,
            before=before.get(day),
            today=today,
            now=now,
        )


def _dusk(sky: Sky, day: date) -> datetime:
    crossing = sky.crossing(day, "evening", _PERCHED_DEG)
    if isinstance(crossing, At):
        return crossing.instant
    return sky.transit(day) + _EVENING_AFTER_NOON


def decisions(household: Household, day: date, lock_up: datetime | None) -> tuple[datetime, ...]:
    """When the weather is decided on that date: with the brief, and 3 h before the lock-up."""
    site, reminders = household.profile.site, household.profile.reminders
    at = reminders.brief or type(reminders)().brief
    morning = datetime.combine(day, at, site.zone) if at else None
    return tuple(one for one in (morning, lock_up and lock_up - _BEFORE_LOCK_UP) if one)
