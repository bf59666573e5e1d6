"""What the button of a message says of an evening's doors: once, of its turn, by its person."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from functools import partial
from typing import Literal

from sqlalchemy import Connection

from scheduler.alerts.delivery import AS_IT_STANDS, QUIET, USUAL, Matter, Priority
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.step import Step
from scheduler.cares.closing import Closing
from scheduler.cares.door_state import Door
from scheduler.journal import closings, deliveries
from scheduler.journal.store import Journal
from scheduler.profile.who_may import BUTTON
from scheduler.service import diary
from scheduler.service.almanac import Almanac
from scheduler.service.diary import Judged, Refused, Speaker
from scheduler.service.doors.follow import follow
from scheduler.service.doors.say import as_entries
from scheduler.service.evenings_around import nights_of, planned_of
from scheduler.tokens.answer import SignedAnswer

_ANSWERED_WITHIN = timedelta(hours=48)
_WORD_USEFUL = timedelta(hours=1)


# Whether it was kept; known: the doors stand as it says; lost: something else holds.
Heard = Literal["taken", "known", "lost"]


def answer(
    journal: Journal,
    almanac: Almanac,
    given: SignedAnswer,
    now: datetime,
    *,
    at: datetime | None = None,
) -> Heard:
    """Keeps what a button said, unless it is late, spent, of another turn, or says nothing new.

    One that was pressed out of reach happened `at` an earlier instant: it is kept with that, and
    loses against what was said since.

    Whoever pressed one that something else was said against meanwhile gets a word why, and of one
    of an evening that is over what it came to. So does whoever's buttons were renewed since.
    """
    site_id = almanac.site_id
    if given.site_id != site_id:
        return "lost"
    # None: they have left, or do not look after the birds on that day any more.
    there = {one.id: one.name for one in almanac.profile.person if one.is_there(given.day)}
    who = there.get(given.person_id)
    by = Speaker(
        who=who or "",
        now=now,
        today=almanac.household.today(now),
        voice=BUTTON,
        person_id=given.person_id,
    )

    def judge(connection: Connection) -> Judged[Heard]:
        said = closings.closings(connection, site_id, given.day)
        around = nights_of(almanac, connection, given.day, said, now) if who else ()
        night = next((one for one in around if one.evening.subject_id == given.subject_id), None)
        if who is None or night is None or now > night.evening.lock_up + _ANSWERED_WITHIN:
            return Judged(answer="lost")
        if given.generation != night.generations.get(given.person_id, 0):
            step = Step("not-taken-of", given.generation)
            _tell(connection, night, given, step, AS_IT_STANDS, now, priority=USUAL)
            return Judged(answer="lost")
        # Before the evening, or after now, that phone's clock is wrong.
        pressed = at if at and night.noon <= at <= now else now
        since = (one for one in said if one.evening == given.day and one.coop_id in night.states)
        is_newest = at is None or all(one.known_at <= pressed for one in since)
        in_turn = given.opening == night.turn and is_newest
        taken = in_turn and closings.spend(connection, site_id, given.token(almanac.key), given.day)
        new = _pressed(given, night, who, pressed) if taken else []
        then = partial(_follow, almanac, given, night, now, taken=bool(new))
        is_lost = now >= night.evening.let_out or _what_speaks_against(given, night)
        heard: Heard = "taken" if new else "lost" if is_lost else "known"
        return Judged(answer=heard, said=as_entries(by, new), then=then)

    told = diary.say(journal, site_id, by, "door", given.day, judge)
    return "lost" if isinstance(told, Refused) else told


def _follow(  # noqa: PLR0913 - of which answer, to which evening, by what
    almanac: Almanac,
    given: SignedAnswer,
    night: Night,
    now: datetime,
    connection: Connection,
    *,
    taken: bool,
) -> None:
    """The reminders follow, and whoever pressed it is told what came of it."""
    if taken:
        follow(almanac, connection, now)
    tonight = _tonight(almanac, connection, night, now)
    matter = _answered(given, night, now, taken=taken)
    if matter is None:
        return
    turns = closings.turns(connection, almanac.site_id, given.day)
    number = sum(turns.get((coop_id, given.day), 0) for coop_id in night.states)
    step = Step("taken" if taken else "not-taken", number)
    if now >= night.evening.let_out:
        # Whoever presses it by day and once more in the evening reads it again.
        part = "evening" if tonight and now >= tonight.noon else "day"
        step = replace(step, day=f"{now:%d}", about=part)
    _tell(connection, night, given, step, matter, now)


def _tell(  # noqa: PLR0913, PLR0917 - what came of an answer, of which evening, to whom
    connection: Connection,
    night: Night,
    given: SignedAnswer,
    step: Step,
    matter: Matter,
    now: datetime,
    *,
    priority: Priority = QUIET,
) -> None:
    until = max(night.evening.let_out, now + _WORD_USEFUL)
    told = night.notice(step, 0, [given.person_id], priority, now, until, matter)
    deliveries.add(connection, told)


def _pressed(given: SignedAnswer, night: Night, who: str, at: datetime) -> list[Closing]:
    said = _said_by(given, night)
    return [
        Closing(
            kind="closed",
            coop_id=coop_id,
            evening=given.day,
            at=at,
            who=who,
            flock=planned_of(night, coop_id).profile_birds,
            count=said[coop_id],
            some_missing=given.verb == "some-missing",
        )
        for coop_id, state in night.states.items()
        if state.waits or _says_more(given, night.states, who)
    ]


def _said_by(given: SignedAnswer, night: Night) -> dict[str, int | None]:
    """How many of each house the button says are in, whatever is expected since it was made.

    Of a button of an older version: all that are expected now.
    """
    doors = [one.coop_id for one in night.evening.doors]
    if given.verb != "all-in":
        return dict.fromkeys(doors)
    if given.birds is None:
        return {coop_id: state.expected for coop_id, state in night.states.items()}
    if len(given.birds) != len(doors):
        return dict.fromkeys(doors)  # of other houses: nobody has counted these
    return dict(zip(doors, given.birds, strict=True))


def _tonight(almanac: Almanac, connection: Connection, night: Night, now: datetime) -> Night | None:
    """The evening under way with the same doors; None while the button's own is."""
    if now < night.evening.let_out:
        return None
    said = closings.closings(connection, almanac.site_id)
    found = nights_of(almanac, connection, almanac.evening_of(now), said, now)
    return next((one for one in found if one.states.keys() & night.states.keys()), None)


