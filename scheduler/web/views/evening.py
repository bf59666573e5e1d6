"""The page behind a link: one evening, for one person, without signing in."""

from dataclasses import dataclass, replace
from datetime import date, timedelta

from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.reminded_evening import Evening
from scheduler.profile.person import Person
from scheduler.profile.who_may import DUTYS_LINK, LINK, Voice, may, voice_of
from scheduler.tokens.evening_link import DayLink, EveningLink
from scheduler.web.door_forms import Wrong, answered, house_of, not_kept, say
from scheduler.web.evening_card import Card
from scheduler.web.evening_cards import cards_of
from scheduler.web.request_and_answer import Answer, Visit
from scheduler.web.who_looks import looking_for
from scheduler.wording.spoken import in_a_row
from scheduler.wording.web.door_forms import WrongDoorForm

GOOD_FOR = timedelta(hours=48)  # after the lock-up; a calendar's link from noon of its evening


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What a link leads to: an evening, or every one of a date, and its person.

    `opens` is when a calendar's link begins to show them; empty once it does.
    """

    day: date
    nights: tuple[Night, ...]
    person: Person
    path: str
    opens: str


def found(visit: Visit) -> Found | None:
    """What a message's or a calendar's link is for; None when it is not ours, or its time over."""
    try:
        day = date.fromisoformat(visit.path["day"])
    except ValueError:
        return None
    # Whoever was taken out of the profile answers no more, although messages were sent.
    person = visit.person_of(visit.path["person"])
    if person is None or not person.is_there(day):
        return None
    link, almanac = _link(visit, day, person.id), visit.standing.almanac
    if not link.is_signed(visit.path["token"], almanac.key):
        return None
    nights = tuple(night for night in visit.standing.nights if night.evening.day == day)
    opens = ""
    if isinstance(link, EveningLink):
        nights = tuple(one for one in nights if one.evening.subject_id == link.subject_id)
        if not nights:
            return None
        since = nights[0].evening.lock_up
    else:
        since = almanac.noon(day)
        if visit.now < since:
            nights, opens = (), visit.clock(since)
    if visit.now > since + GOOD_FOR:
        return None
    return Found(day=day, nights=nights, person=person, path=link.path(almanac.key), opens=opens)


def _link(visit: Visit, day: date, person_id: str) -> EveningLink | DayLink:
    """The link that the address would be of: a message's names an evening, a calendar's none."""
    subject_id, site_id = visit.path.get("subject"), visit.profile.site.id
    number = visit.standing.generations.get(person_id, 0)
    if subject_id is None:
        return DayLink(site_id=site_id, day=day, person_id=person_id, generation=number)
    return EveningLink(
        site_id=site_id, day=day, subject_id=subject_id, person_id=person_id, generation=number
    )


def _voice(visit: Visit, evening: Evening, person: Person) -> Voice:
    """Whether the link's person is on duty, or signed in on this device."""
    if visit.person and visit.person.id == person.id:
        return voice_of(person)
    duty = evening.on_duty
    return DUTYS_LINK if duty and duty.person_id == person.id else LINK


def show(visit: Visit, wrong: Wrong | None = None) -> Answer | None:
    """The page of every door behind the link; None when there is nothing behind it."""
    link = found(visit)
    if link is None:
        return None
    evenings = [night.evening for night in link.nights]
    voices = [_voice(visit, evening, link.person) for evening in evenings]
    cards = [_of_this_evening(card) for night in link.nights for card in cards_of(visit, night)]
    facts = {
        "cards": cards,
        "looking": looking_for(visit, cards, link.person),
        "houses": in_a_row([card.name for card in cards]),
        "who": link.person.name,
        "speakers": (),  # it is the link's person who says it, whatever screen that is on
        "path": link.path,
        "day": link.day,
        "opens": link.opens,
        "over": bool(evenings) and all(visit.now >= evening.let_out for evening in evenings),
        "told": not_kept(visit),
        "wrong": wrong,
        "for_good": bool(voices) and not any(may(one, "deaths", link.day) for one in voices),
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
    coop_id = house_of(visit)
    night = next((night for night in link.nights if coop_id in night.states), None)
    if night is None:
        text = WrongDoorForm.no_house(house=coop_id)
        return show(visit, Wrong(field="coop", text=text, typed=visit.typed))
    result = say(visit, link.day, link.person.name, _voice(visit, night.evening, link.person))
    if isinstance(result, Wrong):
        return show(visit, result)
    return answered(visit, result, link.path)
