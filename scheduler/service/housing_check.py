"""Is each house large and safe enough, what to buy, and what else a keeper should know."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from scheduler.alerts.crew import crew_of, duty
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
from scheduler.light.sun import At, Sky
from scheduler.profile.package_data import zone
from scheduler.profile.prepare import proposed_zone
from scheduler.profile.quantity import write_quantity
from scheduler.profile.values import Profile
from scheduler.profile.words import counted, local_clock
from scheduler.service.flock_notes import flock_notes
from scheduler.service.household.open_profile import Household
from scheduler.service.note import Keys, Note, note
from scheduler.service.reachable import reaches_anybody, unreachable, ways_of, what_would_do
from scheduler.wording.cares.tasks import TaskWords

_HOUR = timedelta(hours=1)
_A_YEAR = timedelta(days=364)  # from the first of January
# The figures reckon with half of the droppings, those of the night (common practice, no source).
_ALL_DROPPINGS = "Twice as much falls on the bedding as the figures say, so stir it twice as often."


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


def housing_check(
    household: Household, records: Records, rules: RuleSet, today: date
) -> HousingCheck:
    """The check by that rule set, with notes on the year that holds `today`, which it plans."""
    profile = household.profile
    hottest_c = hottest_high_c(averages(profile))
    days = {coop.id: _when_all_are_there(profile, coop.id, today) for coop in profile.coop}
    found = {
        coop.id: tuple(criteria(profile, coop, rules, days[coop.id], hottest_c))
        for coop in profile.coop
    }
    new_year = today.replace(month=1, day=1)
    year = plan(profile, records, new_year, new_year + _A_YEAR, household.catalogue)
    said = (*_notes(year, today, records), *_order_notes(profile, records, today))
    noted = [each if isinstance(each, Note) else note(each) for each in said]
    return HousingCheck(
        criteria=tuple(each for own in found.values() for each in own),
        capacities=tuple(
            held for coop in profile.coop if (held := capacity(profile, coop, rules, days[coop.id]))
        ),
        purchases=tuple(
            each for coop in profile.coop for each in shopping(list(found[coop.id]), coop)
        ),
        notes=tuple(each.text for each in noted),
        page_notes=tuple(each.on_page for each in noted),
    )


def _when_all_are_there(profile: Profile, coop_id: str, today: date) -> date:
    """The first day from `today` on by which every flock announced for that coop has come."""
    return max([today, *(one.arrived for one in profile.flocks_of(coop_id) if one.arrived)])


def _notes(year: Plan, today: date, records: Records) -> Iterator[str | Note]:
    profile = year.profile
    if averages(profile).estimated:
        yield note(f"{TaskWords.estimated()} Give your own", Keys("under [climate]"), ".")
    yield from _zone_notes(profile)
    yield from _people_notes(profile, today)
    yield from _page_notes(profile)
    yield from flock_notes(profile, today, records)
    yield from _late_notes(year)
    yield from _waiting_notes(year)


def _zone_notes(profile: Profile) -> Iterator[str | Note]:
    """A slip in sign or zone that the longitude alone cannot show."""
    site = profile.site
    mapped = proposed_zone(site.latitude_deg, site.longitude_deg)
    if mapped is None:
        yield f"The map shows open sea at {site.latitude_deg:g}, {site.longitude_deg:g}."
        return
    here = Sky.over(site.latitude_deg, site.longitude_deg, site.zone)
    noons = [here.transit(date(2026, month, 1)) for month in (1, 7)]
    theirs = zone(mapped)
    offsets = [[at.astimezone(each).utcoffset() for at in noons] for each in (site.zone, theirs)]
    if offsets[0] != offsets[1]:
        asked = "Are the latitude, the longitude and their signs right?"
        yield f"The map shows the time zone {mapped} here, not {site.zone}. {asked}"


def _people_notes(profile: Profile, today: date) -> Iterator[str | Note]:
    cut_off = unreachable(profile)
    for person in cut_off:
        would_do = what_would_do(profile, person)
        start = f"Nobody can reach {person.name}. "
        yield Note(start + would_do.text, start + would_do.on_page)
    if len(cut_off) < len(profile.person) and not reaches_anybody(profile):
        yield "Only a sitter can be told. Reminders begin once an owner or a member can be too."
    called = duty(crew_of(profile, ways_of(profile), today), today).first
    if called and called.addresses[0][0] == "mail":
        by_mail = "can be reached only by mail, and few phones ring for a mail at dusk."
        yield f"{called.name} {by_mail}"


def _page_notes(profile: Profile) -> Iterator[str | Note]:
    if profile.person and profile.web.base_url is None:
        yield note(
            "Messages carry no link to the pages, as the profile does not say at which address "
            "phones can reach them",
            Keys("base_url under [web]"),
            ".",
        )
    exposed = profile.web.listen.rpartition(":")[0] not in {"127.0.0.1", "[::1]", "localhost"}
    if exposed and not (profile.web.base_url or "").startswith("https://"):
        yield (
            "The pages can be reached from beyond this machine without https, so anybody on your "
            "network can read along. Put a reverse proxy in front (deploy/README.md)."
        )


def _late_notes(year: Plan) -> Iterator[str | Note]:
    for coop in year.profile.coop:
        late = [each for each in _days_of(year, coop.id) if _after_dusk(each)]
        if late:
            yield (
                f"{coop.name}: on {counted(len(late), 'evenings')} of the year, lock-up comes "
                "after civil dusk, when predators are about."
            )


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
        note = f"{coop.name}: the order in force keeps them in all day."
        if coop.floor is None:
            yield f"{note} Each grown bird needs {each}. Measure the floor inside."
            continue
        room = int(coop.floor.area_m2 / ORDER_FLOOR_M2 * (1 + SLACK))
        holds = f"there is room for {counted(room, 'birds')}, and {live} live there"
        yield f"{note} At {each} for each grown bird, {holds}. {_ALL_DROPPINGS}"


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
        opens = local_clock(at.let_out.instant, profile.site.zone, profile.site.region)
        worse = "That is too long. " if longest > AWAKE_PROBLEM else ""
        yield (
            f"{coop.name}: around {at.day.day} {at.day:%B}, they have been awake for "
            f"{longest / _HOUR:.1f} h when the door opens at {opens}. {worse}Put feed and water "
            "inside, or open it earlier into a secure run."
        )


def _wait(coop: CoopDay) -> timedelta:
    if isinstance(coop.sunrise, At):
        return max(coop.let_out.instant - coop.sunrise.instant, timedelta())
    return timedelta()


def _days_of(year: Plan, coop_id: str) -> list[CoopDay]:
    return [coop for day in year.days for coop in day.coops if coop.coop_id == coop_id]
