"""Everything one evening needs at one instant: what to add, what to drop, what to reword."""

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta, tzinfo

from scheduler.alerts import decide, text
from scheduler.alerts.decide import Row, Voice
from scheduler.alerts.delivery import LOUD, USUAL, ChannelName, Delivery, Key, Message
from scheduler.alerts.evening import CalledStep, Evening, on_duty
from scheduler.alerts.link import EveningLink
from scheduler.alerts.reopened import BREATH, OPEN_AGAIN, is_often, is_slip, steps_of
from scheduler.alerts.text import DoorStates
from scheduler.cares.closing import Closing

_BEDTIME_SAID = timedelta(hours=2)
_TRIED_FOR_LONG = 4  # attempts: two minutes of them
_LOOKS = ("first", "second-look", "before-let-out")


@dataclass(frozen=True, slots=True, kw_only=True)
class Night:
    """An evening with what was said and written down of it; `noon` is when it begins.

    `said_late` is what was said, since the evening before is over, of the doors and birds of one
    of those before; `told_before` are those who had been told how these stood.
    `base_url` is where the pages are reached, empty while they are not. `watched_since` is when
    the reminders first ran; an evening that was over before is left alone. `topics` is where push
    reaches each person now, whatever the evening has written down of them. `generations` is of
    each person's links and buttons, 0 for who is not named. `count_due` are the coops whose many
    birds have not been counted for a week.
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

    def is_ours(self, now: datetime) -> bool:
        """Whether the reminders have anything to do with the evening: it is under way, or was."""
        begun = self.watched_since is not None and self.watched_since < self.evening.let_out
        return bool(self.evening.crew) and (now < self.evening.let_out or begun)

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
        evening = self.evening
        link = EveningLink(
            site_id=evening.site_id,
            day=evening.day,
            subject_id=evening.subject_id,
            person_id=person_id,
            generation=self.generations.get(person_id, 0),
        )
        return self.base_url + link.path(self.key)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pursuit:
    """Deliveries to write down, waiting ones to give up, waiting ones with other words."""

    add: tuple[Delivery, ...] = ()
    drop: tuple[Key, ...] = ()
    reword: tuple[tuple[Key, Message], ...] = field(default=())

    @property
    def nothing(self) -> bool:
        """Whether there is nothing to do."""
        return not (self.add or self.drop or self.reword)


def pursue(night: Night, now: datetime) -> Pursuit:
    """What the evening needs at `now`; asking twice adds nothing."""
    night = _with_what_was_said_late(night)
    evening, states, rows = night.evening, night.states, night.rows
    if not night.is_ours(now):
        return Pursuit()
    waiting = [row for row in rows if row.state in {"pending", "sending"}]
    ladder = [row for row in waiting if row.operation == "send" and decide.kind_of(row.key.step)]
    add: list[Delivery] = []
    drop: list[Key] = []
    reword: list[tuple[Key, Message]] = []
    voice = _voice(night, now)
    if decide.is_open(states):
        add += _but_slips(night, decide.reminders(evening, states, rows, now, voice))
        fresh = {(d.key.person_id, d.key.channel) for d in add if d.state == "pending"}
        add += _no_longer_shut(night, now, voice, {person_id for person_id, _ in fresh})
        turn = decide.opening(states)
        for row in ladder:
            mine = (row.key.person_id, row.key.channel)
            if mine in fresh or row.key.opening != turn:
                drop.append(row.key)
            elif row.state == "pending" and (step := _step(night, row.key.step)):
                said = voice(step, row.key.person_id, row.key.channel)
                said = replace(said, target_id=row.message.target_id)
                if said != row.message:
                    reword.append((row.key, said))
    else:
        drop += [row.key for row in ladder]
    drop += _out_of_date(night) + _to_who_has_left(night)
    reword += _reworded(night) + _search_reworded(night)
    if now < evening.let_out:
        add += _after_shutting(night, now)
        if now >= night.noon:
            add += _held(night, now, drop)
    known = {row.key for row in rows if row.state != "early"}
    newer = {one.key.person_id for one in add if one.key.step.startswith("search-")}
    drop += [
        row.key
        for row in rows
        if row.state == "pending" and row.key.step.startswith("search-")
        if row.key.person_id in newer and row.key not in drop
    ]
    add += _by_other_ways(night, now, drop)
    return Pursuit(
        add=tuple(one for one in add if one.key not in known),
        drop=tuple(drop),
        reword=tuple(one for one in reword if one[0] not in drop),
    )


def _with_what_was_said_late(night: Night) -> Night:
    """The same, where an ending said of an evening before is news as if it were of this one."""
    states = dict(night.states)
    for one in night.said_late:
        state = states[one.coop_id]
        # As of this evening: what is taken back counts twice, or it would be told of as before.
        news = state.news + (2 if one.was else 1)
        last = one if state.last is None or state.last.known_at <= one.known_at else state.last
        states[one.coop_id] = replace(state, news=news, last=last)
    return replace(night, states=states)


def _but_slips(night: Night, found: Iterable[Delivery]) -> list[Delivery]:
    """Without "open again" to whoever never heard that it was shut: their reminders just go on.

    Only where somebody took their own tap back within a minute, and only to whoever was rung
    before it: within a quarter of an hour they are reminded again.
    """
    if not is_slip(night.states) or is_often(night.states):
        return list(found)
    rung = decide.rung(night.rows)
    at = max(state.opened.at for state in night.states.values() if state.opened)
    doors = sum(
        state.opened is not None and state.opened.at == at for state in night.states.values()
    )
    turn = decide.opening(night.states) - doors
    told = {
        person_id
        for person_id, row in _newest_words(night).items()
        if row.key.step.startswith(decide.SAYS_SHUT) and row.key.opening <= turn
    }
    return [
        one
        for one in found
        if one.state != "pending"
        or one.key.step != "reopened"
        or one.key.person_id in told
        or one.key.person_id not in rung
    ]


def _no_longer_shut(
    night: Night, now: datetime, voice: Voice, rung_now: Container[str]
) -> list[Delivery]:
    """That it is open again, to whoever last read that it is shut, or said so; not who is rung."""
    evening, states = night.evening, night.states
    opened = [state.opened for state in states.values() if state.opened and state.waits]
    last = max(opened, key=lambda said: said.at, default=None)
    if last is None or last.at < evening.lock_up or now >= evening.let_out:
        return []
    at = last.at + BREATH if is_often(states) else last.at
    if now < at:
        return []
    turn = decide.opening(states)
    newest = _newest_words(night)
    named = [one.person_id for one in evening.crew if one.name == last.who]
    step = CalledStep(name=OPEN_AGAIN, kind="reopened", at=at, people=())
    found = []
    for contact in evening.crew:
        person_id = contact.person_id
        word = newest.get(person_id)
        if person_id in rung_now or named == [person_id]:
            continue
        said_so = last.was_by == contact.name and not (word and word.key.opening == turn)
        read_so = word and word.key.step.startswith(decide.SAYS_SHUT) and word.key.opening < turn
        if said_so or read_so:
            message = replace(voice(step, person_id, contact.addresses[0][0]), priority=USUAL)
            found += decide.notice(evening, step.name, turn, [person_id], message, due_at=at)
    return found


def _newest_words(night: Night) -> dict[str, Row]:
    """What each person was told last of the doors, or is about to be told of this turn."""
    turn, dropped = decide.opening(night.states), _out_of_date(night)
    return {
        row.key.person_id: row
        for row in night.rows
        if row.key.step.startswith(decide.SAYS_SHUT) or decide.kind_of(row.key.step)
        if row.may_have_arrived
        or (row.state == "pending" and row.key.opening == turn and row.key not in dropped)
    }


def _step(night: Night, name: str) -> CalledStep | None:
    steps = steps_of(night.evening, night.states)
    return next((step for step in steps if step.name == name), None)


def _of_the_hour(step: CalledStep, now: datetime) -> CalledStep:
    """The step as it is said at `now`: hours after bedtime nobody is asked to look before bed."""
    late = step.kind == "bedtime" and now >= step.at + _BEDTIME_SAID
    return replace(step, kind="hourly") if late else step


def _voice(night: Night, now: datetime) -> Voice:
    def said(step: CalledStep, person_id: str, way: ChannelName) -> Message:
        link = night.link(person_id)
        message = text.reminder(
            night.evening,
            _of_the_hour(step, now),
            night.states,
            night.zone,
            link,
            count=night.count_due,
        )
        if way != "push":
            return message
        turn = decide.opening(night.states)
        buttons = text.buttons(
            night.evening,
            night.states,
            turn,
            person_id,
            night.key,
            night.generations.get(person_id, 0),
        )
        return text.with_buttons(message, buttons)

    return said


def _out_of_date(night: Night) -> list[Key]:
    """What waits to tell of a state that is no more."""
    searching = any(state.state == "searching" for state in night.states.values())
    is_open = decide.is_open(night.states)
    shut_is_news = not is_open and not (searching and _search_says_shut(night))
    return [
        row.key
        for row in night.rows
        if row.state == "pending"
        and (
            (row.key.step.startswith("shut") and not shut_is_news)
            or (row.key.step.startswith("settled") and (is_open or searching))
            or (row.key.step.startswith("search-") and not searching)
            or (row.key.step.startswith("news-") and row.key.step != _news_step(night))
        )
    ]


def _to_who_has_left(night: Night) -> list[Key]:
    """What waits for somebody who is not told anything any more."""
    here = {contact.person_id for contact in night.evening.crew}
    return [
        row.key
        for row in night.rows
        if row.state == "pending" and row.operation == "send" and row.key.person_id not in here
    ]


def _search_reworded(night: Night) -> list[tuple[Key, Message]]:
    """What waits to say who is missing, in the words of what has been said since."""
    if all(state.state != "searching" for state in night.states.values()):
        return []
    found = []
    for row in night.rows:
        look = next((one for one in _LOOKS if row.key.step.startswith(f"search-{one}")), None)
        if look is None or row.state != "pending":
            continue
        message = text.search(
            night.evening,
            night.states,
            night.zone,
            look.replace("-", " ", 1),
            by_link=bool(night.base_url),
            unheard=row.message.title.startswith("Shut "),
            again="took it back" in row.message.title,
        )
        message = replace(message, link=row.message.link)
        if message != row.message:
            found.append((row.key, message))
    return found


def _reworded(night: Night) -> list[tuple[Key, Message]]:
    """What waits to say that all is shut, in the words of what has been said since."""
    if decide.is_open(night.states) or not _shut_by(night):
        return []
    message = text.all_clear(night.evening, night.states, night.zone)
    return [
        (row.key, message)
        for row in night.rows
        if row.state == "pending"
        and row.key.step.startswith(("shut", "settled"))
        and row.message != message
    ]


def _shut_by(night: Night) -> list[Closing]:
    """What shut the evening's doors, the latest last."""
    said = [state.said for state in night.states.values() if state.said]
    return sorted(said, key=lambda one: one.at)


