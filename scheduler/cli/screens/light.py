"""`duskfold light`: the sun and what follows from it, one line a date."""

import sys
from datetime import date, timedelta

from scheduler.cares.evening import CoopDay, FreeRange
from scheduler.cares.plan import sky_over
from scheduler.cli.compose import Session
from scheduler.cli.faults import CANNOT_USE, complain
from scheduler.cli.screens.facts import coop_facts
from scheduler.cli.screens.tables import as_json, table
from scheduler.light.sun import Crossing, Never
from scheduler.profile.problem import nearest
from scheduler.profile.values import Profile
from scheduler.profile.words import local_clock
from scheduler.service.open_profile import Household

_HEADINGS = ("date", "sunrise", "let out", "range from", "sunset", "lock up", "latest", "set by")
MOST_DAYS = 3660


def show(
    session: Session, first: date | None, last: date | None, coop: str | None, *, json: bool
) -> None:
    """Prints each date from `first` to `last`, for every coop or the one named."""
    household = session.household()
    profile = household.profile
    first = first or household.today(session.now)
    last = last or first
    chosen = _chosen(profile, coop)
    days = (last - first).days + 1
    if not 1 <= days <= MOST_DAYS:
        complain(f"duskfold: --from {first} --to {last}; accepted: 1 to {MOST_DAYS} days in order.")
        sys.exit(CANNOT_USE)
    if json:
        _print_json(session, household, first, days, chosen)
        return
    planned = session.plan(household, first, days)
    for coop_id in chosen:
        name = next(c.name for c in profile.coop if c.id == coop_id)
        print(f"{name}, {profile.site.name} ({profile.site.zone})")
        rows = [
            _row(profile, at) for day in planned.days for at in day.coops if at.coop_id == coop_id
        ]
        print(table(rows, _HEADINGS))


def _print_json(
    session: Session, household: Household, first: date, days: int, chosen: list[str]
) -> None:
    sky = sky_over(household.profile)
    for offset in range(0, days, 50):  # the first line comes at once, memory stays flat
        start = first + timedelta(days=offset)
        planned = session.plan(household, start, min(50, days - offset))
        for day in planned.days:
            for coop in day.coops:
                if coop.coop_id in chosen:
                    print(as_json(coop_facts(coop, sky)))


def _chosen(profile: Profile, coop: str | None) -> list[str]:
    if coop is None:
        return [house.id for house in profile.coop]
    for house in profile.coop:
        if coop in {house.id, house.name}:
            return [house.id]
    known = [house.id for house in profile.coop]
    accepted = ", ".join(known)
    complain(f'duskfold: --coop: found "{coop}"; accepted: {accepted}. {nearest(coop, known)}')
    sys.exit(CANNOT_USE)


def _row(profile: Profile, coop: CoopDay) -> tuple[str, ...]:
    zone, region = profile.site.zone, profile.site.region
    spell = coop.free_range
    return (
        f"{coop.day:%a} {coop.day}",
        _crossing(profile, coop.sunrise),
        local_clock(coop.let_out.instant, zone, region),
        local_clock(spell.start, zone, region) if isinstance(spell, FreeRange) else f"({spell})",
        _crossing(profile, coop.sunset),
        local_clock(coop.lock_up.instant, zone, region),
        local_clock(coop.lock_up.latest, zone, region),
        coop.lock_up.basis.replace("_", " "),
    )


def _crossing(profile: Profile, crossing: Crossing) -> str:
    if isinstance(crossing, Never):
        return "stays up" if crossing.side == "above" else "stays down"
    return local_clock(crossing.instant, profile.site.zone, profile.site.region)
