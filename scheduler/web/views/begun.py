"""What somebody does first on a new phone: tonight's times, a calendar, a test, the others."""

from scheduler.service.people.entry_notice import name_of
from scheduler.web.evening_cards import tonight
from scheduler.web.request_and_answer import Answer, Visit, refuse
from scheduler.web.views import people, subscribe
from scheduler.web.views.status import Status
from scheduler.web.views.subscribe import qr


def show(visit: Visit, status: Status, *, link: str = "", invited: str = "") -> Answer:
    """The page; `link` is a sign-in link that was just made, for whoever is `invited`."""
    mine = visit.session.person_id if visit.session else ""
    lets_in = visit.may_not("people") is None
    here = visit.profile.person
    leave = {one.coop_id: one.leave_by for one in tonight(visit) if one.day == visit.today}
    facts = {
        "doors": [
            (
                visit.profile.coop_of(one.coop_id).name,
                visit.clock(one.lock_up.instant, visit.today),
                visit.clock(one.lock_up.latest, visit.today),
                leave.get(one.coop_id, ""),
            )
            for one in visit.standing.almanac.coops(visit.today)
            if not visit.standing.houses[one.coop_id].is_empty
        ],
        "calendar": subscribe.everything(visit),
        "tried": status.tried(visit),
        "is_reached": any(way.person_id == mine for way in visit.standing.reach.working),
        "others": [(one.id, one.name) for one in here if one.id != mine] if lets_in else [],
        "link": link,
        "qr": qr(link) if link else "",
        "invited": invited,
    }
    return Answer(template="begun.html", facts=facts)


def invite(visit: Visit, status: Status) -> Answer | None:
    """Makes a sign-in link for somebody, and shows it on the page."""
    if why := visit.may_not("people"):
        return refuse(why)
    person = visit.person_of(visit.said("person"))
    if person is None:
        return None
    name = name_of(visit.profile, person.id)
    return show(visit, status, link=people.link_for(visit, person.id), invited=name)
