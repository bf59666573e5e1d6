"""What is asked about the birds of a profile: what is odd, left out, or to be said of newcomers."""

from collections.abc import Iterator
from datetime import date, timedelta

from scheduler.cares.newcomer import Newcomer
from scheduler.cares.records import Records
from scheduler.husbandry.age import (
    LAYER_WEEKS,
    OFF_HEAT_WEEKS,
    QUARANTINE_DAYS,
    under_a_hen,
    weeks_old,
)
from scheduler.profile.flock import Flock
from scheduler.profile.quantity import write_quantity
from scheduler.profile.values import Profile
from scheduler.service.note import Keys, Note, note
from scheduler.wording.cares.door_times import CallIn
from scheduler.wording.service.flock_notes import FlockNotes, InProfile, NewcomerNotes
from scheduler.wording.spoken import in_a_row, short_day

FAR_TOO_MANY_BIRDS = 200  # more is more often a slip of the finger than a flock (no source)
OLDEST_HEN_YEARS = 12  # from memory, no source
HEN_KG = (0.4, 6.0)  # the smallest bantam to the largest heavy hen, common practice, no source
_A_YEAR = timedelta(days=364)


def flock_notes(profile: Profile, today: date, records: Records) -> Iterator[str | Note]:
    """Each question about the birds, a sentence or a few; nothing where all is said."""
    count = sum(flock.birds for flock in profile.flock)
    if count > FAR_TOO_MANY_BIRDS:
        yield FlockNotes.many(birds=count)
    others = sum(flock.others for flock in profile.flock)
    if others:
        yield FlockNotes.others(birds=others, walk_in=CallIn.others())
    for flock in profile.flock:
        weeks = weeks_old(flock, today)
        if flock.young and weeks is not None and weeks >= LAYER_WEEKS:
            if flock.hatched:
                yield FlockNotes.grown(flock=flock.name, weeks=f"{weeks:.0f}")
            else:
                yield FlockNotes.said_grown(flock=flock.name)
        if weeks is not None and weeks < OFF_HEAT_WEEKS and flock.raised_by is None:
            raised = FlockNotes.with_a_hen if under_a_hen(flock) else FlockNotes.in_a_brooder
            keys = Keys(InProfile.raised_by())
            yield note(raised, flock=flock.name, weeks=OFF_HEAT_WEEKS, keys=keys)
        yield from _odd_notes(profile, flock, today)
        yield from _quarantine_notes(profile, flock, today)
    for coop in profile.coop:
        if coop.light and coop.light.programme and coop.light.first is None:
            keys = Keys(InProfile.lamp_since(day=today.isoformat()))
            yield note(FlockNotes.new_lamp, house=coop.name, keys=keys)
    yield from _move_notes(profile, today, records)


def _odd_notes(profile: Profile, flock: Flock, today: date) -> Iterator[str | Note]:
    """What can be, but is more often a slip of the pen, and chicks of whom too little is said."""
    hatched, arrived, mass_kg = flock.hatched, flock.arrived, flock.mass_kg
    if hatched and (years := (today - hatched).days // 365) > OLDEST_HEN_YEARS:
        yield FlockNotes.hatched_long_ago(flock=flock.name, years=years, year=hatched.year)
    if arrived and arrived - today > _A_YEAR:
        yield FlockNotes.arrives_late(flock=flock.name, day=arrived.isoformat())
    if mass_kg is not None and not HEN_KG[0] <= mass_kg <= HEN_KG[1]:
        said = write_quantity(mass_kg, "mass", profile.units)
        yield FlockNotes.weight(flock=flock.name, mass=said)
    if flock.age in {"chick", "pullet"}:
        asked = FlockNotes.chicks if flock.age == "chick" else FlockNotes.pullets
        yield note(asked, flock=flock.name, keys=Keys(f"hatched = {today.isoformat()}"))
    if flock.young and not hatched and not flock.age:
        keys = Keys(InProfile.hatched_or_age(day=today.isoformat()))
        yield note(FlockNotes.no_age, flock=flock.name, keys=keys)


def _quarantine_notes(profile: Profile, flock: Flock, today: date) -> Iterator[str | Note]:
    """What is to be asked about newcomers, until their quarantine would be over."""
    if flock.arrived is None or (today - flock.arrived).days >= QUARANTINE_DAYS:
        return
    if flock.raised_by is None:
        yield note(
            NewcomerNotes.bought,
            flock=flock.name,
            day=short_day(flock.arrived),
            days=QUARANTINE_DAYS,
            bought=Keys('raised_by = "bought"'),
            hatched=Keys(InProfile.hatched_with_you()),
            arrived=Keys("arrived"),
        )
    others = [one.name for one in profile.flocks_of(flock.coop) if one.arrived != flock.arrived]
    if flock.raised_by == "bought" and others:
        yield note(
            NewcomerNotes.share,
            flock=flock.name,
            house=profile.coop_of(flock.coop).name,
            others=in_a_row(others),
            coop=Keys("[[coop]]"),
            days=QUARANTINE_DAYS,
            arrived=Keys("arrived"),
        )


def _move_notes(profile: Profile, today: date, records: Records) -> Iterator[str | Note]:
    """Since when newcomers sleep with the others, which the evening and first outing hang on."""
    for flock in profile.flock:
        house = profile.flocks_on(flock.coop, today)
        if taken := Newcomer(flock, house, records, today).assumed_move:
            yield note(
                NewcomerNotes.since_when,
                flock=flock.name,
                house=profile.coop_of(flock.coop).name,
                keys=Keys(InProfile.joined(day=min(taken, today).isoformat())),
                day=short_day(taken),
            )
