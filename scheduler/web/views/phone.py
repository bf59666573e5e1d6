"""Alert this phone: what its browser gives, whether it rings, and the push app where it cannot."""

from collections.abc import Callable, Mapping
from contextlib import closing
from dataclasses import dataclass, field
from hashlib import sha256
from types import MappingProxyType

from scheduler.alerts.phone import Phone, Rang, Subscription
from scheduler.channels.push_services import problem_of
from scheduler.journal.fault import JournalFault
from scheduler.profile.person import Person
from scheduler.profile.words import capitalized
from scheduler.service.people import phones
from scheduler.web.household_now import BUSY_MS
from scheduler.web.phone_lines import ToCompare, line_of, phone_lines, this_phone
from scheduler.web.request_and_answer import Answer, Visit, ask, go
from scheduler.web.views import push_app
from scheduler.web.views.status import SendTest, TriedLine, tried_lines
from scheduler.wording.service.devices import device_words
from scheduler.wording.told_later import told
from scheduler.wording.web.phone import IfSilent, PhoneNotAdded, PhoneRung, PushApp, RemovePhone
from scheduler.wording.web.status import TestSent
from scheduler.wording.words import every

_ANSWERS: Mapping[str, Rang] = {"yes": "yes", "silent": "silent", "no": "no"}
_NOTHING: Mapping[str, str] = MappingProxyType({})
_KINDS = (("iPhone", "iphone"), ("iPad", "iphone"), ("Android", "android"))


