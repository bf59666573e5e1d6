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
from scheduler.profile.words import day_words
from scheduler.service.note import Keys, Note, note
from scheduler.wording.cares.door_times import CallIn

FAR_TOO_MANY_BIRDS = 200  # more is more often a slip of the finger than a flock (no source)
OLDEST_HEN_YEARS = 12  # from memory, no source
HEN_KG = (0.4, 6.0)  # the smallest bantam to the largest heavy hen, common practice, no source
_A_YEAR = timedelta(days=364)


def flock_notes(profile: Profile, today: date, records: Records) -> Iterator[str | Note]:
    """Each question about the birds, a sentence or a few; nothing where all is said."""
    count = sum(flock.birds for flock in profile.flock)
    if count > FAR_TOO_MANY_BIRDS:
        yield (
            f"{count} birds: is that right? Duskfold is made for 4 to 50. Its jobs and minutes do "
            "not fit a farm, which has other rules to follow."
        )
    others = sum(flock.others for flock in profile.flock)
    if others:
        birds = f"{others} other bird{' is' if others == 1 else 's are'}"
        yield f"{birds} not counted in the figures. {CallIn.others()}"
    for flock in profile.flock:
        weeks = weeks_old(flock, today)
        if flock.young and weeks is not None and weeks >= LAYER_WEEKS:
            old = f"{weeks:.0f} weeks old" if flock.hatched else "said to be adult"
            yield f"{flock.name} are {old}. Count them as hens and roosters now."
        if weeks is not None and weeks < OFF_HEAT_WEEKS and flock.raised_by is None:
            yield note(
                f"{flock.name} are under {OFF_HEAT_WEEKS} weeks old. Are they with a hen or in a "
                "brooder? Say so",
                Keys('raised_by = "hen", "brooder" or "bought"'),
                ". Until then, they are taken to be "
                f"{'with a hen' if under_a_hen(flock) else 'in a brooder'}.",
            )
        yield from _odd_notes(profile, flock, today)
        yield from _quarantine_notes(profile, flock, today)
    for coop in profile.coop:
        if coop.light and coop.light.programme and coop.light.first is None:
            yield note(
                f"{coop.name}: is the lamp new? If so, say since when",
                Keys(f"in [coop.light], from = {today.isoformat()}"),
                ", and the light grows by an hour a week. Without that, the programme is taken to "
                "have run since the days were long.",
            )
    yield from _move_notes(profile, today, records)


def _odd_notes(profile: Profile, flock: Flock, today: date) -> Iterator[str | Note]:
    """What can be, but is more often a slip of the pen, and chicks of whom too little is said."""
    hatched, arrived, mass_kg = flock.hatched, flock.arrived, flock.mass_kg
    if hatched and (years := (today - hatched).days // 365) > OLDEST_HEN_YEARS:
        yield f"{flock.name} hatched {years} years ago, in {hatched.year}. Is that right?"
    if arrived and arrived - today > _A_YEAR:
        yield (
            f"{flock.name} arrive on {arrived.isoformat()}, more than a year ahead. Is that right? "
            "Until then, they are not counted anywhere."
        )
    if mass_kg is not None and not HEN_KG[0] <= mass_kg <= HEN_KG[1]:
        said = write_quantity(mass_kg, "mass", profile.units)
        yield f"{flock.name} weigh {said} each. Is that right? Give the mass of one grown hen."
    if flock.age in {"chick", "pullet"}:
        told = (
            "you are told their warmth, room and feed week by week"
            if flock.age == "chick"
            else "you are told when their nests and layer feed are due"
        )
        yield note(
            f"{flock.name}: on which day did they hatch? Say so",
            Keys(f"hatched = {today.isoformat()}"),
            f" instead of their age, and {told}. Until then, they stay that young.",
        )
    if flock.young and not hatched and not flock.age:
        yield note(
            f"{flock.name}: how old are the young ones? Say so",
            Keys(f'hatched = {today.isoformat()}, or age = "chick" or "pullet"'),
            ". Until then, no birds from their house range, and where they live alone its door "
            "stays shut.",
        )


def _quarantine_notes(profile: Profile, flock: Flock, today: date) -> Iterator[str | Note]:
    """What is to be asked about newcomers, until their quarantine would be over."""
    if flock.arrived is None or (today - flock.arrived).days >= QUARANTINE_DAYS:
        return
    if flock.raised_by is None:
        yield note(
            f"{flock.name} arrive on {day_words(flock.arrived)}. Did you buy them? If so, say that",
            Keys('raised_by = "bought"'),
            f", and they are kept apart for {QUARANTINE_DAYS} days. If they hatched with you, say "
            "that",
            Keys('raised_by = "brooder" or "hen"'),
            ". If they only changed houses, say on which day they came to you",
            Keys("arrived"),
            ".",
        )
    others = [one.name for one in profile.flocks_of(flock.coop) if one.arrived != flock.arrived]
    if flock.raised_by == "bought" and others:
        house = profile.coop_of(flock.coop).name
        yield note(
            f"{flock.name} are in quarantine but share {house} with {', '.join(others)}. "
            "Give them a house of their own",
            Keys("[[coop]]"),
            " for the 30 days. Until then, no bird in it ranges. If they only changed houses, say "
            "on which day they came to you",
            Keys("arrived"),
            ".",
        )


def _move_notes(profile: Profile, today: date, records: Records) -> Iterator[str | Note]:
    """Since when newcomers sleep with the others, which the evening and first outing hang on."""
    for flock in profile.flock:
        house = profile.flocks_on(flock.coop, today)
        if taken := Newcomer(flock, house, records, today).assumed_move:
            name = profile.coop_of(flock.coop).name
            yield note(
                f"{flock.name} share {name} with birds that were there before them. Since when? "
                "Say so",
                Keys(f"joined = {min(taken, today).isoformat()}, or the day it was"),
                f". Until then, they are taken to have moved in on {day_words(taken)}, and all "
                "stay in the run for two weeks from then.",
            )
