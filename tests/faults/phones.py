"""Phones of people's own before a house: real subscriptions, a push service on loopback."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from scheduler.alerts.phone import Phone, Rang
from scheduler.journal import access
from scheduler.journal.access import SignedIn
from scheduler.machine.phone_key import phone_key
from scheduler.service.doors.button import answer
from scheduler.service.people import phones
from scheduler.tokens.answer import read_answer
from scheduler.tokens.receipt import read_receipt
from tests.faults.house import House
from tests.faults.house_here import HouseHere
from tests.sinks import push_service
from tests.sinks.authority import Authority
from tests.sinks.push_service import Got, PushService

YEAR_2040 = datetime.fromisoformat("2040-01-01T00:00:00+00:00")


@contextmanager
def served(house: HouseHere) -> Iterator[PushService]:
    """A push service that the house may ring phones by, on the house's clock."""
    authority = Authority()
    with PushService(authority, now=lambda: house.now) as service:
        house.phones_at = service
        tls = authority.client()
        house.wired = {"more_hosts": [service.host], "reaches": lambda _: True, "tls": tls}
        yield service


@dataclass
class Rung:
    """A phone of somebody's: what it shows, what it sends home; `tells` whether it sends receipts.

    `told` is how many of the messages that it got it has dealt with.
    """

    house: House
    person_id: str
    browser: push_service.Phone
    kept: Phone
    session: str
    tells: bool = True
    told: int = 0
    receipts: list[str] = field(default_factory=list)

    def look(self) -> None:
        """Tells of whatever it has shown since, where it can."""
        for got in self.browser.got.all()[self.told :]:
            self.told += 1
            text = str(got.notification["data"]["receipt"])
            self.receipts.append(text)
            if self.tells:
                self.tell(text)

    def tell(self, text: str) -> bool:
        """Sends one receipt home."""
        with self.house.journal() as journal:
            almanac = self.house.almanac(journal)
            receipt = read_receipt(text, almanac.site_id, almanac.key)
            return receipt is not None and phones.arrived(journal, receipt, self.house.now)

    @property
    def with_buttons(self) -> list[Got]:
        """The messages with answers under them, the newest last."""
        return [one for one in self.browser.got.all() if one.notification["data"]["answers"]]

    def press(self, got: Got, which: int, at: datetime | None = None) -> bool:
        """Presses one of its buttons, `at` an earlier instant where it was out of reach."""
        text = got.notification["data"]["answers"][which]["text"]
        with self.house.journal() as journal:
            almanac = self.house.almanac(journal)
            given = read_answer(text, almanac.key)
            assert given is not None
            return answer(journal, almanac, given, self.house.now, at=at) == "taken"

    def say(self, rang: Rang) -> None:
        """Its person answers "Did it ring?"."""
        with self.house.journal() as journal:
            phones.rang(journal, "orchard", self.kept.id, rang, self.house.now, quiet=False)

    def sign_out(self) -> None:
        """Its session ends, as on the page People."""
        with self.house.journal() as journal, journal.writing() as writing:
            access.sign_out(writing.connection, "orchard", self.session)


def key_of_phones(house: House) -> str:
    """The public key that the house's pages ask browsers with."""
    return phone_key(Path(house.data), {}).public


def give(house: House, service: PushService, person_id: str, *, tells: bool = True) -> Rung:
    """Somebody signs in on a new phone and lets it be rung; they have not said that it rings."""
    browser = service.phone()
    session = f"{person_id}{browser.path}".encode().hex()[:64].ljust(64, "0")
    with house.journal() as journal:
        signed_in = SignedIn(
            id_hash=session,
            person_id=person_id,
            device="iPhone, Safari",
            made_at=house.now,
            until=YEAR_2040,
        )
        with journal.writing() as writing:
            access.sign_in(writing.connection, "orchard", signed_in)
        kept = phones.add(
            journal,
            "orchard",
            person_id=person_id,
            session=session,
            label="iPhone, Safari",
            subscription=browser.subscription(key_of_phones(house)),
            now=house.now,
        )
    return Rung(
        house=house, person_id=person_id, browser=browser, kept=kept, session=session, tells=tells
    )
