"""What is said of a house's eggs on a day: not for eating, or free again."""

from collections.abc import Iterator
from datetime import date, timedelta

from scheduler.cares.bird_line import BirdLine, told_of_house
from scheduler.cares.records import Records
from scheduler.cares.withheld_eggs import Withheld, houses_treated, withheld
from scheduler.profile.values import Profile
from scheduler.profile.words import words
from scheduler.wording.cares.eggs import EggsWithheld
from scheduler.wording.spoken import in_a_row, listed, short_day


def egg_lines(profile: Profile, records: Records, day: date) -> Iterator[BirdLine]:
    """Of each house whose eggs are not to be eaten, or may be eaten again from this day on."""
    for house_id in houses_treated(profile, records):
        now, before = (withheld(records, house_id, on) for on in (day, day - timedelta(days=1)))
        if now:
            yield _not_for_eating(profile, house_id, now, day)
        elif before:
            text = (
                EggsWithheld.after(medicines=in_a_row(before.products)),
                EggsWithheld.throw_away(),
                EggsWithheld.keep_record(),
            )
            free = EggsWithheld.free_again(day=short_day(day))
            yield BirdLine(
                house_id=house_id,
                about=("free", day),
                title=told_of_house(profile, house_id, free),
                text=" ".join(text),
            )


def _not_for_eating(profile: Profile, house_id: str, eggs: Withheld, day: date) -> BirdLine:
    withdrawal = words(profile.on(day).site.region)["withdrawal"]
    text = [
        *_given(eggs, day),
        _runs(eggs, withdrawal, day) if eggs.free_from else _not_noted(eggs, withdrawal),
        EggsWithheld.not_to_birds(),
        EggsWithheld.laid_since(day=short_day(eggs.since)),
    ]
    if house_id not in profile.house_names:
        text.append(EggsWithheld.house_gone())
    elif profile.coop[1:]:
        text.append(EggsWithheld.moves_along())
    text.append(EggsWithheld.keep_record())
    rule = EggsWithheld.not_for_eating(until=eggs.until_words)
    return BirdLine(
        house_id=house_id,
        about=("withheld", eggs.free_from, eggs.labels),
        title=told_of_house(profile, house_id, rule),
        text=" ".join(text),
    )


def _given(eggs: Withheld, day: date) -> Iterator[str]:
    """After which medicines, and which of them are still being given."""
    goes_on = [
        one for one in eggs.courses if day in one.spell and one.spell.last != one.spell.first
    ]
    still = tuple(dict.fromkeys(one.words for one in goes_on))
    if over := [name for name in eggs.products if name not in still]:
        yield EggsWithheld.after(medicines=in_a_row(over))
    if still:
        yield EggsWithheld.still_given(medicines=listed(still), count=len(still))


def _not_noted(eggs: Withheld, withdrawal: str) -> str:
    """Each course by its first day: the same product may have been given before."""
    courses = [
        EggsWithheld.course(medicine=one.words, day=short_day(one.spell.first))
        for one in eggs.unread
    ]
    return EggsWithheld.not_noted(withdrawal=withdrawal, courses=listed(courses))


def _runs(eggs: Withheld, withdrawal: str, day: date) -> str:
    """From when the days of the label count: the last dose, while it is still to come."""
    last = max((one.spell.last for one in eggs.courses if one.spell.last), default=day)
    if last < day or all(one.spell.last == one.spell.first for one in eggs.courses):
        return EggsWithheld.runs(withdrawal=withdrawal)
    return EggsWithheld.runs_from_last_dose(withdrawal=withdrawal, day=short_day(last))
