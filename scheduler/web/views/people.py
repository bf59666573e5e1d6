"""Who is signed in on which device; letting somebody in, and ending it."""

import re

from scheduler.profile.problem import Unreadable
from scheduler.profile.shared_screen import LONGEST_SCREEN, new_screen, screen_of
from scheduler.service.people import access
from scheduler.service.people.entry_notice import name_of
from scheduler.web.phone_lines import phone_lines
from scheduler.web.request_and_answer import Answer, Visit, ask, go, refuse
from scheduler.web.views.subscribe import qr
from scheduler.wording.service.devices import Devices, device_words
from scheduler.wording.spoken import in_a_row
from scheduler.wording.web.people import KindOfDevice, SignOut, WrongInvitation

_LINK = re.compile(r"/sign-in/[A-Za-z0-9_-]{8,64}(?=$|[\s?#])")


def show(
    visit: Visit, *, link: str = "", invited: str = "", unknown: str = "", wrong_screen: str = ""
) -> Answer:
    """The page; `link` is one that was just made, and stands among the others until it is used."""
    sessions = [
        {
            "id": one.id_hash,
            "who": who,
            "device": _device(one.device),
            "since": visit.profile.date_at(one.made_at),
            "used": one.seen_at and visit.profile.date_at(one.seen_at),
            "own": visit.session is not None and one.id_hash == visit.session.id_hash,
        }
        for one in visit.standing.sessions.values()
        if (who := _who(visit, one.person_id))
    ]
    facts = {
        "sessions": sessions,
        # Whoever is signed in lets somebody else in, as a rule.
        "people": sorted(
            ((person.id, person.name) for person in visit.profile.person if _who(visit, person.id)),
            key=lambda one: visit.session is not None and one[0] == visit.session.person_id,
        ),
        "link": link,
        "links": [
            {"who": who, "hash": one.secret_hash, "until": visit.clock(one.until)}
            for one in access.open_invitations(visit.journal, visit.profile.site.id, visit.now)
            if (who := _who(visit, one.person_id))
        ],
        "qr": qr(link) if link else "",
        "code": access.code_of(link.rpartition("/")[2]) if link else "",
        "phones": [
            (person.name, lines)
            for person in visit.profile.person
            if (lines := list(phone_lines(visit, person.id)))
        ],
        "invited": invited,
        "unknown": unknown,
        "wrong_screen": wrong_screen,
        "typed": visit.said("screen") if wrong_screen else "",
        "longest": LONGEST_SCREEN,
    }
    status = 422 if unknown or wrong_screen else 200
    return Answer(template="people.html", facts=facts, status=status)


def _device(kept: str) -> str:
    """What stands alone on a line: no device is called "unknown"."""
    is_unknown = kept == Devices.unknown.english
    return KindOfDevice.unknown() if is_unknown else device_words(kept)


def _who(visit: Visit, person_id: str) -> str:
    """What the person or screen is called; empty for who is not here, or not any more."""
    here = screen_of(person_id) or visit.person_of(person_id)
    is_here = here is not None and not visit.standing.has_left(person_id, visit.now)
    return name_of(visit.profile, person_id) if is_here else ""


def invite(visit: Visit) -> Answer:
    """Makes a sign-in link for somebody."""
    person = visit.person_of(visit.said("person"))
    if person is None:
        people = in_a_row([one.name for one in visit.profile.person])
        text = WrongInvitation.nobody(typed=visit.said("person"), people=people)
        return show(visit, unknown=text)
    return _invited(visit, person.id)


def invite_screen(visit: Visit) -> Answer:
    """Makes a sign-in link for a shared screen."""
    try:
        return _invited(visit, new_screen(visit.said("screen"), visit.profile).id)
    except Unreadable as wrong:
        return show(visit, wrong_screen=_wrong_screen(visit.said("screen"), wrong))


def _wrong_screen(typed: str, wrong: Unreadable) -> str:
    if not wrong.hint:
        return WrongInvitation.screen(typed=typed, accepted=wrong.accepted)
    said = WrongInvitation.screen_and_hint
    return said(typed=typed, accepted=wrong.accepted, hint=wrong.hint)


def _invited(visit: Visit, person_id: str) -> Answer:
    return show(visit, link=link_for(visit, person_id), invited=name_of(visit.profile, person_id))


