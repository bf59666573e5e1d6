"""`duskfold why`: what makes a job due, its rule and source, and what would change it."""

import sys
from datetime import date
from typing import NamedTuple

from scheduler.cares import reasons
from scheduler.cares.catalogue import (
    Age,
    Arrival,
    Care,
    ClimatePasses,
    ClockChanges,
    DaylightPasses,
    Every,
    OwnHouse,
    Recorded,
    SunPasses,
    WeatherSign,
    in_force,
    leans_on_climate,
)
from scheduler.cares.own_house import Upkeep, load_of, water_need_l
from scheduler.cares.plan import ESTIMATED, Plan, spoken
from scheduler.cares.records import Records
from scheduler.cli.compose import Session
from scheduler.cli.faults import CANNOT_USE, complain
from scheduler.cli.screens.tables import as_json, table
from scheduler.climate.curve import averages
from scheduler.husbandry.consumption import capacity_l
from scheduler.husbandry.upkeep import clean_out_days, stirs_a_week, top_up_days
from scheduler.light.sun import At, Crossing
from scheduler.profile.problem import nearest
from scheduler.profile.retold import in_units
from scheduler.profile.units import write_quantity
from scheduler.profile.values import Coop, Profile
from scheduler.profile.words import clock, local_clock
from scheduler.service.open_profile import Household

_LOOKED_AHEAD = 400
_LOCK_UP = {"lock-up", "lockup", "lock up", "latest"}
_MARKS = {
    "S": "the source was read",
    "M": "from memory",
    "C": "common practice",
    "D": "worked out",
}
_UPKEEP: dict[Upkeep, str] = {
    "stirring": "the moisture on your own floor: one to four times a week",
    "top-up": "the moisture on your own floor: every 14, 28 or 56 days",
    "clean-out": "the moisture on your own floor over the year: every 56, 91 or 182 days",
    "nest refresh": "hens a nest: twice a week where more than five share one, else weekly",
    "drinker look": "each evening while full drinkers would not last a day and a half",
}
_UNMEASURED: dict[Upkeep, str] = {
    "stirring": "weekly, twice a week in the cold",
    "top-up": "every 28 days",
    "clean-out": "every 182 days",
}


class Row(NamedTuple):
    """One labelled sentence; with the coop's id where it holds for that house alone."""

    label: str
    text: str
    coop: str | None = None


def show(session: Session, job: str, day: date | None, *, json: bool) -> None:
    """Explains a job, or the lock-up, on a date."""
    household = session.household()
    day = day or household.today(session.now)
    if job.strip().lower() in _LOCK_UP:
        rows = _lock_up(session.plan(household, day))
    else:
        care = _care(household, job)
        rows = _job(session, household, care, day)
    if json:
        why = [row._asdict() for row in rows]
        print(as_json({"job": job, "date": day.isoformat(), "why": why}))
        return
    print(table([(f"{row.label}:", row.text) for row in rows]))


def _care(household: Household, job: str) -> Care:
    by_id = {care.id: care for care in household.catalogue}
    own = {care.id: care for care in in_force(household.profile, household.catalogue)}
    wanted = job.strip().lower().replace(" ", "-")
    for known in (own, by_id):
        if wanted in known:
            return known[wanted]
    names = ["lock-up", *dict.fromkeys([*own, *by_id])]
    matches = [name for name in names if wanted in name]
    hint = f"Did you mean {', '.join(matches[:4])}?" if matches else nearest(wanted, names)
    complain(
        f'duskfold why: found "{job}"; accepted: lock-up or the id of a job, such as water, '
        f"litter-stirring. {hint}"
    )
    sys.exit(CANNOT_USE)


def _job(session: Session, household: Household, care: Care, day: date) -> list[Row]:
    profile = household.profile
    planned = session.plan(household, day, _LOOKED_AHEAD)
    tasks = [task for each in planned.days for task in each.tasks if task.care_id == care.id]
    dates = {task.day: task for task in tasks}
    today = [task for task in tasks if task.day == day]
    shown = today or list(dates.values())
    title = shown[0].title if shown else spoken(care.title, profile)
    in_use = care.id in {each.id for each in in_force(profile, household.catalogue)}
    rows = [Row("Job", f"{title} ({care.minutes} min, {care.round})")]
    if not in_use:
        rows.append(Row("Off", f"not in your plan; switch it on: [cares.{care.id}] on = true"))
    following = ", ".join(str(each) for each in list(dates)[:4])
    source = care.source if care.mark == "C" else f"{care.source} ({_MARKS[care.mark]})"
    rows += [
        Row("On that day", "due" if today else "not due"),
        Row("Next", following or "not in the coming year"),
        Row("Why", shown[0].why if shown else spoken(care.why, profile)),
        Row("Due by", _rule(care, profile)),
        *_figures(care, profile, session.records(household), day),
        Row("Source", source),
        Row("To change", _change(care)),
    ]
    if averages(profile).estimated and leans_on_climate(care):
        rows.append(Row("Climate", ESTIMATED))
    return rows


