"""What the keepers' own thermometers show: read, judged, and kept every five minutes."""

import logging
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

from scheduler.climate.forecast import Measured
from scheduler.journal import weather as kept
from scheduler.journal.store import Journal
from scheduler.profile.sensor import Sensor
from scheduler.profile.values import Profile
from scheduler.service.health.tick_file import WeatherGap
from scheduler.sources.thermometer import Unfit, judged, look

_KEPT_EVERY = timedelta(minutes=5)  # a memory card wears out by writing
LOOKED_BACK = timedelta(hours=36)  # a night and the day before it
_log = logging.getLogger(__name__)


@dataclass(slots=True)
class Thermometers:
    """Remembers between looks which of them is not believed, and what one has stuck at."""

    _unfit: dict[str, Unfit | None] = field(default_factory=dict)
    _stuck_c: dict[str, float] = field(default_factory=dict)

    def forget(self) -> None:
        """As if none had been looked at: other ones may stand in the profile now."""
        self._unfit.clear()
        self._stuck_c.clear()

    def outside(self, journal: Journal, profile: Profile, now: datetime) -> list[Measured]:
        """What those outside have shown in the last day and a half, after a look at their files.

        A measurement by hand counts as of one outside.

        Raises:
            JournalFault: the journal cannot be read or written.
        """
        site_id = profile.site.id
        with journal.reading() as connection:
            found = kept.measured_since(connection, site_id, now - LOOKED_BACK)
        for sensor in profile.sensor:
            before = [one for sensor_id, one in found if sensor_id == sensor.id]
            seen = self._judged(sensor, before, now)
            if isinstance(seen, Unfit):
                continue
            if not before or seen.at - before[-1].at >= _KEPT_EVERY:
                with journal.writing() as writing:
                    kept.keep_measured(writing.connection, site_id, sensor.id, seen)
                found = (*found, (sensor.id, seen))
        in_houses = {one.id for one in profile.sensor if one.where != "outside"}
        return [one for sensor_id, one in found if sensor_id not in in_houses]

    def _judged(
        self, sensor: Sensor, before: Sequence[Measured], now: datetime
    ) -> Measured | Unfit:
        """What it shows, but nothing while it shows what it has stuck at, however long ago."""
        seen = shows = look(Path(sensor.file), now)
        if isinstance(shows, Measured):
            seen = judged(shows, before, now)
            if isinstance(seen, Unfit) and seen.kind == "stuck":
                self._stuck_c[sensor.id] = shows.air_c
            elif self._stuck_c.get(sensor.id) == shows.air_c:
                seen = Unfit("stuck")
            else:
                self._stuck_c.pop(sensor.id, None)
        unfit = seen if isinstance(seen, Unfit) else None
        if unfit != self._unfit.get(sensor.id):
            self._unfit[sensor.id] = unfit
            _log.info("thermometer why=%s", unfit.kind if unfit else "fit again")
        return seen

    def gaps(self, profile: Profile) -> Iterator[WeatherGap]:
        """Which of them is not believed, and why."""
        for sensor in profile.sensor:
            if unfit := self._unfit.get(sensor.id):
                yield WeatherGap("sensor", sensor.name, unfit.reason)
