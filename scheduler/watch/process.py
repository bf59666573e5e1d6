"""The long-running service: metronome, guard, couriers and the ears for answers, in one process."""

import logging
import os
import ssl
import threading
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from typing import Any

from scheduler.channels.deadline import USUAL, Deadline, Limits
from scheduler.machine.clock import Clock
from scheduler.machine.phone_key import PhoneKey
from scheduler.machine.secrets import SecretFault, secret
from scheduler.machine.systemd import notify
from scheduler.service.people.open_channels import (
    NOTHING,
    PhonesOut,
    SecretOf,
    channels_for,
    for_cancels,
    lacking,
    secrets_hash,
    server_tokens,
)
from scheduler.service.people.phones import OwnKey, Subscriptions
from scheduler.service.weather.ask import Services, every_service
from scheduler.watch.housekeeping import Housekeeping
from scheduler.watch.listeners import DEAF_AFTER_S, Ears
from scheduler.watch.metronome import Guard, Metronome
from scheduler.watch.opening import OpenedWatch
from scheduler.watch.profile_in_force import WaysOut
from scheduler.watch.tick import Ticker
from scheduler.watch.weather_watch import WeatherWatch

GUARD_STATUS = 3  # exit status: the guard ended the process; a supervisor starts it again
_HEARTBEAT_S = 60.0
_LAST_WORDS_S = 1.0
_FAREWELL_S = 45.0  # a send under way is bounded to 40 s
_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """How often the tick comes, how long one delivery may take, and what the guard puts up with.

    `still_s` is how long no tick may begin, `incomplete_s` how long none may be complete;
    `deaf_after_s` how long nothing may be heard of the line for answers.
    """

    period_s: float = 15.0
    limits: Limits = USUAL
    still_s: float = 45.0
    incomplete_s: float = 300.0
    deaf_after_s: float = DEAF_AFTER_S


def ways_out(  # noqa: PLR0913, PLR0917 - everything that a way out needs
    secret_of: SecretOf,
    key: bytes,
    now: Callable[[], datetime],
    limits: Limits,
    phone_key: Callable[[], PhoneKey | None] = lambda: None,
    wired: Mapping[str, Any] = NOTHING,
) -> WaysOut:
    """The channels of any profile, with those secrets; phones are rung with that key pair."""
    subscriptions = Subscriptions()

    def right_key() -> PhoneKey | None:
        pair = phone_key()
        return pair if pair and pair.public == subscriptions.key_id else None

    phones = PhonesOut(key=right_key, subscription_of=subscriptions.of, wired=wired)

    def key_id() -> str | None:
        pair = phone_key()
        return pair.public if pair else None

    return WaysOut(
        channels_for=lambda profile, answers: channels_for(
            profile, secret_of, key, now, limits, answers, phones=phones
        ),
        subscriptions=subscriptions,
        key_id=key_id,
        for_cancels=lambda name, profile: for_cancels(name, profile, secret_of, key, now, limits),
        lacking=lambda profile: lacking(profile, secret_of),
        secrets_hash=lambda profile: secrets_hash(profile, secret_of),
    )


