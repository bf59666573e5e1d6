"""What is said of a house's eggs on a day: not for eating, or free again."""

from collections.abc import Iterator
from datetime import date, timedelta

from scheduler.cares.bird_line import BirdLine, told_of_house
from scheduler.cares.records import Records
from scheduler.cares.withheld_eggs import Withheld, houses_treated, withheld
from scheduler.profile.values import Profile
from scheduler.profile.words import day_words, words

_KEEP_THE_RECORD = "Keep this record for as long as your local law asks."


def egg_lines(profile: Profile, records: Records, day: date) -> Iterator[BirdLine]:
    """Of each house whose eggs are not to be eaten, or may be eaten again from this day on."""
    for house_id in houses_treated(profile, records):
        now, before = (withheld(records, house_id, on) for on in (day, day - timedelta(days=1)))
        if now:
            yield _not_for_eating(profile, house_id, now, day)
        elif before:
            yield BirdLine(
                house_id=house_id,
                title=told_of_house(
                    profile,
                    house_id,
                    f"by the label, eggs laid from today ({day_words(day)}) on may be eaten again",
                ),
                text=f"After {', '.join(before.products)}. Throw away the older ones. "
                f"{_KEEP_THE_RECORD}",
            )


def _not_for_eating(profile: Profile, house_id: str, eggs: Withheld, day: date) -> BirdLine:
    withdrawal = words(profile.site.region)["withdrawal"]
    asked = _runs(eggs, withdrawal, day)
    if eggs.free_from is None:
        # Each course by its first day: the same product may have been given before.
        of = " and ".join(f"{one.words} of {day_words(one.spell.first)}" for one in eggs.unread)
        asked = f"Nobody has noted the {withdrawal} of eggs for {of} yet: read the label or ask "
        asked += "the vet, and note it"
    given = f"After {', '.join(eggs.products)}"
    if goes_on := [
        one for one in eggs.courses if day in one.spell and one.spell.last != one.spell.first
    ]:
        still = tuple(dict.fromkeys(one.words for one in goes_on))
        over = [name for name in eggs.products if name not in still]
        given = f"After {', '.join(over)}. " if over else ""
        given += f"{' and '.join(still)} {'is' if len(still) == 1 else 'are'} still being given"
    moved = "If a treated hen moves house, it holds there too. " if profile.coop[1:] else ""
    if house_id not in profile.house_names:
        moved = (
            "That house is no longer in the profile. It holds wherever those hens lay now, and for "
            "the whole of a house where nobody can tell their eggs apart. "
        )
    laid = f"That goes for every egg laid since {day_words(eggs.since)}. "
    return BirdLine(
        house_id=house_id,
        title=told_of_house(
            profile, house_id, f"do not eat, give away or sell the eggs {eggs.until_words}"
        ),
        text=f"{given}. {asked}. Do not feed them to the birds either. {laid}{moved}"
        f"{_KEEP_THE_RECORD}",
    )


def _runs(eggs: Withheld, withdrawal: str, day: date) -> str:
    """From when the days of the label count: the last dose, while it is still to come."""
    last = max((one.spell.last for one in eggs.courses if one.spell.last), default=day)
    is_over = last < day or all(one.spell.last == one.spell.first for one in eggs.courses)
    since = "" if is_over else f" from the last dose ({day_words(last)})"
    return f"The {withdrawal} runs{since}, by what you read on the label"
