"""The answers under a reminder."""

from scheduler.alerts.delivery import Button
from scheduler.alerts.reminded_evening import DoorStates, Evening
from scheduler.alerts.words.doors import open_doors
from scheduler.cares.closing import MANY_BIRDS
from scheduler.tokens.answer import SignedAnswer, Verb

LOOKS_LIKE_ALL = "Shut, looks like all"


def shut_buttons(  # noqa: PLR0913, PLR0917 - all that an answer stands for
    evening: Evening,
    states: DoorStates,
    opening: int,
    person_id: str,
    key: bytes,
    generation: int = 0,
) -> tuple[Button, ...]:
    """The three answers that shut the evening's open doors."""
    doors = open_doors(evening, states)
    total = sum(door.birds for door in doors)
    said = tuple(states[door.coop_id].expected for door in evening.doors)
    many = any(door.birds >= MANY_BIRDS for door in doors)
    in_now = f"All {total} in" if total > 1 else ("In" if total else "None in")
    labels: tuple[tuple[str, Verb], ...] = (
        (f"{in_now}, shut", "all-in"),
        ("Shut, some missing", "some-missing"),
        (LOOKS_LIKE_ALL if many else "Shut, not counted", "not-counted"),
    )
    return tuple(
        Button(
            label=label,
            answer=SignedAnswer(
                verb=verb,
                site_id=evening.site_id,
                day=evening.day,
                subject_id=evening.subject_id,
                opening=opening,
                person_id=person_id,
                generation=generation,
                birds=said if verb == "all-in" else None,
            ).text(key),
        )
        for label, verb in labels
    )
