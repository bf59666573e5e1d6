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
from pathlib import Path

from scheduler.channels.deadline import USUAL, Deadline, Limits
from scheduler.journal import memos
from scheduler.journal.store import Journal
from scheduler.machine.clock import Clock
from scheduler.machine.paths import JOURNAL_NAME
from scheduler.machine.secrets import SecretFault, secret
from scheduler.machine.signing_key import signing_key
from scheduler.machine.systemd import notify
from scheduler.profile.load import Problems
from scheduler.profile.person import Person
from scheduler.profile.problem import Problem
from scheduler.service.household.open_profile import Household
from scheduler.service.household.reload import ProfileFile, last_accepted
from scheduler.service.household.renames import may_be_the_same_site
from scheduler.service.people.open_channels import (
    channels_for,
    for_cancels,
    lacking,
    secrets_hash,
    server_tokens,
)
from scheduler.service.reachable import Lack, cut_off_by, reaches_anybody, ways_of, who_can_be_told
from scheduler.watch.housekeeping import Housekeeping
from scheduler.watch.journal_recovery import MOUNTS, open_checked
from scheduler.watch.listeners import DEAF_AFTER_S, Ears
from scheduler.watch.metronome import Guard, Metronome
from scheduler.watch.tick import Ticker

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


@dataclass(frozen=True, slots=True, kw_only=True)
class NobodyToTell:
    """No message can reach anybody of the profile, be it for want of secrets."""

    people: tuple[Person, ...]
    lacks: tuple[Lack, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenedWatch:
    """What a watch needs before it begins: the household in force, the journal, the key.

    `refused` is what the profile's file holds while the last accepted one is in force; `lacks` are
    the secrets that are missing.
    """

    file: ProfileFile
    folder: Path
    household: Household
    journal: Journal
    recovered: str
    key: bytes
    lacks: tuple[Lack, ...] = ()
    refused: Household | Problems | None = None


def open_watch(
    path: Path,
    folder: Path,
    environment: Mapping[str, str],
    now: datetime,
    *,
    needs_somebody: bool = True,
) -> OpenedWatch | Problems | NobodyToTell:
    """Opens profile, journal and key.

    A profile that cannot be used, or by which nobody could be told, gives way to the last one
    accepted. So does one whose site may only have another name: its records go on.

    Raises:
        JournalFault: the journal cannot be used.
        OSError: the profile or the key cannot be read.
    """
    mounts = MOUNTS.read_text() if MOUNTS.exists() else ""
    key = signing_key(folder, environment)
    file = ProfileFile(path)
    found = _read(file, now, folder)

    def lacks(of: Household) -> tuple[Lack, ...]:
        return lacking(of.profile, partial(secret, environment=environment))

    first = not (folder / JOURNAL_NAME).is_file()
    if first and needs_somebody and isinstance(found, Household):
        missing = lacks(found)
        if not reaches_anybody(found.profile, missing):
            return NobodyToTell(people=found.profile.person, lacks=missing)
    opened = open_checked(folder, now, mounts)
    with opened.journal.reading() as connection:
        file.known = max(file.known, memos.last_accepted_at(connection) or file.known)
        kept = memos.last_accepted(connection)
    if isinstance(found, tuple):
        found = _read(file, now, folder)
    refused: Household | Problems | None = None
    # The one that was accepted last, as it is at nearly every start, is no worse than itself.
    is_new = isinstance(found, tuple) or kept is None or kept[1] != found.text
    last = last_accepted(opened.journal, now) if is_new else None
    if last and _is_worse(found, last, lacks):
        _log.error("profile.refused using=last-accepted")
        refused, found = found, last
    if isinstance(found, tuple):
        opened.journal.close()
        return found
    missing = lacks(found)
    if needs_somebody and not reaches_anybody(found.profile, missing):
        opened.journal.close()
        return NobodyToTell(people=found.profile.person, lacks=missing)
    _warn_of_unreachable(found, missing)
    return OpenedWatch(
        file=file,
        folder=folder,
        household=found,
        journal=opened.journal,
        recovered=opened.recovered,
        key=key,
        lacks=missing,
        refused=refused,
    )


def _is_worse(
    found: Household | Problems, last: Household, lacks: Callable[[Household], tuple[Lack, ...]]
) -> bool:
    """Whether the file's profile cannot be used, or silences somebody whom the last one reaches."""
    if isinstance(found, tuple):
        return True
    before, after = ((one.profile, lacks(one)) for one in (last, found))
    is_served = reaches_anybody(*before)
    if not reaches_anybody(*after):
        return is_served or may_be_the_same_site(last, found)
    is_same_site = found.profile.site.id == last.profile.site.id
    ends_a_way = is_same_site and bool(cut_off_by(before, after))
    return is_served and (ends_a_way or may_be_the_same_site(last, found))


def _warn_of_unreachable(household: Household, lacks: tuple[Lack, ...]) -> None:
    profile = household.profile
    reach = who_can_be_told(profile, ways_of(profile), {}).lacking(lacks)
    reached = {way.person_id for way in reach.working}
    for number, person in enumerate(profile.person, start=1):
        if person.id not in reached:
            _log.warning("person.unreachable number=%d", number)


def _read(file: ProfileFile, now: datetime, folder: Path) -> Household | Problems:
    """What the file holds; where there is a journal, one that cannot be read is a problem of its.

    The profile that was accepted last may be in there, and is better than no reminders.
    """
    try:
        return file.open(now)
    except OSError as error:
        if isinstance(error, FileNotFoundError) or not (folder / JOURNAL_NAME).is_file():
            raise
        found = f"a file that cannot be read ({error.strerror})"
        return (Problem(key=(), file=str(file.path), found=found, accepted="a profile"),)


class Watch:
    """Runs until it is asked to stop."""

    def __init__(
        self,
        opened: OpenedWatch,
        *,
        environment: Mapping[str, str],
        clock: Clock,
        pace: Pace = Pace(),
        die: Callable[[int], None] = os._exit,
    ) -> None:
        """Builds everything and starts the couriers.

        Raises:
            JournalFault: the journal cannot be read.
        """
        self.stop = threading.Event()
        self._environment = environment
        self._clock = clock
        self._pace = pace
        self._secret = partial(secret, environment=environment)
        self.ticker = self._ticker(opened)
        self._complete_monotonic_s = clock.read().monotonic_s
        self._housekeeping = Housekeeping(opened.folder)
        self._metronome = Metronome(self._tick, self._keep_house, period_s=pace.period_s)
        self._guard = self._guarded(die)
        self._ears = Ears(
            ticker=self.ticker,
            tokens=lambda servers: server_tokens(servers, "push-token", self._secret),
            limits=pace.limits,
            deaf_after_s=pace.deaf_after_s,
        )
        self.ticker.deafness = self._ears.deafness
        self._beaten_s = float("-inf")
        self._refused = opened.refused

    def _ticker(self, opened: OpenedWatch) -> Ticker:
        key, limits, clock = opened.key, self._pace.limits, self._clock

        def now() -> datetime:
            return clock.read().wall

        return Ticker(
            household=opened.household,
            journal=opened.journal,
            folder=opened.folder,
            clock=clock,
            key=key,
            channels_for=lambda profile, answers: channels_for(
                profile, self._secret, key, now, limits, answers
            ),
            for_cancels=lambda name, profile: for_cancels(
                name, profile, self._secret, key, now, limits
            ),
            lacking=lambda profile: lacking(profile, self._secret),
            secrets_hash=lambda profile: secrets_hash(profile, self._secret),
            changed_profile=opened.file.changed,
            oldest_tick_s=self._pace.still_s,
            recovered=opened.recovered,
        )

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
        self.ticker.begin(self._refused)
        self._tick()
        self._metronome.start()
        self._guard.start()
        notify("READY=1", self._environment)
        while not self.stop.is_set():
            self._ears.listen()
            if self.ticker.post.urgent.wait(1.0):
                self.ticker.post.urgent.clear()
                self._metronome.beat_now()
        notify("STOPPING=1", self._environment)
        self._guard.stop()
        self._metronome.stop()
        self.ticker.say_stopped()
        self._ears.stop(2.0)
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
        self._housekeeping.run(ticker.journal, ticker.almanac, ticker.profile_number, now)

    def _complete_s(self) -> float:
        """When a tick was last complete; now, while what is wrong would outlive a restart."""
        if self.ticker.outlives_a_restart:
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