def _after_shutting(night: Night, now: datetime) -> list[Delivery]:
    """The search for who is missing; once every door is shut, who was rung reads that it is."""
    evening, states = night.evening, night.states
    told = decide.rung(night.rows)
    searches = sum(state.searches for state in states.values())
    searching = any(state.state == "searching" for state in states.values())
    found = _search(night, told, searches, now) if searching else []
    found += _emptied(night, now) + _news(night, now)
    if decide.is_open(states) or not (shut := _shut_by(night)):
        return found
    found += _cleared(night, now)
    if is_often(states) and now < shut[-1].at + BREATH:
        return found
    turn = decide.opening(states)
    step = "shut"
    if searching and _search_says_shut(night):
        return found
    crew = told if searching else told | _told_how_it_stands(night)
    if searches and not searching:
        step = _numbered("settled", searches)
        crew |= _duty(evening)
    # Of a door that is searched the search tells.
    if news := sum(state.news for state in states.values() if state.state != "searching"):
        step += f"-then-{news}"
        crew |= night.told_before
    elif searching:
        crew -= _told(night, turn, "shut", "settled")
    if crew:
        message = text.all_clear(evening, states, night.zone)
        read = _reads_as_much(night, searching=searching) - _contradicted(night)
        crew -= _who_said(night) | read
        found += decide.notice(evening, step, turn, crew, message, due_at=now)
    return found


