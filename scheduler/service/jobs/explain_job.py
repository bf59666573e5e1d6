"""Why a job or the lock-up is what it is: rows that a command and a page show."""

from collections.abc import Collection, Sequence
from datetime import date, timedelta
from functools import partial
from typing import NamedTuple

from scheduler.cares import reasons
from scheduler.cares.catalogue import Care, in_force, leans_on_climate
from scheduler.cares.catalogue_words import spoken
from scheduler.cares.coop_day import CoopDay
from scheduler.cares.day_lines import day_lines
from scheduler.cares.day_plan import Task
from scheduler.cares.due_words import due_words
from scheduler.cares.emptied import Place
from scheduler.cares.house_intervals import Upkeep, load_of, load_over_the_year, water_need_l
from scheduler.cares.lamp import light_on
from scheduler.cares.plan import plan, sky_over, tasks_of, waits_for_the_end_of
from scheduler.cares.records import Records, ReportKind
from scheduler.cares.report_words import report_words
from scheduler.cares.triggers import Every, OwnHouse, Recorded, WeatherSign, YearlyCleaning
from scheduler.climate.curve import averages
from scheduler.husbandry.consumption import BeddingLoad, capacity_l
from scheduler.husbandry.upkeep import cleanings_a_year, stirs_a_week, top_up_days
from scheduler.light.sun import At, Crossing
from scheduler.profile.coop import Coop
from scheduler.profile.quantity import reckoned, write, write_quantity
from scheduler.profile.units import Extent, Units
from scheduler.profile.values import Profile
from scheduler.profile.words import clock, local_clock
from scheduler.service.household.open_profile import Household
from scheduler.service.jobs.which_job import DayTime
from scheduler.wording.cares.tasks import TaskWords

AHEAD = timedelta(days=399)
_TIMES = {1: "once", 2: "twice"}
_BY_PROFILE = "That is set in the profile, where Duskfold runs."
_UNMEASURED: dict[Upkeep, str] = {
    "stirring": "stir it weekly, and twice a week in the cold",
    "top-up": "top it up every 28 days",
}


class Labelled(NamedTuple):
    """One labelled sentence; with the coop's id where it holds for that house alone.

    `in_profile` is the same for whoever has the profile open: what is written there, by its keys.
    """

    label: str
    text: str
    coop: str | None = None
    in_profile: str = ""


def explain(
    household: Household,
    records: Records,
    job: Care | DayTime,
    day: date,
    empty: Collection[Place] = frozenset(),
) -> tuple[Labelled, ...]:
    """Why it is due on that day or not, its rule, figures and source, and what would change it.

    The coops in `empty`, by id and date, have no birds then, and no jobs.
    """
    if isinstance(job, Care):
        return tuple(_job(household, records, job, day, empty))
    profile = household.profile
    coops = plan(profile, records, day, day, household.catalogue).days[0].coops
    predators = _reported("predator", profile, records, day)
    rows = partial(_lock_up, asked=predators) if job == "lock-up" else partial(_time, key=job)
    return tuple(row for coop in coops for row in rows(profile, coop))


def _job(
    household: Household, records: Records, care: Care, day: date, empty: Collection[Place]
) -> list[Labelled]:
    profile = household.profile
    tasks = tasks_of(care.id, profile, records, day, day + AHEAD, household.catalogue, empty)
    dates = {task.day: task for task in tasks}
    today = [task for task in tasks if task.day == day]
    shown = today or list(dates.values())
    by_house = _by_house(profile, [task for task in shown if task.day == shown[0].day])
    title, why = spoken(care.title, profile), spoken(care.why, profile)
    if shown:
        title, why = "; ".join(by_house) or shown[0].title, shown[0].why
    in_use = care.id in {each.id for each in in_force(profile, household.catalogue)}
    minutes = sum(t.minutes for t in tasks if t.day == shown[0].day) if shown else care.minutes
    rows = [Labelled("Job", f"{title} ({minutes} min, {care.round})")]
    if not in_use:
        keys = f"not in your plan. To switch it on: [cares.{care.id}] on = true"
        rows.append(Labelled("Off", f"It is not in your plan. {_BY_PROFILE}", in_profile=keys))
    following = ", ".join(str(each) for each in list(dates)[:4])
    unknown = in_use and waits_for_the_end_of(care, profile, records, day, household.catalogue)
    # Of every other mark the text itself says what was read and what was not.
    source = f"{care.source} (the source was read)" if care.mark == "S" else care.source
    rows += [
        Labelled("On that day", "due" if today else "not due"),
        Labelled("Next", following or unknown or "not in the coming year"),
        Labelled("Why", " ".join(by_house.values()) or why),
        Labelled("Due by", due_words(care, profile.units)),
        *_asking(care, profile, records, day),
        *_figures(care, profile, records, day),
        Labelled("Source", source),
        _change(care),
    ]
    if averages(profile).estimated and leans_on_climate(care):
        rows.append(Labelled("Climate", TaskWords.estimated()))
    return rows


