"""A whole year at 65° north, in one process on a driven clock: bright nights, dark weeks, DST."""

from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

import pytest

from scheduler.alerts.delivery import Key
from scheduler.alerts.reminded_evening import Evening
from scheduler.alerts.step import decode
from scheduler.service.doors.statement import Kept
from tests.faults.driven import DAY, MINUTE, Driven, driven, memory_folder
from tests.unhurried import UNHURRIED, unhurried

__all__ = ["memory_folder"]
pytestmark = pytest.mark.slow

NORTHERN = Path(__file__).parents[2] / "config" / "northern-65n.toml"
ANOTHER = """
[reminders]
letout = "gentle"
[[person]]
name = "Aino"
push = "https://push.example.net/birch-aino"
"""
FIRST = date(2027, 1, 1)
DAYS = [FIRST + number * timedelta(days=1) for number in range(365)]
# Five weeks around the change of the clock; DUSKFOLD_CI=1 lives the whole year.
LIVED = DAYS if UNHURRIED else DAYS[56:91]


@dataclass
class Year:
    """The household and when each message went out, by its id."""

    house: Driven
    sent: dict[str, datetime] = field(default_factory=dict)
    _heard: int = 0

    @property
    def site_id(self) -> str:
        """The site's."""
        return self.house.running.site_id

    def at(self, instant: datetime) -> None:
        """One tick at that instant; its messages are sent and written down."""
        self.house.clock.go_to(instant)
        assert self.house.tick(), "the tick was not complete"
        heard = self.house.arrived[self._heard :]
        self._heard += len(heard)
        for one in heard:
            if one.outgoing.operation == "send":
                message_id = one.outgoing.message_id
                assert message_id not in self.sent, f"twice: {one.outgoing.message.title}"
                self.sent[message_id] = one.at

    def evening(self, day: date) -> Evening:
        """The evening of that date."""
        [evening] = self.house.evenings(day)
        return evening

    def confirm(self) -> None:
        """Somebody says that all are in."""
        kept = self.house.say("closed", "Sol", count=9)
        assert isinstance(kept, Kept), kept

    def took(self, day: date, subject_id: str, step: str, person_id: str) -> datetime | None:
        """When that message went out; it is not asked for again."""
        key = Key(
            site_id=self.site_id,
            subject_id=subject_id,
            day=day,
            step=decode(step),
            opening=0,
            person_id=person_id,
            channel="push",
        )
        return self.sent.pop(key.message_id, None)

    def mornings(self) -> Counter[str]:
        """Takes out every let-out and every brief; how many there were."""
        found: Counter[str] = Counter()
        for day in [*LIVED, LIVED[-1] + DAY]:
            for step in ("brief", "let-out-log-coop"):
                found[step] += self.took(day, self.site_id, step, "sol") is not None
        return found


@contextmanager
def opened(folder: Path) -> Iterator[Year]:
    """The year before its first noon."""
    begins = datetime(2027, 1, 1, 9, tzinfo=UTC)
    with driven(folder, NORTHERN.read_text() + ANOTHER, begins) as house:
        yield Year(house)


def _instants(year: Year, evening: Evening, *, closely: bool) -> list[datetime]:
    """What matters of it: noon, steps, morning; once a week moments in between as well.

    Not `closely`: no step between `now` and bedtime but the latest, except once a week.
    """
    steps = [step for step in evening.steps if closely or step.kind not in {"everybody", "hourly"}]
    if evening.day.weekday() == 0:
        steps = list(evening.steps)
    instants = [step.at for step in steps]
    noon = year.house.noon(evening.day)
    if evening.day.weekday() == 0:
        instants += [instants[0] - MINUTE, instants[1] + 2 * MINUTE, evening.latest - MINUTE]
    zone = year.house.running.household.profile.site.zone
    brief = datetime.combine(evening.day + DAY, time(7), zone).astimezone(UTC)
    return sorted([noon, *instants, brief, evening.let_out, evening.let_out + 2 * MINUTE])


@unhurried
def test_a_year_of_confirmed_evenings(memory_folder: Path) -> None:
    with opened(memory_folder) as year:
        evenings = [year.evening(day) for day in LIVED]
        for evening in evenings:
            for at in _instants(year, evening, closely=False):
                year.at(at)
                if at == evening.lock_up:
                    year.house.clock.go_to(at + MINUTE)
                    year.confirm()
                    year.at(at + MINUTE)
        for evening in evenings:
            steps = {str(step.name): step.at for step in evening.steps}
            for step, due in (
                ("heads-up", steps["heads-up"]),
                ("now", steps["now"]),
            ):
                sent_at = year.took(evening.day, evening.subject_id, step, "sol")
                assert sent_at == due, f"{evening.day}: {step}"
        assert year.mornings() == dict.fromkeys(("brief", "let-out-log-coop"), len(LIVED))
        assert year.sent == {}, "more was sent than a punctual evening needs"


@unhurried
def test_a_year_in_which_nobody_ever_answers(memory_folder: Path) -> None:
    with opened(memory_folder) as year:
        evenings = [year.evening(day) for day in LIVED]
        for evening in evenings:
            for at in _instants(year, evening, closely=True):
                year.at(at)
        sent: Counter[str] = Counter()
        for evening in evenings:
            for step in evening.steps:
                for person_id in step.people:
                    sent_at = year.took(evening.day, evening.subject_id, str(step.name), person_id)
                    assert sent_at == step.at, f"{evening.day}: {step.name} to {person_id}"
                    sent[step.kind] += 1
        assert sent.pop("hourly") > len(LIVED)
        # Both people hear three times at night and once at dawn.
        once = dict.fromkeys(("heads-up", "now", "again", "next", "bedtime"), len(LIVED))
        assert sent == once | {"everybody": 2 * 3 * len(LIVED), "dawn": 2 * len(LIVED)}
        assert year.mornings() == dict.fromkeys(("brief", "let-out-log-coop"), len(LIVED))
        assert year.sent == {}, "something was sent that belongs to no step"


def test_the_year_has_bright_nights_dark_weeks_and_both_changes_of_the_clock(
    memory_folder: Path,
) -> None:
    with opened(memory_folder) as year:
        coops = {day: year.house.running.almanac.coops(day)[0] for day in DAYS}
        zone = year.house.running.household.profile.site.zone
    capped = [day for day, coop in coops.items() if coop.lock_up.basis == "cap"]
    assert len(capped) > 90
    assert date(2027, 6, 21) in capped
    assert coops[date(2027, 12, 21)].lock_up.instant.astimezone(zone).hour < 16
    offsets = {coop.lock_up.instant.astimezone(zone).utcoffset() for coop in coops.values()}
    assert len(offsets) == 2