def _reads_as_much(night: Night, *, searching: bool) -> set[str]:
    """Whose newest words say all that the all-clear says, or wait to be put so."""
    plain = text.all_clear(night.evening, night.states, night.zone, how=False)
    kept = ("shut",) if searching else ("shut", "settled")
    return {
        person_id
        for person_id, row in _arrived(night).items()
        if row.message.title == plain.title
        and (plain.body == plain.title or row.message.body.endswith(plain.body))
    } | {
        row.key.person_id
        for row in night.rows
        if row.state == "pending" and row.key.step.startswith(kept)
    }


def _arrived(night: Night) -> dict[str, Row]:
    """The newest words of the doors that may have got to each person."""
    return {
        row.key.person_id: row
        for row in night.rows
        if row.key.step.startswith(decide.SAYS_SHUT) or decide.kind_of(row.key.step)
        if row.operation == "send" and row.state in {"sent", "perhaps sent", "sending"}
    }


def _search_says_shut(night: Night) -> bool:
    """Whether a search for the birds of the door that was shut last tells that all are shut."""
    shut = _shut_by(night)
    return len(shut) == 1 or night.states[shut[-1].coop_id].state == "searching"


def _duty(evening: Evening) -> set[str]:
    duty = on_duty(evening.crew)
    return {duty.person_id} if duty else set()


