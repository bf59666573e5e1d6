"""The page behind a message's link: one evening, for one person, without signing in."""

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.reminded_evening import Evening
from scheduler.profile.person import Person
from scheduler.service.doors.statement import How
from scheduler.tokens.evening_link import DayLink, EveningLink
from scheduler.web.door_forms import Wrong, answered, not_kept, say
from scheduler.web.evening_card import Card
from scheduler.web.evening_cards import cards_of
from scheduler.web.request_and_answer import Answer, Visit

_GOOD_FOR = timedelta(hours=48)  # after the lock-up; a calendar's link from noon of its evening


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """The link's evening, the name of its person, and how they say something by it."""

    night: Night
    who: str
    path: str
    how: How


def found(visit: Visit) -> Found | None:
    """What the link is for; None when it is not ours, or its time is over."""
    day = _day_of(visit)
    if day is None:
        return None
    link = EveningLink(
        site_id=visit.profile.site.id,
        day=day,
        subject_id=visit.path["subject"],
        person_id=visit.path["person"],
        generation=visit.standing.generations.get(visit.path["person"], 0),
    )
    key = visit.standing.almanac.key
    if not link.is_signed(visit.path["token"], key):
        return None
    for night in visit.standing.nights:
        evening = night.evening
        if (evening.day, evening.subject_id) != (day, link.subject_id):
            continue
        if visit.now > evening.lock_up + _GOOD_FOR:
            return None
        # Whoever was taken out of the profile answers no more, although messages were sent.
        person = visit.person_of(link.person_id)
        if person is None:
            return None
        how = _how(visit, evening, person)
        return Found(night=night, who=person.name, path=link.path(key), how=how)
    return None


def _day_of(visit: Visit) -> date | None:
    """The date in the address; None where it is none."""
    try:
        return date.fromisoformat(visit.path["day"])
    except ValueError:
        return None


def _how(visit: Visit, evening: Evening, person: Person) -> How:
    """Whether the link's person is on duty, or signed in on this device."""
    if visit.person and visit.person.id == person.id:
        return "signed in"
    duty = evening.on_duty
    return "duty's link" if duty and duty.person_id == person.id else "link"


def show(visit: Visit, wrong: Wrong | None = None) -> Answer | None:
    """The page; None when there is nothing behind the link."""
    link = found(visit)
    if link is None:
        return None
    facts = {
        "cards": [_of_this_evening(card) for card in cards_of(visit, link.night)],
        "who": link.who,
        "path": link.path,
        "day": link.night.evening.day,
        "opens": "",
        "over": visit.now >= link.night.evening.let_out,
        "told": not_kept(visit),
        "wrong": wrong,
        "for_good": link.how != "link",
    }
    return Answer(template="evening.html", facts=facts, status=422 if wrong else 200)


def _of_this_evening(card: Card) -> Card:
    """The card without what takes back something of the evening before: the link is for one."""
    is_own = card.undo is not None and card.undo.day == card.day
    return replace(card, undo=card.undo if is_own else None, undo_dead=None)


def said(visit: Visit) -> Answer | None:
    """Something was said of a door behind the link, as the link's person."""
    link = found(visit)
    if link is None:
        return None
    if visit.said("coop") not in link.night.states:
        typed = {name: visit.said(name) for name in visit.form}
        text = f'Found the house "{visit.said("coop")}"; accepted: one of this evening.'
        return show(visit, Wrong(coop_id="", field="coop", text=text, typed=typed))
    result = say(visit, link.night.evening.day, link.who, link.how)
    if isinstance(result, Wrong):
        return show(visit, result)
    return answered(visit, result, link.path)


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundDay:
    """A calendar's link: the evening's nights, its person, and whether it has begun."""

    day: date
    nights: tuple[Night, ...]
    person: Person
    path: str
    noon: datetime


def found_day(visit: Visit) -> FoundDay | None:
    """What a calendar's link is for; None when it is not ours, or its time is over."""
    day = _day_of(visit)
    if day is None:
        return None
    link = DayLink(
        site_id=visit.profile.site.id,
        day=day,
        person_id=visit.path["person"],
        generation=visit.standing.generations.get(visit.path["person"], 0),
    )
    key, person = visit.standing.almanac.key, visit.person_of(link.person_id)
    if not link.is_signed(visit.path["token"], key) or person is None:
        return None
    noon = visit.standing.almanac.noon(day)
    if visit.now > noon + _GOOD_FOR:
        return None
    nights = tuple(night for night in visit.standing.nights if night.evening.day == day)
    return FoundDay(day=day, nights=nights, person=person, path=link.path(key), noon=noon)


def show_day(visit: Visit, wrong: Wrong | None = None) -> Answer | None:
    """The page of every house of that evening; before its noon only when it opens."""
    link = found_day(visit)
    if link is None:
        return None
    has_begun = visit.now >= link.noon
    nights = link.nights if has_begun else ()
    hows = {_how(visit, night.evening, link.person) for night in nights}
    facts = {
        "cards": [_of_this_evening(card) for night in nights for card in cards_of(visit, night)],
        "who": link.person.name,
        "path": link.path,
        "day": link.day,
        "opens": "" if has_begun else visit.clock(link.noon),
        "over": bool(nights) and all(visit.now >= night.evening.let_out for night in nights),
        "told": not_kept(visit),
        "wrong": wrong,
        "for_good": bool(hows) and "link" not in hows,
    }
    return Answer(template="evening.html", facts=facts, status=422 if wrong else 200)


def said_of_day(visit: Visit) -> Answer | None:
    """Something was said of a door behind a calendar's link, as the link's person."""
    link = found_day(visit)
    if link is None:
        return None
    coop_id = visit.said("coop")
    night = next((night for night in link.nights if coop_id in night.states), None)
    if visit.now < link.noon or night is None:
        typed = {name: visit.said(name) for name in visit.form}
        text = f'Found the house "{coop_id}"; accepted: one of this evening.'
        return show_day(visit, Wrong(coop_id="", field="coop", text=text, typed=typed))
    result = say(visit, link.day, link.person.name, _how(visit, night.evening, link.person))
    if isinstance(result, Wrong):
        return show_day(visit, result)
    return answered(visit, result, link.path)
