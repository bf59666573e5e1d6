"""K4's brothers: no outlet has a word that contradicts a quarantine, a housing order or an age.

Walked are the commands, every message from noon to noon, the feeds, and the pages.
"""

import html
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import pytest
from freezegun import freeze_time
from typer.testing import CliRunner

from scheduler.cares.plan import plan
from scheduler.cares.records import Report, Spell
from scheduler.cli import running
from scheduler.cli.app import app
from scheduler.feeds.planned_events import events
from scheduler.service.reports import report
from scheduler.watch.site_messages import next_note
from tests.faults.driven import DAY, Driven, driven, memory_folder
from tests.faults.house import PEOPLE, SITE, WINTER, household
from tests.unhurried import unhurried
from tests.web.front import front

__all__ = ["memory_folder"]
pytestmark = pytest.mark.slow
# Its models are made when it is first imported, which must not be on a frozen day.
assert running.__name__

NOON = datetime(2026, 12, 21, 12, 30, tzinfo=UTC)
DRIVEN_PEOPLE = '[[person]]\nname = "Ana"\npush = "https://push.example.net/ana-8c1f9e2b77aa"\n'
COMMANDS = ("today", "week", "light", "figures", "check", "why let-out", "why lock-up", "health")
PAGES = (
    *("/", "/week", "/add", "/flock", "/coop", "/weather", "/birds", "/subscribe", "/why/water"),
    *("/why/lock-up", "/status", "/diary", "/begun", "/change/birds", "/card"),
)
# The list of every job there is, for nobody in particular, and what comes to them on later days.
EVERY_JOB = r"<details><summary>All jobs</summary>.*?</details>"
LATER = r'<ol class="timeline">.*?</ol>'
# What the house must have for these birds once they are grown.
OF_THE_HOUSE = ("duskfold check", "/coop")
PERCHED = (r"\bperch", r"\broost", r"\bnests?\b")
OUT = (
    r"let out:? (at )?\d",
    r"let out at",
    r"free range:? (from )?\d",
    r"(?<!no )free range from",
    r"call them in",
    r"first outing",
    r"before you let them out",
    r"stay in sight",
    r"out all day",
)
AS_LAYERS = (
    r"collect the eggs",
    r"layer feed for",
    r"layer feed, oyster",
    r"eggs to expect",
    r"7 eggs",
    r"dummy egg",
)
MIXED = (r"put \w+ with the others", r"let \w+ see the grown", r"where home is")


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """Birds, and what may not be said of them and what must be."""

    name: str
    birds: str
    never: tuple[str, ...]
    told: tuple[str, ...]
    reports: tuple[Report, ...] = ()

    @property
    def coop(self) -> str:
        """Their house and themselves; it has everything that a sentence may be about."""
        return (
            '\n[[coop]]\nname = "Walnut"\nranging = "all day"\n[coop.run]\nnetting = "electric"\n'
            f'[coop.light]\nlux = 20\n[[flock]]\nname = "Few"\n{self.birds}\n'
        )


CASES = (
    Case(
        name="chicks in a brooder",
        birds='young = 6\nhatched = 2026-12-11\nraised_by = "brooder"',
        never=(*OUT, *AS_LAYERS, *MIXED, *PERCHED, "frostbite"),
        told=("not today", "warm"),
    ),
    Case(
        name="bought chicks in quarantine",
        birds='hens = 6\nhatched = 2026-12-11\narrived = 2026-12-18\nraised_by = "bought"',
        never=(*OUT, *AS_LAYERS, *MIXED, *PERCHED, "frostbite"),
        told=("not today", "day 4 of 30", "brooder", "warm"),
    ),
    Case(
        name="bought pullets in quarantine",
        birds='hens = 6\nhatched = 2026-09-10\narrived = 2026-12-07\nraised_by = "bought"',
        never=(*OUT[2:6], *AS_LAYERS, *MIXED),
        told=("day 15 of 30", "no ranging"),
    ),
    Case(
        name="hens under an order, in an open run",
        birds="hens = 6",
        never=OUT,
        told=("not today", "housing order"),
        reports=(Report(kind="order", spell=Spell(first=WINTER - 3 * DAY)),),
    ),
    Case(
        name="hens that had a wormer",
        birds="hens = 6",
        never=(
            r"collect the (?:morning's )?eggs(?!( at midday too)?: not to be eaten)",
            r"chill the rest",
            r"(?<!before they )(?<!not to )(may|can) be eaten",
        ),
        told=("do not eat, give away or sell the eggs before tue 29 dec", "wormer a"),
        reports=(
            Report(
                kind="medicine",
                spell=Spell(first=WINTER - 3 * DAY, last=WINTER),
                house_id="walnut",
                words="Wormer A",
                egg_days=7,
            ),
        ),
    ),
    Case(
        name="a hen with a swollen head",
        birds="hens = 6",
        never=(r"collect the (?:morning's )?eggs(?!( at midday too)?: not to be eaten)",),
        told=("call your vet or the animal-health authority", "no bird, egg or equipment leave"),
        reports=(
            Report(
                kind="illness",
                spell=Spell(first=WINTER),
                house_id="walnut",
                birds=1,
                signs=("swollen-head",),
            ),
        ),
    ),
    Case(
        name="pullets of fourteen weeks",
        birds='hens = 6\nhatched = 2026-09-08\nraised_by = "hen"',
        never=AS_LAYERS,
        told=("grower",),
    ),
)


