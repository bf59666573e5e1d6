"""The orchard of the tests: profiles as a keeper writes them, and a ledger of its evenings."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, time, timedelta, tzinfo

from scheduler.alerts.decide import Pursuit
from scheduler.alerts.delivery import ChannelName, Message
from scheduler.alerts.evening_so_far import Night, Row
from scheduler.alerts.pursue import pursue, with_what_was_said_late
from scheduler.alerts.reminded_evening import DoorStates, Evening
from scheduler.cares.closing import Closing, ClosingKind
from scheduler.cares.door_fold import door as door_of
from scheduler.cares.records import NO_RECORDS
from scheduler.service.almanac import Almanac
from scheduler.service.household.open_profile import Household, read_profile
from scheduler.watch.worded import worded

SITE = """
[site]
name = "Orchard"
latitude = 51.5
longitude = -0.1
timezone = "Europe/London"
region = "UK"
[climate]
coldest_month_low = "-2 °C"
warmest_month_high = "24 °C"
"""
WALNUT = """
[[coop]]
name = "Walnut"
[[flock]]
name = "Girls"
coop = "walnut"
hens = 12
"""
HAZEL = """
[[coop]]
name = "Hazel"
[[flock]]
name = "Bantams"
coop = "hazel"
hens = 6
"""
ANA = """
[[person]]
name = "Ana"
push = "https://push.example.org/ana"
mail = "ana@example.org"
"""
BEN = """
[[person]]
name = "Ben"
push = "https://push.example.org/ben"
"""
CLEO = """
[[person]]
name = "Cleo"
mail = "cleo@example.org"
"""
TEXT = SITE + WALNUT + ANA + BEN + CLEO

WINTER = date(2026, 12, 21)  # lock-up 16:18, latest 16:33, let-out the next morning 08:34
MINUTE = timedelta(minutes=1)
DAY = timedelta(days=1)
KEY = bytes(range(32))
BOTH: frozenset[ChannelName] = frozenset({"push", "mail"})
SINCE = datetime(2026, 12, 1, tzinfo=UTC)
WRITTEN_AT = datetime(2026, 1, 1, 12, tzinfo=UTC)
NAMES = {"ana": "Ana", "ben": "Ben", "cleo": "Cleo"}
NOTHING = Message("", "")


def at(clock: str, day: date = WINTER) -> datetime:
    """The instant at which the clock in London shows that time in winter; "+" is the day after."""
    if clock.startswith("+"):
        return at(clock[1:], day + DAY)
    return datetime.combine(day, time.fromisoformat(clock), UTC)


def household(text: str = TEXT) -> Household:
    """What a keeper's text declares; fails with its problems when there are any."""
    found = read_profile(text.encode(), "test.toml", WRITTEN_AT)
    assert isinstance(found, Household), "\n".join(map(str, found))
    return found


def almanac(text: str = TEXT, ways: frozenset[ChannelName] = BOTH) -> Almanac:
    """The days of a household whose reminders have run for weeks."""
    return Almanac(
        household=household(text), records=NO_RECORDS, ways=ways, key=KEY, watched_since=SINCE
    )


def evenings(text: str = TEXT, day: date = WINTER) -> tuple[Evening, ...]:
    """The evenings of a date on which nothing has been said yet."""
    return almanac(text).planned(day, ())


def night_of(evening: Evening, states: DoorStates, zone: tzinfo = UTC) -> Night:
    """The evening with its doors as they stand, and nothing written down of it."""
    return Night(evening=evening, states=states, rows=(), noon=evening.lock_up, zone=zone, key=KEY)


