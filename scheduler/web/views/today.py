"""Today: the lock-up first, then what is to be done; one thumb, in the rain."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from urllib.parse import quote

from scheduler.cares.day_lines import day_lines
from scheduler.cares.day_plan import DayPlan
from scheduler.cares.done_and_waiting import TaskKey, key_of
from scheduler.cares.free_range import FreeRange
from scheduler.cares.move_ahead import move_ahead
from scheduler.cares.rounds import each_once
from scheduler.profile.who_may import LINK
from scheduler.service.jobs import kept_ticks
from scheduler.service.weather.warned import warnings_of
from scheduler.web.all_shut import not_all, say_all_shut
from scheduler.web.door_forms import (
    ALL_SHUT,
    Wrong,
    answered,
    is_of_another_evening,
    not_kept,
    say,
    untold,
)
from scheduler.web.egg_forms import WrongEggs, egg_forms, pressed
from scheduler.web.egg_forms import collected as egg_forms_collected
from scheduler.web.evening_card import Card
from scheduler.web.evening_cards import (
    empty,
    last_night,
    of_their_days,
    tonight,
    unsaid_last_night,
)
from scheduler.web.evenings_ahead import EVENINGS, evenings_ahead
from scheduler.web.job_lines import (
    anchor_of,
    let_out_key,
    pointed_at,
    round_view,
    unplanned_lines,
    urgent_lines,
    waiting_lines,
)
from scheduler.web.last_results import Plans
from scheduler.web.phone_lines import ToCompare
from scheduler.web.request_and_answer import Answer, Visit, go, refuse
from scheduler.web.sky_picture import sky_of
from scheduler.web.today_order import PartOfDay, by_urgency, part_of_day, still_open
from scheduler.web.views import birds, week
from scheduler.web.week_rows import ticked_ahead
from scheduler.web.who_looks import looking_for
from scheduler.web.whom_to_call import callable_people
from scheduler.wording.spoken import weekday
from scheduler.wording.web.door_forms import WrongDoorForm
from scheduler.wording.web.today import WrongTick

_LONGEST_LIST = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Unused:
    """What could not be used of a form: of a door's, of a tick, of the eggs'."""

    door: Wrong | None = None
    tick: str = ""
    eggs: WrongEggs | None = None

    def __bool__(self) -> bool:
        """Whether there is anything of it."""
        return bool(self.door or self.tick or self.eggs)


_NOTHING = Unused()


def show(
    visit: Visit,
    plans: Plans,
    unused: Unused = _NOTHING,
    compare: Callable[[Visit], ToCompare | None] = lambda _: None,
) -> Answer:
    """The page; what `compare` gives, its script compares with what its browser has."""
    *earlier, today = plans.up_to(visit.standing, visit.today).days
    cards = tonight(visit)
    mine = of_their_days(visit, cards)
    part = part_of_day(cards, visit.standing.almanac.noon(visit.today), visit.now)
    # After midnight the jobs are those of another day than the evening.
    is_of_today = any(card.day == visit.today for card in cards)
    facts = {
        "compared": compare(visit),
        "part": part,
        "sky": sky_of(visit, mine),
        "looking": looking_for(visit, cards, visit.person),
        "callable": callable_people(visit),
        **_doors(visit, cards, mine, unused.door),
        **_jobs(visit, earlier, today, part, is_of_today=is_of_today),
        "unknown": unused.tick,
        "times": {
            coop.coop_id: day_lines(visit.profile, coop)
            for coop in today.coops
            if not visit.standing.houses[coop.coop_id].is_empty
        },
        **_ranging(visit, today),
        "moving": move_ahead(visit.profile, visit.today),
        "orders": [
            (number, one.spell.first)
            for number, one in visit.standing.reports.items()
            if one.is_long_unconfirmed(visit.today) and visit.may_not("reports") is None
        ],
        "birds": birds.today(visit),
        "eggs": egg_forms(visit, unused.eggs),
        "egg_pressed": pressed,
        "evenings": evenings_ahead(visit.standing.almanac, visit.today),
        "evenings_count": EVENINGS,
        "warnings_told": warnings_of(visit.standing.records, visit.today, visit.now),
        "seasons": [(text, task.why) for text, task in each_once(visit.profile, today.seasons)],
    }
    return Answer(template="today.html", facts=facts, status=422 if unused else 200)


def _doors(
    visit: Visit, cards: tuple[Card, ...], mine: tuple[Card, ...], wrong: Wrong | None
) -> dict[str, object]:
    """The houses by urgency, and what was answered of a form that stood on one of them.

    Of the `cards` those are shown that are `mine`: of which whoever looks may say something.
    """
    unsaid, without, told = unsaid_last_night(visit, cards), empty(visit), not_kept(visit)
    ended = last_night(visit)
    groups = by_urgency((*mine, *of_their_days(visit, unsaid)), visit.now)
    return {
        "groups_first": [group for group in groups if not group.can_wait],
        "groups_later": [group for group in groups if group.can_wait],
        "docked": next((group for group in groups if group.is_docked), None),
        "doors_open": still_open(mine),
        "houses": len(mine),
        "all_well": all(card.mood == "shut" for card in mine),
        "ended": of_their_days(visit, ended),
        "empty": of_their_days(visit, without),
        "wrong": wrong,
        "told": told,
        "not_all": not_all(visit),
        "untold": untold(wrong, told, {one.key for one in (*cards, *unsaid, *without, *ended)}),
    }


def _ranging(visit: Visit, today: DayPlan) -> dict[str, object]:
    """The houses, by id, whose birds have an hour outside still to come, and whose come in now."""
    spells = {one.coop_id: one.free_range for one in today.coops}
    out = {name: one for name, one in spells.items() if isinstance(one, FreeRange)}
    called = {name for name, one in out.items() if one.call_in <= visit.now}
    return {"ranging": out.keys() - called, "calling": called}


def _jobs(
    visit: Visit,
    earlier: Sequence[DayPlan],
    today: DayPlan,
    part: PartOfDay,
    *,
    is_of_today: bool,
) -> dict[str, object]:
    """The walks, that of this part of the day first, and what still waits of the days before."""
    still, urgent = list(waiting_lines(visit, earlier, today)), list(urgent_lines(visit, today))
    first = pointed_at(still)
    rounds = [round_view(visit, walk, today) for walk in today.rounds]
    shown = (*urgent, *still, *(line for walk in rounds for line in walk.lines))
    is_first = ("morning",) if part == "morning" else ("midday", "evening")
    return {
        "not_theirs": visit.may_not("jobs", visit.today),
        "urgent": urgent,
        "evening_left": is_of_today
        and any(
            not line.done
            for line in (*urgent, *(line for walk in rounds if walk.is_last for line in walk.lines))
        ),
        "rounds_now": [walk for walk in rounds if walk.lines and walk.name in is_first],
        "rounds_else": [walk for walk in rounds if walk.lines and walk.name not in is_first],
        "left_undone": sum(not line.done for line in shown),
        "unplanned": list(unplanned_lines(visit, {key for line in shown for key in line.keys})),
        "waiting": still[:first],
        "waiting_more": still[first:],
        "waiting_all": sum(not line.done for line in still),
    }


def collected(visit: Visit, plans: Plans) -> Answer:
    """Eggs were counted, or the last count was taken back."""
    if why := visit.may_not("jobs", visit.today):
        return refuse(why)
    answer = egg_forms_collected(visit)
    if isinstance(answer, Answer):
        return answer
    is_here = answer.house_id in visit.profile.house_names
    return show(visit, plans, Unused(eggs=answer) if is_here else Unused(tick=answer.text))


def said(visit: Visit, plans: Plans) -> Answer:
    """Something was said of a door."""
    day = _date(visit.said("day"))
    if day is None:
        text = WrongDoorForm.no_date(typed=visit.said("day"))
        return show(visit, plans, Unused(door=Wrong(field="day", text=text, typed={})))
    if is_of_another_evening(visit, day):
        text = WrongDoorForm.another_day(weekday=weekday(day))
        return show(visit, plans, Unused(door=Wrong(field="day", text=text, typed={})))
    if visit.said("do") == ALL_SHUT:
        together = say_all_shut(visit, day, visit.who, visit.voice or LINK)
        if isinstance(together, Wrong):
            return show(visit, plans, Unused(door=together))
        return together
    result = say(visit, day, visit.who, visit.voice or LINK)
    if isinstance(result, Wrong):
        return show(visit, plans, Unused(door=result))
    return answered(visit, result, "/")


def ticked(visit: Visit, plans: Plans) -> Answer:
    """A job was ticked or left out this time, or that was taken back: here, or on Week."""
    do, is_of_week = visit.said("do"), visit.said("back") == "week"
    back = week.address_of(visit) if is_of_week else "/"

    def again(unknown: str) -> Answer:
        if is_of_week:
            return week.show(visit, plans, unknown=unknown)
        return show(visit, plans, Unused(tick=unknown))

    if do not in {"done", "skip", "undo"}:
        return again(WrongTick.no_button(button=do[:80]))
    planned = plans.up_to(visit.standing, visit.today)
    known = {key_of(task) for day in planned.days for task in day.tasks}
    known |= {let_out_key(coop) for day in planned.days for coop in day.coops}
    if is_of_week:
        known |= set(ticked_ahead(visit, plans))
    if do == "undo":
        known |= visit.standing.marks.keys()  # whatever has become of the plan since
    wanted = [(text, _read(text)) for text in visit.form.get("job", [])[:_LONGEST_LIST]]
    strange = [text for text, key in wanted if key not in known]
    if strange or not wanted:
        text = WrongTick.no_job(job=strange[0][:80]) if strange else WrongTick.none_chosen()
        return again(text)
    keys = [key for _, key in wanted if key]
    if why := visit.may_not("jobs", _day_of(visit, keys)):
        return refuse(why)
    site_id = visit.profile.site.id
    if do == "undo":
        if not kept_ticks.take_back(visit.journal, site_id, keys, visit.speaker):
            anchor = anchor_of(keys[0])
            return go(f"{back}{'&' if '?' in back else '?'}already={quote(anchor)}#{anchor}")
    else:
        kept_ticks.mark(
            visit.journal,
            site_id,
            keys,
            visit.speaker,
            at=visit.tapped_at(),
            asked=visit.standing.asked_since,
            skipped=do == "skip",
        )
    return go(f"{back}#{anchor_of(keys[0])}")


def _day_of(visit: Visit, keys: Sequence[TaskKey]) -> date:
    """The day that a tick is of: that on which it is done, or was, where it is taken back."""
    marks = [visit.standing.marks[key].at for key in keys if key in visit.standing.marks]
    undone = marks if visit.said("do") == "undo" else []
    return visit.standing.household.today(min(undone, default=visit.tapped_at() or visit.now))


def _read(text: str) -> TaskKey | None:
    parts = text.split("|")
    if len(parts) != 4 or not parts[3].isdecimal() or len(parts[3]) > 3:  # noqa: PLR2004 - as written
        return None
    day = _date(parts[2])
    return TaskKey(parts[0], parts[1], day, int(parts[3])) if day else None


def _date(text: str) -> date | None:
    try:
        return date.fromisoformat(text) if len(text) == len("2026-12-21") else None
    except ValueError:
        return None
