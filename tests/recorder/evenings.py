"""What may happen on an evening: shut, a bird short, reopened, a dead server, a killed program."""

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from random import Random

from tests.recorder.acts import edit, look_round, press, tap, tap_by_link, untick
from tests.recorder.life import Life
from tests.sinks.push import Reply

MINUTE, DAY = timedelta(minutes=1), timedelta(days=1)
# Minutes from the lock-up at which the reminders look, besides each half-hour of the clock.
LOOKS = (-60, -45, -30, -20, -15, -10, -5, 0, 1, 2, 5, 10, 15, 16, 20, 30, 45, 60, 75, 90, 120)
Act = Callable[[], object]


@dataclass(frozen=True, slots=True, kw_only=True)
class Door:
    """What is known from outside of one house's evening, and when somebody comes to it."""

    life: Life
    draw: Random
    house: str
    lock_up: datetime
    birds: int
    number: int  # of the houses of the evening
    comes: datetime

    def say(self, verb: str, *words: str) -> Act:
        """Says that of the house at the terminal."""
        return lambda: self.life.say(verb, "--coop", self.house, *words)

    def counted(self, less: int = 0) -> Act:
        """Says that it is shut, with how many in it."""
        return self.say("closed", "--count", str(self.birds - less))


Happens = Iterator[tuple[datetime, Act]]


def _shut(door: Door) -> Happens:
    yield door.comes, door.counted()


def _nobody(door: Door) -> Happens:
    yield door.comes + 13 * 60 * MINUTE, door.counted()


def _short(door: Door) -> Happens:
    yield door.comes, door.counted(less=1)
    later = door.draw.choice((40, 11 * 60)) * MINUTE
    yield door.comes + later, door.say(door.draw.choice(("found", "given-up")))


def _searched(door: Door) -> Happens:
    yield door.comes, door.counted(less=2)
    yield door.comes + 50 * MINUTE, door.say("found", "--count", "1")
    yield door.comes + 80 * MINUTE, door.say("not-found")
    morning = door.comes + 12 * 60 * MINUTE
    yield morning, door.say(*door.draw.choice((("found",), ("dead", "--count", "1"))))


def _elsewhere(door: Door) -> Happens:
    yield door.lock_up - 70 * MINUTE, door.say("elsewhere", "--count", "1")
    yield door.comes, door.counted(less=1)
    yield door.comes + 13 * 60 * MINUTE, door.say("elsewhere", "--count", "1", "--back")


def _reopened(door: Door) -> Happens:
    yield door.comes, door.counted()
    yield door.comes + 9 * MINUTE, door.say("reopened")
    yield door.comes + 31 * MINUTE, door.counted()


def _undone(door: Door) -> Happens:
    yield door.comes, door.counted(less=door.draw.choice((0, 2)))
    yield door.comes + 3 * MINUTE, door.say("undo")
    yield door.comes + 40 * MINUTE, door.counted()


def _by_button(door: Door) -> Happens:
    yield door.comes, lambda: press(door.life, door.draw)
    yield door.comes + 20 * MINUTE, lambda: press(door.life, door.draw, old=True)
    yield door.comes + 90 * MINUTE, door.counted()


def _by_page(door: Door) -> Happens:
    yield door.comes, lambda: tap(door.life)
    yield door.comes + 60 * MINUTE, door.counted()


def _by_link(door: Door) -> Happens:
    yield door.comes, lambda: tap_by_link(door.life)
    yield door.comes + 60 * MINUTE, door.counted()


def _ticked(door: Door) -> Happens:
    yield door.lock_up - 65 * MINUTE, lambda: tap(door.life, action="/jobs")
    yield door.lock_up - 35 * MINUTE, lambda: untick(door.life)
    yield door.comes, door.counted()


def _server_away(door: Door) -> Happens:
    away = Reply(status=503)
    yield door.lock_up - 40 * MINUTE, lambda: door.life.push.script(away, always=True)
    yield door.lock_up + 35 * MINUTE, door.life.push.heal
    yield door.comes + 45 * MINUTE, door.counted()


@dataclass(frozen=True)
class Kill:
    """The power fails while a message is on its way, and comes back."""

    life: Life

    def __call__(self) -> None:
        """Ends the program and starts it again."""
        self.life.program.kill()
        self.life.program.start()


def _killed(door: Door) -> Happens:
    # Just as the heads-up or the "now" step is on its way, or at any other time.
    now, some = door.lock_up, door.comes - door.draw.randrange(30) * MINUTE
    yield door.draw.choice((now - 30 * MINUTE, now, some)), Kill(door.life)
    yield door.comes + MINUTE, door.counted()


def _clock(door: Door) -> Happens:
    by = door.draw.choice((-1, 1)) * door.draw.choice((20, 60, 180)) * MINUTE
    yield door.comes - 20 * MINUTE, lambda: door.life.clock.step(by)
    yield door.comes + 30 * MINUTE, door.counted()


