"""What makes a care due, in a few words."""

from scheduler.cares import triggers
from scheduler.cares.catalogue import Care
from scheduler.cares.cleaning import NIGHTS_WARM_C
from scheduler.cares.house_intervals import Upkeep
from scheduler.cares.records import BIRD_KINDS
from scheduler.husbandry.age import FREE_RANGE_FROM_WEEKS, MEETING_DAYS, SEEING_FROM_WEEKS
from scheduler.husbandry.growth import OFF_HEAT_NIGHT_C
from scheduler.profile.quantity import write_quantity
from scheduler.profile.units import Units

_UPKEEP: dict[Upkeep, str] = {
    "stirring": "the moisture on your own floor: one to four times a week",
    "top-up": "the moisture on your own floor: every 14, 28 or 56 days",
    "nest refresh": "hens a nest: twice a week where more than five share one, else weekly",
    "drinker look": "each evening while full drinkers would not last a day and a half",
    "drinker scrub": "your drinkers: weekly, twice a week in warm weather; nipples half as often",
    "open water": "each evening where water stands open",
}


def due_words(  # noqa: C901, PLR0911 - one sentence for each kind of trigger
    care: Care, units: Units
) -> str:
    """The trigger of the care, with temperatures in the keeper's units."""
    match care.due:
        case triggers.Every():
            return _every(care.due, units)
        case triggers.OwnTimes():
            return _own_times(care.due)
        case triggers.OwnHouse(of=of):
            return _UPKEEP[of]
        case triggers.YearlyCleaning():
            return _cleaning(care.due, units)
        case triggers.SunPasses(angle=angle):
            return f"each evening on which the sun passes {angle:g}°"
        case triggers.DaylightPasses(hours=hours, passing=passing):
            way = "rises" if passing == "rising" else "falls"
            return f"the day length {way} past {hours:g} h"
        case triggers.ClimatePasses(of=of, at=at, passing=passing, apart=apart):
            degrees = write_quantity(at, "temperature", units)
            way = "rises" if passing == "rising" else "falls"
            return f"the average {of} {way} past {degrees}, at least {apart} days apart"
        case triggers.WeatherSign():
            return _weather(care.due, units)
        case triggers.Recorded(of=kind):
            command = "birds" if kind in BIRD_KINDS else "weather"
            return f"a report: duskfold {command} {kind}"
        case triggers.ClockChanges():
            return "the day before the clock changes"
        case _:
            return _of_a_flock(care.due, units)


def _cleaning(due: triggers.YearlyCleaning, units: Units) -> str:
    if due.of == "deep clean":
        degrees = write_quantity(NIGHTS_WARM_C, "temperature", units)
        return f"once a year, as nights warm past {degrees}, else fifteen weeks after midwinter"
    return (
        "the moisture on your own floor over the year: once, three or five times besides "
        "the deep clean, before the frost and months apart"
    )


def _weather(due: triggers.WeatherSign, units: Units) -> str:
    beyond = "at or below" if due.sign == "frost" else "at or above"
    degrees = write_quantity(due.at, "temperature", units)
    damp = f", or a heat index of {due.index:g} in damp air" if due.index is not None else ""
    usual = f"an average {due.of} {beyond} {degrees}{damp}"
    usual += f", then every {due.usual_days} days" if due.usual_days else ""
    return f"{due.sign} as you report it, else {usual}"


def _of_a_flock(due: triggers.FlockTrigger, units: Units) -> str:
    match due:
        case triggers.Age(weeks=weeks, every_days=every, for_days=days, cold_for_days=cold):
            start = _after("a flock's hatch date", weeks, "week")
            again = "every day" if every == 1 else f"every {every} days"
            degrees = write_quantity(OFF_HEAT_NIGHT_C, "temperature", units)
            longer = f"; {cold} where nights stay below {degrees}" if cold else ""
            return f"{again}, for {days} days from {start}{longer}" if every else start
        case triggers.Arrival(days=days, or_hatched=hatched):
            start = f"a flock's day of arrival{' or hatching' if hatched else ''}"
            return _after(start, days, "day")
        case triggers.Quarantined(over=over):
            day = "the first day after" if over else "each day of"
            return f"{day} a bought flock's quarantine"
        case triggers.Joining():
            return _joining(due)
        case triggers.FirstOuting():
            return (
                "the first day on which nothing keeps in a flock that came, moved or hatched here"
            )


_ONCE = "; where they share a house, on the first of these days or when they joined"


def _joining(due: triggers.Joining) -> str:
    if due.moves:
        return (
            "the first day on which a flock may sleep in the house of others, and again weekly for "
            "three weeks until it does"
        )
    if due.sleeps:
        return (
            f"every day, for {due.for_days} days from when a flock moved in with others; where "
            "their lamp is too long for it, it is told first to sleep apart"
        )
    weeks = FREE_RANGE_FROM_WEEKS if due.meets else SEEING_FROM_WEEKS
    again = f"every day, for {due.for_days} days from " if due.for_days > 1 else ""
    week = f"{MEETING_DAYS} days after they may be seen, " if due.meets else ""
    return (
        f"{again}{weeks} weeks after a flock's hatch date; of a bought one {week}"
        f"once its quarantine is over{_ONCE if due.meets and due.for_days > 1 else ''}"
    )


def _after(start: str, number: int, unit: str) -> str:
    if not number:
        return start
    return f"{number} {unit}{'' if number == 1 else 's'} after {start}"


def _own_times(due: triggers.OwnTimes) -> str:
    if due.once:
        return f"your own date: {due.once}"
    text = "every day" if due.days == 1 else f"every {due.days} days"
    text += f", from {due.first}" if due.first else ", counted from the day you added it"
    text += ", or last did it"
    return text + (f", until {due.last}" if due.last else "")


def _every(due: triggers.Every, units: Units) -> str:
    if due.days == 1:
        return "every day"
    text = f"every {due.days} days"
    if due.during:
        text += f", while {_part(due.during, units)}"
    if due.extra:
        text += f"; more often while {_part(due.extra.during, units)}"
    return text


def _part(during: triggers.During, units: Units) -> str:
    name = "the day is" if during.of == "daylight" else f"the average {during.of} is"
    limit = during.above if during.above is not None else during.below or 0.0
    amount = (
        f"{limit:g} h" if during.of == "daylight" else write_quantity(limit, "temperature", units)
    )
    return f"{name} {'above' if during.above is not None else 'below'} {amount}"
