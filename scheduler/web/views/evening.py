"""The page behind a message's link: one evening, for one person, without signing in."""

from dataclasses import dataclass, replace
from datetime import date, timedelta

from scheduler.alerts.evening import Evening, on_duty
from scheduler.alerts.link import EveningLink
from scheduler.alerts.pursue import Night
from scheduler.profile.values import Person
from scheduler.service.door import How
from scheduler.web.cards import Card, cards_of
from scheduler.web.saying import Wrong, answered, not_kept, say
from scheduler.web.visit import Answer, Visit

_GOOD_FOR = timedelta(hours=48)  # after the lock-up


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """The link's evening, the name of its person, and how they say something by it."""

    night: Night
    who: str
    path: str
    how: How


def found(visit: Visit) -> Found | None:
    """What the link is for; None when it is not ours, or its time is over."""
    try:
        day = date.fromisoformat(visit.path["day"])
    except ValueError:
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


def _how(visit: Visit, evening: Evening, person: Person) -> How:
    """Whether the link's person is on duty, or signed in on this device."""
    if visit.person and visit.person.id == person.id:
        return "signed in"
    duty = on_duty(evening.crew)
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
        "over": visit.now >= link.night.evening.let_out,
        "told": not_kept(visit),
        "wrong": wrong,
        "for_good": link.how != "link",
    }
    return Answer(template="evening.html", facts=facts, status=422 if wrong else 200)


def _of_this_evening(card: Card) -> Card:
    """The card without what takes back something of the evening before: the link is for one."""
    is_own = card.undo is not None and card.undo.day == card.day
    return card if is_own else replace(card, undo=None)


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
