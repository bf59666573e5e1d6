"""`duskfold figures`: the sums of each coop, with inputs and sources."""

from dataclasses import asdict
from datetime import date

from scheduler.cares.climate_told import source_words
from scheduler.cares.usual_day import air_lines, usual_day, vent_settings
from scheduler.cli.compose import Session
from scheduler.cli.screens.facts import climate_facts
from scheduler.cli.screens.tables import as_json, table, wrapped
from scheduler.cli.typed import Typed
from scheduler.climate.curve import averages
from scheduler.husbandry.figures import figures
from scheduler.husbandry.keeper_words import figure_words
from scheduler.husbandry.weather_and_light import Day
from scheduler.profile.coop import Coop
from scheduler.profile.phrase import plain
from scheduler.profile.quantity import write_quantity
from scheduler.profile.values import Profile
from scheduler.wording.cli.check import FiguresScreen
from scheduler.wording.cli.refusals import AcceptedThere, FoundThere
from scheduler.wording.husbandry.housing import HousingCautions
from scheduler.wording.spoken import day_and_month


def show(session: Session, on: str | None, of: str | None, *, json: bool) -> None:
    """Prints the figures for a date, or for the middle of a month, this one or the next such."""
    household = session.household()
    profile = household.profile
    typed = Typed("figures")
    today = typed.day("--date", on) or household.today(session.now)
    month = typed.whole("--month", of, 1, 12)
    if on is not None and of is not None:
        both = FoundThere.both(one="--month", other="--date")
        typed.refuse("--month", both, AcceptedThere.one_of_two())
    typed.end_if_wrong()
    if month is not None:
        # Never one that is over: birds that hatched since would be counted before they were.
        today = date(today.year + (month < today.month), month, 15)
    at = usual_day(profile, today)
    profile = profile.on(today)
    yearly = averages(profile)
    if json:
        coops = [_facts(profile, coop, at) for coop in profile.coop]
        known = climate_facts(yearly.source)
        print(as_json({"date": today, "coops": coops} | known))
        return
    units = profile.units
    low = write_quantity(at.night.air_c, "temperature", units)
    high = write_quantity(at.noon.air_c, "temperature", units)
    day, site = day_and_month(today), profile.site.name
    print(wrapped(FiguresScreen.heading(site=site, day=day, low=low, high=high)))
    for coop in profile.coop:
        print(f"\n{coop.name}")
        rows = [figure_words(figure, units) for figure in figures(profile, coop, at)]
        if rows:
            print(table([(f"  {row.label}", *row[1:]) for row in rows]))
        for line in air_lines(profile, coop, today):
            print(wrapped(FiguresScreen.line(label=line.label, text=line.text), indent=2))
            if line.sums:
                print(wrapped(FiguresScreen.why(sums=line.sums), indent=4))
    print(f"\n{wrapped(HousingCautions.figures())}")
    if told := source_words(yearly, units):
        print(wrapped(told))


def _facts(profile: Profile, coop: Coop, at: Day) -> dict[str, object]:
    return {
        "coop": coop.id,
        "figures": [
            {
                "key": figure.key,
                "label": plain(figure.label),
                "value": None if figure.value is None else round(figure.value, 3),
                "unit": figure.unit + figure.per,
                "inputs": [plain(each) for each in figure.inputs],
                "note": plain(figure.note),
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
                "breeze": asdict(setting.breeze) if setting.breeze else None,
                "day": asdict(setting.day) if setting.day else None,
                "dry_by": setting.dry_by,
                "met": setting.met,
                "helps": plain(setting.helps),
            }
            for season, setting in vent_settings(profile, coop, at.day)
        ],
    }
