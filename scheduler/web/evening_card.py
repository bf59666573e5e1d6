"""What a page shows of one coop's evening: a card, and what its words say of how things stand."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from scheduler.cares.closing import Closing
from scheduler.cares.door_state import Door
from scheduler.cares.missed_since import Since
from scheduler.messages.missing import said_dead
from scheduler.messages.who_said import said_since
from scheduler.profile.words import counted
from scheduler.web.undo_button import Undo
from scheduler.wording.spoken import in_a_row, long_day, long_day_with_year
from scheduler.wording.web.evening_card import (
    BackHome,
    CardBirds,
    CardHeadlines,
    CountedAgainPressed,
    CountedPressed,
    SaidDead,
    SaidNewer,
    ShutPressed,
    StillMissing,
    WasShutPressed,
)
from scheduler.wording.words import Words, every

Mood = Literal[
    "early", "now", "overdue", "searching", "shut", "uncounted", "part", "unsaid", "empty"
]
_HARMED = ("dead", "given-up")
PLACE = "{count}"  # where the page puts the number in
Pressed = Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class HouseEvening:
    """One coop's evening as it stands, and what takes back what was said of it last."""

    coop_id: str
    name: str
    day: date
    turn: int
    state: Door
    undo: Undo | None

    @property
    def key(self) -> str:
        """What tells this card from all others of a page."""
        return f"{self.coop_id}-{self.day}"

    @property
    def newer(self) -> str:
        """What was said of it after the tap that did not count."""
        return SaidNewer.something()

    @property
    def back_home(self) -> str:
        """Asks of those who sleep elsewhere or were given up; only where there are any."""
        away, lost = self.state.away, self.state.given_up
        if away and lost:
            return BackHome.both(away=away, lost=lost)
        return BackHome.lost(lost=lost) if lost else BackHome.away(away=away)