def _answered(given: SignedAnswer, night: Night, now: datetime, *, taken: bool) -> Matter | None:
    """What whoever pressed it is told; None where the doors stand as the button says.

    Of an evening that is over always: it may have been meant for tonight.
    """
    if now >= night.evening.let_out:
        return AS_IT_STANDS
    against = None if taken else _what_speaks_against(given, night)
    return Matter(of_coop=against) if against else None


def _what_speaks_against(given: SignedAnswer, night: Night) -> str | None:
    """A door of which something else was said than the answer says; None where it says the same.

    Of several the one that somebody has to go out for.
    """
    said = _said_by(given, night)
    against: list[str] = []
    for coop_id, state in night.states.items():
        says_the_same = {
            "all-in": state.is_all_in and state.counted == said[coop_id],
            "some-missing": state.at_large > 0,
            "not-counted": state.state != "open",
        }[given.verb]
        if not says_the_same and not state.is_empty:
            against.append(coop_id)
    stands = {coop_id: state.state for coop_id, state in night.states.items()}
    against.sort(key=lambda coop_id: (stands[coop_id] == "open", stands[coop_id] == "searching"))
    return against[-1] if against else None


def _says_more(given: SignedAnswer, states: Mapping[str, Door], who: str) -> bool:
    """Whether a button that is pressed after the door was shut adds something to know.

    That some are missing does, whoever said "all in" before; a count where there was none does,
    but it does not end what somebody else has begun to search. Of several doors nobody can know
    which the button was for.
    """
    if len(states) != 1 or given.verb == "not-counted":
        return False
    [state] = states.values()
    if given.verb == "some-missing":
        return state.state == "shut" and not state.at_large
    searched = state.state == "searching" and state.last is not None and state.last.who != who
    return state.counted is None and not searched