def _who_said(night: Night) -> set[str]:
    """Who said the last thing, and so knows it; nobody when the name could be of several."""
    last = [state.last for state in night.states.values() if state.last]
    who = max(last, key=lambda one: one.known_at).who if last else ""
    named = {contact.person_id for contact in night.evening.crew if contact.name == who}
    return named if len(named) == 1 else set()


def _contradicted(night: Night) -> set[str]:
    """Whose own word was taken back last, by somebody else: what they read before is no help."""
    last = [state.last for state in night.states.values() if state.last]
    newest = max(last, key=lambda one: one.known_at, default=None)
    if newest is None or newest.who == newest.was_by:
        return set()
    return {one.person_id for one in night.evening.crew if one.name == newest.was_by}


def _told_how_it_stands(night: Night) -> set[str]:
    """Who read that all are in, or that some are missing: whoever was never rung, too."""
    return {
        row.key.person_id
        for row in night.rows
        if row.key.step.startswith(decide.SAYS_SHUT) and row.may_have_arrived
    }


def _emptied(night: Night, now: datetime) -> list[Delivery]:
    """Asks whoever is on duty once, at the lock-up, whether a house said to be empty is."""
    evening = night.evening
    empty = [
        one
        for one in evening.doors
        if (state := night.states[one.coop_id]).is_empty and state.state == "open"
    ]
    if not empty or now < min(one.lock_up for one in empty):
        return []
    message = text.emptied(empty, by_link=bool(night.base_url))
    asked = decide.notice(evening, "empty", 0, _duty(evening), message, due_at=now)
    return _linked(night, asked)


