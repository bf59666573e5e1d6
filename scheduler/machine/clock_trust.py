"""Can the time of day be believed? Boards without a battery wake up weeks behind, or in 2098."""

import logging
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Literal

from scheduler.machine.clock import Readings

Trust = Literal["trusted", "doubtful", "untrusted"]
BUILT = datetime(2026, 11, 1, tzinfo=UTC)  # no clock that shows less can be right
_LEAP = timedelta(hours=36)  # ahead of what was believed: a night and the day after it off
_FIRST_LEAP = timedelta(days=400)  # ahead of this release, where nothing was believed before
_SLACK = timedelta(hours=1)  # a clock may be set back by summer time that was kept wrongly
_READ_LATER = timedelta(minutes=5)  # a clock that is slewed back is no other clock
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

    untrusted: below the floor, so nothing can be planned or end. doubtful: more than 36 hours
    ahead of it and not synchronised: reminders go out, but nothing is judged or ended and the time
    is not remembered until the system says that it comes from the network, or somebody agrees.
    Where the system knows nothing of it (only Linux does), somebody has to.
    """

    floor: datetime = BUILT
    doubtful_since_s: float | None = None  # since boot
    _from_network: datetime | None = None  # the newest time that came from there
    _last: Readings | None = None
    _believed: Readings | None = None
    _agreed: datetime | None = None
    _said_at_s: dict[str, float] = field(default_factory=dict)

    def agree(self, at: datetime, now: datetime) -> bool:
        """Somebody said at `at`, by this machine's clock, that it is right; whether that counts.

        It ends doubt of a clock far ahead, and of one behind what was believed: then that was
        wrong. Of a time before this release, or ahead of `now`, it is void: it was said by another
        clock than this one.
        """
        if at < BUILT or not _is_lately(at, now):
            _log.warning("clock.agreement_void")
            return False
        self._agreed = at
        if at < self.floor + _SLACK:
            _log.warning("clock.agreed way=back")
            self.floor = max(BUILT, at - _SLACK)
            self._believed = self._from_network = None
        return True

    def is_vouched_for(self, readings: Readings) -> bool:
        """Whether this time comes from the network, or somebody has agreed to it."""
        agreed = self._agreed is not None and _is_lately(self._agreed, readings.wall)
        return readings.synchronised or agreed

    def judge(self, readings: Readings) -> Judgement:
        """The judgement of this reading; the floor rises with every trusted one.

        A clock set back while we run is believed, down to the date of this release: a person or
        the network has mended it, and a floor that came from a wrong time must not silence us. But
        not behind a time that came from the network: what was said by it would be taken back.
        """
        step_s = self._step_s(readings)
        stepped = abs(step_s) > STEP_S
        if stepped:
            self._tell(readings, step_s)
            if step_s < 0:
                self._agreed = None
                self.floor = max(self._lowest(), min(self.floor, readings.wall - _SLACK))
        self._last = readings
        back = stepped and step_s < 0
        return Judgement(trust=self._trust(readings), stepped=stepped, back=back)

    def _lowest(self) -> datetime:
        """What no clock can be behind, unless the network or a person says so."""
        return max(BUILT, self._from_network - _READ_LATER) if self._from_network else BUILT

    def _trust(self, readings: Readings) -> Trust:
        believed = readings.synchronised and readings.wall >= BUILT
        if readings.wall < self.floor and not believed:
            return "untrusted"
        if not believed and self._is_far_ahead(readings):
            if self.doubtful_since_s is None:
                self.doubtful_since_s = readings.boot_s
            return "doubtful"
        self.doubtful_since_s = None
        self.floor = readings.wall - _SLACK
        self._believed = readings
        if readings.synchronised:
            self._from_network = readings.wall
        return "trusted"

    def _is_far_ahead(self, readings: Readings) -> bool:
        if self._agreed and _is_lately(self._agreed, readings.wall):
            return False
        if last := self._believed:
            # The time since boot went on while the machine slept.
            slept_s = readings.boot_s - last.boot_s
            return readings.wall - last.wall - timedelta(seconds=slept_s) > _LEAP
        if self.floor == BUILT:
            return readings.wall - BUILT > _FIRST_LEAP
        return readings.wall - self.floor - _SLACK > _LEAP

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


def _is_lately(agreed: datetime, now: datetime) -> bool:
    """Whether it was said not long before now, and not in a time to come."""
    return -_READ_LATER <= now - agreed <= _LEAP