@dataclass(slots=True)
class Phones:
    """The page, and what came of the last test to each phone."""

    send_test: SendTest
    public_key: Callable[[str], str]
    _rung: dict[str, TriedLine] = field(default_factory=dict)  # by phone
    _app_tried: dict[str, list[TriedLine]] = field(default_factory=dict)  # by person

    def show(
        self, visit: Visit, *, wrong: str = "", app_wrong: Mapping[str, str] = _NOTHING
    ) -> Answer | None:
        """The page of whoever is signed in; `wrong` says why this phone was not taken.

        `app_wrong` says by its field what is wrong with the form of the push app.
        """
        if visit.person is None:
            return None
        asked = self._phone(visit, visit.query.get("ask", ""))
        helped = self._phone(visit, visit.query.get("help", ""))
        quietly = self._phone(visit, visit.query.get("rang", ""))
        well = self._phone(visit, visit.query.get("well", ""))
        here = this_phone(visit)
        facts = {
            "compared": self._compared(visit, here),
            "mine": list(phone_lines(visit, visit.person.id)),
            "asked": line_of(visit, asked) if asked else None,
            "quiet": visit.query.get("quiet") == "1",
            "quietly": line_of(visit, quietly) if quietly else None,
            "well": line_of(visit, well) if well else None,
            "helped": line_of(visit, helped) if helped else None,
            "advice": _advice(helped) if helped else [],
            "rung": self._rung.get(visit.query.get("ask", "")),
            "wrong_phone": wrong,
            "late": "Android" in visit.agent and "Firefox" in visit.agent,
            "app": push_app.facts(visit, app_wrong),
            "app_tried": (
                self._app_tried.get(visit.query.get("app", ""), [])
                if "tried" in visit.query
                else []
            ),
        }
        return Answer(template="phone.html", facts=facts, status=422 if wrong or app_wrong else 200)

    def to_compare(self, visit: Visit) -> ToCompare | None:
        """For another page: None where the phone that looks at it does not ring anyway."""
        here = this_phone(visit)
        return self._compared(visit, here) if here else None

    def add(self, visit: Visit) -> Answer | None:
        """Takes what the browser gave, and rings it once; `again`: it only has another address."""
        person, session = visit.person, visit.session
        if person is None or session is None:
            return None
        given = _subscription(visit)
        if given.key_id != self._key(visit):
            return self.show(visit, wrong=PhoneNotAdded.other_key())
        if problem := problem_of(given, visit.profile.web.push_services):
            return self.show(visit, wrong=PhoneNotAdded.cannot_be_used(why=problem()))
        site_id = visit.profile.site.id
        try:
            # Beside the other pages: the test takes its time.
            with closing(visit.lookout.place.open(wait_ms=BUSY_MS, migrate=False)) as journal:
                phone = phones.add(
                    journal,
                    site_id,
                    person_id=person.id,
                    session=session.id_hash,
                    label=session.device,
                    subscription=given,
                    now=visit.now,
                    is_shared=bool(visit.lookout.place.server),
                )
        except (phones.OtherKey, phones.TooMany) as refused:
            too_many = PhoneNotAdded.too_many(count=phones.MOST_PHONES)
            is_other = isinstance(refused, phones.OtherKey)
            return self.show(visit, wrong=PhoneNotAdded.key_of_others() if is_other else too_many)
        if visit.said("again"):
            return go("/phone")
        self._ring(visit, phone)
        return go(f"/phone?ask={phone.id}")

    def ring(self, visit: Visit) -> Answer:
        """Sends a test to one phone alone."""
        phone = self._phone(visit, visit.said("phone"))
        if phone is None:
            return go("/phone")
        self._ring(visit, phone)
        return go(f"/phone?ask={phone.id}{'&quiet=1' if visit.said('quiet') else ''}")

    def rang(self, visit: Visit) -> Answer:
        """Keeps what its person says of the test, and shows what follows from it."""
        phone, answer = self._phone(visit, visit.said("phone")), _ANSWERS.get(visit.said("answer"))
        if phone is None or answer is None:
            return go("/phone")
        quiet = visit.said("quiet") == "1"
        site_id = visit.profile.site.id
        phones.rang(visit.journal, site_id, phone.id, answer, visit.now, quiet=quiet)
        if answer != "yes":
            return go(f"/phone?help={phone.id}{'&quiet=1' if quiet else ''}")
        return go(f"/phone?{'well' if quiet else 'rang'}={phone.id}")

    def ask_to_end(self, visit: Visit) -> Answer:
        """Asks first: it may be the only thing that rings."""
        phone = self._phone(visit, visit.query.get("phone", ""))
        if phone is None:
            return go("/phone")
        person = visit.person_of(phone.person_id)
        others = [one for one in visit.standing.phones if one.person_id == phone.person_id]
        is_last = person is not None and len(others) == 1 and not _has_other_way(person)
        return ask(
            RemovePhone.title(phone=device_words(phone.label)),
            RemovePhone.last(who=person.name) if person and is_last else RemovePhone.text(),
            yes=RemovePhone.yes(),
            action="/phone/end",
            sent={"phone": phone.id},
            back=_back(visit, phone),
        )

    def end(self, visit: Visit) -> Answer:
        """From now on it does not ring."""
        phone = self._phone(visit, visit.said("phone"))
        if phone is None:
            return go("/phone")
        phones.end(visit.journal, visit.profile.site.id, phone.id, visit.now)
        return go(_back(visit, phone))

    def set_up_app(self, visit: Visit) -> Answer | None:
        """Gives whoever was chosen a topic of their own, or says what is in the way."""
        person = push_app.chosen(visit, visit.said("person"))
        if person is None:
            return self.show(visit, app_wrong={"person": PushApp.no_such_person()})
        if wrong := push_app.set_up(visit, person):
            return self.show(visit, app_wrong=wrong)
        return go(f"/phone?app={person.id}#push-app")

    def test_app(self, visit: Visit) -> Answer:
        """Sends a test over the push app of whoever was chosen."""
        person = push_app.chosen(visit, visit.said("person"))
        if person is None:
            return go("/phone")
        self._app_tried[person.id] = tried_lines(self.send_test, visit.profile, person.id)
        return go(f"/phone?app={person.id}&tried=1#push-app")

    def _ring(self, visit: Visit, phone: Phone) -> None:
        label, why = device_words(phone.label), PhoneRung.no_way()
        try:
            for tried in self.send_test(visit.profile, phone.person_id, phone_id=phone.id):
                if tried.outcome.kind == "sent":
                    said = PhoneRung.handed_over(phone=label)
                    self._rung[phone.id] = TriedLine(text=said, arrived=True)
                    return
                why = told(tried.outcome.reason)
        except OSError as fault:
            why = fault.strerror or TestSent.no_connection()
        failed = PhoneRung.failed(phone=label, why=capitalized(why))
        self._rung[phone.id] = TriedLine(text=failed)

    def _phone(self, visit: Visit, phone_id: str) -> Phone | None:
        """The phone of that id, if it is one's own or one may see to those of others."""
        found = next((one for one in visit.standing.phones if one.id == phone_id), None)
        if found is None or visit.person is None:
            return None
        is_own = found.person_id == visit.person.id
        return found if is_own or visit.may_not("people") is None else None

    def _compared(self, visit: Visit, here: Phone | None) -> ToCompare:
        known = sha256(here.subscription.endpoint.encode()).hexdigest() if here else ""
        return ToCompare(key=self._key(visit), known=known)

    def _key(self, visit: Visit) -> str:
        """The public key; "" where there is none and none can be made."""
        try:
            return self.public_key(visit.profile.site.id)
        except (OSError, JournalFault):
            return ""


def _subscription(visit: Visit) -> Subscription:
    """What the form says of it, as it is: longer than what people type."""

    def given(name: str) -> str:
        return visit.form.get(name, [""])[-1]

    return Subscription(
        endpoint=given("endpoint"), p256dh=given("p256dh"), auth=given("auth"), key_id=given("key")
    )


def _has_other_way(person: Person) -> bool:
    return bool(person.push or person.service or person.mail)


def _back(visit: Visit, phone: Phone) -> str:
    is_own = visit.person is not None and visit.person.id == phone.person_id
    return "/phone" if is_own else "/people"


def _advice(phone: Phone) -> list[str]:
    """What to look for in the settings of a phone of its kind."""
    kind = next((kind for name, kind in _KINDS if name in phone.label), "computer")
    return [said() for name, said in every(IfSilent).items() if name.startswith(f"{kind}_")]
