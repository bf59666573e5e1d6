"""The message that a pressed button counted for nothing, or for another evening, and why."""

from datetime import tzinfo

from scheduler.alerts.delivery import QUIET, Message, site_message
from scheduler.alerts.reminded_evening import Evening
from scheduler.alerts.words.doors import stem
from scheduler.alerts.words.phrases import SHORT_NAME, TITLE_LENGTH, short
from scheduler.alerts.words.who_said import said_last
from scheduler.cares.door_state import Door
from scheduler.profile.words import day_words

_OF_A_DOOR = frozenset({"closed", "reopened", "back"})


def not_taken(evening: Evening, state: Door, zone: tzinfo) -> Message:
    """Why a pressed answer counts no more: what was said of the door meanwhile, and by whom."""
    last = state.last
    if last is None or (state.state == "open" and not {last.kind, last.was} & _OF_A_DOOR):
        title = "Not taken: that message was of an earlier turn. Look at the page"
        return Message(title=title, body=title, stem=stem(evening, zone), priority=QUIET)
    newer = said_last(evening, state, zone)
    if len(evening.doors) > 1:
        name = next(door.name for door in evening.doors if door.coop_id == last.coop_id)
        newer = f"{short(name, SHORT_NAME)}: {newer}"
    return Message(
        title=f"Not taken: {newer}"[:TITLE_LENGTH],
        body=f"Not taken: {newer}. If that is wrong, say so on the page.",
        stem=stem(evening, zone),
        priority=QUIET,
    )


def renewed_since(link: str) -> Message:
    """Why a button is dead whose person is here: they were put back, or their links renewed."""
    title = "Not taken: your buttons are newer now. Use the newest message, or the page"
    body = "You were put back into the profile, or your links were renewed, since that message."
    return site_message(title, body, link=link)


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
    return Message(
        title=title,
        body=f"{tonight} {kept}".lstrip(),
        stem=f"{'Taken' if taken else 'Not taken'}: a message of {day}",
        priority=QUIET,
        link=link,
    )