def _news(night: Night, now: datetime) -> list[Delivery]:
    """What was said of an evening before, to whoever was told how it stood.

    Whoever is on duty hears of birds that a late count misses. Once the doors are shut, that they
    are says it.
    """
    step = _news_step(night)
    misses = text.is_missed_late(night.states)
    crew = night.told_before | (_duty(night.evening) if misses else set())
    crew -= _who_said(night)
    if not step or not crew:
        return []
    message = text.news(night.evening, night.states, night.zone, by_link=bool(night.base_url))
    found = decide.notice(night.evening, step, 0, crew, message, due_at=now)
    return _linked(night, found) if misses else found


def _by_other_ways(night: Night, now: datetime, drop: Container[Key]) -> list[Delivery]:
    """What sends somebody out and has been tried for minutes: the next word may be hours away."""
    if now >= night.evening.let_out:
        return []
    arrived = {
        (row.key.person_id, row.key.step)
        for row in night.rows
        if row.state in {"sent", "perhaps sent"}
    }
    tried = [
        row
        for row in night.rows
        if row.state == "pending"
        and row.attempts >= _TRIED_FOR_LONG
        and row.message.priority >= LOUD
        and row.key.step.startswith(("search-", "news-"))
        and row.key not in drop
        and (row.key.person_id, row.key.step) not in arrived
    ]
    return [
        Delivery(
            key=replace(row.key, channel=way),
            message=row.message,
            due_at=now,
            useful_until=night.evening.let_out,
        )
        for row in tried
        for way, _ in night.evening.contact(row.key.person_id).addresses
        if way != row.key.channel
    ]


def _news_step(night: Night) -> str:
    """The name of what is told of the missing while the doors are open; empty for nothing."""
    news = sum(state.news for state in night.states.values() if state.state == "open")
    return f"news-{news}" if news else ""


def _cleared(night: Night, now: datetime) -> list[Delivery]:
    return decide.clearings(night.evening, night.rows, now)


def _search(night: Night, told: set[str], searches: int, now: datetime) -> list[Delivery]:
    """The latest word of the search: after an outage not the ones before it."""
    evening = night.evening
    short = [state for state in night.states.values() if state.state == "searching"]
    shut_at = max(state.said.at for state in short if state.said)
    said_by = {state.said.who for state in short if state.said}
    crew = told | _duty(evening) | _told_how_it_stands(night)
    crew |= {contact.person_id for contact in evening.crew if contact.name in said_by}
    steps = decide.search_steps(evening, shut_at, night.states)
    due = [(which, at) for which, at in steps if at <= now]
    if not due:
        return []
    which, at = due[-1]
    step = _numbered("search-" + which.replace(" ", "-"), searches)
    turn, opened = decide.opening(night.states), sum(state.opening for state in short)
    here = {contact.person_id for contact in evening.crew}
    if any(
        row.key.step == step
        and row.key.person_id in here
        and (row.key.opening == turn or (row.may_have_arrived and row.key.opening >= opened))
        for row in night.rows
    ):
        return []  # nobody need hear of it again because another door was opened meanwhile
    waiting = _waiting_for_search(night)
    newest = _newest_words(night)
    looks = {_numbered(f"search-{one}", searches) for one in _LOOKS}
    # What waits is dropped for this one: whoever it was for has heard nothing.
    heard = {
        row.key.person_id
        for row in night.rows
        if row.key.opening == turn and row.key.step.startswith(decide.SAYS_SHUT)
        if row.may_have_arrived
    }
    heard |= {name for name, row in _arrived(night).items() if row.key.step in looks}
    heard -= waiting
    last = max((state.last for state in short if state.last), key=lambda one: one.at)
    again = last.kind == "undone" and last.at >= at and last.was not in {"closed", "reopened"}
    goes_on = set()
    if again:  # a slip: whoever never heard that it was over goes on searching
        goes_on = {name for name, row in newest.items() if row.key.step.startswith("search-")}
    found = []
    for people, unheard in ((crew & heard, False), (crew - heard, True)):
        message = text.search(
            evening,
            night.states,
            night.zone,
            which,
            by_link=bool(night.base_url),
            unheard=unheard,
            again=again,
        )
        found += decide.notice(evening, step, turn, people, message, due_at=at)
    # Nor does whoever has just these words. It is written down: what is said next is not "first".
    read = _arrived(night)
    goes_on |= {
        one.key.person_id
        for one in found
        if (row := read.get(one.key.person_id))
        and (row.message.title, row.message.body) == (one.message.title, one.message.body)
    }
    goes_on -= _contradicted(night)
    found = [
        replace(one, state="missed" if one.key.person_id in goes_on else one.state) for one in found
    ]
    # Whoever did not get the word before by their loudest way gets this one by the others, too.
    found += [
        replace(one, key=replace(one.key, channel=way))
        for one in found
        if one.key.person_id in waiting
        for way, _ in evening.contact(one.key.person_id).addresses[1:]
    ]
    return _linked(night, found)


