"""The search for birds that are missing once the door is shut: who is told of it, when, how."""

from collections.abc import Container, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from scheduler.alerts import decide, marks
from scheduler.alerts.crew import key_address
from scheduler.alerts.delivery import LOUD, Delivery, Key, Matter
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.search_call import SearchCall
from scheduler.alerts.step import SEARCH_KINDS, SearchKind, Step, nth
from scheduler.alerts.who_knows import (
    arrived,
    contradicted,
    newest_words,
    told_how_it_stands,
    who_said,
)
from scheduler.cares.closing import Closing
from scheduler.cares.door_state import Door

_TRIED_FOR_LONG = 4  # attempts: two minutes of them


@dataclass(frozen=True, slots=True, kw_only=True)
class _Search:
    """One search of an evening, under way: its houses, and who has heard of it."""

    night: Night
    short: tuple[Door, ...]
    steps: tuple[tuple[SearchKind, datetime], ...]
    waiting: frozenset[str]
    heard: frozenset[str]

    @property
    def last(self) -> Closing:
        """What was said last of its houses."""
        return max((one.last for one in self.short if one.last), key=lambda one: one.at)

    def is_again(self, at: datetime) -> bool:
        """Whether a step due then goes out because an ending or a later count was taken back."""
        last = self.last
        a_count = last.was == "closed" and _stayed_shut(self.short)
        return last.at >= at and (last.took_back_an_ending or a_count)

    def call(self, which: SearchKind, at: datetime, *, unheard: bool) -> SearchCall:
        """What is told at a step."""
        return SearchCall(which=which, unheard=unheard, again=self.is_again(at))


def _search_of(night: Night) -> _Search | None:
    short = tuple(state for state in night.states.values() if state.state == "searching")
    shut_at = max((state.said.at for state in short if state.said), default=None)
    if shut_at is None:
        return None
    waiting, stayed_shut = _waiting(night), _stayed_shut(short)
    steps = decide.search_steps(night, shut_at)
    names = {nth(which, night.searches) for which, _ in steps}
    # What waits is dropped for the next one: whoever it was for has heard nothing.
    heard = {
        row.key.person_id
        for row in night.rows
        if row.key.opening == night.turn and row.key.step.says_shut
        if row.may_have_arrived
    }
    heard |= {
        name
        for name, row in arrived(night).items()
        if row.key.step in names or (stayed_shut and row.key.step.says_shut)
    }
    return _Search(
        night=night,
        short=short,
        steps=steps,
        waiting=frozenset(waiting),
        heard=frozenset(heard - waiting),
    )


def _stayed_shut(short: tuple[Door, ...]) -> bool:
    """Whether nothing but a later count was taken back of the doors since they were shut."""
    return all(one.opening == 0 or _was_counted_again(one) for one in short)


def _was_counted_again(state: Door) -> bool:
    """Whether what was taken back last of the door was said after what still shuts it."""
    opened, shut = state.opened, state.said
    if opened is None or opened.was != "closed" or opened.was_at is None or shut is None:
        return False
    return shut.at < opened.was_at


def _due_of(night: Night, now: datetime) -> tuple[_Search, SearchKind, datetime] | None:
    """The search under way, its latest step that is due, and since when; None before the first."""
    under_way = _search_of(night)
    due = [one for one in under_way.steps if one[1] <= now] if under_way else []
    return (under_way, *due[-1]) if under_way and due else None


def search(night: Night, now: datetime) -> list[Delivery]:
    """The latest word of the search: after an outage not the ones before it."""
    due = _due_of(night, now)
    if due is None or _is_known(due[0], due[1]):
        return []
    under_way, which, at = due
    evening = night.evening
    said_by = {state.said.who for state in under_way.short if state.said}
    crew = decide.rung(night.rows) | told_how_it_stands(night) | {*evening.duty_ids}
    crew |= {contact.person_id for contact in evening.crew if contact.name in said_by}
    step, heard = nth(which, night.searches), under_way.heard
    found: list[Delivery] = []
    goes_on: set[str] = set()
    for people, unheard in ((crew & heard, False), (crew - heard, True)):
        call = under_way.call(which, at, unheard=unheard)
        matter = Matter(unheard=unheard)
        told = night.notice(step, night.turn, people, call.priority, at, matter=matter)
        goes_on |= _goes_on(under_way, call, at, [one.key.person_id for one in told])
        found += told
    # It is written down of those as well: what is said next is not "first".
    found = [
        replace(one, state="missed" if one.key.person_id in goes_on else one.state) for one in found
    ]
    # Whoever did not get the word before by their loudest way gets this one by the others, too.
    more = {}  # by key: of somebody with two phones once
    for one in found if under_way.waiting else ():
        contact = evening.contact(one.key.person_id)
        for way in contact.addresses if contact.person_id in under_way.waiting else ():
            key = replace(one.key, channel=way[0], address=key_address(way))
            if way not in contact.first_ways:
                more[key] = replace(one, key=key)
    return [*found, *more.values()]


