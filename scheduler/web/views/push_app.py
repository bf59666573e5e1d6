"""The push app, where a browser cannot be rung: a topic that nobody can guess, to be scanned."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from urllib.parse import quote, urlsplit

from scheduler.profile.change import Set, changed
from scheduler.profile.person import Person
from scheduler.service.diary import Refused
from scheduler.service.household.exposure import with_topic
from scheduler.service.household.keep_profile import Overtaken, Unusable
from scheduler.service.people.open_channels import push_servers
from scheduler.web.request_and_answer import Visit
from scheduler.web.views.subscribe import qr
from scheduler.wording.service.first_run import WrongAnswers
from scheduler.wording.web.change import ChangeNotices
from scheduler.wording.web.phone import PushApp


@dataclass(frozen=True, slots=True, kw_only=True)
class AppOf:
    """The push app of one person: what to scan, what to type by hand; empty without a topic."""

    person_id: str
    name: str
    server: str = ""
    topic: str = ""
    qr: str = ""


def facts(visit: Visit, wrong: Mapping[str, str]) -> dict[str, object]:
    """What the page says of it; `wrong` by the field."""
    person = chosen(visit, visit.said("person") or visit.query.get("app", "")) or visit.person
    may_change = visit.may_not("household") is None
    is_set_up = person is not None and person.push is not None
    people = visit.profile.person if may_change else ()
    others = [one for one in people if not (is_set_up and one is person)]
    servers = push_servers(visit.profile.person)
    return {
        "of": _app_of(person) if person else None,
        "is_own": person is visit.person,
        "may_change": may_change,
        "people": [(one.id, one.name) for one in others],
        "server": visit.said("server") if wrong else next(iter(servers), ""),
        "wrong": wrong,
        "is_open": bool(wrong) or "app" in visit.query,
    }


def chosen(visit: Visit, person_id: str) -> Person | None:
    """Whoever may be set up by whoever looks: an owner sets up anybody, others see their own."""
    person = visit.person_of(person_id)
    is_own = person is not None and person is visit.person
    return person if is_own or visit.may_not("household") is None else None


def set_up(visit: Visit, person: Person) -> Mapping[str, str]:
    """Keeps a topic for the person who has none; what is wrong by its field, else nothing."""
    if person.push:
        return {}  # it was made already: who pressed twice gets the same
    typed = visit.said("server")
    if not typed:
        return {"server": PushApp.no_server()}
    address = with_topic(_server_of(typed))
    edit = partial(changed, changes=[Set(("person", person.id, "push"), address)])
    profile = visit.kept_profile
    found = profile.keep(visit.speaker, profile.editable(visit.now).mark, edit)
    match found:
        case Unusable():
            accepted = WrongAnswers.push_server()
            return {"server": PushApp.bad_server(typed=typed, accepted=accepted)}
        case Refused():
            return {"server": found.question}
        case Overtaken():
            return {"server": ChangeNotices.overtaken_by_hand()}
    return {}


def _server_of(typed: str) -> str:
    """The server alone, whatever else was typed: a topic that somebody chose can be guessed."""
    parts = urlsplit(typed if "://" in typed else f"https://{typed}")
    return f"{parts.scheme}://{parts.netloc}"


def _app_of(person: Person) -> AppOf:
    if not person.push:
        return AppOf(person_id=person.id, name=person.name)
    server, _, topic = person.push.rpartition("/")
    parts = urlsplit(server)
    # docs.ntfy.sh/subscribe/phone, "ntfy links" (from memory): https unless it says otherwise.
    link = f"ntfy://{parts.netloc}/{quote(topic)}"
    link += "?secure=false" if parts.scheme == "http" else ""
    return AppOf(person_id=person.id, name=person.name, server=server, topic=topic, qr=qr(link))
