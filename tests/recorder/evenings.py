"""What may happen on an evening: shut, a bird short, reopened, a dead server, a killed program."""

import json
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from html import unescape
from random import Random
from urllib.parse import urlsplit

from tests.recorder.life import Life
from tests.sinks.push import Reply

MINUTE, DAY = timedelta(minutes=1), timedelta(days=1)
# Minutes from the lock-up at which the reminders look, besides each half-hour of the clock.
LOOKS = (-60, -45, -30, -20, -15, -10, -5, 0, 1, 2, 5, 10, 15, 16, 20, 30, 45, 60, 75, 90, 120)
SCREENS = (["today"], ["week"], ["health"], ["health", "--json"], ["weather"], ["check"], ["jobs"])
PAGES = ("/", "/week", "/status", "/weather", "/people", "/coop", "/more", "/year", "/diary.csv")
ANOTHER = """
[[person]]
id = "sam"
name = "Sam"
push = "{push}/sam-q7w2e4r6t8"
"""

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


def _reopened(door: Door) -> Happens:
    yield door.comes, door.counted()
    yield door.comes + 9 * MINUTE, door.say("reopened")
    yield door.comes + 31 * MINUTE, door.counted()


def _undone(door: Door) -> Happens:
    yield door.comes, door.counted(less=door.draw.choice((0, 2)))
    yield door.comes + 3 * MINUTE, door.say("undo")
    yield door.comes + 40 * MINUTE, door.counted()


def _by_button(door: Door) -> Happens:
    yield door.comes, lambda: press(door.life)
    yield door.comes + 90 * MINUTE, door.counted()


def _by_page(door: Door) -> Happens:
    yield door.comes, lambda: tap(door.life)
    yield door.comes + 60 * MINUTE, door.counted()


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
    yield door.comes - door.draw.randrange(30) * MINUTE, Kill(door.life)
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


def _heat(door: Door) -> Happens:
    degrees = f"{door.draw.randrange(31, 43)}C"
    yield door.lock_up - 200 * MINUTE, lambda: door.life.say("weather", "heat", degrees, "--yes")
    yield door.comes, door.counted()


def _predator(door: Door) -> Happens:
    grade = door.draw.choice(("nearby", "tried", "got-at"))
    yield door.lock_up - 190 * MINUTE, lambda: door.life.say("weather", "predator", grade, "--yes")
    yield door.comes, door.counted()


# How an evening may go, and how often out of all of them.
KINDS: dict[Callable[[Door], Happens], int] = {
    _shut: 25, _nobody: 8, _short: 20, _reopened: 8, _undone: 8, _by_button: 12, _by_page: 8,
    _server_away: 6, _killed: 10, _clock: 5, _edited: 9, _heat: 5, _predator: 4,
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


def press(life: Life) -> None:
    """Somebody presses the first button of the newest message that has one."""
    for event in reversed(life.push.events.all()):
        for action in event.said.get("actions", []):
            if action["action"] == "http":
                life.recording.add(life.clock.at, "press", event.topic, action["body"])
                life.program.hear(life.push.url, event.id, action["body"])
                return


def tap(life: Life) -> None:
    """Somebody signed in presses the first button on Today, with what the form holds."""
    [(_, page)] = life.visit(("/", None))
    if form := re.search(r'<form[^>]*action="/door".*?</form>', page, re.DOTALL):
        fields = dict(re.findall(r'<input[^>]*name="([^"]+)"[^>]*value="([^"]*)"', form[0]))
        fields |= dict(re.findall(r'<button[^>]*name="([^"]+)" value="([^"]*)"', form[0])[:1])
        life.visit(
            ("/door", {name: unescape(value) for name, value in fields.items()}), ("/", None)
        )


def edit(life: Life, draw: Random) -> None:
    """The keeper changes the profile: a bird more, another person, that person's topic."""
    another = ANOTHER.format(push=life.push.url)
    match draw.randrange(3):
        case 0:
            one_more = r"^hens = (\d+)"
            life.text = re.sub(
                one_more, lambda m: f"hens = {int(m[1]) + 1}", life.text, flags=re.MULTILINE
            )
        case 1 if another in life.text:
            life.text = life.text.replace(another, "")
        case _ if "/sam-" in life.text:
            life.text = life.text.replace("/sam-", "/samuel-")
        case _ if "/samuel-" in life.text:
            life.text = life.text.replace("/samuel-", "/sam-")
        case _:
            life.text += another
    life.write(life.text)


def look_round(life: Life, draw: Random) -> None:
    """Somebody looks at a screen, two pages and two calendars."""
    life.say(*draw.choice(SCREENS))
    links = json.loads(life.say("links", "--json"))["links"]
    feeds = [urlsplit(one["url"]).path for one in links if not one["alarms"]]
    paths = [*draw.sample(PAGES, 2), *draw.sample(feeds, 2)]
    life.visit(*((path, None) for path in paths))
