"""An evening with everything that was said and written down of it, as it is pursued."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, tzinfo

from scheduler.alerts.crew import key_address
from scheduler.alerts.delivery import (
    AS_IT_STANDS,
    USUAL,
    WITH_BUTTONS,
    ChannelName,
    Delivery,
    Key,
    Matter,
    Operation,
    Priority,
    State,
)
from scheduler.alerts.reminded_evening import DoorStates, Evening
from scheduler.alerts.step import Step
from scheduler.cares.ahead import Ahead
from scheduler.cares.closing import Closing
from scheduler.profile.units import Units
from scheduler.tokens.evening_link import EveningLink


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """What is written down of one delivery of the evening, and where it went.

    `mark` is of what it told of the doors, equal where the words were; `generation` is of the links
    and buttons that it went out with, None before that. A held one rings at `rings_at`. Of a phone
    `due_at` is since when it is to ring, `handed_at` when its push service took it, `shown_at` when
    the phone said that it showed it.
    """

    key: Key
    operation: Operation
    state: State
    attempts: int
    priority: Priority = USUAL
    matter: Matter = AS_IT_STANDS
    rings_at: datetime | None = None
    mark: str = ""
    generation: int | None = None
    address: str | None = field(default=None, repr=False)
    due_at: datetime | None = None
    handed_at: datetime | None = None
    shown_at: datetime | None = None

    @property
    def may_have_arrived(self) -> bool:
        """Whether the person may have seen it."""
        return self.operation == "send" and (
            self.state in {"sent", "perhaps sent", "sending"} or self.attempts > 0
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Night:
    """An evening with what was said and written down of it; `noon` is when it begins.

    `said_late` is what was said, since the evening before is over, of the doors and birds of one
    of those before; `told_before` are those who had been told how these stood.
    `base_url` is where the pages are reached, empty while they are not. `watched_since` is when
    the reminders first ran; an evening that was over before is left alone. `topics` is where push
    reaches each person now, whatever the evening has written down of them. `generations` is of
    each person's links and buttons, 0 for who is not named. `count_due` are the coops whose many
    birds have not been counted for a week. `ahead` is what a forecast asks for on the next
    day; `units` are those in which its degrees are told.
    """

    evening: Evening
    states: DoorStates
    rows: tuple[Row, ...]
    noon: datetime
    zone: tzinfo
    key: bytes
    base_url: str = ""
    watched_since: datetime | None = None
    count_due: frozenset[str] = frozenset()
    told_before: frozenset[str] = frozenset()
    said_late: tuple[Closing, ...] = ()
    topics: Mapping[str, str] | None = field(default=None, repr=False)
    generations: Mapping[str, int] = field(default_factory=dict)
    units: Units = "metric"
    ahead: tuple[Ahead, ...] = ()

    @property
    def turn(self) -> int:
        """How often a door of the evening was reopened."""
        return sum(state.opening for state in self.states.values())

    @property
    def is_open(self) -> bool:
        """Whether a door of the evening still waits for somebody."""
        return any(state.waits for state in self.states.values())

    @property
    def is_searched(self) -> bool:
        """Whether birds of any of its houses are looked for."""
        return any(state.state == "searching" for state in self.states.values())

    @property
    def searches(self) -> int:
        """How often birds were found to be missing, or more of them."""
        return sum(state.searches for state in self.states.values())

    @property
    def shut_by(self) -> list[Closing]:
        """What shut the evening's doors, the latest last."""
        said = [state.said for state in self.states.values() if state.said]
        return sorted(said, key=lambda one: one.at)

    @property
    def search_says_shut(self) -> bool:
        """Whether a search for the birds of the door that was shut last tells that all are shut."""
        shut = self.shut_by
        return len(shut) == 1 or self.states[shut[-1].coop_id].state == "searching"

    @property
    def news_step(self) -> Step | None:
        """What is told of the missing while the doors are open; None for nothing."""
        news = sum(state.news for state in self.states.values() if state.state == "open")
        return Step("news", news) if news else None

    def is_ours(self, now: datetime) -> bool:
        """Whether the reminders have anything to do with the evening: it is under way, or was."""
        begun = self.watched_since is not None and self.watched_since < self.evening.let_out
        return bool(self.evening.crew) and (now < self.evening.let_out or begun)

    def key_of(
        self, step: Step, turn: int, person_id: str, way: ChannelName, address: str = ""
    ) -> Key:
        """What a delivery of the evening is known by, on that turn of its doors."""
        return Key(
            site_id=self.evening.site_id,
            subject_id=self.evening.subject_id,
            day=self.evening.day,
            step=step,
            opening=turn,
            person_id=person_id,
            channel=way,
            address=address,
        )

    def notice(  # noqa: PLR0913, PLR0917 - one message to several people
        self,
        step: Step,
        turn: int,
        people: Iterable[str],
        priority: Priority,
        due_at: datetime,
        useful_until: datetime | None = None,
        matter: Matter = AS_IT_STANDS,
    ) -> list[Delivery]:
        """The same to each of them, over the ways by which they are told once."""
        wanted = set(people)
        return [
            Delivery(
                key=self.key_of(step, turn, one.person_id, way[0], key_address(way)),
                priority=priority,
                matter=matter,
                due_at=due_at,
                useful_until=useful_until or self.evening.let_out,
            )
            for one in self.evening.crew
            if one.person_id in wanted
            for way in one.first_ways
        ]

    def topics_now(self) -> Mapping[str, str]:
        """Where push reaches each person; as the evening has it when nothing else is known."""
        if self.topics is not None:
            return self.topics
        found = {one.person_id: one.address("push") for one in self.evening.crew}
        return {person_id: to for person_id, to in found.items() if to}

    def link(self, person_id: str) -> str:
        """Where that person says how it went; empty while there are no pages."""
        if not self.base_url:
            return ""
        link = EveningLink(
            site_id=self.evening.site_id,
            day=self.evening.day,
            subject_id=self.evening.subject_id,
            person_id=person_id,
            generation=self.generation_of(person_id),
        )
        return self.base_url + link.path(self.key)

    def generation_of(self, person_id: str) -> int:
        """Of that person's links and buttons."""
        return self.generations.get(person_id, 0)

    def is_dead(self, row: Row) -> bool:
        """Whether the buttons and the link of a message are of an earlier generation."""
        has_buttons = row.key.channel in WITH_BUTTONS and row.key.step.is_reminder
        is_old = row.generation not in {None, self.generation_of(row.key.person_id)}
        return is_old and (has_buttons or bool(self.base_url))

    def out_of_date(self) -> list[Key]:
        """What waits to tell of a state that is no more."""
        searching, is_open = self.is_searched, self.is_open
        shut_is_news = not is_open and not (searching and self.search_says_shut)
        return [
            row.key
            for row in self.rows
            if row.state == "pending"
            and (
                (row.key.step.kind == "shut" and not shut_is_news)
                or (row.key.step.kind == "settled" and (is_open or searching))
                or (row.key.step.kind == "clear" and row.operation == "send" and is_open)
                or (row.key.step.is_search and not searching)
                or (row.key.step.kind == "news" and row.key.step != self.news_step)
            )
        ]
