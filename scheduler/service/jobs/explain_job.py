"""Why a job or the lock-up is what it is: rows that a command and a page show."""

from collections.abc import Collection, Sequence
from datetime import date, timedelta
from functools import partial
from typing import NamedTuple

from scheduler.cares import reasons
from scheduler.cares.catalogue import Care, in_force, leans_on_climate
from scheduler.cares.catalogue_words import spoken
from scheduler.cares.climate_told import source_words
from scheduler.cares.coop_day import CoopDay
from scheduler.cares.day_lines import day_lines
from scheduler.cares.day_plan import Task
from scheduler.cares.due_words import due_words
from scheduler.cares.emptied import Place
from scheduler.cares.house_intervals import Upkeep, load_of, load_over_the_year, water_need_l
from scheduler.cares.lamp import light_on
from scheduler.cares.plan import plan, tasks_of, waits_for_the_end_of
from scheduler.cares.records import Records, ReportKind
from scheduler.cares.report_words import report_words
from scheduler.cares.triggers import Every, OwnHouse, Recorded, WeatherSign, YearlyCleaning
from scheduler.climate.curve import averages
from scheduler.husbandry.consumption import BeddingLoad, capacity_l
from scheduler.husbandry.upkeep import cleanings_a_year, stirs_a_week, top_up_days
from scheduler.light.sun import At, Crossing, sky_over
from scheduler.profile.coop import Coop
from scheduler.profile.door_rules import LockUpRule
from scheduler.profile.quantity import reckoned, write, write_quantity
from scheduler.profile.units import Extent, Region, Units
from scheduler.profile.values import Profile
from scheduler.profile.words import clock, local_clock, words
from scheduler.service.household.open_profile import Household
from scheduler.service.jobs.usual_words import DayTime
from scheduler.wording.cares.plan_changes import Rounds
from scheduler.wording.service.why_job import (
    DrinkersHold,
    FloorAsks,
    HowOften,
    LockUpBasisNames,
    ToChange,
    WhyJob,
    WhyLabels,
    WhyTime,
)
from scheduler.wording.spoken import in_a_row, one_by_one
from scheduler.wording.words import Words, every

AHEAD = timedelta(days=399)
_OF_A_LOCK_UP = ("basis", "angle", "after_sunset", "cap", "not_before", "not_after")
_OF_A_LET_OUT = ("basis", "after", "not_before", "not_after")


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
        title, why = one_by_one([*by_house]) or shown[0].title, shown[0].why
    in_use = care.id in {each.id for each in in_force(profile, household.catalogue)}
    minutes = sum(t.minutes for t in tasks if t.day == shown[0].day) if shown else care.minutes
    told = WhyJob.job(job=title, minutes=minutes, round=every(Rounds)[care.round]())
    rows = [Labelled(WhyLabels.job(), told)]
    if not in_use:
        keys = WhyJob.switch_on(table=_table(care))
        off = f"{WhyJob.off()} {ToChange.in_profile()}"
        rows.append(Labelled(WhyLabels.off(), off, in_profile=keys))
    following = in_a_row([str(each) for each in list(dates)[:4]])
    unknown = in_use and waits_for_the_end_of(care, profile, records, day, household.catalogue)
    # Of every other mark the text itself says what was read and what was not.
    source = WhyJob.source_read(source=care.source) if care.mark == "S" else care.source
    rows += [
        Labelled(WhyLabels.on_that_day(), WhyJob.due() if today else WhyJob.not_due()),
        Labelled(WhyLabels.next(), following or unknown or WhyJob.not_this_year()),
        Labelled(WhyLabels.why(), " ".join(by_house.values()) or why),
        Labelled(WhyLabels.due_by(), due_words(care, profile.units)),
        *_asking(care, profile, records, day),
        *_figures(care, profile, records, day),
        Labelled(WhyLabels.source(), source),
        _change(care),
    ]
    told = source_words(averages(profile.on(day)), profile.units)
    if told and leans_on_climate(care):
        rows.append(Labelled(WhyLabels.climate(), told))
    return rows


