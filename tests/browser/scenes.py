"""What Today is looked at in: thirteen made-up evenings, each as it stands when the page opens."""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from scheduler.service.health.tick_file import Pulse, write_pulse
from tests.faults.house import (
    LONDON,
    ONE_COOP,
    PEOPLE,
    QUIET_MORNINGS,
    SITE,
    TWO_COOPS,
    WINTER,
    House,
    household,
)
from tests.web.front import Front, front

_DAY = timedelta(days=1)
_REST = QUIET_MORNINGS + PEOPLE
OSLO = ZoneInfo("Europe/Oslo")
NORTH = SITE.replace("51.5", "69.6").replace("-0.1", "18.9").replace("Europe/London", "Europe/Oslo")
SIX = "".join(
    f'[[coop]]\nid = "h{number}"\nname = "{name}"\n'
    f'[[flock]]\nid = "f{number}"\nname = "{name} hens"\ncoop = "h{number}"\nhens = {number + 4}\n'
    for number, name in enumerate(("Walnut", "Pear", "Ark", "Long barn", "Shed", "Blue house"))
)
LONG = "The old stone barn behind the orchard wall"
EMOJI = "\N{CHICKEN}\N{SPARKLES} Hen palace"
RIGHT_TO_LEFT = (
    "\N{HEBREW LETTER LAMED}\N{HEBREW LETTER VAV}\N{HEBREW LETTER LAMED} "
    "\N{HEBREW LETTER TAV}\N{HEBREW LETTER RESH}\N{HEBREW LETTER NUN}"
)
NAMED = "".join(
    f'[[coop]]\nid = "h{number}"\nname = "{name}"\n'
    f'[[flock]]\nid = "f{number}"\nname = "Flock {number}"\ncoop = "h{number}"\nhens = 5\n'
    for number, name in enumerate((LONG, EMOJI, RIGHT_TO_LEFT))
)
OWN = "".join(
    f'[[care]]\nname = "{name}"\nid = "own-{number}"\nevery = "1 day"\nminutes = 3\n'
    f'round = "{walk}"\n'
    for number, (name, walk) in enumerate(
        (
            ("Walk along the fence", "morning"),
            ("Rake the run", "morning"),
            ("Weigh the grit", "morning"),
            ("Empty the ash tray", "morning"),
            ("Cut greens", "evening"),
            ("Look at the camera's battery", "evening"),
            ("Wind the hose up", "evening"),
        )
    )
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """A household, the clock on its day, and what was said before the page is opened."""

    body: str = SITE + TWO_COOPS + _REST
    clock: str = "12:30"
    day: date = WINTER
    zone: ZoneInfo = LONDON
    said: tuple[tuple[str, int], ...] = ()
    before: Callable[[House], object] = lambda _: None
    trust: str = "trusted"
    pulses: bool = True
    shows: tuple[str, ...] = ()
    never: tuple[str, ...] = field(default=())


def _away(house: House) -> None:
    for coop, birds in (("walnut", 12), ("barn", 8)):
        house.say("closed", count=0, coop=coop, evening=WINTER - _DAY)
        house.say("elsewhere", count=birds, coop=coop, evening=WINTER - _DAY)


SCENES: Mapping[str, Scene] = {
    "noon": Scene(shows=("Lock up at 16:18", "Eggs"), never=("Do not rely",)),
    "half an hour before": Scene(clock="15:50", shows=("2 of 2 still to shut", "both doors shut")),
    "overdue second house": Scene(
        clock="16:45",
        said=(("walnut", 12),),
        shows=("1 of 2 still to shut", "Overdue: shut the door", "All 8 in, door shut"),
    ),
    "missing two": Scene(
        clock="16:30",
        said=(("walnut", 10), ("barn", 8)),
        shows=("2 missing", "Found one", "Found both"),
        never=("Nothing more tonight",),
    ),
    "night": Scene(
        clock="18:00",
        said=(("walnut", 12), ("barn", 8)),
        shows=("All shut", "Shut the feed away"),
        never=("Nothing more tonight",),
    ),
    "Sunday with eleven jobs": Scene(
        body=SITE + TWO_COOPS + OWN + _REST, day=date(2026, 12, 20), clock="09:10", shows=("more",)
    ),
    "six houses": Scene(body=SITE + SIX + _REST, clock="15:55", shows=("all 6 doors shut",)),
    "names": Scene(body=SITE + NAMED + _REST, clock="16:25", shows=("Lock up now",)),
    "69 north in December": Scene(
        body=NORTH + ONE_COOP + _REST,
        zone=OSLO,
        clock="13:00",
        shows=("The sun does not rise today.",),
    ),
    "69 north in June": Scene(
        body=NORTH + ONE_COOP + _REST,
        zone=OSLO,
        day=date(2027, 6, 21),
        clock="21:30",
        shows=("The sun does not set today.",),
    ),
    "watch dead": Scene(pulses=False, shows=("Do not rely on the reminders now",)),
    "clock wrong": Scene(trust="doubtful", shows=("Do not rely on the reminders now",)),
    "all birds away": Scene(before=_away, clock="17:30", shows=("no birds tonight",)),
    "first day": Scene(
        body=SITE + ONE_COOP + _REST, clock="10:00", shows=("Lock up at 16:18",)
    ),
}  # fmt: skip


@contextmanager
def staged(folder: Path, scene: Scene) -> Iterator[Front]:
    """The pages of the scene, with reminders that can be relied on unless it says otherwise."""
    with (
        household(folder, body=scene.body, day=scene.day, zone=scene.zone) as house,
        front(house, published=False) as pages,
    ):
        house.set_clock(house.local(scene.clock))
        scene.before(house)
        for coop, birds in scene.said:
            house.say(count=birds, coop=coop, who="Kim")
        if scene.pulses:
            beat(house, scene.trust)
        yield pages


def beat(house: House, trust: str = "trusted") -> None:
    """A tick of the reminders, just now."""
    readings = house.readings
    write_pulse(
        house.data,
        Pulse(
            wall=house.now.isoformat(),
            boot_s=readings.boot_s,
            complete_boot_s=readings.boot_s,
            trust=trust,  # type: ignore[arg-type] # one of its words
            profile_number=1,
        ),
    )
