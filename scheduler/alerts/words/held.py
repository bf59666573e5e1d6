"""The message that the push server sends by itself while Duskfold is silent."""

from datetime import tzinfo

from scheduler.alerts.delivery import LOUDEST, Message
from scheduler.alerts.reminded_evening import DoorStates, Evening
from scheduler.alerts.words.doors import all_birds, local_time, open_doors, stem
from scheduler.alerts.words.phrases import titled


def held(evening: Evening, states: DoorStates, zone: tzinfo) -> Message:
    """What the push server says by itself when nobody has taken it back."""
    doors = open_doors(evening, states) or evening.doors
    names = [door.name for door in doors]
    by = local_time(min(door.latest for door in doors), evening, zone)
    return Message(
        title=titled("Is the door shut? ", names, f", {all_birds(doors)}, due {by}"),
        body="Duskfold has not been heard from. Is the door shut? Go and look.",
        stem=stem(evening, zone),
        priority=LOUDEST,
    )
