"""The messages that a changed profile is refused, and who is told and called by it from now on."""

from collections.abc import Sequence

from scheduler.alerts.delivery import QUIET, Message
from scheduler.messages.phrases import ENTRY, SHORT_NAME, is_are, joined, short, titled


def profile_refused(problems: int) -> Message:
    """The changed profile cannot be used."""
    count = f"{problems} problem{'' if problems == 1 else 's'}"
    title = f"The changed profile has {count}; the old one is in force"
    body = "Look at the machine that runs Duskfold: its check says what is wrong, and where."
    return Message(title, body)


def profile_not_followed(why: str, remedy: str) -> Message:
    """The changed profile is right in itself, but cannot take over."""
    title = "The changed profile is not in force; the old one is"
    return Message(title, f"The reason: {why}. {remedy}")


def no_more_reminders(names: Sequence[str]) -> Message:
    """The changed profile has no birds in these houses any more."""
    title = titled("No more reminders for ", names, ": the profile has no birds there")
    body = "If birds sleep there tonight, shut the door, and put them back into the profile."
    return Message(title, body)


def renamed(asked: Sequence[str]) -> Message:
    """The changed profile has new ids where there may only be new names."""
    title = "Is it only a new name? The profile calls something by another id"
    return Message(title, " ".join(asked))


def left(
    names: Sequence[str],
    duty: str,
    then: str,
    *,
    had_them: bool,
    tonight: tuple[str, str] | None = None,
) -> Message:
    """Who is not told any more, and who has the evenings now, if they have not `had_them`.

    `then` is called when they do not answer; empty where nobody is. `tonight` is who has, and who
    is called in, an evening that has begun: it goes on without whoever is new.
    """
    first, second = short(duty, SHORT_NAME), short(then, SHORT_NAME) or "nobody"
    what = f"{second} is called after {first}" if had_them else f"{first} has the evenings"
    has_tonight, called_tonight = tonight or (duty, then)
    is_other = (has_tonight, called_tonight) != (duty, then)
    is_later = called_tonight != then if had_them else has_tonight != duty
    until_then = ""
    if is_later and not had_them:
        until_then = f"Tonight {has_tonight} is on duty. "
    elif is_later and called_tonight:
        until_then = f"Tonight {called_tonight} is called after {has_tonight}. "
    then_called = f"{then} is called" if then else "nobody else is called"
    body = f"If {duty} does not answer, {then_called}" + (", from tomorrow on" if is_other else "")
    body += "." if then else ": give somebody else a push topic or a mail address in the profile."
    after = f": {what} {'from tomorrow' if is_later else 'now'}"
    title = titled("", names, f" {is_are(len(names))} no longer told{after}", "people")
    return _changed(title, f"{until_then}{body}")


def duty_moved(had: str, duty: str, then: str, tonight: tuple[str, str]) -> Message:
    """Another person stands first in the profile: who has the evenings now, or from tomorrow.

    `tonight`: who had the evening under way, or the next, before that and who has it now.
    """
    first, before = short(duty, SHORT_NAME), short(had, SHORT_NAME)
    had_tonight, has_tonight = tonight
    when = "From now on" if has_tonight == duty else "From tomorrow"
    title = f"{when} {first} has the evenings, {'no longer' if had_tonight == had else 'not'} "
    title += before
    if had_tonight == has_tonight == duty:  # the other one was to have them, and never had
        title = f"{first} keeps the evenings: they do not pass to {before} tomorrow"
    return _changed(title, f"If {duty} does not answer, {then} is called.")


def duty_is_back(had: str, has: str, then: str, duty: str) -> Message:
    """Who has the evening under way again, from whom, and who has the evenings after it."""
    first, before = short(has, SHORT_NAME), short(had, SHORT_NAME)
    called = f"{then} is called" if then else "everybody is called"
    after = f" From tomorrow {duty} has the evenings." if duty != has else ""
    title = f"Tonight {first} is on duty again, no longer {before}"
    return _changed(title, f"If {has} does not answer, {called}.{after}")


def second_is_back(duty: str, then: str) -> Message:
    """Who is called again, in the evening under way, when whoever is on duty does not answer."""
    first, second = short(duty, SHORT_NAME), short(then, SHORT_NAME)
    return _changed(f"Tonight {second} is called after {first} again")


def _changed(title: str, body: str = "") -> Message:
    meant = "The profile was changed. If that was not meant, change it back."
    return Message(title, f"{body} {meant}".lstrip(), stem=ENTRY, priority=QUIET)


def left_line(names: Sequence[str]) -> str:
    """The same in the brief, of people who were not called before others."""
    return f"{joined(names)} {is_are(len(names))} no longer told when a door stays open."
