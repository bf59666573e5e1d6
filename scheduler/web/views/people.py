"""Who is signed in on which device; letting somebody in, and ending it."""

from scheduler.service.people import access
from scheduler.web.request_and_answer import Answer, Visit, ask, go, refuse
from scheduler.web.views.subscribe import qr


def show(visit: Visit, *, link: str = "", invited: str = "", unknown: str = "") -> Answer:
    """The page; `link` is one that was just made, and stands among the others until it is used."""
    sessions = [
        {
            "id": one.id_hash,
            "who": person.name,
            "device": one.device,
            "since": one.made_at.astimezone(visit.profile.site.zone).date(),
            "used": one.seen_at and one.seen_at.astimezone(visit.profile.site.zone).date(),
            "own": visit.session is not None and one.id_hash == visit.session.id_hash,
        }
        for one in visit.standing.sessions.values()
        if (person := visit.person_of(one.person_id))
        and not visit.standing.has_left(person.id, visit.now)
    ]
    facts = {
        "sessions": sessions,
        # Whoever is signed in lets somebody else in, as a rule.
        "people": sorted(
            (
                (person.id, person.name)
                for person in visit.profile.person
                if not visit.standing.has_left(person.id, visit.now)
            ),
            key=lambda one: visit.session is not None and one[0] == visit.session.person_id,
        ),
        "link": link,
        "links": [
            {"who": person.name, "hash": one.secret_hash, "until": visit.clock(one.until)}
            for one in access.open_invitations(visit.journal, visit.profile.site.id, visit.now)
            if (person := visit.person_of(one.person_id))
        ],
        "qr": qr(link) if link else "",
        "invited": invited,
        "unknown": unknown,
    }
    return Answer(template="people.html", facts=facts, status=422 if unknown else 200)


def invite(visit: Visit) -> Answer:
    """Makes a sign-in link for somebody."""
    person = visit.person_of(visit.said("person"))
    if person is None:
        accepted = ", ".join(one.name for one in visit.profile.person)
        text = f'Found "{visit.said("person")}"; accepted: {accepted}.'
        return show(visit, unknown=text)
    profile, by = visit.profile, visit.session
    path = access.invite(visit.journal, profile.site.id, person.id, visit.now, by, tell=profile)
    base = profile.web.base_url or profile.web.local_url
    return show(visit, link=base + path, invited=person.name)


def withdraw(visit: Visit) -> Answer:
    """Takes back a sign-in link that nobody has used yet, whoever made it and where."""
    access.withdraw(visit.journal, visit.profile.site.id, visit.said("link"), visit.now)
    return go("/people")


def ask_to_end(visit: Visit) -> Answer:
    """Asks before a device is signed out: nothing but a new invitation brings it back."""
    session = visit.standing.sessions.get(visit.query.get("session", ""))
    person = visit.person_of(session.person_id) if session else None
    if session is None or person is None:
        return go("/people")
    own = visit.session is not None and session.id_hash == visit.session.id_hash
    if not own and (why := visit.may_not("people")):
        return refuse(why)
    device = "phone" if session.device.startswith(("iPhone", "Android")) else "device"
    again = "It needs a new sign-in link to get in again: from somebody here, or from the machine "
    return ask(
        f"Sign this {device} out?" if own else f"Sign {person.name} out on {session.device}?",
        again + "that Duskfold runs on. Reminders go on as they are.",
        yes=f"Yes, sign this {device} out" if own else "Yes, sign out",
        action="/people/end",
        sent={"session": session.id_hash},
        back="/more" if visit.may_not("people") else "/people",
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
    """What is one tap away, and where whoever lets nobody in signs this device out."""
    own = visit.session.id_hash if visit.session and visit.person else ""
    return Answer(template="more.html", facts={"own": own})


def welcome(visit: Visit) -> Answer | None:
    """The page behind a sign-in link: a button, so that no preview uses it up."""
    secret = visit.path["secret"]
    person_id = access.invited(visit.journal, visit.profile.site.id, secret, visit.now)
    person = visit.person_of(person_id) if person_id else None
    if person is None or visit.standing.has_left(person.id, visit.now):
        return None
    facts = {"who": person.name, "anybody": bool(visit.standing.reach.working)}
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
