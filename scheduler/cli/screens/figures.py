"""`duskfold figures`: the sums of each coop, with inputs and sources."""

import sys
from dataclasses import asdict
from datetime import date

from scheduler.cares.lamp import longest_day
from scheduler.cares.plan import ESTIMATED, sky_over
from scheduler.cares.vents import expected, season_on, season_setting
from scheduler.cli.compose import Session
from scheduler.cli.faults import CANNOT_USE, complain
from scheduler.cli.screens.tables import as_json, table
from scheduler.climate.curve import averages
from scheduler.husbandry.air import Weather
from scheduler.husbandry.figure import Figure
from scheduler.husbandry.figures import Day, figures
from scheduler.husbandry.lighting import season as short_days
from scheduler.husbandry.lighting import target_hours
from scheduler.husbandry.ventilation import Season, Setting
from scheduler.light.sun import Sky
from scheduler.profile.retold import in_units
from scheduler.profile.units import Units, write_quantity
from scheduler.profile.values import Coop, Profile


def show(session: Session, day: date | None, month: int | None, *, json: bool) -> None:
    """Prints the figures for a date, or for the middle of a month."""
    household = session.household()
    profile = household.profile
    today = day or household.today(session.now)
    if month is not None:
        if day is not None:
            complain("duskfold: found --month and --date; accepted: one of them.")
            sys.exit(CANNOT_USE)
        today = date(today.year, month, 15)
    at = _day(profile, today)
    estimated = averages(profile).estimated
    if json:
        coops = [_facts(profile, coop, at) for coop in profile.coop]
        climate = "estimated from latitude" if estimated else "as given"
        print(as_json({"date": today.isoformat(), "coops": coops, "climate": climate}))
        return
    units = profile.units
    low = write_quantity(at.night.air_c, "temperature", units)
    high = write_quantity(at.noon.air_c, "temperature", units)
    print(f"{profile.site.name}, {today:%d %B}: average night {low}, average day {high}")
    for coop in profile.coop:
        print(f"\n{coop.name}")
        rows = [_row(figure, profile) for figure in figures(profile, coop, at)]
        if rows:
            print(table(rows))
        for line in _air_lines(profile, coop, today):
            print(line)
    print(
        "\nShade figures of an average day, good to a fifth either way. Wiring, lamps and heaters "
        "are an electrician's work; if you smell ammonia, air the house and go in with a mask."
    )
    if estimated:
        print(ESTIMATED)


def _day(profile: Profile, today: date) -> Day:
    yearly, sky = averages(profile), sky_over(profile)
    humidity = yearly.humidity_at(yearly.share_of_year(today))
    hours = target_hours(longest_day(sky, today.year))
    return Day(
        day=today,
        night=Weather(air_c=yearly.low_c(today), humidity=humidity),
        noon=Weather(air_c=yearly.high_c(today), humidity=min(humidity, 0.6)),
        daylight=sky.daylight(today),
        light_hours=hours,
        lamp_season=_lamp_season(sky, today, hours),
    )


def _lamp_season(sky: Sky, today: date, hours: float) -> tuple[date, date] | None:
    """The short days that hold `today`, or the next ones."""
    for year in (today.year - 1, today.year):
        found = short_days(sky.daylight, year, hours)
        if found and today <= found[1]:
            return found
    return None


def _row(figure: Figure, profile: Profile) -> tuple[str, ...]:
    told = (f"  {figure.label}", ", ".join(figure.inputs), figure.note)
    label, inputs, note = (in_units(text, profile.units) for text in told)
    return (label, _amount(figure, profile.units), inputs, note or f"[{figure.source.text}]")


def _amount(figure: Figure, units: Units) -> str:
    if figure.value is None:
        return "unknown"
    exact = f"{figure.value:.4f} {figure.unit}"
    if (told := in_units(exact, units)) != exact:
        return told
    digits = 0 if figure.value >= 20 or figure.value == int(figure.value) else 1  # noqa: PLR2004
    return f"{figure.value:.{digits}f} {figure.unit}".strip()


def _air_lines(profile: Profile, coop: Coop, today: date) -> list[str]:
    """What this coop's vents give in each of their settings."""
    if not coop.vent:
        return ["  vents: unknown: give [[coop.vent]] with size, place and steps"]
    yearly = averages(profile)
    now = season_on(yearly, today)
    lines = []
    for season, setting in _settings(profile, coop, today):
        mark = " (now)" if season == now else ""
        air = expected(setting) if setting.night else "Unknown: give floor and height."
        line = f"  {season}{mark}: {setting.words}. {air} {setting.helps}".rstrip()
        lines.append(in_units(line, profile.units))
    return lines


def _settings(profile: Profile, coop: Coop, today: date) -> list[tuple[Season, Setting]]:
    yearly = averages(profile)
    seasons: tuple[Season, ...] = ("cold", "mild", "hot")
    return [(each, season_setting(profile, coop, each, today, yearly)) for each in seasons]


def _facts(profile: Profile, coop: Coop, at: Day) -> dict[str, object]:
    settings = _settings(profile, coop, at.day) if coop.vent else []
    return {
        "coop": coop.id,
        "figures": [
            {
                "key": figure.key,
                "label": figure.label,
                "value": None if figure.value is None else round(figure.value, 3),
                "unit": figure.unit,
                "inputs": list(figure.inputs),
                "note": figure.note,
                "source": figure.source.text,
                "mark": figure.source.mark,
            }
            for figure in figures(profile, coop, at)
        ],
        "vents": [
            {
                "season": season,
                "setting": setting.words,
                "night": asdict(setting.night) if setting.night else None,
                "day": asdict(setting.day) if setting.day else None,
                "met": setting.met,
                "helps": setting.helps,
            }
            for season, setting in settings
        ],
    }