def _edited(door: Door) -> Happens:
    if not door.number:
        before = door.draw.choice((200, 50, 3)) * MINUTE
        yield door.lock_up - before, lambda: edit(door.life, door.draw)
    yield door.comes, door.counted()


def _broken(door: Door) -> Happens:
    if not door.number:
        broken = door.life.text.replace("timezone", "timezoen")
        yield door.lock_up - 40 * MINUTE, lambda: door.life.write(broken)
        yield door.comes - MINUTE, lambda: door.life.write(door.life.text)
    yield door.comes, door.counted()


def _heat(door: Door) -> Happens:
    degrees = f"{door.draw.randrange(31, 43)}C"
    yield door.lock_up - 200 * MINUTE, lambda: door.life.say("weather", "heat", degrees, "--yes")
    yield door.comes, door.counted()


def _predator(door: Door) -> Happens:
    grade = door.draw.choice(("nearby", "tried", "got-at"))
    yield door.lock_up - 190 * MINUTE, lambda: door.life.say("weather", "predator", grade, "--yes")
    yield door.comes, door.counted()


def _weather(door: Door) -> Happens:
    what = door.draw.choice((("frost", "-20C"), ("snow",), ("storm",), ("order",)))
    if not door.number:
        yield door.lock_up - 180 * MINUTE, lambda: door.life.say("weather", *what, "--yes")
        end = "over" if what == ("order",) else "undo"
        yield door.comes + 12 * 60 * MINUTE, lambda: door.life.say("weather", end)
    yield door.comes, door.counted()


def _birds(door: Door) -> Happens:
    what = door.draw.choice(
        (
            ("broody",),
            ("illness", door.draw.choice(("breathing", "deaths", "hunched"))),
            ("medicine", "Wormer", "--eggs", "3", "--meat", "9"),
        )
    )
    yield (
        door.lock_up - 170 * MINUTE,
        lambda: door.life.say("birds", *what, "--coop", door.house, "--yes"),
    )
    yield door.comes, door.counted()


# How an evening may go, and how often out of all of them.
KINDS: dict[Callable[[Door], Happens], int] = {
    _shut: 18, _nobody: 8, _short: 14, _searched: 7, _reopened: 7, _undone: 8, _by_button: 12,
    _by_page: 6, _by_link: 6, _ticked: 4, _server_away: 6, _killed: 10, _clock: 6, _edited: 9,
    _broken: 4, _heat: 4, _predator: 4, _weather: 5, _birds: 5, _elsewhere: 4,
}  # fmt: skip


def evening(life: Life, draw: Random, day: date) -> None:
    """One evening and its night, as it is drawn."""
    [kind] = draw.choices(list(KINDS), list(KINDS.values()))
    doors = _doors(life, draw, day)
    life.recording.add(life.clock.at, "evening", str(day), kind.__name__)
    happens = {at: act for door in doors for at, act in kind(door)}
    noon = _before(doors, day)
    looks = {noon + n * 30 * MINUTE for n in range(48)} | set(happens)
    looks |= {door.lock_up + n * MINUTE for door in doors for n in LOOKS}
    last = max((door.lock_up for door in doors), default=noon)
    shown = {last - 10 * MINUTE, last + 10 * MINUTE, last + 14 * 60 * MINUTE}
    for at in sorted(at for at in looks | shown if noon <= at < noon + DAY):
        act = happens.get(at)
        life.go(at, send=not isinstance(act, Kill))
        if act:
            act()
            life.go(at)
        if at in shown:
            look_round(life, draw)
    life.push.heal()


def _before(doors: list[Door], day: date) -> datetime:
    """A full hour some four before the first lock-up, the same in every run."""
    midnight = datetime.combine(day, datetime.min.time(), UTC)
    first = min((one.lock_up for one in doors), default=midnight + 16 * 60 * MINUTE)
    return midnight + timedelta(hours=(first - midnight) // timedelta(hours=1) - 4)


def _doors(life: Life, draw: Random, day: date) -> list[Door]:
    shown = json.loads(life.say("today", "--json", "--date", str(day)))
    lived_in = [one for one in shown["coops"] if one["lockup"] and one["birds"]]
    doors = []
    for number, one in enumerate(lived_in):
        lock_up = datetime.fromisoformat(one["lockup"])
        # Not at one instant with another's: what happens is kept by its instant.
        comes = lock_up + (2 + draw.randrange(25)) * MINUTE + number * timedelta(seconds=20)
        doors.append(
            Door(
                life=life,
                draw=draw,
                house=one["coop"],
                lock_up=lock_up,
                birds=one["birds"],
                number=number,
                comes=comes,
            )
        )
    return doors
