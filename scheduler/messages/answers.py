"""The answers under a reminder, and why one that was pressed counts for nothing or less."""

from scheduler.alerts.delivery import QUIET, Button, Message
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.reminded_evening import Evening
from scheduler.cares.closing import MANY_BIRDS
from scheduler.cares.door_state import Door
from scheduler.messages.doors import open_doors, stem
from scheduler.messages.phrases import SHORT_NAME, TITLE_LENGTH, short
from scheduler.messages.who_said import said_last
from scheduler.profile.words import day_words
from scheduler.tokens.answer import SignedAnswer, Verb

LOOKS_LIKE_ALL = "Door shut, looks like all"
_OF_A_DOOR = frozenset({"closed", "reopened", "back"})


def shut_buttons(night: Night, person_id: str) -> tuple[Button, ...]:
    """The three answers that shut the evening's open doors."""
    evening, doors = night.evening, open_doors(night)
    total = sum(door.birds for door in doors)
    said = tuple(night.states[door.coop_id].expected for door in evening.doors)
    many = any(door.birds >= MANY_BIRDS for door in doors)
    in_now = f"All {total} in" if total > 1 else ("In" if total else "None in")
    labels: tuple[tuple[str, Verb], ...] = (
        (f"{in_now}, door shut", "all-in"),
        ("Door shut, some missing", "some-missing"),
        (LOOKS_LIKE_ALL if many else "Door shut, not counted", "not-counted"),
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
        title = "Not taken: that message was of an earlier turn. Look at the page"
        return Message(title, title, stem=stem(night), priority=QUIET)
    newer = said_last(night, state)
    if len(evening.doors) > 1:
        name = next(door.name for door in evening.doors if door.coop_id == last.coop_id)
        newer = f"{short(name, SHORT_NAME)}: {newer}"
    title = f"Not taken: {newer}"[:TITLE_LENGTH]
    body = f"Not taken: {newer}. If that is wrong, say so on the page."
    return Message(title, body, stem=stem(night), priority=QUIET)


def renewed_since(link: str) -> Message:
    """Why a button is dead whose person is here: they were put back, or their links renewed."""
    title = "Not taken: your buttons are newer now. Use the newest message, or the page"
    body = "You were put back into the profile, or your links were renewed, since that message."
    return Message(title, body, link=link)


def of_another_evening(evening: Evening, *, taken: bool, waits: bool, link: str = "") -> Message:
    """What a pressed answer came to whose evening is over.

    `waits`: tonight's door does, so it may have been meant for that; `link` leads to its page.
    """
    day = day_words(evening.day)
    tonight = "Is it tonight's door that is shut? Then say so on the page." if waits else ""
    kept = (
        f"What was kept for {day} can be undone on the page." if taken else "Nothing was changed."
    )
    title = f"Not taken: that message is of {day}, which is over"
    if taken:
        title = f"Taken for {day}" + (": it says nothing of tonight's door" if waits else "")
    subject = f"{'Taken' if taken else 'Not taken'}: a message of {day}"
    body = f"{tonight} {kept}".lstrip()
    return Message(title, body, stem=subject, priority=QUIET, link=link)