def link_for(visit: Visit, person_id: str) -> str:
    """A new sign-in link; everybody hears of it."""
    profile, by = visit.profile, visit.session
    path = access.invite(visit.journal, profile.site.id, person_id, visit.now, by, tell=profile)
    return (profile.web.base_url or profile.web.local_url) + path


def withdraw(visit: Visit) -> Answer:
    """Takes back a sign-in link that nobody has used yet, whoever made it and where."""
    access.withdraw(visit.journal, visit.profile.site.id, visit.said("link"), visit.now)
    return go("/people")


def ask_to_end(visit: Visit) -> Answer:
    """Asks before a device is signed out: nothing but a new invitation brings it back."""
    session = visit.standing.sessions.get(visit.query.get("session", ""))
    who = _who(visit, session.person_id) if session else ""
    if session is None or not who:
        return go("/people")
    own = visit.session is not None and session.id_hash == visit.session.id_hash
    if not own and (why := visit.may_not("people")):
        return refuse(why)
    is_phone = session.device.startswith(("iPhone", "Android"))
    this = SignOut.this_phone if is_phone else SignOut.this_device
    yes = SignOut.yes_this_phone if is_phone else SignOut.yes_this_device
    return ask(
        this() if own else SignOut.somebody(who=who, device=device_words(session.device)),
        SignOut.text(),
        yes=yes() if own else SignOut.yes(),
        action="/people/end?this" if own else "/people/end",
        sent={"session": session.id_hash},
        back="/more" if own or visit.may_not("people") else "/people",
    )


def end(visit: Visit) -> Answer:
    """Ends a session, somebody's or one's own."""
    id_hash = visit.said("session")
    own = visit.session is not None and id_hash == visit.session.id_hash
    if not own and (why := visit.may_not("people")):
        return refuse(why)
    if id_hash in visit.standing.sessions:
        access.sign_out(visit.journal, visit.profile.site.id, id_hash)
    if own:
        return Answer(status=303, location="/", cookie="")
    return go("/people")


def more(visit: Visit) -> Answer:
    """What is one tap away, and where a person signs this device out."""
    own = visit.session.id_hash if visit.session and visit.person else ""
    facts = {"own": own, "is_not_ready": not _is_ready(visit)}
    return Answer(template="more.html", facts=facts)


def _is_ready(visit: Visit) -> bool:
    """Whether a person has done what comes first: something reaches them, and somebody else is in.

    Of a shared screen nothing is asked, and nobody need be let in by who may not.
    """
    if visit.person is None:
        return True
    mine = visit.person.id
    others = {one.id for one in visit.profile.person} - {mine}
    is_alone = visit.may_not("people") is None and not any(
        one.person_id in others for one in visit.standing.sessions.values()
    )
    is_reached = any(way.person_id == mine for way in visit.standing.reach.working)
    return is_reached and not (others and is_alone)


def signed_out(visit: Visit) -> Answer:
    """The link that was pasted, or the one whose short code was typed; else what is wrong."""
    typed = visit.said("link")
    if pasted := _LINK.search(typed):
        return go(pasted[0])
    path = access.short_code(visit.journal, visit.profile.site.id, typed, visit.now)
    if path:
        return go(path)
    facts = {"posted": False, "typed": typed, "wrong_link": WrongInvitation.no_such_code()}
    return Answer(template="signed-out.html", facts=facts, status=422)


def welcome(visit: Visit) -> Answer | None:
    """The page behind a sign-in link: a button, so that no preview uses it up."""
    secret = visit.path["secret"]
    person_id = access.invited(visit.journal, visit.profile.site.id, secret, visit.now)
    who = _who(visit, person_id) if person_id else ""
    if not person_id or not who:
        return None
    heard = bool(visit.standing.reach.working)
    facts = {"who": who, "anybody": heard, "screen": screen_of(person_id) is not None}
    return Answer(template="welcome.html", facts=facts)


def enter(visit: Visit) -> Answer | None:
    """Uses the link up and begins the session."""
    if welcome(visit) is None:
        return None  # of somebody who has left, too
    profile, secret = visit.profile, visit.path["secret"]
    cookie = access.sign_in(
        visit.journal, profile.site.id, secret, visit.agent, visit.now, tell=profile
    )
    return None if cookie is None else Answer(status=303, location="/", cookie=cookie)