def _rule(  # noqa: C901, PLR0911, PLR0912 - one sentence for each kind of trigger
    care: Care, profile: Profile
) -> str:
    def degrees(value: float) -> str:
        return write_quantity(value, "temperature", profile.units)

    match care.due:
        case Every(days=1):
            return "every day"
        case Every(days=days, extra=extra, during=during):
            text = f"every {days} days"
            if during:
                text += f", while {_part(during.of, during.above, during.below, profile)}"
            if extra:
                also = _part(extra.during.of, extra.during.above, extra.during.below, profile)
                text += f"; more often while {also}"
            return text
        case OwnHouse(of=of):
            return _UPKEEP[of]
        case SunPasses(angle=angle):
            return f"each evening on which the sun passes {angle:g}°"
        case DaylightPasses(hours=hours, passing=passing):
            return f"the day length passing {hours:g} h, {passing}"
        case ClimatePasses(of=of, at=at, passing=passing, apart=apart):
            return f"the average {of} passing {degrees(at)}, {passing}; {apart} days apart at least"
        case WeatherSign(sign=sign, of=of, at=at):
            beyond = "at or below" if sign == "frost" else "at or above"
            return f"{sign} as you report it, else an average {of} {beyond} {degrees(at)}"
        case Age(weeks=weeks):
            return f"a flock's hatch date and {weeks} weeks"
        case Arrival(days=days):
            return f"a flock's day of arrival and {days} days"
        case Recorded(of=kind):
            return f"a report: duskfold weather {kind}"
        case ClockChanges():
            return "the day before the clock changes"


def _part(of: str, above: float | None, below: float | None, profile: Profile) -> str:
    name = "the day is" if of == "daylight" else f"the average {of} is"
    limit = above if above is not None else below or 0.0
    amount = (
        f"{limit:g} h" if of == "daylight" else write_quantity(limit, "temperature", profile.units)
    )
    return f"{name} {'above' if above is not None else 'below'} {amount}"


def _figures(care: Care, profile: Profile, records: Records, day: date) -> list[Row]:
    """The numbers behind the rule on that day."""
    yearly = averages(profile)
    usual = reasons.usual_air(yearly, day, profile.units)
    rows = [Row("Averages", usual)] if leans_on_climate(care) else []
    if not isinstance(care.due, OwnHouse):
        return rows
    for coop in profile.coop:
        if care.due.of in {"stirring", "top-up", "clean-out"}:
            rows.append(Row(coop.name, _floor(care.due.of, profile, coop, day), coop.id))
        if care.due.of == "drinker look":
            need_l = water_need_l(profile, coop, yearly, records, day)
            holds_l = capacity_l(coop)
            need = write_quantity(need_l, "volume", profile.units)
            holds = "what the drinkers hold is unknown"
            if holds_l is not None:
                holds = f"drinkers hold {write_quantity(holds_l, 'volume', profile.units)}"
            rows.append(Row(coop.name, f"{holds}, {need} a day", coop.id))
    return rows


def _floor(of: Upkeep, profile: Profile, coop: Coop, day: date) -> str:
    over_the_year = of == "clean-out"
    load = load_of(profile, coop, averages(profile), day, all_year=over_the_year)
    if not load or not coop.floor:
        return f"floor unknown: {_UNMEASURED[of]}"
    times = stirs_a_week(load)
    asks = f"stirred {'once' if times == 1 else f'{times} times'} a week"
    if over_the_year:
        asks = f"over the year, changed every {clean_out_days(load)} days"
    elif of == "top-up":
        asks = f"topped up every {top_up_days(load)} days"
    water = f"{load.water_g_m2_day:.0f} g/m² of water a day on {coop.floor.area_m2:.1f} m²"
    return in_units(f"{water}: {asks}", profile.units)


def _change(care: Care) -> str:
    table_name = f"[cares.{care.id}]"
    if isinstance(care.due, Every | OwnHouse):
        return f'{table_name} every = "5 days", minutes, round, text, or on = false'
    return f"{table_name} minutes, round, text, or on = false"


def _lock_up(planned: Plan) -> list[Row]:
    profile, day = planned.profile, planned.days[0]
    zone, region = profile.site.zone, profile.site.region
    rows: list[Row] = []
    for coop in day.coops:
        house = profile.coop_of(coop.coop_id)
        rule = profile.lock_up_rule(house)
        own = [
            (house.name, f"lock up {local_clock(coop.lock_up.instant, zone, region)}"),
            ("Why", reasons.why_lock_up(profile, coop)),
            ("Set by", coop.lock_up.basis.replace("_", " ")),
            (
                "Latest",
                f"{local_clock(coop.lock_up.latest, zone, region)}: {reasons.why_latest(coop)}",
            ),
            ("Sunset", _at(coop.sunset, profile)),
            ("Civil dusk", _at(coop.dusk, profile)),
            ("Angle", f"{rule.angle_deg:g}° (about 20 lux under a clear sky at −4°)"),
            ("After sunset", f"{rule.after_sunset_minutes:g} min"),
            ("Cap", clock(rule.cap, region) if rule.cap else "none"),
            (
                "Bounds",
                ", ".join(
                    f"{name} {clock(value, region)}"
                    for name, value in (
                        ("not before", rule.not_before),
                        ("not after", rule.not_after),
                    )
                    if value
                )
                or "none",
            ),
            ("To change", "[lockup] basis, angle, after_sunset, cap, not_before, not_after"),
        ]
        rows += [Row(label, text, house.id) for label, text in own]
    return rows


def _at(crossing: Crossing, profile: Profile) -> str:
    if isinstance(crossing, At):
        return local_clock(crossing.instant, profile.site.zone, profile.site.region)
    return f"never: the sun stays {crossing.side}"