def _by_house(profile: Profile, tasks: Sequence[Task]) -> dict[str, str]:
    """Title and reason in each of several houses; nothing where they are the same in all."""
    names = profile.house_names
    is_same = len({task.title for task in tasks}) <= 1
    if is_same or any(task.subject_id not in names for task in tasks):
        return {}
    houses = [names[task.subject_id] for task in tasks]
    return {
        WhyJob.of_house(job=task.title, house=house): WhyJob.why_in_house(house=house, why=task.why)
        for task, house in zip(tasks, houses, strict=True)
    }


def _asking(care: Care, profile: Profile, records: Records, day: date) -> list[Labelled]:
    """The reports that hold on that day and may make the job due."""
    if not isinstance(care.due, Recorded | WeatherSign):
        return []
    kind = care.due.of if isinstance(care.due, Recorded) else care.due.sign
    told = _reported(kind, profile, records, day)
    return [Labelled(WhyLabels.reported(), told)] if told else []


def _reported(kind: ReportKind, profile: Profile, records: Records, day: date) -> str:
    return one_by_one([report_words(one, profile.units) for one in records.of(kind, day)])


def _figures(care: Care, profile: Profile, records: Records, day: date) -> list[Labelled]:
    profile = profile.on(day)
    yearly = averages(profile)
    usual = reasons.usual_air(yearly, day, profile.units)
    rows = [Labelled(WhyLabels.averages(), usual)] if leans_on_climate(care) else []
    for coop in profile.coop:
        if isinstance(care.due, YearlyCleaning):
            rows.append(Labelled(coop.name, _cleaned(profile, coop, day), coop.id))
        if not isinstance(care.due, OwnHouse):
            continue
        if care.due.of in {"stirring", "top-up"}:
            rows.append(Labelled(coop.name, _floor(care.due.of, profile, coop, day), coop.id))
        if care.due.of == "drinker look":
            need_l = water_need_l(profile, coop, yearly, records, day)
            rows.append(Labelled(coop.name, _drinkers(profile, coop, need_l), coop.id))
    return rows


def _drinkers(profile: Profile, coop: Coop, need_l: float) -> str:
    """What they hold, and what the birds need a day."""
    drinkers, holds_l = words(profile.site.region)["drinkers"], capacity_l(coop)
    need = write_quantity(need_l, "volume", profile.units)
    if holds_l is None:
        return DrinkersHold.unknown(drinkers=drinkers, need=need)
    volume = write_quantity(holds_l, "volume", profile.units)
    return DrinkersHold.known(drinkers=drinkers, volume=volume, need=need)


def _floor(of: Upkeep, profile: Profile, coop: Coop, day: date) -> str:
    light = light_on(coop, profile.flocks_on(coop.id, day), sky_over(profile), day)
    load = load_of(profile, coop, averages(profile), day, light)
    if not coop.floor:
        return FloorAsks.top_up_unmeasured() if of == "top-up" else FloorAsks.stir_unmeasured()
    if not load:
        return FloorAsks.top_up_no_birds() if of == "top-up" else FloorAsks.stir_no_birds()
    water, area = _water(load, profile.units), _area(coop.floor, profile.units)
    if of == "top-up":
        return FloorAsks.top_up(water=water, area=area, days=top_up_days(load))
    return FloorAsks.stir(water=water, area=area, times=_times(stirs_a_week(load)))


def _cleaned(profile: Profile, coop: Coop, day: date) -> str:
    load = load_over_the_year(profile, coop, averages(profile), day)
    if not coop.floor:
        return FloorAsks.clean_out_unmeasured()
    if not load:
        return FloorAsks.clean_out_no_birds()
    return FloorAsks.clean_out(
        water=_water(load, profile.units),
        area=_area(coop.floor, profile.units),
        times=_times(cleanings_a_year(load)),
    )


def _times(number: int) -> str:
    few = {1: HowOften.once, 2: HowOften.twice}.get(number)
    return few() if few else HowOften.times(number=number)


def _water(load: BeddingLoad, units: Units) -> str:
    return write(reckoned(load.water_g_m2_day, "g/m²", 0), units)


def _area(floor: Extent, units: Units) -> str:
    return write(reckoned(floor.area_m2, "m²", 1), units)


def _table(care: Care) -> str:
    return f"[cares.{care.id}]"


