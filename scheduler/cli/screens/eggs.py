"""`duskfold eggs`: what was collected today."""

from dataclasses import asdict
from functools import partial

from scheduler.cli.compose import Session
from scheduler.cli.faults import go_on_after
from scheduler.cli.screens.tables import as_json
from scheduler.cli.typed import Typed
from scheduler.profile.values import Profile
from scheduler.profile.words import day_words
from scheduler.service.diary import Refused, Speaker
from scheduler.service.egg_counts import Eggs, ManyEggs, count_eggs, take_back_eggs

_MOST_EGGS = 1000  # of one house and day: more is a slip of the pen


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
        typed.refuse("--coop", "no house", ", ".join(one.name for one in profile.coop))
    house = house or profile.coop[0]
    day = typed.day("--date", on) or today
    number = typed.whole("EGGS", eggs, 0, _MOST_EGGS)
    if number is None and eggs is None and not undo:
        typed.refuse("EGGS", "nothing", f"a whole number from 0 to {_MOST_EGGS}")
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
                birds = "1 bird" if result.birds == 1 else f"{result.birds} birds"
                go_on_after(f"That is {result.eggs} eggs from {birds} in one day. Is it right?")
                result = count(sure=True)
    if isinstance(result, Refused):
        typed.refuse(result.key, result.found, result.accepted, result.question)
        typed.give_up()
    if isinstance(result, Eggs):
        print(as_json(asdict(result)) if json else _told(profile, result, undo=undo))


def _told(profile: Profile, result: Eggs, *, undo: bool) -> str:
    done = "Taken back" if undo else "Noted"
    counted = f"{result.eggs} egg{'' if result.eggs == 1 else 's'}"
    where = profile.house_names[result.house_id]
    more = f" That makes {result.in_all} that day." if result.in_all != result.eggs or undo else ""
    return f"{done}: {counted} from {where}, {day_words(result.day)}.{more}"
