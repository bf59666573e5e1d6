"""The messages that a changed profile is refused, and who is told and called by it from now on."""

from collections.abc import Iterator, Sequence
from datetime import date

from scheduler.alerts.delivery import QUIET, Message
from scheduler.messages.phrases import SHORT_NAME, fitted, short
from scheduler.wording.messages.let_in import LetIn
from scheduler.wording.messages.profile_changed import Duty, Left, Profile, Week
from scheduler.wording.messages.reminders import Many
from scheduler.wording.spoken import listed, weekday
from scheduler.wording.told_later import told


def profile_refused(problems: int) -> Message:
    """The changed profile cannot be used."""
    return Message(Profile.refused(count=problems), Profile.refused_body())


def profile_not_followed(why: str, remedy: str) -> Message:
    """The changed profile is right in itself, but cannot take over."""
    body = Profile.not_followed_body(why=told(why), remedy=remedy)
    return Message(Profile.not_followed(), body)


def no_more_reminders(names: Sequence[str]) -> Message:
    """The changed profile has no birds in these houses any more."""
    title = fitted(lambda where: Profile.no_birds(names=where), names)
    return Message(title, Profile.no_birds_body())


def renamed(asked: Sequence[str]) -> Message:
    """The changed profile has new ids where there may only be new names."""
    return Message(Profile.renamed(), " ".join(asked))


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
    first, second, count = short(duty, SHORT_NAME), short(then, SHORT_NAME), len(names)
    has_tonight, called_tonight = tonight or (duty, then)
    is_other = (has_tonight, called_tonight) != (duty, then)
    is_later = called_tonight != then if had_them else has_tonight != duty
    body = []
    if is_later and not had_them:
        body.append(Duty.tonight(who=has_tonight))
    elif is_later and called_tonight:
        body.append(Duty.called_tonight(second=called_tonight, who=has_tonight))
    if then:
        then_called = Duty.then_called_later if is_other else Duty.then_called
        body.append(then_called(who=duty, second=then))
    else:
        body.append((Duty.then_nobody_later if is_other else Duty.then_nobody)(who=duty))

    def title(where: str) -> str:
        if had_them and second:
            called = Left.called_later if is_later else Left.called_now
            return called(names=where, count=count, second=second, who=first)
        says = Left.has_later if is_later else Left.has_now
        if had_them:
            says = Left.nobody_later if is_later else Left.nobody_now
        return says(names=where, count=count, who=first)

    return _changed(fitted(title, names, Many.people), " ".join(body))


def duty_moved(had: str, duty: str, then: str, tonight: tuple[str, str]) -> Message:
    """Another person stands first in the profile: who has the evenings now, or from tomorrow.

    `tonight`: who had the evening under way, or the next, before that and who has it now.
    """
    first, before = short(duty, SHORT_NAME), short(had, SHORT_NAME)
    had_tonight, has_tonight = tonight
    if has_tonight == duty:
        says = Duty.moved_now if had_tonight == had else Duty.moved_now_not
    else:
        says = Duty.moved_later if had_tonight == had else Duty.moved_later_not
    if had_tonight == has_tonight == duty:  # the other one was to have them, and never had
        says = Duty.kept
    title = says(who=first, before=before)
    return _changed(title, Duty.then_called(who=duty, second=then))


def days_moved(tonight: str, then: str, days: Sequence[tuple[str, Sequence[date]]]) -> Message:
    """Another person has some day of the week: who has tonight, and who has each of seven days.

    `then` is called tonight when whoever has it does not answer; empty where nobody is.
    """
    body = [Duty.tonight(who=tonight)] if tonight else []
    if then:
        body.append(Duty.then_called(who=tonight, second=then))
    return _changed(Week.moved(), " ".join([*body, *_whose(days)]))


def left_days(
    names: Sequence[str], tonight: str, then: str, days: Sequence[tuple[str, Sequence[date]]]
) -> Message:
    """Who is not told any more, and who has tonight and each of seven days instead."""
    first, count = short(tonight, SHORT_NAME), len(names)
    title = fitted(lambda where: Week.left(names=where, count=count, who=first), names, Many.people)
    nobody = Duty.then_nobody(who=tonight)
    then_called = Duty.then_called(who=tonight, second=then) if then else nobody
    return _changed(title, " ".join([then_called, *_whose(days)]))


def _whose(days: Sequence[tuple[str, Sequence[date]]]) -> Iterator[str]:
    for who, theirs in days:
        yield Week.whose(who=who, days=listed([weekday(day) for day in theirs]))


def duty_is_back(had: str, has: str, then: str, duty: str) -> Message:
    """Who has the evening under way again, from whom, and who has the evenings after it."""
    first, before = short(has, SHORT_NAME), short(had, SHORT_NAME)
    body = [Duty.then_called(who=has, second=then) if then else Duty.then_everybody(who=has)]
    if duty != has:
        body.append(Duty.from_tomorrow(who=duty))
    return _changed(Duty.back(who=first, before=before), " ".join(body))


def second_is_back(duty: str, then: str) -> Message:
    """Who is called again, in the evening under way, when whoever is on duty does not answer."""
    first, second = short(duty, SHORT_NAME), short(then, SHORT_NAME)
    return _changed(Duty.second_back(second=second, who=first))


def _changed(title: str, body: str = "") -> Message:
    said = " ".join(filter(None, (body, Profile.if_not_meant())))
    return Message(title, said, stem=LetIn.stem(), priority=QUIET)


def left_line(names: Sequence[str]) -> str:
    """The same in the brief, of people who were not called before others."""
    return Left.in_brief(names=listed(names), count=len(names))