def _by_house(profile: Profile, tasks: Sequence[Task]) -> dict[str, str]:
    """Title and reason in each of several houses; nothing where they are the same in all."""
    names = profile.house_names
    is_same = len({task.title for task in tasks}) <= 1
    if is_same or any(task.subject_id not in names for task in tasks):
        return {}
    return {
        f"{task.title} ({names[task.subject_id]})": f"{names[task.subject_id]}: {task.why}"
        for task in tasks
    }


def _asking(care: Care, profile: Profile, records: Records, day: date) -> list[Labelled]:
    """The reports that hold on that day and may make the job due."""
    if not isinstance(care.due, Recorded | WeatherSign):
        return []
    kind = care.due.of if isinstance(care.due, Recorded) else care.due.sign
    told = _reported(kind, profile, records, day)
    return [Labelled("Reported", told)] if told else []


def _reported(kind: ReportKind, profile: Profile, records: Records, day: date) -> str:
    return "; ".join(report_words(one, profile.units) for one in records.of(kind, day))


def _figures(care: Care, profile: Profile, records: Records, day: date) -> list[Labelled]:
    yearly = averages(profile)
    usual = reasons.usual_air(yearly, day, profile.units)
    rows = [Labelled("Averages", usual)] if leans_on_climate(care) else []
    for coop in profile.coop:
        if isinstance(care.due, YearlyCleaning):
            rows.append(Labelled(coop.name, _cleaned(profile, coop, day), coop.id))
        if not isinstance(care.due, OwnHouse):
            continue
        if care.due.of in {"stirring", "top-up"}:
            rows.append(Labelled(coop.name, _floor(care.due.of, profile, coop, day), coop.id))
        if care.due.of == "drinker look":
            holds, holds_l = "Nobody has said how much the drinkers hold", capacity_l(coop)
            if holds_l is not None:
                holds = f"The drinkers hold {write_quantity(holds_l, 'volume', profile.units)}"
            need_l = water_need_l(profile, coop, yearly, records, day)
            need = write_quantity(need_l, "volume", profile.units)
            rows.append(Labelled(coop.name, f"{holds}. The birds need {need} a day.", coop.id))
    return rows


def _floor(of: Upkeep, profile: Profile, coop: Coop, day: date) -> str:
    light = light_on(coop, profile.flocks_on(coop.id, day), sky_over(profile), day)
    load = load_of(profile, coop, averages(profile), day, light)
    if not load or not coop.floor:
        return f"{_unknown(coop)}: {_UNMEASURED[of]}"
    times = stirs_a_week(load)
    asks = f"stir it {_TIMES.get(times, f'{times} times')} a week"
    if of == "top-up":
        asks = f"top it up every {top_up_days(load)} days"
    return f"{_moisture(load, coop.floor, profile.units)}: {asks}"


def _cleaned(profile: Profile, coop: Coop, day: date) -> str:
    load = load_over_the_year(profile, coop, averages(profile), day)
    if not load or not coop.floor:
        return f"{_unknown(coop)}: clean it out twice a year"
    number = cleanings_a_year(load)
    times = _TIMES.get(number, f"{number} times")
    moisture = _moisture(load, coop.floor, profile.units)
    return f"{moisture} over the year: clean it out {times} a year"


def _unknown(coop: Coop) -> str:
    """Why nothing is reckoned: the floor was not measured, or nobody lives on it."""
    return "no birds live there" if coop.floor else "the floor has not been measured"