def _waiting_for_search(night: Night) -> set[str]:
    """Who has had no word of the search although there was one: a server is away."""
    rows = [row for row in night.rows if row.key.step.startswith("search-")]
    arrived = {row.key.person_id for row in rows if row.state in {"sent", "perhaps sent"}}
    tried = {row.key.person_id for row in rows if row.state == "pending" and row.attempts > 0}
    return tried - arrived


def _told(night: Night, turn: int, *steps: str) -> set[str]:
    """Who has been told of this turn by such a step, or is about to be."""
    return {
        row.key.person_id
        for row in night.rows
        if row.key.opening == turn
        and row.key.step.startswith(steps)
        and (row.may_have_arrived or row.state == "pending")
    }


def _linked(night: Night, found: Iterable[Delivery]) -> list[Delivery]:
    """The same deliveries, each with its own person's link."""
    return [
        replace(one, message=replace(one.message, link=night.link(one.key.person_id)))
        for one in found
    ]


def _numbered(step: str, number: int) -> str:
    return step if number <= 1 else f"{step}-{number}"


def _held(night: Night, now: datetime, drop: list[Key]) -> Sequence[Delivery]:
    message = text.held(night.evening, night.states, night.zone)
    topics = night.topics_now()
    found = decide.holds(night.evening, night.states, night.rows, now, message, topics)
    replaced = {(one.key.person_id, one.address) for one in found}
    wanted: set[tuple[str, str | None]] = set()
    if decide.rings_at(night.evening, night.states, now):
        wanted = {(one.person_id, topics.get(one.person_id)) for one in night.evening.crew}
    for row in night.rows:
        if row.state == "pending" and decide.is_hold(row.key.step):
            place = (row.key.person_id, row.address or topics.get(row.key.person_id))
            # What was never handed over needs no taking back.
            if place in replaced or (row.operation == "hold" and place not in wanted):
                drop.append(row.key)
    return found


def strays(nights: Iterable[Night], rows: Iterable[Row], now: datetime) -> list[Delivery]:
    """Takes back what is held for doors that none of the evenings under way has.

    One that is to come has none either: then the clock was set back.
    """
    current = [
        night.evening
        for night in nights
        if night.is_ours(now) and night.noon <= now < night.evening.let_out
    ]
    return decide.strays(rows, current, now)


def next_instant(night: Night, now: datetime) -> datetime:
    """The next instant at which the evening may need something that it does not need now."""
    evening = night.evening
    instants = [step.at for step in steps_of(evening, night.states)]
    instants += [night.noon, evening.let_out]
    for state in night.states.values():
        if state.state == "searching" and state.said:
            instants += [at for _, at in decide.search_steps(evening, state.said.at, night.states)]
    if is_often(night.states):
        instants += [said.at + BREATH for said in _shut_by(night)]
        instants += [one.opened.at + BREATH for one in night.states.values() if one.opened]
    return min((at for at in instants if at > now), default=datetime.max.replace(tzinfo=now.tzinfo))
