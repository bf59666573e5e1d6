"""How somebody's phones stand: what each is called, whether it rings, when it was heard from."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from scheduler.alerts.phone import Phone, Rang
from scheduler.web.request_and_answer import Visit
from scheduler.wording.service.devices import device_words
from scheduler.wording.spoken import day_and_month
from scheduler.wording.web.phone import PhoneStands
from scheduler.wording.words import Words, every

_RANG, _RANG_QUIET = "{}", "quiet_{}"


@dataclass(frozen=True, slots=True, kw_only=True)
class PhoneLine:
    """One phone; `stands` is what its person said of it, `is_bad` that it did not ring.

    `heard` is when it last said that it had shown a message; empty where it never did.
    """

    id: str
    label: str
    stands: str
    is_good: bool
    is_bad: bool
    quiet: str
    heard: str
    is_this: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ToCompare:
    """What a page's script compares with what its browser has: the key, the address's SHA-256."""

    key: str
    known: str


def phones_of(visit: Visit, person_id: str) -> tuple[Phone, ...]:
    """That person's phones, the oldest first."""
    mine = (one for one in visit.standing.phones if one.person_id == person_id)
    return tuple(sorted(mine, key=lambda one: one.made_at))


def this_phone(visit: Visit) -> Phone | None:
    """The phone that looks at the page, if it is one that rings."""
    if visit.session is None:
        return None
    mine = (one for one in visit.standing.phones if one.session == visit.session.id_hash)
    return max(mine, key=lambda one: one.made_at, default=None)


def phone_lines(visit: Visit, person_id: str) -> Iterator[PhoneLine]:
    """A line for each phone of that person."""
    for phone in phones_of(visit, person_id):
        yield line_of(visit, phone)


def line_of(visit: Visit, phone: Phone) -> PhoneLine:
    """That phone's."""

    def day(at: datetime | None) -> str:
        return day_and_month(visit.profile.date_at(at)) if at else ""

    heard = PhoneStands.heard(day=day(phone.arrived_at)) if phone.arrived_at else ""
    here = this_phone(visit)
    return PhoneLine(
        id=phone.id,
        label=device_words(phone.label),
        stands=_said(_RANG, phone.rang, day(phone.rang_at)) or PhoneStands.untried(),
        is_good=phone.rang == "yes",
        is_bad=phone.rang in {"silent", "no"},
        quiet=_said(_RANG_QUIET, phone.rang_quiet, ""),
        heard=heard,
        is_this=here is not None and here.id == phone.id,
    )


def _said(pattern: str, rang: Rang | None, day: str) -> str:
    said: Words | None = every(PhoneStands).get(pattern.format(rang)) if rang else None
    return said(day=day) if said else ""