def _moisture(load: BeddingLoad, floor: Extent, units: Units) -> str:
    water = write(reckoned(load.water_g_m2_day, "g/m²", 0), units)
    return f"{water} of water a day on {write(reckoned(floor.area_m2, 'm²', 1), units)}"


def _change(care: Care) -> Labelled:
    table_name = f"[cares.{care.id}]"
    often, key = "", ""
    if isinstance(care.due, Every | OwnHouse | YearlyCleaning):
        often, key = "how often it comes, ", 'every = "5 days", '
    what = f"You can set {often}its minutes, its time of day and its words, or leave it out."
    keys = f"{table_name} {key}minutes, round, text, or on = false"
    return Labelled("To change", f"{what} {_BY_PROFILE}", in_profile=keys)


def _lock_up(profile: Profile, coop: CoopDay, *, asked: str) -> list[Labelled]:
    zone, region = profile.site.zone, profile.site.region
    house = profile.coop_of(coop.coop_id)
    if none := reasons.why_no_birds(profile, coop.coop_id, coop.day):
        return [Labelled(house.name, f"no birds tonight. {none}", house.id)]
    rule = profile.lock_up_rule(house)
    latest = local_clock(coop.lock_up.latest, zone, region)
    limits = (("not before", rule.not_before), ("not after", rule.not_after))
    bounds = [f"{name} {clock(value, region)}" for name, value in limits if value]
    rows = [
        (house.name, f"lock up {local_clock(coop.lock_up.instant, zone, region)}"),
        ("Why", reasons.why_lock_up(profile, coop)),
        ("Set by", coop.lock_up.basis.replace("_", " ")),
        *([("Reported", asked)] if coop.lock_up.basis == "predator" else []),
        ("Shut by", f"{latest} ({reasons.why_latest(coop)})"),
        ("Sunset", _at(coop.sunset, profile)),
        ("Civil dusk", _at(coop.dusk, profile)),
        ("Angle", f"{_elevation(rule.angle_deg)} (4° below is about 20 lux under a clear sky)"),
        ("After sunset", f"{rule.after_sunset_minutes:g} min"),
        ("Cap", clock(rule.cap, region) if rule.cap else "none"),
        ("Bounds", ", ".join(bounds) or "none"),
    ]
    change = Labelled(
        "To change",
        f"You can set the angle, the minutes after sunset, the cap and the bounds. {_BY_PROFILE}",
        house.id,
        "[lockup] basis, angle, after_sunset, cap, not_before, not_after",
    )
    return [*(Labelled(label, text, house.id) for label, text in rows), change]


_TO_CHANGE: dict[DayTime, tuple[str, str]] = {
    "let-out": (
        f"You can set how long after dawn or sunrise they are let out, and bounds. {_BY_PROFILE}",
        "[letout] basis, after, not_before, not_after",
    ),
    "range": (
        f"You can set when they range. Reports, arrivals and orders come first. {_BY_PROFILE}",
        "ranging under [[coop]]. Reports, arrivals and orders come first.",
    ),
}


def _time(profile: Profile, coop: CoopDay, *, key: DayTime) -> list[Labelled]:
    house = profile.coop_of(coop.coop_id)
    lines = {line.key: line for line in day_lines(profile, coop)}
    line = lines.get(key) or next(iter(lines.values()))  # where no bird sleeps, why
    rows = [
        (house.name, f"{line.label.lower()} {line.time}"),
        ("Why", line.reason),
        ("Sunrise", _at(coop.sunrise, profile)),
        ("Sunset", _at(coop.sunset, profile)),
    ]
    words, keys = _TO_CHANGE[key]
    change = Labelled("To change", words, house.id, keys)
    return [*(Labelled(label, text, house.id) for label, text in rows), change]


def _elevation(angle_deg: float) -> str:
    side = "below" if angle_deg < 0 else "above"
    return f"{abs(angle_deg):g}° {side} the horizon"


def _at(crossing: Crossing, profile: Profile) -> str:
    if isinstance(crossing, At):
        return local_clock(crossing.instant, profile.site.zone, profile.site.region)
    return f"never, because the sun stays too {'high' if crossing.side == 'above' else 'low'}"
