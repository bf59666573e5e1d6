"""Keeps the weather up in a thread of its own: asks, reads thermometers, decides; nothing waits."""

import logging
import random
import threading
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from pathlib import Path

from scheduler.cares.decided import DecidedDay
from scheduler.climate.blend import Known
from scheduler.climate.fold_hours import with_past
from scheduler.climate.forecast import Forecast, OfficialWarning
from scheduler.journal import weather as kept
from scheduler.journal.fault import JournalFault
from scheduler.profile.forecast import SourceName
from scheduler.profile.values import Profile
from scheduler.service.almanac import Almanac
from scheduler.service.health.tick_file import WeatherGap
from scheduler.service.household.open_profile import Household
from scheduler.service.weather.agreed import asking, services
from scheduler.service.weather.ask import Services, every_service
from scheduler.service.weather.last_forecast import last_forecast
from scheduler.service.weather.week import DAYS_AHEAD, decide_week, decisions
from scheduler.sources.asking_again import NEVER_ASKED, Standing, after
from scheduler.sources.forecast_copy import TOO_OLD, Copies, age, current, renew
from scheduler.sources.forecast_port import Fresh, Unreadable
from scheduler.watch.thermometers import LOOKED_BACK, Thermometers
from scheduler.watch.tick import Ticker

_ROUND, _LONGEST_ROUND = timedelta(minutes=30), timedelta(minutes=45)
_MINUTE = timedelta(minutes=1)
_DAYS = timedelta(days=DAYS_AHEAD)
_log = logging.getLogger(__name__)