def _change(care: Care) -> Labelled:
    what, keys = ToChange.job, ToChange.job_keys
    if isinstance(care.due, Every | OwnHouse | YearlyCleaning):
        what, keys = ToChange.job_and_often, ToChange.job_and_often_keys
    return _to_change(what, keys(table=_table(care)))


def _to_change(what: Words, keys: str, house_id: str | None = None) -> Labelled:
    text = f"{what()} {ToChange.in_profile()}"
    return Labelled(WhyLabels.to_change(), text, house_id, keys)


def _lock_up(profile: Profile, coop: CoopDay, *, asked: str) -> list[Labelled]:
    profile = profile.on(coop.day)
    zone, region = profile.site.zone, profile.site.region
    house = profile.coop_of(coop.coop_id)
    if none := reasons.why_no_birds(profile, coop.coop_id, coop.day):
        return [Labelled(house.name, WhyTime.no_birds_because(why=none), house.id)]
    rule = profile.lock_up_rule(house)
    latest = local_clock(coop.lock_up.latest, zone, region)
    below = WhyTime.below_horizon if rule.angle_deg < 0 else WhyTime.above_horizon
    rows = [
        (house.name, WhyTime.lock_up(time=local_clock(coop.lock_up.instant, zone, region))),
        (WhyLabels.why(), reasons.why_lock_up(profile, coop)),
        (WhyLabels.set_by(), every(LockUpBasisNames)[coop.lock_up.basis]()),
        *([(WhyLabels.reported(), asked)] if coop.lock_up.basis == "predator" else []),
        (WhyLabels.shut_by(), WhyTime.shut_by(time=latest, why=reasons.why_latest(coop))),
        (WhyLabels.sunset(), _at(coop.sunset, profile)),
        (WhyLabels.civil_dusk(), _at(coop.dusk, profile)),
        (WhyLabels.angle(), below(degrees=f"{abs(rule.angle_deg):g}")),
        (WhyLabels.after_sunset(), WhyTime.minutes(minutes=f"{rule.after_sunset_minutes:g}")),
        (WhyLabels.cap(), clock(rule.cap, region) if rule.cap else WhyTime.no_cap()),
        (WhyLabels.bounds(), _bounds(rule, region)),
    ]
    change = _to_change(ToChange.lock_up, f"[lockup] {in_a_row(_OF_A_LOCK_UP)}", house.id)
    return [*(Labelled(label, text, house.id) for label, text in rows), change]


def _bounds(rule: LockUpRule, region: Region) -> str:
    first, last = (at and clock(at, region) for at in (rule.not_before, rule.not_after))
    if first and last:
        return WhyTime.between(first=first, last=last)
    if first:
        return WhyTime.not_before(time=first)
    return WhyTime.not_after(time=last) if last else WhyTime.no_bounds()


def _time(profile: Profile, coop: CoopDay, *, key: DayTime) -> list[Labelled]:
    profile = profile.on(coop.day)
    house = profile.coop_of(coop.coop_id)
    lines = {line.key: line for line in day_lines(profile, coop)}
    if key in lines:
        line, told = lines[key], WhyTime.let_out if key == "let-out" else WhyTime.free_range
        time = told(time=line.time)
    else:  # no bird sleeps there
        line, time = lines["no-birds"], WhyTime.no_birds()
    rows = [
        (house.name, time),
        (WhyLabels.why(), line.reason),
        (WhyLabels.sunrise(), _at(coop.sunrise, profile)),
        (WhyLabels.sunset(), _at(coop.sunset, profile)),
    ]
    what, keys = ToChange.free_range, ToChange.free_range_keys()
    if key == "let-out":
        what, keys = ToChange.let_out, f"[letout] {in_a_row(_OF_A_LET_OUT)}"
    change = _to_change(what, keys, house.id)
    return [*(Labelled(label, text, house.id) for label, text in rows), change]


def _at(crossing: Crossing, profile: Profile) -> str:
    if isinstance(crossing, At):
        return local_clock(crossing.instant, profile.site.zone, profile.site.region)
    return WhyTime.never_high() if crossing.side == "above" else WhyTime.never_low()
