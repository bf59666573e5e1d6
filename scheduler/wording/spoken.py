"""Dates and lists as they are said: each of them in one place, so that a language has one."""

from collections.abc import Sequence
from datetime import date

from scheduler.wording.words import Words, every


class Weekdays:
    """The days of the week, Monday first."""

    mon = Words("Monday")
    tue = Words("Tuesday")
    wed = Words("Wednesday")
    thu = Words("Thursday")
    fri = Words("Friday")
    sat = Words("Saturday")
    sun = Words("Sunday")


class ShortWeekdays:
    """The days of the week in three letters, Monday first."""

    mon = Words("Mon")
    tue = Words("Tue")
    wed = Words("Wed")
    thu = Words("Thu")
    fri = Words("Fri")
    sat = Words("Sat")
    sun = Words("Sun")


class Months:
    """The months, January first."""

    jan = Words("January")
    feb = Words("February")
    mar = Words("March")
    apr = Words("April")
    may = Words("May")
    jun = Words("June")
    jul = Words("July")
    aug = Words("August")
    sep = Words("September")
    oct = Words("October")
    nov = Words("November")
    dec = Words("December")


class ShortMonths:
    """The months in three letters, January first."""

    jan = Words("Jan")
    feb = Words("Feb")
    mar = Words("Mar")
    apr = Words("Apr")
    may = Words("May")
    jun = Words("Jun")
    jul = Words("Jul")
    aug = Words("Aug")
    sep = Words("Sep")
    oct = Words("Oct")
    nov = Words("Nov")
    dec = Words("Dec")


class Dates:
    """A date, as short as the place has room for."""

    day_and_month = Words("{day} {month}")
    with_weekday = Words("{weekday} {day} {month}")
    day_month_year = Words("{day} {month} {year}")
    weekday_and_year = Words("{weekday} {day} {month} {year}")
    month_and_year = Words("{month} {year}")


class Sentences:
    """A text that stands by itself."""

    whole = Words("{said}.")


class HowLong:
    """How long something takes or lasts."""

    minutes = Words("{minutes}\u00a0min")
    hours = Words("{hours}\u00a0h")
    hours_and_minutes = Words("{hours}\u00a0h {minutes}\u00a0min")


class Lists:
    """Several things in a row."""

    more = Words("{first}, {rest}")
    last = Words("{before}, {last}")
    last_and = Words("{before} and {last}")
    last_or = Words("{before} or {last}")
    next = Words("{first}; {rest}")


_WEEKDAYS = tuple(every(Weekdays).values())
_SHORT_WEEKDAYS = tuple(every(ShortWeekdays).values())
_MONTHS = tuple(every(Months).values())
_LONG_H = 2  # from so many hours on they are said as hours
_SHORT_MONTHS = tuple(every(ShortMonths).values())


def weekday(day: date) -> str:
    """The day of the week: Saturday."""
    return _WEEKDAYS[day.weekday()]()


def weekday_numbered(number: int) -> str:
    """The day of the week by its number, from 0 for Monday."""
    return _WEEKDAYS[number]()


def short_weekday(day: date) -> str:
    """The day of the week: Sat."""
    return _SHORT_WEEKDAYS[day.weekday()]()


def month(day: date) -> str:
    """The month: December."""
    return _MONTHS[day.month - 1]()


def short_month(day: date) -> str:
    """The month: Dec."""
    return _SHORT_MONTHS[day.month - 1]()


def short_day(day: date) -> str:
    """The date: Sat 26 Dec."""
    return Dates.with_weekday(weekday=short_weekday(day), day=day.day, month=short_month(day))


def long_day(day: date) -> str:
    """The date: Saturday 26 December."""
    return Dates.with_weekday(weekday=weekday(day), day=day.day, month=month(day))


def day_and_month(day: date) -> str:
    """The date: 26 December."""
    return Dates.day_and_month(day=day.day, month=month(day))


def short_day_and_month(day: date) -> str:
    """The date: 26 Dec."""
    return Dates.day_and_month(day=day.day, month=short_month(day))


def short_day_with_year(day: date) -> str:
    """The date: Sat 26 Dec 2026."""
    return Dates.weekday_and_year(
        weekday=short_weekday(day), day=day.day, month=short_month(day), year=day.year
    )


def long_day_with_year(day: date) -> str:
    """The date: Saturday 26 December 2026."""
    return Dates.weekday_and_year(
        weekday=weekday(day), day=day.day, month=month(day), year=day.year
    )


def day_month_year(day: date) -> str:
    """The date: 26 December 2026."""
    return Dates.day_month_year(day=day.day, month=month(day), year=day.year)


def month_and_year(day: date) -> str:
    """The month: December 2026."""
    return Dates.month_and_year(month=month(day), year=day.year)


def short_month_and_year(day: date) -> str:
    """The month: Dec 2026."""
    return Dates.month_and_year(month=short_month(day), year=day.year)


def sentence(said: str) -> str:
    """The text with its full stop."""
    return Sentences.whole(said=said)


def span_of(minutes: int) -> str:
    """How long that is: "95 min", from two hours on "3 h 36 min" or "3 h"."""
    hours, rest = divmod(minutes, 60)
    if hours < _LONG_H:
        return HowLong.minutes(minutes=minutes)
    return (
        HowLong.hours_and_minutes(hours=hours, minutes=rest) if rest else HowLong.hours(hours=hours)
    )


def in_a_row(items: Sequence[str]) -> str:
    """All of them with nothing between the last two: "a, b, c"; "" for none."""
    return _in_a_row(items, Lists.last)


def listed(items: Sequence[str]) -> str:
    """All of them: "a", "a and b", "a, b and c"; "" for none."""
    return _in_a_row(items, Lists.last_and)


def listed_or(items: Sequence[str]) -> str:
    """One of them: "a", "a or b", "a, b or c"; "" for none."""
    return _in_a_row(items, Lists.last_or)


def one_by_one(items: Sequence[str]) -> str:
    """All of them, each with commas of its own perhaps: "a; b; c"; "" for none."""
    said = "".join(items[-1:])
    for item in reversed(items[:-1]):
        said = Lists.next(first=item, rest=said)
    return said


def _in_a_row(items: Sequence[str], ending: Words) -> str:
    if len(items) < 2:  # noqa: PLR2004
        return "".join(items)
    before = items[-2]
    for item in reversed(items[:-2]):
        before = Lists.more(first=item, rest=before)
    return ending(before=before, last=items[-1])