@dataclass(frozen=True, slots=True, kw_only=True)
class Empty(HouseEvening):
    """A house in which no bird sleeps tonight, and why."""

    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Card(HouseEvening):
    """Everything that a page says of one coop's evening; times are clock texts."""

    noun: str
    lock_up: str
    latest: str
    lock_up_at: datetime
    leave_by: str  # empty where the way takes no time, and once it is dark
    cloudy: int
    latest_at: datetime
    let_out: str
    let_out_at: datetime
    mood: Mood
    left: str
    is_hours_ahead: bool
    shut_at: str
    is_said_late: bool  # when the evening was over: nobody knows when it was shut
    who: str
    duty: str
    automatic: bool
    last: Closing | None
    undo_dead: Undo | None  # of an evening before, where more are in than belong there
    said_last: str
    places: str
    why_empty: str
    is_count_due: bool
    is_over: bool
    later: Since | None
    found_by_day: tuple[Closing, ...]  # said of that evening when it was over
    two_counts: str

    @property
    def can_reopen(self) -> bool:
        """Whether it may be open again; by day every door is, though it was shut last night."""
        is_shut = self.state.state != "open" and not self.is_over
        return is_shut and self.undo is not None and not self.undo.opens

    @property
    def birds(self) -> str:
        """How many belong in now: "1 hen", "12 hens"; those missing from before may be all."""
        if not self.state.expected:
            return CardBirds.all_missing()
        return counted(self.state.expected, self.noun)

    @property
    def count(self) -> str:
        """How many are in: "11 of 12 in", "all 12 in", "not counted"."""
        state = self.state
        if state.counted is None:
            is_short = state.missing and state.vague
            return CardBirds.some_missing() if is_short else CardBirds.not_counted()
        counted, expected = state.counted, state.expected
        if state.over:
            return CardBirds.too_many(counted=counted, over=state.over, expected=expected)
        late = sum(one.count or 0 for one in self.found_by_day)
        if late and state.said and state.said.at < self.found_by_day[0].at:
            return CardBirds.in_that_evening(birds=counted - late, expected=expected)
        return self._counted(counted, expected)

    def _counted(self, counted: int, expected: int) -> str:
        found = sum(one.birds for one in self.state.endings if one.kind == "found")
        if counted != expected:
            if not found:
                return CardBirds.some_in(counted=counted, expected=expected)
            some = CardBirds.some_in_and_found
            return some(counted=counted, expected=expected, found=found)
        if found:
            return CardBirds.counted_in_and_found(counted=counted, found=found)
        is_whole = self.state.are_all_in
        return (CardBirds.whole if is_whole else CardBirds.counted_in)(counted=counted)

    @property
    def said_dead(self) -> str:
        """Who may live all the same, and where that is said where no button can take it back."""
        told, day = said_dead(self.state), self.state.died_on
        if not told:
            return ""
        if self.undo_dead or day == self.day:
            return SaidDead.told(said=told)
        return SaidDead.told_and_where(said=told)

    @property
    def newer(self) -> str:
        """What was said of it after the tap that did not count."""
        return self.since_then or self.said_last or SaidNewer.something()

    @property
    def since_then(self) -> str:
        """What was said since then of those missing that evening; empty for nothing."""
        return said_since([*self.found_by_day, *(self.later.said if self.later else ())])

    @property
    def since_left(self) -> str:
        """How many of them are missing still, or that none is, as a sentence."""
        later, state = self.later, self.state
        still = later.still if later else state.at_large
        if not still:
            is_unsure = later.unsure if later else state.unsure
            return StillMissing.none_known() if is_unsure else StillMissing.none()
        is_at_least = later.at_least if later else state.is_at_least
        return (StillMissing.at_least if is_at_least else StillMissing.birds)(birds=still)

    @property
    def can_end(self) -> int:
        """Of how many of the missing it can still be said how it ended."""
        state = self.state
        if self.later and not self.later.at_least:
            return min(self.later.still, state.at_large)
        return state.at_large

    @property
    def searching(self) -> str:
        """How many are looked for, as a headline."""
        state, lost = self.state, self.state.lost
        if state.vague:
            if self.since_then:
                return CardHeadlines.some_were_missing()
            if lost:
                return CardHeadlines.some_missing_more_lost(lost=lost)
            return CardHeadlines.some_missing()
        if self.since_then:
            return CardHeadlines.missing_that_evening(birds=state.missing)
        if lost:
            return CardHeadlines.missing_more_lost(birds=state.missing, lost=lost)
        return CardHeadlines.missing(birds=state.missing)

    @property
    def still_open(self) -> str:
        """What is not all well although the door is shut, as a headline; empty when it is."""
        state = self.state
        if state.at_large:
            told = _STILL_MISSING[bool(self.since_then), state.is_at_least]
            return told(birds=state.at_large)
        if state.over:
            return CardHeadlines.too_many(birds=state.over)
        return self._went()

    def _went(self) -> str:
        """Who is not in although nobody is looked for."""
        dead, given_up = harmed_tonight(self.state)
        if dead and given_up:
            return CardHeadlines.shut_dead_and_given_up(dead=dead, given_up=given_up)
        if dead:
            return CardHeadlines.shut_dead(dead=dead)
        if given_up:
            return CardHeadlines.shut_given_up(given_up=given_up)
        if not self.last or self.last.kind != "elsewhere":
            return ""
        some = CardHeadlines.shut_some_elsewhere
        return some(birds=self.last.count) if self.last.count else CardHeadlines.shut_elsewhere()

    @property
    def since(self) -> str:
        """Since when those of earlier evenings are missing: "1 since Sunday 20 December"."""
        told = []
        for one in self.state.before:
            is_this_year = one.since.year == self.day.year
            day = long_day(one.since) if is_this_year else long_day_with_year(one.since)
            since = StillMissing.at_least_since if one.at_least else StillMissing.since
            told.append(since(birds=one.birds, day=day))
        return in_a_row(told)

    @property
    def is_first_count(self) -> bool:
        """Whether a count of the shut door would be the first of that evening."""
        return self.state.counted is None and not self.state.surplus

    @property
    def shut_pressed(self) -> Pressed:
        """What the button that shuts the door says of a number, by what the number is."""
        return self._pressed(every(WasShutPressed) if self.is_over else every(ShutPressed))

    @property
    def count_pressed(self) -> Pressed:
        """The same of the button that counts once more."""
        is_first = self.is_first_count
        return self._pressed(every(CountedPressed) if is_first else every(CountedAgainPressed))

    def _pressed(self, said: Mapping[str, Words]) -> Pressed:
        expected = self.state.expected
        few = {0: "none", 1: "one"}.get(expected)
        return {
            "all": said[few]() if few else said["all"](expected=expected),
            "fewer": said["fewer"](count=PLACE, expected=expected),
            "more": said["more"](count=PLACE),
        }


# By whether something was said since, and whether more may be missing.
_STILL_MISSING = {
    (False, False): CardHeadlines.still_missing,
    (False, True): CardHeadlines.at_least_missing,
    (True, False): CardHeadlines.missing_that_evening,
    (True, True): CardHeadlines.at_least_missing_that_evening,
}


def harmed_tonight(state: Door) -> tuple[int, int]:
    """How many have died and how many were given up, whatever was counted since."""
    birds = {kind: sum(o.birds for o in state.endings if o.kind == kind) for kind in _HARMED}
    return birds["dead"], birds["given-up"]
