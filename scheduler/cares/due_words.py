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
from scheduler.wording.cares.due import (
    EveryDue,
    FlockDue,
    JoiningDue,
    OwnDue,
    UpkeepDue,
    WeatherDue,
    WhileDue,
    YearDue,
)
from scheduler.wording.words import Words

_UPKEEP: dict[Upkeep, Words] = {
    "stirring": UpkeepDue.stirring,
    "top-up": UpkeepDue.top_up,
    "nest refresh": UpkeepDue.nest_refresh,
    "drinker look": UpkeepDue.drinker_look,
    "drinker scrub": UpkeepDue.drinker_scrub,
    "open water": UpkeepDue.open_water,
}
_CLIMATE = {
    ("low", "rising"): YearDue.low_rises,
    ("low", "falling"): YearDue.low_falls,
    ("high", "rising"): YearDue.high_rises,
    ("high", "falling"): YearDue.high_falls,
}
_CHANCE = {
    ("low", "begins"): YearDue.nights_begin,
    ("low", "ends"): YearDue.nights_end,
    ("high", "begins"): YearDue.days_begin,
    ("high", "ends"): YearDue.days_end,
}
# By the sign, the average, and whether it has an index or days on which it is usual.
_WEATHER = {
    ("frost", "low", False, False): WeatherDue.frost_low,
    ("frost", "high", False, False): WeatherDue.frost_high,
    ("heat", "high", False, False): WeatherDue.heat,
    ("heat", "high", True, False): WeatherDue.damp_heat,
    ("heat", "high", False, True): WeatherDue.usual_heat,
}
# By daily or not, from a named day or not, until one or not.
_OWN = {
    (True, False, False): OwnDue.daily,
    (True, False, True): OwnDue.daily_until,
    (True, True, False): OwnDue.daily_from,
    (True, True, True): OwnDue.daily_from_until,
    (False, False, False): OwnDue.every,
    (False, False, True): OwnDue.every_until,
    (False, True, False): OwnDue.every_from,
    (False, True, True): OwnDue.every_from_until,
}
# By what is measured, and whether it is above its limit or below it.
_WHILE = {
    ("daylight", True): WhileDue.day_above,
    ("daylight", False): WhileDue.day_below,
    ("low", True): WhileDue.low_above,
    ("low", False): WhileDue.low_below,
    ("high", True): WhileDue.high_above,
    ("high", False): WhileDue.high_below,
}


def due_words(  # noqa: C901, PLR0911, PLR0912 - one sentence for each kind of trigger
    care: Care, units: Units
) -> str:
    """The trigger of the care, with temperatures in the keeper's units."""
    match care.due:
        case triggers.Every():
            return _every(care.due, units)
        case triggers.OwnTimes():
            return _own_times(care.due)
        case triggers.OwnHouse(of=of):
            return _UPKEEP[of]()
        case triggers.YearlyCleaning():
            if care.due.of == "clean-out":
                return UpkeepDue.clean_out()
            return UpkeepDue.deep_clean(degrees=_degrees(NIGHTS_WARM_C, units))
        case triggers.SunPasses(angle=angle):
            return YearDue.sun(angle=f"{angle:g}")
        case triggers.DaylightPasses(hours=hours, passing=passing):
            said = YearDue.day_rises if passing == "rising" else YearDue.day_falls
            return said(hours=f"{hours:g}")
        case triggers.ClimatePasses(of=of, at=at, passing=passing, apart=apart):
            return _CLIMATE[of, passing](degrees=_degrees(at, units), apart=apart)
        case triggers.ChancePasses(of=of, at=at, passing=passing, apart=apart):
            return _CHANCE[of, passing](degrees=_degrees(at, units), apart=apart)
        case triggers.WeatherSign():
            return _weather(care.due, units)
        case triggers.Recorded(of=kind):
            command = "birds" if kind in BIRD_KINDS else "weather"
            return WeatherDue.report(command=command, kind=kind)
        case triggers.Forecast(sign=sign):
            return (WeatherDue.wind if sign == "wind" else WeatherDue.roof)()
        case triggers.ClockChanges():
            return YearDue.clock()
        case _:
            return _of_a_flock(care.due, units)


def _degrees(air_c: float, units: Units) -> str:
    return write_quantity(air_c, "temperature", units)


def _weather(due: triggers.WeatherSign, units: Units) -> str:
    said = (
        WeatherDue.emergency
        if due.emergency
        else _WEATHER[due.sign, due.of, due.index is not None, due.usual_days > 0]
    )
    index = "" if due.index is None else f"{due.index:g}"
    return said(degrees=_degrees(due.at, units), index=index, days=due.usual_days)


def _of_a_flock(due: triggers.FlockTrigger, units: Units) -> str:
    match due:
        case triggers.Age():
            return _by_age(due, units)
        case triggers.Arrival(days=days, or_hatched=hatched):
            if days:
                after = FlockDue.after_arrival_or_hatching if hatched else FlockDue.after_arrival
                return after(days=days)
            return FlockDue.arrived_or_hatched() if hatched else FlockDue.arrived()
        case triggers.Quarantined(over=over):
            return FlockDue.quarantine_over() if over else FlockDue.quarantine()
        case triggers.Joining():
            return _joining(due)
        case triggers.FirstOuting():
            return FlockDue.first_outing()


def _by_age(due: triggers.Age, units: Units) -> str:
    start = FlockDue.weeks_old(weeks=due.weeks) if due.weeks else FlockDue.hatched()
    if not due.every_days:
        return start
    longer = due.cold_for_days > 0
    if due.every_days == 1:
        said = FlockDue.daily_longer if longer else FlockDue.daily
    else:
        said = FlockDue.every_longer if longer else FlockDue.every
    return said(
        every=due.every_days,
        days=due.for_days,
        start=start,
        longest=due.cold_for_days,
        degrees=_degrees(OFF_HEAT_NIGHT_C, units),
    )


def _joining(due: triggers.Joining) -> str:
    if due.moves:
        return JoiningDue.moves()
    if due.sleeps:
        return JoiningDue.sleeps(days=due.for_days)
    if due.meets:
        said = JoiningDue.meets_daily if due.for_days > 1 else JoiningDue.meets
        return said(weeks=FREE_RANGE_FROM_WEEKS, days=due.for_days, seen=MEETING_DAYS)
    said = JoiningDue.sees_daily if due.for_days > 1 else JoiningDue.sees
    return said(weeks=SEEING_FROM_WEEKS, days=due.for_days)


def _own_times(due: triggers.OwnTimes) -> str:
    if due.once:
        return OwnDue.once(day=due.once)
    said = _OWN[due.days == 1, due.first is not None, due.last is not None]
    return said(days=due.days, first=due.first, last=due.last)


def _every(due: triggers.Every, units: Units) -> str:
    if due.days == 1:
        return EveryDue.day()
    during = _while(due.during, units) if due.during else ""
    oftener = _while(due.extra.during, units) if due.extra else ""
    if due.extra:
        said = EveryDue.oftener_while_it_is if due.during else EveryDue.oftener
    else:
        said = EveryDue.while_it_is if due.during else EveryDue.days
    return said(days=due.days, while_it_is=during, oftener_while=oftener)


def _while(during: triggers.During, units: Units) -> str:
    limit = during.above if during.above is not None else during.below or 0.0
    said = _WHILE[during.of, during.above is not None]
    return said(hours=f"{limit:g}", degrees=_degrees(limit, units))