def _is_known(under_way: _Search, which: SearchKind) -> bool:
    """Whether the step was told: nobody need hear of it again because another door was opened."""
    night = under_way.night
    turn, opened = night.turn, sum(one.opening for one in under_way.short)
    here = {contact.person_id for contact in night.evening.crew}
    return any(
        row.key.step == nth(which, night.searches)
        and row.key.person_id in here
        and (row.key.opening == turn or (row.may_have_arrived and row.key.opening >= opened))
        for row in night.rows
    )


def _goes_on(under_way: _Search, call: SearchCall, at: datetime, people: Sequence[str]) -> set[str]:
    """Who goes on searching untold: whoever never heard that it was over, or was just told this.

    And whoever says so.
    """
    night = under_way.night
    goes_on: set[str] = set()
    if under_way.is_again(at):  # a slip
        newest = newest_words(night)
        goes_on = {name for name, row in newest.items() if row.key.step.is_search}
        goes_on |= who_said(night)
    read, mark = arrived(night), marks.of_search(night, call)
    goes_on |= {one for one in people if (row := read.get(one)) and row.mark == mark}
    return goes_on - contradicted(night)


def search_renewed(night: Night, now: datetime) -> list[Delivery]:
    """The newest word of the search as it stands now, to whoever read one whose link has died."""
    due = _due_of(night, now)
    if due is None or not _is_known(due[0], due[1]):
        return []  # what nobody was told yet has live links
    under_way, which, at = due
    found = []
    for person_id, row in arrived(night).items():
        if row.key.step.is_search and night.is_dead(row):
            step = Step("search-renewed", night.generations.get(person_id, 0))
            unheard = person_id not in under_way.heard
            loudness = under_way.call(which, at, unheard=unheard).priority
            matter = Matter(unheard=unheard)
            found += night.notice(step, night.turn, [person_id], loudness, now, matter=matter)
    return found


def call_of(
    night: Night, step: Step, due_at: datetime, now: datetime, *, unheard: bool
) -> SearchCall:
    """What a delivery of the search tells at `now`; by another way it was due later than its step.

    Raises:
        LookupError: nobody is looked for any more.
    """
    under_way = _search_of(night)
    if under_way is None:
        raise LookupError(step.kind)
    if step.kind != "search-renewed":
        which = next(one for one in SEARCH_KINDS if one == step.kind)
        at = dict(under_way.steps).get(which, due_at)
        return under_way.call(which, at, unheard=unheard)
    due = _due_of(night, now)
    if due is None:
        raise LookupError(step.kind)
    return under_way.call(due[1], due[2], unheard=unheard)


def by_other_ways(night: Night, now: datetime, drop: Container[Key]) -> list[Delivery]:
    """What sends somebody out and has been tried for minutes: the next word may be hours away."""
    if now >= night.evening.let_out:
        return []
    got = {
        (row.key.person_id, row.key.step)
        for row in night.rows
        if row.state in {"sent", "perhaps sent"}
    }
    tried = [
        row
        for row in night.rows
        if row.state == "pending"
        and row.attempts >= _TRIED_FOR_LONG
        and row.priority >= LOUD
        and (row.key.step.is_search or row.key.step.kind == "news")
        and row.key not in drop
        and (row.key.person_id, row.key.step) not in got
    ]
    return [
        Delivery(
            key=replace(row.key, channel=way[0], address=key_address(way)),
            priority=row.priority,
            matter=row.matter,
            due_at=now,
            useful_until=night.evening.let_out,
        )
        for row in tried
        for way in night.evening.contact(row.key.person_id).addresses
        if (way[0], key_address(way)) != (row.key.channel, row.key.address)
    ]


def _waiting(night: Night) -> set[str]:
    """Who has had no word of the search although there was one: a server is away."""
    rows = [row for row in night.rows if row.key.step.is_search]
    got = {row.key.person_id for row in rows if row.state in {"sent", "perhaps sent"}}
    tried = {row.key.person_id for row in rows if row.state == "pending" and row.attempts > 0}
    return tried - got
