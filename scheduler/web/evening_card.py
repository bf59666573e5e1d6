"""What a page shows of one coop's evening: a card, and what its words say of how things stand."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from scheduler.cares.closing import Closing
from scheduler.cares.door_state import Door
from scheduler.cares.missed_since import Since
from scheduler.messages.missing import said_dead
from scheduler.messages.phrases import at_least
from scheduler.messages.who_said import said_since
from scheduler.profile.words import capitalized, counted
from scheduler.web.undo_button import Undo

Mood = Literal[
    "early", "now", "overdue", "searching", "shut", "uncounted", "part", "unsaid", "empty"
]
_HARMED = {"dead": "dead", "given-up": "given up"}


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
            return "all still missing"
        return counted(self.state.expected, self.noun)

    @property
    def count(self) -> str:
        """How many are in: "11 of 12 in", "all 12 in", "not counted"."""
        state = self.state
        if state.counted is None:
            return "some are missing" if state.missing and state.vague else "not counted"
        if state.over:
            belong = "belongs" if state.expected == 1 else "belong"
            only = f"{state.over} more than the {state.expected} that {belong} here"
            return f"{state.counted} in, {only}"
        found = sum(one.count or 0 for one in self.found_by_day)
        if found and state.said and state.said.at < self.found_by_day[0].at:
            return f"{state.counted - found} of {state.expected} in that evening"
        short = f" of {state.expected}" if state.counted != state.expected else ""
        since = sum(one.birds for one in state.endings if one.kind == "found")
        is_whole = state.is_all_in and not since and state.counted > 1
        all_of_them = "all " if is_whole else ""
        found_since = f", {since} of them found since" if since else ""
        return f"{all_of_them}{state.counted}{short} in{found_since}"

    @property
    def said_dead(self) -> str:
        """Who may live all the same, and where that is said where no button can take it back."""
        told, day = said_dead(self.state), self.state.died_on
        if not told or self.undo_dead or day == self.day:
            return told and f"{told}."
        return f"{told}. If that is wrong, it can be taken back on the page Diary."

    @property
    def since_then(self) -> str:
        """What was said since then of those missing that evening; empty for nothing."""
        return said_since([*self.found_by_day, *(self.later.said if self.later else ())])

    @property
    def since_left(self) -> str:
        """How many of them are missing still: "At least 2 still missing", or that none is."""
        later, state = self.later, self.state
        still = later.still if later else state.at_large
        if not still:
            if later.unsure if later else state.unsure:
                return "None of them is known to be missing, but nobody has counted since"
            return "None of them is missing any more"
        left = at_least(still, more=later.at_least if later else state.is_at_least)
        return f"{capitalized(left)} still missing"

    @property
    def can_end(self) -> int:
        """Of how many of the missing it can still be said how it ended."""
        state = self.state
        if self.later and not self.later.at_least:
            return min(self.later.still, state.at_large)
        return state.at_large

    @property
    def still_open(self) -> str:
        """What is not all well although the door is shut, as a headline; empty when it is."""
        state, last = self.state, self.last
        if state.at_large:
            birds = at_least(state.at_large, more=state.is_at_least)
            missing = f"{birds} {'missing that evening' if self.since_then else 'still missing'}"
            return capitalized(missing)
        if state.over:
            return f"{state.over} too many: count again"
        what = harmed_tonight(state)
        if not what and last and last.kind == "elsewhere":
            what = f"{last.count} sleeping elsewhere" if last.count else "sleeping elsewhere"
        return f"Shut; {what}" if what else ""

    @property
    def since(self) -> str:
        """Since when those of earlier evenings are missing: "1 since Sunday 20 December"."""
        told = (
            f"{at_least(one.birds, more=one.at_least)} since "
            f"{one.since:%A} {one.since.day} {one.since:%B}"
            + ("" if one.since.year == self.day.year else f" {one.since.year}")
            for one in self.state.before
        )
        return ", ".join(told)


def harmed_tonight(state: Door) -> str:
    """Says it as "1 dead, 2 given up", whatever was counted since; empty for none."""
    told = {
        word: sum(one.birds for one in state.endings if one.kind == kind)
        for kind, word in _HARMED.items()
    }
    return ", ".join(f"{birds} {word}" for word, birds in told.items() if birds)
