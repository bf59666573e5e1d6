"""Can the time of day be believed? Boards without a battery wake up weeks behind, or in 2098."""

import logging
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Literal

from scheduler.service.clock import Readings

Trust = Literal["trusted", "doubtful", "untrusted"]
BUILT = datetime(2026, 11, 1, tzinfo=UTC)  # no clock that shows less can be right
_LEAP = timedelta(days=400)  # further ahead of the last known time than a year and a bit
_SLACK = timedelta(hours=1)  # a clock may be set back by summer time that was kept wrongly
_BELIEVED_AFTER_S = 86_400.0
STEP_S = 2.0  # a difference larger than this means that the clock was set
_SAID_EVERY_S = 3600.0
_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """What a reading is worth; whether the clock was set since the last one, and if so back."""

    trust: Trust
    stepped: bool
    back: bool = False


@dataclass(slots=True, kw_only=True)
class Watchfulness:
    """Judges each reading against the newest time that was believed before.

    untrusted: below the floor, so nothing can be planned or end. doubtful: more than 400 days
    above it: reminders go out, but nothing is ended and the time is not remembered until the
    machine has run a day on it.
    """

    floor: datetime = BUILT
    _last: Readings | None = None
    _leapt_at_s: float | None = None
    _said_at_s: dict[str, float] = field(default_factory=dict)

    def judge(self, readings: Readings) -> Judgement:
        """The judgement of this reading; the floor rises with every trusted one.

        A clock set back while we run is believed, down to the date of this release: a person or
        the network has mended it, and a floor that came from a wrong time must not silence us.
        """
        step_s = self._step_s(readings)
        stepped = abs(step_s) > STEP_S
        if stepped:
            self._tell(readings, step_s)
            self._leapt_at_s = None
            if step_s < 0:
                self.floor = max(BUILT, min(self.floor, readings.wall - _SLACK))
        self._last = readings
        back = stepped and step_s < 0
        return Judgement(trust=self._trust(readings), stepped=stepped, back=back)

    def _trust(self, readings: Readings) -> Trust:
        believed = readings.synchronised and readings.wall >= BUILT
        if readings.wall < self.floor and not believed:
            return "untrusted"
        if readings.wall - self.floor > _LEAP and not believed:
            if self._leapt_at_s is None:
                self._leapt_at_s = readings.boot_s
            if readings.boot_s - self._leapt_at_s < _BELIEVED_AFTER_S:
                return "doubtful"
        self._leapt_at_s = None
        self.floor = readings.wall - _SLACK
        return "trusted"

    def _step_s(self, readings: Readings) -> float:
        if self._last is None:
            return 0.0
        by_wall_s = (readings.wall - self._last.wall).total_seconds()
        return by_wall_s - (readings.boot_s - self._last.boot_s)

    def _tell(self, readings: Readings, step_s: float) -> None:
        way = "forward" if step_s > 0 else "back"
        if readings.boot_s - self._said_at_s.get(way, float("-inf")) >= _SAID_EVERY_S:
            self._said_at_s[way] = readings.boot_s
            _log.warning("clock.stepped way=%s seconds=%.0f", way, abs(step_s))
