"""A message of the site, besides its evenings, and who gets it over which way."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from sqlalchemy import Connection

from scheduler.alerts.crew import duty_ids
from scheduler.alerts.delivery import Delivery, Matter, site_key
from scheduler.alerts.step import Step
from scheduler.journal import deliveries
from scheduler.messages.site_news import of_site
from scheduler.service.almanac import Almanac

_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """One thing to tell at an instant; what it is is asked only when it is due."""

    step: Step
    at: datetime
    useful_until: datetime
    people: tuple[str, ...]
    tells: Callable[[Connection, datetime], Matter | None] = field(repr=False)
    late_until: datetime | None = None  # of use so long where nobody has been told

    @property
    def until(self) -> datetime:
        """When it is of no use any more."""
        return self.late_until or self.useful_until


def told_to_all(
    almanac: Almanac, step: Step, day: date, matter: Matter, now: datetime
) -> Iterator[Delivery]:
    """That to everybody, over their loudest way, once for that step and date."""
    people = tuple(contact.person_id for contact in almanac.crew(day))
    yield from told_to(almanac, step, day, matter, now, people)


def tell_all(  # noqa: PLR0913, PLR0917 - what, of when, where it is written down
    connection: Connection, almanac: Almanac, step: Step, day: date, matter: Matter, now: datetime
) -> None:
    """Writes it down for everybody, once for that step and date."""
    deliveries.add(connection, told_to_all(almanac, step, day, matter, now))


def told_to_duty(
    almanac: Almanac, step: Step, day: date, matter: Matter, now: datetime
) -> Iterator[Delivery]:
    """That to whoever is on duty, over their loudest way, once for that step and date."""
    yield from told_to(almanac, step, day, matter, now, duty_ids(almanac.crew(day), day))


def told_to(  # noqa: PLR0913, PLR0917 - what, of when, to whom
    almanac: Almanac,
    step: Step,
    day: date,
    matter: Matter,
    at: datetime,
    people: Sequence[str],
    until: datetime | None = None,
) -> Iterator[Delivery]:
    """That to those people, over their loudest way, once for that step and date.

    It is of use for a day, or `until` then.
    """
    priority = of_site(matter).priority
    for contact in almanac.everybody:
        for way in contact.first_ways if contact.person_id in people else ():
            yield Delivery(
                key=site_key(almanac.site_id, day, step, contact.person_id, *way),
                priority=priority,
                matter=matter,
                due_at=at,
                useful_until=until or at + _DAY,
            )
