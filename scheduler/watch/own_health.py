"""What the tick knows of itself: what is wrong, when it was last complete, and telling so."""

import logging
from dataclasses import InitVar, dataclass, field, replace
from datetime import timedelta

from sqlalchemy import Connection

from scheduler.journal import history
from scheduler.journal.fault import JournalFault
from scheduler.journal.store import Journal
from scheduler.machine.clock import Readings
from scheduler.machine.clock_trust import Trust
from scheduler.machine.paths import host_name
from scheduler.messages import own_faults
from scheduler.service.data_place import DataPlace
from scheduler.service.health.banner import everything
from scheduler.service.health.pulses import ToldPulse
from scheduler.service.health.tick_file import Pulse, WeatherGap
from scheduler.service.reachable import ways_of, who_can_be_told
from scheduler.watch.follow_profile import ProfileFollower
from scheduler.watch.unheard_answers import Deafness

_AWAY_TOLD_AFTER_S = 300.0
_LASTING = ("full", "readonly", "read-only")
_log = logging.getLogger(__name__)


@dataclass(slots=True)
class OwnHealth:
    """The faults of one site's ticks, and the file that tells of them."""

    place: InitVar[DataPlace]
    follower: ProfileFollower
    oldest_tick_s: float
    fault: str = ""
    ahead: timedelta = timedelta()  # of the others' clock, where that is too far
    other_key: bool = False  # than the other hosts have
    gaps: tuple[WeatherGap, ...] = ()  # what of the weather is not told
    heartbeat: bool = False  # somebody elsewhere waits for it
    _is_away: bool = False
    _complete_boot_s: float | None = None
    _told: ToldPulse = field(init=False)

    @property
    def name(self) -> str:
        """How this process is told from those of other hosts."""
        return self._told.name

    def __post_init__(self, place: DataPlace) -> None:
        """Nothing has been told yet."""
        self._told = ToldPulse(place, host_name(place.folder))

    @property
    def outlives_a_restart(self) -> bool:
        """Whether a new process would find the same: a full disk, or a server that is away.

        It would even know less: this one goes on from memory.
        """
        return self._is_away or bool(self.ahead) or any(sign in self.fault for sign in _LASTING)

    def is_to_be_told(self, boot_s: float) -> bool:
        """Whether whoever is on duty is told of it: of a server only when it stays away."""
        since_s = self._complete_boot_s
        stays = since_s is None or boot_s - since_s > _AWAY_TOLD_AFTER_S
        return self.outlives_a_restart and (stays or not self._is_away)

    def failed(self, fault: JournalFault) -> None:
        """The journal, or the program, has failed the tick."""
        if fault.reason != self.fault:
            _log.error("journal.fault reason=%s", fault.reason)
        self.fault, self._is_away = fault.reason, fault.is_away

    def written(self, readings: Readings, post_fault: str) -> None:
        """The tick was written down; it is complete unless the post has a fault."""
        if post_fault and post_fault != self.fault:
            _log.error("post.fault reason=%s", post_fault)
        self.fault, self._is_away = post_fault, False
        if not post_fault:
            self._complete_boot_s = readings.boot_s

    def tell(
        self, journal: Journal, readings: Readings, trust: Trust, deaf: Deafness | None
    ) -> None:
        """Tells of this tick."""
        site_id = self.follower.in_force.site_id
        pulse = self._pulse(readings, trust, deaf)
        self._told.beat(journal, site_id, pulse, is_away=self._is_away)

    def tell_stopped(self, journal: Journal, readings: Readings) -> None:
        """Tells that no tick follows: whoever asks after a clean end is not told that they run."""
        self._told.stop(journal, readings)

    def doubt(self, connection: Connection, readings: Readings, trust: Trust) -> str:
        """The worst reason not to rely on the reminders, for a brief that tells of buttons anyhow.

        What is written at this tick can be written.
        """
        profile = self.follower.in_force.household.profile
        tries = history.last_tries(connection, profile.site.id)
        today = self.follower.in_force.household.today(readings.wall)
        reach = who_can_be_told(profile, ways_of(profile), tries, today)
        pulse = self._pulse(readings, trust, None)
        if not self.fault:
            pulse = replace(pulse, complete_boot_s=readings.boot_s)
        found = everything(pulse, profile, reach, readings)
        worst = next((one for one in found if one.counts and one.kind != "deaf"), None)
        return own_faults.not_relied_on(worst.what) if worst else ""

    def _pulse(self, readings: Readings, trust: Trust, deaf: Deafness | None) -> Pulse:
        follower, in_force = self.follower, self.follower.in_force
        coops, unplanned = in_force.household.profile.coop, in_force.almanac.quarantined
        return Pulse(
            wall=readings.wall.isoformat(),
            boot_s=readings.boot_s,
            complete_boot_s=self._complete_boot_s,
            trust=trust,
            profile_number=follower.number,
            profile_problems=follower.problems,
            not_followed=follower.not_followed,
            not_followed_kind=follower.not_followed_kind,
            unplanned=tuple(one.name for one in coops if one.id in unplanned),
            lacks=in_force.lacks,
            fault=self.fault,
            differs=follower.differs,
            ahead_s=self.ahead.total_seconds(),
            other_key=self.other_key,
            gaps=self.gaps,
            heartbeat=self.heartbeat,
            deaf=deaf.reason if deaf else "",
            deaf_since=deaf.since(readings.wall).isoformat() if deaf else "",
            oldest_tick_s=self.oldest_tick_s,
        )
