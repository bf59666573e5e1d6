"""Works out the weather of the coming days, and keeps what is decided of it."""

from collections.abc import Iterable
from datetime import date, datetime, time, timedelta

from sqlalchemy import Connection

from scheduler.cares.catalogue import in_force
from scheduler.cares.dark_under_cloud import PERCHED_DEG
from scheduler.cares.decide_weather import added, decide, weather_signs
from scheduler.cares.decided import DecidedDay
from scheduler.climate.blend import CivilDay, Known, weather
from scheduler.climate.curve import averages
from scheduler.climate.fold_hours import HeatScale
from scheduler.husbandry.heat import heat_index_f
from scheduler.journal import memos
from scheduler.journal import weather as kept
from scheduler.journal.store import Journal
from scheduler.light.sun import At, HalfDay, Sky, sky_over
from scheduler.light.wall import first_in
from scheduler.service.household.open_profile import Household

DAYS_AHEAD = 7
_DANGER_F = 81.0  # as the catalogue's emergency
_HEAT = HeatScale(heat_index_f, _DANGER_F)
_EVENING_AFTER_NOON = timedelta(hours=6)  # where the sun does not get there
_BEFORE_LOCK_UP = timedelta(hours=3)
_BEFORE_BRIEF = timedelta(minutes=5)  # so that it tells what was decided
_USUAL_BRIEF = time(7)
DECIDED_FOR = "weather-decided-for"
_DAY = timedelta(days=1)


def decide_week(  # noqa: PLR0913 - whose week, what is known of it, when
    journal: Journal,
    household: Household,
    known: Known,
    now: datetime,
    *,
    slot: datetime | None,
    is_anew: bool = False,
) -> tuple[DecidedDay, ...] | None:
    """Decides today and the seven days after it, and keeps what differs from what was decided.

    None where another host decided meanwhile: the next look goes by what that one kept.

    `slot` is the decision that was due last. Once one has been made for it, on whatever host and
    before whatever restart, jobs and warnings are only added and nothing is taken back, but where
    it is to be decided anew.

    Raises:
        JournalFault: the journal cannot be written.
    """
    site_id, today = household.profile.site.id, household.today(now)
    last = today + DAYS_AHEAD * _DAY
    with journal.reading() as connection:
        before = {one.day: one for one in kept.decided(connection, site_id, today, last)}
        is_due = is_anew or (slot is not None and not _is_made(connection, site_id, slot, now))
    found = tuple(_decided(household, known, before, now))
    if not is_due:
        found = tuple(one for new in found if (one := added(before.get(new.day), new)))
    if not found:
        return ()
    with journal.writing() as writing:
        connection = writing.connection
        if before != {one.day: one for one in kept.decided(connection, site_id, today, last)}:
            return None
        if is_due and slot is not None:
            if not is_anew and _is_made(connection, site_id, slot, now):
                return ()  # another host was first
            memos.note(connection, site_id, DECIDED_FOR, slot.isoformat())
        kept.decide(connection, site_id, found)
    return found


def _is_made(connection: Connection, site_id: str, slot: datetime, now: datetime) -> bool:
    """Whether it was decided for that slot; what a clock ahead wrote down does not count."""
    made = memos.recall_instant(connection, site_id, DECIDED_FOR)
    return made is not None and slot <= made <= now


def _decided(
    household: Household, known: Known, before: dict[date, DecidedDay], now: datetime
) -> Iterable[DecidedDay]:
    today = household.today(now)
    profile = household.profile.on(today)
    signs = weather_signs(in_force(profile, household.catalogue))
    for ahead in range(DAYS_AHEAD + 1):
        day = today + ahead * _DAY
        here = profile.on(day)
        yearly, sky = averages(here), sky_over(here)
        of = CivilDay(day=day, zone=here.site.zone, dusk=_dusk(sky, day), heat=_HEAT)
        # Of the days after a move nothing is known yet but what is usual there.
        at_home = here is profile
        decided_before = before.get(day) if at_home else None
        weather_before = decided_before.weather if decided_before else None
        yield decide(
            weather(yearly, known if at_home else Known(), of, now, weather_before),
            signs,
            yearly,
            sky,
            before=decided_before,
            today=today,
            now=now,
        )


def _dusk(sky: Sky, day: date) -> datetime:
    crossing = sky.crossing(day, "evening", PERCHED_DEG)
    if isinstance(crossing, At):
        return crossing.instant
    return sky.transit(day) + _EVENING_AFTER_NOON


def decisions(household: Household, day: date, lock_up: datetime | None) -> tuple[datetime, ...]:
    """When the weather is decided on that date: before the brief, and 3 h before the lock-up.

    Where nobody has a brief, at the time at which one would come.
    """
    profile = household.profile.on(day)
    site, reminders, sky = profile.site, profile.reminders, sky_over(profile)
    since_noon = HalfDay(sky.transit(day - _DAY), sky.transit(day))
    brief = first_in(since_noon, reminders.brief or _USUAL_BRIEF, site.zone)
    morning = brief and brief - _BEFORE_BRIEF
    return tuple(one for one in (morning, lock_up and lock_up - _BEFORE_LOCK_UP) if one)