def said(  # noqa: PLR0913 - a closing in parts
    kind: ClosingKind = "closed",
    clock: str = "16:30",
    count: int | None = None,
    *,
    coop: str = "walnut",
    who: str = "Dora",
    flock: int = 12,
    day: date = WINTER,
    some_missing: bool = False,
) -> Closing:
    """One thing said of a coop, by somebody who is not called."""
    return Closing(
        kind=kind, coop_id=coop, evening=day, at=at(clock, day), who=who, flock=flock,
        count=count, some_missing=some_missing,
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Written(Row):
    """A row with what the tests look at: its newest words."""

    due_at: datetime = SINCE
    message: Message = NOTHING


@dataclass(slots=True)
class Ledger:
    """One evening and what was said and written down of it, without a journal."""

    evening: Evening
    noon: datetime
    closings: list[Closing] = field(default_factory=list)
    rows: list["Written"] = field(default_factory=list)
    watched_since: datetime | None = SINCE
    topics: dict[str, str] | None = None
    told_before: frozenset[str] = frozenset()

    def night(self) -> Night:
        """The evening as it stands."""
        doors = self.evening.doors
        return Night(
            evening=self.evening,
            states={
                one.coop_id: door_of(
                    self.closings, one.coop_id, self.evening.day, one.profile_birds
                )
                for one in doors
            },
            rows=tuple(self.rows),
            noon=self.noon,
            zone=UTC,
            key=KEY,
            watched_since=self.watched_since,
            topics=self.topics, told_before=self.told_before,
        )  # fmt: skip

    def write(self, pursuit: Pursuit) -> None:
        """What the journal does with a pursuit."""
        ended = {"pending": "dropped", "sending": "perhaps sent"}
        for number, row in enumerate(self.rows):
            if row.key in pursuit.drop:
                self.rows[number] = replace(row, state=ended.get(row.state, row.state))  # type: ignore[arg-type] # words of State
        known = {row.key for row in self.rows}
        for one in pursuit.add:
            assert one.key not in known, f"twice: {one.key}"
            known.add(one.key)
            self.rows.append(
                Written(
                    key=one.key, operation=one.operation, state=one.state, attempts=0,
                    priority=one.priority, rings_at=one.rings_at, address=one.address,
                    matter=one.matter, due_at=one.due_at,
                )
            )  # fmt: skip

    def tick(self, now: datetime, *, send: bool = True) -> Pursuit:
        """Pursues the evening, writes it down, and hands over whatever waits."""
        found = pursue(self.night(), now)
        self.write(found)
        self.rows = [
            self.worded(row, now, is_sent=send) if row.state == "pending" else row
            for row in self.rows
        ]
        return found

    def worded(self, row: "Written", now: datetime, *, is_sent: bool = True) -> "Written":
        """The row with its words of now; as it is once it has gone, if it does."""
        night = with_what_was_said_late(self.night())
        said = worded(row, NAMES, lambda _: [night], now)  # type: ignore[arg-type] # a row has all of it
        row = replace(row, message=said.say())
        if not is_sent:
            return row
        return replace(row, state="sent", attempts=1, mark=said.mark, generation=said.generation)

    def sent(self, now: datetime) -> list[str]:
        """What goes out in a tick to a person: "step person channel"."""
        return [
            f"{one.key.step} {one.key.person_id} {one.key.channel}"
            for one in self.tick(now).add
            if one.operation == "send" and one.state == "pending"
        ]

    def timetable(self, first: str, last: str) -> list[str]:
        """Everything that goes out from one time to another, a tick a minute, with its minute."""
        now, lines = at(first, self.evening.day), []
        while now <= at(last, self.evening.day):
            lines += [f"{now:%H:%M} {line}" for line in self.sent(now)]
            now += MINUTE
        return lines

    def say(self, *closings: Closing) -> None:
        """Somebody says something."""
        self.closings += closings

    def states(self) -> dict[str, str]:
        """Each written step with the state of its last row."""
        return {str(row.key.step): row.state for row in self.rows}


def ledger(text: str = TEXT, day: date = WINTER, said_before: Sequence[Closing] = ()) -> Ledger:
    """The only evening of a date, nothing said of it yet."""
    days = almanac(text)
    (evening,) = days.planned(day, said_before)
    return Ledger(evening, days.noon(day), list(said_before))
