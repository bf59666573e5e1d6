"""`duskfold light`: the sun and what follows from it, one line a date."""

from collections.abc import Mapping
from datetime import date, timedelta

from scheduler.cares import reasons
from scheduler.cares.coop_day import CoopDay
from scheduler.cares.free_range import FreeRange, NoRange
from scheduler.cli.compose import Session
from scheduler.cli.screens.facts import coop_facts
from scheduler.cli.screens.tables import as_json, table
from scheduler.cli.typed import Typed
from scheduler.light.sun import Crossing, Never
from scheduler.profile.values import Profile
from scheduler.profile.words import local_clock
from scheduler.service.household.open_profile import Household
from scheduler.wording.cli.plan import DayTable, LightScreen, NoRangeBecause, SetBy
from scheduler.wording.cli.refusals import AcceptedThere, FoundThere
from scheduler.wording.spoken import short_weekday
from scheduler.wording.words import Words, by_code, every

_HEADINGS = (
    DayTable.date,
    DayTable.sunrise,
    DayTable.let_out,
    DayTable.range_from,
    DayTable.sunset,
    DayTable.lock_up,
    DayTable.shut_by,
    DayTable.set_by,
)
MOST_DAYS = 3660
_SET_BY: Mapping[str, Words] = every(SetBy)


def show(  # noqa: PLR0913 - what the command line said
    session: Session,
    since: str | None,
    until: str | None,
    on: str | None,
    coop: str | None,
    *,
    json: bool,
) -> None:
    """Prints each date between the two, both included, for every coop or the one named."""
    household = session.household()
    profile, typed = household.profile, Typed("light")
    day = typed.day("--date", on)
    first = typed.day("--from", since) or day or household.today(session.now)
    last = typed.day("--to", until) or day or first
    house = typed.one_of("--coop", coop, profile.coop)
    days = (last - first).days + 1
    if not (typed.is_wrong or 1 <= days <= MOST_DAYS):
        found = FoundThere.days(last=last, first=first)
        typed.refuse("--to", found, AcceptedThere.days_from_first(days=MOST_DAYS))
    typed.end_if_wrong()
    chosen = [house.id] if house else [one.id for one in profile.coop]
    if json:
        _print_json(session, household, first, days, chosen)
        return
    planned = session.plan(household, first, days)
    for coop_id in chosen:
        site, house_name = profile.on(first).site, profile.coop_of(coop_id).name
        print(LightScreen.heading(house=house_name, site=site.name, zone=site.zone))
        rows = [
            _row(profile, at) for day in planned.days for at in day.coops if at.coop_id == coop_id
        ]
        print(table(rows, [heading() for heading in _HEADINGS]))


def _print_json(
    session: Session, household: Household, first: date, days: int, chosen: list[str]
) -> None:
    for offset in range(0, days, 50):  # the first line comes at once, memory stays flat
        start = first + timedelta(days=offset)
        planned = session.plan(household, start, min(50, days - offset))
        for day in planned.days:
            for coop in day.coops:
                if coop.coop_id in chosen:
                    print(as_json(coop_facts(coop)))


def _row(profile: Profile, coop: CoopDay) -> tuple[str, ...]:
    profile = profile.on(coop.day)
    zone, region = profile.site.zone, profile.site.region
    none = reasons.why_no_birds(profile, coop.coop_id, coop.day)
    lock_up, latest = (
        LightScreen.no_birds() if none else local_clock(at, zone, region, coop.day)
        for at in (coop.lock_up.instant, coop.lock_up.latest)
    )
    return (
        LightScreen.day(weekday=short_weekday(coop.day), date=coop.day),
        _crossing(profile, coop.sunrise, coop.day),
        LightScreen.no_birds() if none else reasons.let_out_time(profile, coop),
        _range_from(profile, coop.free_range),
        _crossing(profile, coop.sunset, coop.day),
        lock_up,
        latest,
        "" if none else _SET_BY[coop.lock_up.basis](),
    )


def _range_from(profile: Profile, spell: FreeRange | NoRange) -> str:
    if isinstance(spell, FreeRange):
        return local_clock(spell.start, profile.site.zone, profile.site.region)
    return LightScreen.no_range(why=by_code(NoRangeBecause, spell)())


def _crossing(profile: Profile, crossing: Crossing, day: date) -> str:
    if isinstance(crossing, Never):
        return (LightScreen.stays_up if crossing.side == "above" else LightScreen.stays_down)()
    return local_clock(crossing.instant, profile.site.zone, profile.site.region, day)