class Watch:
    """Runs until it is asked to stop."""

    def __init__(  # noqa: PLR0913 - what the tests hand in besides
        self,
        opened: OpenedWatch,
        *,
        environment: Mapping[str, str],
        clock: Clock,
        pace: Pace = Pace(),
        die: Callable[[int], None] = os._exit,
        services: Callable[[], Services] = every_service,
        wired: Mapping[str, Any] = NOTHING,
    ) -> None:
        """Builds everything and starts the couriers; `wired` is for a test's own push service.

        Raises:
            JournalFault: the journal cannot be read.
        """
        self.stop = threading.Event()
        self._environment = environment
        self._clock = clock
        self._pace = pace
        self._secret = partial(secret, environment=environment)
        self.ticker = Ticker(
            opened=opened,
            ways=ways_out(
                self._secret,
                opened.key,
                lambda: clock.read().wall,
                pace.limits,
                OwnKey(opened.place, environment),
                wired,
            ),
            clock=clock,
            oldest_tick_s=pace.still_s,
        )
        self._complete_monotonic_s = clock.read().monotonic_s
        self._housekeeping = Housekeeping(opened.place)
        self._metronome = Metronome(self._tick, self._keep_house, period_s=pace.period_s)
        self._guard = self._guarded(die)
        self._ears = Ears(
            ticker=self.ticker,
            tokens=lambda servers: server_tokens(servers, "push-token", self._secret),
            limits=pace.limits,
            deaf_after_s=pace.deaf_after_s,
        )
        self.ticker.deafness = self._ears.deafness
        self._weather = WeatherWatch(
            ticker=self.ticker, folder=opened.place.folder / "forecast", make_services=services
        )
        self._beaten_s = float("-inf")

    def _guarded(self, die: Callable[[int], None]) -> Guard:
        return Guard(
            self._clock,
            still_s=self._pace.still_s,
            incomplete_s=self._pace.incomplete_s,
            begun_s=lambda: self.ticker.begun_monotonic_s,
            complete_s=self._complete_s,
            beat_now=self._metronome.beat_now,
            die=lambda why: self._die(die, why),
        )

    def run(self) -> None:
        """The first tick at once, then until `stop` is set; ends with the send under way done."""
        self._tick()
        self._metronome.start()
        self._guard.start()
        notify("READY=1", self._environment)
        while not self.stop.is_set():
            self._ears.listen()
            self._weather.keep_up()
            if self.ticker.post.urgent.wait(1.0):
                self.ticker.post.urgent.clear()
                self._metronome.beat_now()
        notify("STOPPING=1", self._environment)
        self._guard.stop()
        self._metronome.stop()
        self.ticker.health.tell_stopped(self.ticker.journal, self._clock.read())
        self._ears.stop(2.0)
        self._weather.stop(2.0)
        self.ticker.post.stop(_FAREWELL_S)
        self.ticker.journal.close()

    def _tick(self) -> None:
        if not self.ticker.tick():
            return
        self._complete_monotonic_s = self._clock.read().monotonic_s
        notify("WATCHDOG=1", self._environment)
        try:
            url = self._secret("heartbeat-url")
        except SecretFault:
            url = None  # whoever waits for the heartbeat notices; the reminders go on
        self.ticker.health.heartbeat = url is not None  # told at the next tick
        if url and self._complete_monotonic_s - self._beaten_s >= _HEARTBEAT_S:
            self._beaten_s = self._complete_monotonic_s
            with suppress(RuntimeError):  # no room for a thread: the next tick tries again
                threading.Thread(target=self._beat, args=(url,), daemon=True).start()

    def _beat(self, url: str) -> None:
        from scheduler.channels import http  # noqa: PLC0415 - most have no heartbeat

        with Deadline(self._pace.limits) as deadline:
            request = http.Request(method="GET", url=url)
            answer = http.exchange(request, deadline, ssl.create_default_context())
        if not isinstance(answer, http.Reply) or not answer.ok:
            _log.warning("heartbeat.failed")

    def _keep_house(self) -> None:
        ticker = self.ticker
        now = ticker.believed_at
        if now is None:
            return  # by a clock in 2098 the open evening would be forgotten as old
        self._housekeeping.run(ticker.journal, ticker.almanac, ticker.follower.number, now)

    def _complete_s(self) -> float:
        """When a tick was last complete; now, while what is wrong would outlive a restart."""
        if self.ticker.health.outlives_a_restart:
            return self._clock.read().monotonic_s
        return self._complete_monotonic_s

    def _die(self, die: Callable[[int], None], why: str) -> None:
        # A log that takes nothing more may be what everything stands still for.
        said = threading.Thread(
            target=_log.critical, args=("guard.exit reason=%s", why), daemon=True
        )
        said.start()
        said.join(_LAST_WORDS_S)
        die(GUARD_STATUS)
