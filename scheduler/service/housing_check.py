"""Is each house large and safe enough, what to buy, and what else a keeper should know."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta

from scheduler.alerts.crew import crew_of, duty
from scheduler.cares.climate_told import source_words
from scheduler.cares.coop_day import CoopDay
from scheduler.cares.day_plan import Plan
from scheduler.cares.lamp import keeps_feed_and_water_inside
from scheduler.cares.let_out import kept_in
from scheduler.cares.plan import plan
from scheduler.cares.records import Records
from scheduler.climate.curve import averages, hottest_high_c
from scheduler.husbandry.criterion import SLACK, Criterion
from scheduler.husbandry.housing import Capacity, capacity, criteria
from scheduler.husbandry.lighting import AWAKE_NOTE, AWAKE_PROBLEM
from scheduler.husbandry.needs import ORDER_FLOOR_M2, RuleSet
from scheduler.husbandry.shopping import Purchase, shopping
from scheduler.light.sun import At, sky_over
from scheduler.profile.package_data import zone
from scheduler.profile.prepare import proposed_zone
from scheduler.profile.quantity import write_quantity
from scheduler.profile.values import Profile
from scheduler.profile.words import local_clock
from scheduler.service.flock_notes import flock_notes
from scheduler.service.household.open_profile import Household
from scheduler.service.note import Keys, Note, note
from scheduler.service.reachable import reaches_anybody, unreachable, ways_of, what_would_do
from scheduler.service.weather.agreed import forecast_notes
from scheduler.wording.service.flock_notes import InProfile
from scheduler.wording.service.housing_notes import (
    HouseNotes,
    PagesNotes,
    PeopleNotes,
    PlaceNotes,
)
from scheduler.wording.spoken import day_and_month, span_of

_MINUTE = timedelta(minutes=1)
_A_YEAR = timedelta(days=364)  # from the first of January


@dataclass(frozen=True, slots=True, kw_only=True)
class HousingCheck:
    """The check of every coop, in the order of the profile; `notes` are about the whole place.

    `page_notes` are the same without the keys of the profile, for whoever does not write it.
    """

    criteria: tuple[Criterion, ...]
    capacities: tuple[Capacity, ...]
    purchases: tuple[Purchase, ...]
    notes: tuple[str, ...] = ()
    page_notes: tuple[str, ...] = ()

    @property
    def short(self) -> bool:
        """Whether anything is short."""
        return any(criterion.verdict == "short" for criterion in self.criteria)

    def of(self, coop_id: str) -> "HousingCheck":
        """What was found of one coop, without the notes."""
        return HousingCheck(
            criteria=tuple(each for each in self.criteria if each.coop_id == coop_id),
            capacities=tuple(each for each in self.capacities if each.coop_id == coop_id),
            purchases=tuple(each for each in self.purchases if each.coop_id == coop_id),
        )


def houses_checked(profile: Profile, rules: RuleSet, today: date) -> HousingCheck:
    """The check by that rule set, without the notes."""
    profile = profile.on(today)
    hottest_c = hottest_high_c(averages(profile))
    days = {coop.id: _when_all_are_there(profile, coop.id, today) for coop in profile.coop}
    found = {
        coop.id: tuple(criteria(profile, coop, rules, days[coop.id], hottest_c))
        for coop in profile.coop
    }
    return HousingCheck(
        criteria=tuple(each for own in found.values() for each in own),
        capacities=tuple(
            held for coop in profile.coop if (held := capacity(profile, coop, rules, days[coop.id]))
        ),
        purchases=tuple(
            each for coop in profile.coop for each in shopping(list(found[coop.id]), coop)
        ),
    )


def housing_check(
    household: Household, records: Records, rules: RuleSet, today: date
) -> HousingCheck:
    """The check by that rule set, with notes on the year that holds `today`, which it plans."""
    profile = household.profile.on(today)
    new_year = today.replace(month=1, day=1)
    year = plan(profile, records, new_year, new_year + _A_YEAR, household.catalogue)
    said = (*_notes(year, today, records), *_order_notes(profile, records, today))
    noted = [each if isinstance(each, Note) else Note(each, each) for each in said]
    return replace(
        houses_checked(profile, rules, today),
        notes=tuple(each.text for each in noted),
        page_notes=tuple(each.on_page for each in noted),
    )


def _when_all_are_there(profile: Profile, coop_id: str, today: date) -> date:
    """The first day from `today` on by which every flock announced for that coop has come."""
    return max([today, *(one.arrived for one in profile.flocks_of(coop_id) if one.arrived)])


def _notes(year: Plan, today: date, records: Records) -> Iterator[str | Note]:
    profile = year.profile.on(today)
    if told := source_words(averages(profile), profile.units):
        keys = Keys(InProfile.climate())
        yield note(PlaceNotes.estimated, estimated=told, keys=keys)
    for here in (profile, *_ahead(profile, today)):
        yield from _zone_notes(here)
        yield from forecast_notes(here)
    yield from _people_notes(profile, today)
    yield from _page_notes(profile)
    yield from flock_notes(profile, today, records)
    yield from _late_notes(year)
    yield from _waiting_notes(year)


def _ahead(profile: Profile, today: date) -> Iterator[Profile]:
    """The profile at the new place, where a move is ahead."""
    if profile.move and today < profile.move.on:
        yield profile.on(profile.move.on)


def _zone_notes(profile: Profile) -> Iterator[str | Note]:
    """A slip in sign or zone that the longitude alone cannot show."""
    site = profile.site
    mapped = proposed_zone(site.latitude_deg, site.longitude_deg)
    if mapped is None:
        yield PlaceNotes.open_sea(
            latitude=f"{site.latitude_deg:g}", longitude=f"{site.longitude_deg:g}"
        )
        return
    here = sky_over(profile)
    noons = [here.transit(date(2026, month, 1)) for month in (1, 7)]
    theirs = zone(mapped)
    offsets = [[at.astimezone(each).utcoffset() for at in noons] for each in (site.zone, theirs)]
    if offsets[0] != offsets[1]:
        yield PlaceNotes.other_zone(mapped=mapped, zone=site.zone)


def _people_notes(profile: Profile, today: date) -> Iterator[str | Note]:
    cut_off = unreachable(profile)
    for person in cut_off:
        would_do = what_would_do(profile, person)
        start = PeopleNotes.unreachable(who=person.name)
        yield Note(f"{start} {would_do.text}", f"{start} {would_do.on_page}")
    if len(cut_off) < len(profile.person) and not reaches_anybody(profile):
        yield PeopleNotes.only_sitter()
    for name in dict.fromkeys(_called_by_mail(profile, today)):
        yield PeopleNotes.only_by_mail(who=name)


def _called_by_mail(profile: Profile, today: date) -> Iterator[str]:
    """Who is on duty today, or on a coming day of the week that has somebody of its own."""
    ways = ways_of(profile)
    for day in (today + timedelta(days=number) for number in range(7)):
        if day == today or profile.duty.of(day):
            called = duty(crew_of(profile, ways, day), day).first
            if called and called.first_ways[0][0] == "mail":
                yield called.name


def _page_notes(profile: Profile) -> Iterator[str | Note]:
    if profile.person and profile.web.base_url is None:
        yield note(PagesNotes.no_address, keys=Keys(InProfile.base_url()))
    exposed = profile.web.listen.rpartition(":")[0] not in {"127.0.0.1", "[::1]", "localhost"}
    if exposed and not (profile.web.base_url or "").startswith("https://"):
        yield PagesNotes.no_https()


def _late_notes(year: Plan) -> Iterator[str | Note]:
    for coop in year.profile.coop:
        late = [each for each in _days_of(year, coop.id) if _after_dusk(each)]
        if late:
            yield HouseNotes.late(house=coop.name, evenings=len(late))


def _after_dusk(coop: CoopDay) -> bool:
    return (
        isinstance(coop.dusk, At)
        and isinstance(coop.sunset, At)
        and coop.lock_up.instant > coop.dusk.instant
    )


def _order_notes(profile: Profile, records: Records, today: date) -> Iterator[str | Note]:
    """How many birds a house holds that an order keeps in all day; the verdicts do not know it."""
    for coop in profile.coop:
        flocks = profile.flocks_on(coop.id, today)
        live = sum(flock.birds for flock in flocks)
        if not live or kept_in(coop, flocks, today, records) != "housing order":
            continue
        each = write_quantity(ORDER_FLOOR_M2, "area", profile.units)
        if coop.floor is None:
            yield HouseNotes.order_unmeasured(house=coop.name, each=each)
            continue
        room = int(coop.floor.area_m2 / ORDER_FLOOR_M2 * (1 + SLACK))
        yield HouseNotes.order(house=coop.name, each=each, room=room, live=live)


def _waiting_notes(year: Plan) -> Iterator[str | Note]:
    """Birds that are awake and shut in without feed and water (common practice, no source)."""
    profile = year.profile
    for coop in profile.coop:
        if keeps_feed_and_water_inside(coop):  # as every house with a light programme must
            continue
        opened = [each for each in _days_of(year, coop.id) if not each.kept_in]
        waits = [(_wait(each), each) for each in opened]
        longest, at = max(waits, key=lambda pair: pair[0], default=(timedelta(), None))
        if at is None or longest <= AWAKE_NOTE:
            continue
        site = profile.on(at.day).site
        opens = local_clock(at.let_out.instant, site.zone, site.region)
        told = HouseNotes.awake_too_long if longest > AWAKE_PROBLEM else HouseNotes.awake
        yield told(
            house=coop.name,
            day=day_and_month(at.day),
            awake=span_of(round(longest / _MINUTE)),
            time=opens,
        )


def _wait(coop: CoopDay) -> timedelta:
    if isinstance(coop.sunrise, At):
        return max(coop.let_out.instant - coop.sunrise.instant, timedelta())
    return timedelta()


def _days_of(year: Plan, coop_id: str) -> list[CoopDay]:
    return [coop for day in year.days for coop in day.coops if coop.coop_id == coop_id]
