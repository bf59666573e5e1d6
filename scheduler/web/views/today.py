"""Today: the lock-up first, then what is to be done; one thumb, in the rain."""

from collections.abc import Callable, Sequence
from datetime import date
from urllib.parse import quote

from scheduler.cares.day_lines import day_lines
from scheduler.cares.done_and_waiting import TaskKey, key_of
from scheduler.cares.move_ahead import move_ahead
from scheduler.cares.rounds import each_once
from scheduler.profile.who_may import LINK
from scheduler.service.jobs import kept_ticks
from scheduler.service.weather.warned import warnings_of
from scheduler.web.door_forms import Wrong, answered, is_of_another_evening, not_kept, say, untold
from scheduler.web.evening_cards import empty, of_their_days, tonight, unsaid_last_night
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
from scheduler.web.views import birds, week
from scheduler.web.week_rows import ticked_ahead
from scheduler.wording.spoken import weekday
from scheduler.wording.web.door_forms import WrongDoorForm
from scheduler.wording.web.today import WrongTick

_LONGEST_LIST = 40


def show(
    visit: Visit,
    plans: Plans,
    wrong: Wrong | None = None,
    unknown: str = "",
    compare: Callable[[Visit], ToCompare | None] = lambda _: None,
) -> Answer:
    """The page; `wrong` and `unknown` say what could not be used of a form.

    What `compare` gives, the page's script compares with what its browser has.
    """
    *earlier, today = plans.up_to(visit.standing, visit.today).days
    still = list(waiting_lines(visit, earlier, today))
    first = pointed_at(still)
    cards, urgent = tonight(visit), list(urgent_lines(visit, today))
    unsaid, without, told = unsaid_last_night(visit, cards), empty(visit), not_kept(visit)
    rounds = [round_view(visit, walk, today) for walk in today.rounds]
    shown = (*urgent, *still, *(line for walk in rounds for line in walk.lines))
    facts = {
        "compared": compare(visit),
        "cards": of_their_days(visit, cards),
        "unsaid": of_their_days(visit, unsaid),
        "empty": of_their_days(visit, without),
        "wrong": wrong,
        "unknown": unknown,
        "told": told,
        "untold": untold(wrong, told, {one.key for one in (*cards, *unsaid, *without)}),
        "times": [
            (visit.profile.coop_of(coop.coop_id).name, day_lines(visit.profile, coop))
            for coop in today.coops
            if not visit.standing.houses[coop.coop_id].is_empty
        ],
        "moving": move_ahead(visit.profile, visit.today),
        "orders": [
            (number, one.spell.first)
            for number, one in visit.standing.reports.items()
            if one.is_long_unconfirmed(visit.today) and visit.may_not("reports") is None
        ],
        "birds": birds.today(visit),
        "warnings_told": warnings_of(visit.standing.records, visit.today, visit.now),
        "not_theirs": visit.may_not("jobs", visit.today),
        "urgent": urgent,
        "rounds": rounds,
        "unplanned": list(unplanned_lines(visit, {key for line in shown for key in line.keys})),
        "waiting": still[:first],
        "waiting_more": still[first:],
        "waiting_all": sum(not line.done for line in still),
        "seasons": [(text, task.why) for text, task in each_once(visit.profile, today.seasons)],
    }
    status = 422 if wrong or unknown else 200
    return Answer(template="today.html", facts=facts, status=status)


def said(visit: Visit, plans: Plans) -> Answer:
    """Something was said of a door."""
    day = _date(visit.said("day"))
    if day is None:
        text = WrongDoorForm.no_date(typed=visit.said("day"))
        return show(visit, plans, Wrong(field="day", text=text, typed={}))
    if is_of_another_evening(visit, day):
        text = WrongDoorForm.another_day(weekday=weekday(day))
        return show(visit, plans, Wrong(field="day", text=text, typed={}))
    result = say(visit, day, visit.who, visit.voice or LINK)
    if isinstance(result, Wrong):
        return show(visit, plans, result)
    return answered(visit, result, "/")


def ticked(visit: Visit, plans: Plans) -> Answer:
    """A job was ticked or left out this time, or that was taken back: here, or on Week."""
    do, is_of_week = visit.said("do"), visit.said("back") == "week"
    again, back = (week.show, week.address_of(visit)) if is_of_week else (show, "/")
    if do not in {"done", "skip", "undo"}:
        return again(visit, plans, unknown=WrongTick.no_button(button=do[:80]))
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
        return again(visit, plans, unknown=text)
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