def of_the_commands(folder: Path) -> Iterator[tuple[str, str]]:
    place = ["--profile", str(folder / "duskfold.toml"), "--data", str(folder / "data")]
    for command in COMMANDS:
        with freeze_time(NOON):
            result = CliRunner().invoke(app, [*place, *command.split()])
        assert result.exit_code != 2, (command, result.output)
        yield f"duskfold {command}", result.output


def of_the_feeds(house: Driven) -> Iterator[tuple[str, str]]:
    """The events of the day in every calendar."""
    almanac = house.running.almanac
    profile = almanac.household.profile
    window = plan(profile, almanac.records, WINTER, WINTER, almanac.household.catalogue)
    for event in events(window):
        yield f"event {event.uid}", f"{event.title}\n{event.description}"


def of_the_messages(house: Driven) -> Iterator[tuple[str, str]]:
    """Everything that is sent until the next noon, where nobody says that the door is shut."""
    for at in sorted({*instants(house)}):
        house.at(at)
    for one in house.messages():
        message = one.outgoing.message
        yield f"message at {one.at}", f"{message.title}\n{message.body}"


def instants(house: Driven) -> Iterator[datetime]:
    """All that can be due from noon to noon."""
    yield from (step.at for evening in house.evenings(WINTER) for step in evening.steps)
    at = NOON
    while (at := next_note(house.running.almanac, at)) < NOON + DAY:
        yield at


@unhurried
@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_k4_no_command_message_or_feed_has_a_word_against_the_birds(
    memory_folder: Path, monkeypatch: pytest.MonkeyPatch, case: Case
) -> None:
    monkeypatch.setenv("COLUMNS", "400")
    text = SITE + "[rounds]\nkeen = true\nlines = 20\n" + case.coop + DRIVEN_PEOPLE
    with driven(memory_folder, text, NOON) as house:
        for one in case.reports:
            report.make(house.journal, house.running.site_id, one, NOON)
        said = list(of_the_commands(memory_folder))
        said += of_the_messages(house)
        said += of_the_feeds(house)
    assert len([where for where, _ in said if where.startswith("message")]) > 3
    judge(case, said)


@unhurried
@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_k4_no_page_has_a_word_against_the_birds(tmp_path: Path, case: Case) -> None:
    body = SITE + case.coop + PEOPLE
    with household(tmp_path, body=body) as house, front(house) as pages:
        with house.journal() as journal:
            for one in case.reports:
                report.make(journal, "orchard", one, house.now)
        said = []
        for path in PAGES:
            page = pages.get(path, who="ana").text
            page = re.sub(f"{EVERY_JOB}|{LATER}", "", page, flags=re.DOTALL)
            said.append((path, html.unescape(re.sub(r"<[^>]+>", " ", page))))
    judge(case, said)


def judge(case: Case, said: list[tuple[str, str]]) -> None:
    for where, text in said:
        plain = re.sub(r"\s+", " ", text).casefold()
        for pattern in case.never:
            if pattern in PERCHED and where in OF_THE_HOUSE:
                continue
            found = re.search(rf".{{0,80}}{pattern}.{{0,80}}", plain)
            assert found is None, f"{where}: …{found[0]}…"
    everything = " ".join(text for _, text in said).casefold()
    for words in case.told:
        assert words in everything, words