@dataclass(slots=True, kw_only=True)
class WeatherWatch:
    """Asks each service that was agreed to when it may be asked; `keep_up` is called each second.

    `folder` has the last good copies. `share` draws a number from 0 to 1, so that hosts all over
    do not ask in the same second.
    """

    ticker: Ticker
    folder: Path
    make_services: Callable[[], Services] = every_service
    share: Callable[[], float] = random.random
    _services: Services | None = None
    _standings: dict[SourceName, Standing] = field(default_factory=dict)
    _told: dict[SourceName, Forecast] = field(default_factory=dict)  # with their past hours
    _warnings: tuple[OfficialWarning, ...] = ()
    _warnings_standing: Standing = NEVER_ASKED
    _has_heard_warnings: bool = False
    _thermometers: Thermometers = field(default_factory=Thermometers)
    _read_once: set[SourceName] = field(default_factory=set)  # whose copy was read from the disk
    _unreadable: dict[SourceName, Unreadable] = field(default_factory=dict)
    _unread_warnings: Unreadable | None = None
    _next_round: datetime | None = None
    _agreed: tuple[object, ...] | None = None  # what a profile must say anew to be asked anew
    _is_anew: bool = False  # whether all is to be decided, whenever it was decided last
    _decided_by: object = None  # what it was decided by last
    _days: tuple[Almanac, Almanac] | None = None  # the ticker's, and its like of this thread
    _looked_at: datetime | None = None
    _thread: threading.Thread | None = None

    def keep_up(self) -> None:
        """Begins a turn where a minute has gone since the last and none is under way."""
        now = self.ticker.believed_at
        if now is None or (self._thread is not None and self._thread.is_alive()):
            return
        if self._looked_at and timedelta() <= now - self._looked_at < _MINUTE:
            return
        self._looked_at = now
        thread = threading.Thread(target=self._turn, args=(now,), name="weather", daemon=True)
        try:
            thread.start()
        except RuntimeError:  # no room for another thread: again in a minute
            _log.warning("weather.not_begun")
            return
        self._thread = thread

    def _turn(self, now: datetime) -> None:
        try:
            self.turn(now)
        except JournalFault:
            _log.warning("weather.not_kept")
        except Exception:  # noqa: BLE001 - weather must never end anything else
            _log.exception("weather.failed")

    def turn(self, now: datetime) -> None:
        """Asks whoever may be asked, reads the thermometers, and decides what is due.

        Raises:
            JournalFault: the journal cannot be read or written.
        """
        almanac = self._almanac()
        household = almanac.household.as_of(now)
        profile = household.profile
        self._begin_anew(profile, now)
        known = Known(
            forecasts=[self._with_past(one, now) for one in self._forecasts(profile, now)],
            measured=[
                one
                for one in self._thermometers.outside(self.ticker.journal, profile, now)
                if profile.at(one.at) is profile  # what was measured before a move was elsewhere
            ],
            warnings=self._warned(profile, now),
        )
        self.ticker.health.gaps = tuple(self._gaps(profile))
        before = self._decided_days(household, now)
        if (
            "us-nws" in services(profile) and not self._has_heard_warnings
        ):  # since it began: what was in force then may be still
            known = replace(known, warnings=_in_force(before, now))
        made_at = last_forecast(before)
        is_away = services(profile) and not known.forecasts and not self._is_anew
        if is_away and made_at and now - made_at <= TOO_OLD:
            return  # a service is away, or this host's copy is lost: what was decided stands
        is_known = known.forecasts or known.measured or known.warnings
        if not is_known and all(_is_usual(one) for one in before):
            return
        slot = _slot(almanac, now)
        seen = (_marks(known), slot, almanac)
        if seen == self._decided_by and not self._is_anew:
            return  # nothing is known that was not known when it was decided
        journal = self.ticker.journal
        done = decide_week(journal, household, known, now, slot=slot, is_anew=self._is_anew)
        if done is not None:
            self._is_anew, self._decided_by = False, seen

    def _almanac(self) -> Almanac:
        """The ticker's days; what this thread works out of them is kept apart from the ticker's."""
        days = self.ticker.almanac
        if self._days is None or self._days[0] is not days:
            self._days = days, replace(days)
        return self._days[1]

    def _begin_anew(self, profile: Profile, now: datetime) -> None:
        """Forgets when to ask where something else is agreed to, or the clock was set back."""
        site = profile.site
        place = (site.latitude_deg, site.longitude_deg, site.elevation_m, site.zone)
        agreed = (profile.forecast, profile.sensor, profile.move, *place)
        if agreed != self._agreed:
            self._is_anew = self._is_anew or self._agreed is not None
            self._agreed, self._standings, self._told = agreed, {}, {}
            self._next_round, self._warnings, self._warnings_standing = None, (), NEVER_ASKED
            self._read_once = set()
            self._unreadable, self._unread_warnings = {}, None
            self._thermometers.forget()
        elif self._next_round and now + _LONGEST_ROUND < self._next_round:
            self._next_round = None
            if not self._warnings_standing.until_restart:
                self._warnings_standing = NEVER_ASKED
            self._standings = {
                name: one for name, one in self._standings.items() if one.until_restart
            }

    def stop(self, wait_s: float) -> None:
        """Waits so long for a turn under way."""
        if self._thread is not None:
            self._thread.join(wait_s)

    def _forecasts(self, profile: Profile, now: datetime) -> list[Forecast]:
        """What the copies hold, after those were renewed that may be; the preferred one first."""
        is_round = self._next_round is None or now >= self._next_round
        if is_round:
            self._next_round = now + _ROUND + self.share() * (_LONGEST_ROUND - _ROUND)
        ask, copies, found = asking(profile), Copies(self.folder), list[Forecast]()
        for name in services(profile):
            port = self._asked.ports[name]
            standing = self._standings.get(name, NEVER_ASKED)
            due = is_round and standing.may_ask(now)
            # A service further down is asked only where none before it has told anything.
            if not found and (due or standing.is_second_try(now)):
                renewed = renew(port, copies, ask, now)
                if isinstance(renewed.answer, Unreadable):
                    self._standings[name] = Standing(not_before=now + _ROUND)
                    self._unreadable[name] = renewed.answer
                elif renewed.answer is not None:
                    self._unreadable.pop(name, None)
                    self._standings[name] = after(standing, renewed.answer, now, self.share())
                forecast = renewed.forecast
            else:  # a copy need not be read again every minute
                is_new = name not in self._read_once
                forecast = current(port, copies, ask, now) if is_new else None
            self._read_once.add(name)
            forecast = forecast or self._in_mind(name, now)
            if forecast:
                found.append(forecast)
        return found

    def _in_mind(self, name: SourceName, now: datetime) -> Forecast | None:
        """What it told last, where the disk has kept no copy of it."""
        told = self._told.get(name)
        return told if told and age(told, now) <= TOO_OLD else None

    def _with_past(self, found: Forecast, now: datetime) -> Forecast:
        """The forecast, and what it told of hours that are past before it was made anew."""
        if before := self._told.get(found.source):
            since = now - LOOKED_BACK
            found = replace(found, hours=with_past(before.hours, found.hours, since))
        self._told[found.source] = found
        return found

    def _warned(self, profile: Profile, now: datetime) -> tuple[OfficialWarning, ...]:
        """The warnings in force where the US service may be asked; what is over is dropped."""
        if "us-nws" not in services(profile):
            return ()
        if self._warnings_standing.may_ask(now):
            answer = self._asked.warnings.fetch(asking(profile), now)
            self._warnings_standing = after(self._warnings_standing, answer, now, self.share())
            if isinstance(answer, Fresh):
                self._has_heard_warnings = True
                warnings = self._asked.warnings.read(answer.body, now)
                self._unread_warnings = warnings if isinstance(warnings, Unreadable) else None
                if not isinstance(warnings, Unreadable):
                    self._warnings = warnings
        return tuple(one for one in self._warnings if one.ends > now)

    def _gaps(self, profile: Profile) -> Iterator[WeatherGap]:
        """Which service gave nothing new when last asked, and which thermometer is not used."""
        for name in services(profile):
            standing = self._standings.get(name, NEVER_ASKED)
            if why := standing.refusal or self._unreadable.get(name):
                yield WeatherGap("service", name, why.reason)
            if standing.ending:
                yield WeatherGap("ending", name, standing.ending)
        if "us-nws" in services(profile):
            why = self._warnings_standing.refusal or self._unread_warnings
            if why:
                yield WeatherGap("warnings", "us-nws", why.reason)
        yield from self._thermometers.gaps(profile)

    @property
    def _asked(self) -> Services:
        """The services, made when they are first asked."""
        if self._services is None:
            self._services = self.make_services()
        return self._services

    def _decided_days(self, household: Household, now: datetime) -> tuple[DecidedDay, ...]:
        """What is decided of today and the days after it."""
        today = household.today(now)
        with self.ticker.journal.reading() as connection:
            return kept.decided(connection, household.profile.site.id, today, today + _DAYS)


def _is_usual(of: DecidedDay) -> bool:
    """Whether neither a forecast nor a thermometer told anything of that day."""
    return of.weather.low_c.source == of.weather.high_c.source == "climate"


def _in_force(days: Iterable[DecidedDay], now: datetime) -> tuple[OfficialWarning, ...]:
    """Each official warning that those days were decided by and that is not over."""
    found = {one.id: one for day in days for one in day.weather.warnings if one.ends > now}
    return tuple(found.values())


def _marks(known: Known) -> tuple[object, ...]:
    """What of the known differs whenever anything of it does."""
    forecasts = tuple((one.source, one.made_at) for one in known.forecasts)
    last = max((one.at for one in known.measured), default=None)
    return forecasts, last, tuple(known.warnings)


def _slot(almanac: Almanac, now: datetime) -> datetime | None:
    """The decision that `now` belongs to: the last that was due, of today or yesterday."""
    today = almanac.household.today(now)
    due: list[datetime] = []
    for day in (today - timedelta(days=1), today):
        lock_up = min((coop.lock_up.instant for coop in almanac.coops(day)), default=None)
        due += [at for at in decisions(almanac.household, day, lock_up) if at <= now]
    return max(due, default=None)
