"""The answers under a reminder, and why one that was pressed counts for nothing or less."""

from scheduler.alerts.delivery import QUIET, Button, Message
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.reminded_evening import Evening
from scheduler.cares.closing import MANY_BIRDS
from scheduler.cares.door_state import Door
from scheduler.messages.doors import open_doors, stem
from scheduler.messages.phrases import SHORT_NAME, TITLE_LENGTH, short
from scheduler.messages.who_said import said_last
from scheduler.tokens.answer import SignedAnswer, Verb
from scheduler.wording.messages.answers import Buttons, NotTaken, Taken
from scheduler.wording.spoken import short_day

_OF_A_DOOR = frozenset({"closed", "reopened", "back"})


def shut_buttons(night: Night, person_id: str) -> tuple[Button, ...]:
    """The three answers that shut the evening's open doors."""
    evening, doors = night.evening, open_doors(night)
    total = sum(door.birds for door in doors)
    said = tuple(night.states[door.coop_id].expected for door in evening.doors)
    many = any(door.birds >= MANY_BIRDS for door in doors)
    all_in = Buttons.all_in(birds=total)
    if total <= 1:
        all_in = Buttons.one_in() if total else Buttons.none_in()
    labels: tuple[tuple[str, Verb], ...] = (
        (all_in, "all-in"),
        (Buttons.some_missing(), "some-missing"),
        (Buttons.looks_like_all() if many else Buttons.not_counted(), "not-counted"),
    )
    return tuple(
        Button(
            label=label,
            answer=SignedAnswer(
                verb=verb,
                site_id=evening.site_id,
                day=evening.day,
                subject_id=evening.subject_id,
                opening=night.turn,
                person_id=person_id,
                generation=night.generations.get(person_id, 0),
                birds=said if verb == "all-in" else None,
            ).text(night.key),
        )
        for label, verb in labels
    )


def not_taken(night: Night, state: Door) -> Message:
    """Why a pressed answer counts no more: what was said of the door meanwhile, and by whom."""
    evening, last = night.evening, state.last
    if last is None or (state.state == "open" and not {last.kind, last.was} & _OF_A_DOOR):
        title = NotTaken.earlier_turn()
        return Message(title, title, stem=stem(night), priority=QUIET)
    newer = said_last(night, state)
    if len(evening.doors) > 1:
        name = next(door.name for door in evening.doors if door.coop_id == last.coop_id)
        newer = NotTaken.of_house(house=short(name, SHORT_NAME), said=newer)
    title = NotTaken.newer(newer=newer)[:TITLE_LENGTH]
    body = NotTaken.newer_body(newer=newer)
    return Message(title, body, stem=stem(night), priority=QUIET)


def renewed_since(link: str) -> Message:
    """Why a button is dead whose person is here: they were put back, or their links renewed."""
    return Message(NotTaken.renewed(), NotTaken.renewed_body(), link=link)


def of_another_evening(evening: Evening, *, taken: bool, waits: bool, link: str = "") -> Message:
    """What a pressed answer came to whose evening is over.

    `waits`: tonight's door does, so it may have been meant for that; `link` leads to its page.
    """
    day = short_day(evening.day)
    title, subject, kept = (
        NotTaken.over(day=day),
        NotTaken.over_stem(day=day),
        NotTaken.nothing_changed(),
    )
    if taken:
        title = Taken.not_tonight(day=day) if waits else Taken.day(day=day)
        subject, kept = Taken.stem(day=day), Taken.undo(day=day)
    body = f"{NotTaken.tonight()} {kept}" if waits else kept
    return Message(title, body, stem=subject, priority=QUIET, link=link)
