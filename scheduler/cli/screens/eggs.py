"""`duskfold eggs`: what was collected today."""

from dataclasses import asdict
from functools import partial

from scheduler.cli.compose import Session
from scheduler.cli.faults import go_on_after
from scheduler.cli.screens.tables import as_json
from scheduler.cli.typed import Typed
from scheduler.profile.values import Profile
from scheduler.service.diary import Refused, Speaker
from scheduler.service.egg_counts import MOST_EGGS, Eggs, ManyEggs, count_eggs, take_back_eggs
from scheduler.wording.cli.help import Metavar
from scheduler.wording.cli.refusals import FoundThere
from scheduler.wording.cli.said import EggsScreen
from scheduler.wording.profile.reading_words import Numbers
from scheduler.wording.spoken import in_a_row, short_day


def run(  # noqa: PLR0913 - what the command line said
    session: Session,
    eggs: str | None,
    *,
    coop: str | None,
    on: str | None,
    who: str | None,
    undo: bool,
    sure: bool,
    json: bool,
) -> None:
    """Keeps how many there were, or takes back the last count; more than can be is asked about."""
    household = session.household_in_force
    profile, today = household.profile, household.today(session.now)
    typed = Typed("eggs")
    house = typed.one_of("--coop", coop, profile.coop)
    if house is None and coop is None and len(profile.coop) > 1:
        houses = in_a_row([one.name for one in profile.coop])
        typed.refuse("--coop", FoundThere.no_house(), houses)
    house = house or profile.coop[0]
    day = typed.day("--date", on) or today
    number = typed.whole(Metavar.eggs(), eggs, 0, MOST_EGGS)
    if number is None and eggs is None and not undo:
        accepted = Numbers.whole(least=0, most=MOST_EGGS)
        typed.refuse(Metavar.eggs(), FoundThere.nothing(), accepted)
    name = typed.speaker(profile, who)
    typed.end_if_wrong()
    by = Speaker.called(name, profile, session.now, today)
    with session.journal() as journal:
        if undo:
            result: Eggs | Refused | ManyEggs = take_back_eggs(journal, profile, house.id, day, by)
        else:
            count = partial(count_eggs, journal, profile, house.id, day, number or 0, by)
            result = count(sure=sure)
            if isinstance(result, ManyEggs):
                go_on_after(EggsScreen.many(eggs=result.eggs, birds=result.birds))
                result = count(sure=True)
    if isinstance(result, Refused):
        typed.refuse(result.key, result.found, result.accepted, result.question)
        typed.give_up()
    if isinstance(result, Eggs):
        print(as_json(asdict(result)) if json else _told(profile, result, undo=undo))


def _told(profile: Profile, result: Eggs, *, undo: bool) -> str:
    done = EggsScreen.taken_back if undo else EggsScreen.noted
    where, day = profile.house_names[result.house_id], short_day(result.day)
    told = done(eggs=result.eggs, house=where, day=day)
    if result.in_all == result.eggs and not undo:
        return told
    return f"{told} {EggsScreen.in_all(eggs=result.in_all)}"
