"""Whom the reader of a page can call, and by which number."""

import re
from typing import NamedTuple

from scheduler.profile.person import Person
from scheduler.web.request_and_answer import Visit

_TRUNK = re.compile(r"\(0+\)")  # dialled inside the country only, where +44 (0)20 … is written
_NO_BREAK = "\N{NO-BREAK SPACE}"


class ToCall(NamedTuple):
    """Somebody with a telephone number: `href` dials it, `number` is as the profile writes it."""

    name: str
    href: str
    number: str


def callable_people(visit: Visit) -> tuple[ToCall, ...]:
    """Everybody else with a number who is there tonight, whoever is on duty first.

    Nobody for who is not signed in under their own name: on a screen that all share, by a link.
    """
    if visit.person is None:
        return ()
    of = visit.standing.almanac.evening_of
    tonight = {of(visit.now, coop.id) for coop in visit.profile.coop}
    duties = (one.evening.on_duty for one in visit.standing.nights if one.evening.day in tonight)
    on_duty = {duty.person_id for duty in duties if duty}
    found = [
        one
        for one in visit.profile.person
        if one.id != visit.person.id and any(map(one.is_there, tonight))
    ]
    found.sort(key=lambda one: one.id not in on_duty)
    return tuple(_to_call(one, one.telephone) for one in found if one.telephone)


def _to_call(person: Person, telephone: str) -> ToCall:
    dialled = _TRUNK.sub("", telephone) if telephone.startswith("+") else telephone
    digits = "".join(one for one in dialled if one.isdigit())
    plus = "+" * telephone.startswith("+")
    # RFC 3966: without what is only there to be read.
    return ToCall(
        name=person.name,
        href=f"tel:{plus}{digits}",
        number=re.sub(" +", _NO_BREAK, telephone),
    )
