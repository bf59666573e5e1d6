"""The messages that Duskfold itself is not to be relied on: its disk, its clock, its sums."""

from datetime import date

from scheduler.alerts.delivery import LOUD, LOUDEST, Message
from scheduler.messages.phrases import titled
from scheduler.profile.words import day_words


def not_written(*, on_a_server: bool = False) -> Message:
    """The journal cannot be written, and that will not mend itself."""
    if on_a_server:
        title = "Duskfold cannot reach its database; reminders go on from memory"
        body = (
            "Until it can, nothing you say of a door is kept, and each of its machines reminds by "
            "itself. Look at the database's machine and at the network between them."
        )
        return Message(title, body)
    title = "Duskfold cannot write to its disk; reminders go on from memory"
    body = (
        "Until it can, nothing you say of a door is kept, and the reminders do not stop. Look "
        "at the disk of Duskfold's machine: it may be full, or may not be written."
    )
    return Message(title, body)


def cannot_plan(coop_name: str) -> Message:
    """One house's evening cannot be worked out."""
    title = titled("Watch the door yourself: ", [coop_name], ", no reminders for it")
    body = "Duskfold cannot work out this house's evening. That is a fault of the program."
    return Message(title, body, priority=LOUDEST)


def recovered(how: str) -> Message:
    """The journal was damaged: what is known now, from a "copy" or "empty"."""
    title = "Duskfold's records were damaged; open evenings are told again"
    body = {
        "copy": "The last nightly copy is in use: what was said since then is not known.",
        "empty": "There was no copy: nothing said so far is known.",
    }[how]
    return Message(title, body, priority=LOUD)


def unknown_time() -> Message:
    """The clock cannot be right."""
    title = "Duskfold does not know what time it is: watch the door yourself"
    body = (
        "The clock of its machine stands before a time it has already seen. No reminders go "
        "out until it is set. You can still confirm a door."
    )
    return Message(title, body, priority=LOUDEST)


def said_ahead(*, is_sure: bool) -> Message:
    """The clock ran ahead: what was said by it would silence an evening that is to come.

    Unless that `is_sure`, only what was said of doors to be shut was taken back.
    """
    title = "Nothing said while Duskfold's clock was wrong counts: look at the doors"
    body = (
        "Its clock ran ahead and has been set back. Whatever was said in that time, of doors "
        "and jobs or of weather, predators and orders, is taken back, and the reminders go on: "
        "say it again where it is true."
    )
    if not is_sure:
        title = "Duskfold's clock was set back: say again which doors are shut"
        body = (
            "By what it shows now, a door was said to be shut on an evening that is still to come. "
            "That does not count, and the reminders go on. Everything else that was said stands."
        )
    return Message(title, body, priority=LOUD)


def clock_ahead(day: date, clock: str) -> Message:
    """The clock shows a time far ahead of what it showed before, and nobody has agreed to it."""
    title = f"Is it {clock} on {day:%A} {day.day} {day:%B %Y}? Duskfold's clock says so"
    body = (
        "It is far ahead of what it showed when Duskfold last ran. Reminders go by it. If it "
        "is right, say so on the Status page; if not, set the clock of Duskfold's machine."
    )
    return Message(title, body)


def missed_evenings(first: date, count: int) -> Message:
    """So many evenings had no reminder, whatever the reason."""
    when = day_words(first)
    title = f"No reminders went out on {count:,} evenings since {when}"
    if count == 1:
        title = f"No reminder went out on the evening of {when}"
    body = "Duskfold was off, or could reach nobody. Look whether all is in order, and count."
    return Message(title, body, priority=LOUD)


def not_relied_on(what: str) -> str:
    """In the brief, why nobody can count on being reminded; `what` is a whole sentence."""
    return f"Do not rely on the reminders now. {what}"
