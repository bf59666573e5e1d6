"""Speed as ratios against a named baseline, measured in one run; nothing here is asserted.

`python tests/bench/run.py` prints a table: what, ours, baseline, ratio, aim.
"""

import subprocess
import sys
import tempfile
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from itertools import islice
from pathlib import Path
from statistics import median
from time import perf_counter

from astral import Observer
from astral.sun import sun
from icalendar import Calendar, Event

from scheduler.cares.catalogue import read
from scheduler.cares.lock_up import lock_up
from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS
from scheduler.feeds import render
from scheduler.feeds.event import FeedEvent
from scheduler.feeds.planned_events import events
from scheduler.feeds.revision import Revision, revised
from scheduler.light import sun as light
from scheduler.light.sun import CIVIL_DEG, SUNSET_DEG, sky_over
from scheduler.profile.load import Loaded, load
from scheduler.profile.package_data import catalogue

ROOT = Path(__file__).parents[2]
PROFILE = ROOT / "config" / "annotated.toml"
NOW = datetime(2026, 12, 21, 10, tzinfo=UTC)
YEAR = [date(2026, 1, 1) + timedelta(days=n) for n in range(366)]
ROUNDS = 7


def alternating(
    ours: Callable[[], object],
    baseline: Callable[[], object],
    prepare: Callable[[], object] = lambda: None,
) -> tuple[float, float]:
    """Medians of both, run in turn so that a busy machine slows both alike."""
    pairs = [(seconds(ours, prepare), seconds(baseline, lambda: None)) for _ in range(ROUNDS)]
    return median(pair[0] for pair in pairs), median(pair[1] for pair in pairs)


def seconds(work: Callable[[], object], prepare: Callable[[], object]) -> float:
    prepare()
    start = perf_counter()
    work()
    return perf_counter() - start


def profile() -> Loaded:
    loaded = load(PROFILE, NOW.date(), lambda _: ())
    assert isinstance(loaded, Loaded)
    return loaded


def year_table() -> tuple[float, float]:
    """Transit, sunrise, sunset, dawn, dusk, lock-up and latest against astral's sun()."""
    declared = profile().profile
    site, sky, rule = declared.site, sky_over(declared), declared.lockup

    def ours() -> None:
        for day in YEAR:
            sky.transit(day)
            sky.crossing(day, "morning", SUNSET_DEG)
            sky.crossing(day, "morning", CIVIL_DEG)
            sunset = sky.crossing(day, "evening", SUNSET_DEG)
            dusk = sky.crossing(day, "evening", CIVIL_DEG)
            lock_up(site, sky, rule, day, sunset=sunset, dusk=dusk)

    def forget() -> None:
        for cached in (light._transit, light._midnight_after, light._arc):  # noqa: SLF001 - a cold table
            cached.cache_clear()

    observer = Observer(site.latitude_deg, site.longitude_deg, 0)
    return alternating(ours, lambda: [sun(observer, day) for day in YEAR], forget)


def feed_of_400() -> tuple[list[FeedEvent], Callable[[dict[str, Revision]], list[Revision]]]:
    loaded = profile()
    first = NOW.date()
    whole = plan(loaded.profile, NO_RECORDS, first, first + timedelta(days=100), read(catalogue()))
    chosen = list(islice(events(whole), 400))
    assert len(chosen) == 400

    def published(known: dict[str, Revision]) -> list[Revision]:
        fresh = list(islice(events(whole), 400))
        changed = {r.event.uid: r for r in revised(fresh, known, {}, now=NOW, today=first)}
        return [changed.get(event.uid) or known[event.uid] for event in fresh]

    return chosen, published


def library_feed(chosen: list[FeedEvent]) -> bytes:
    """The same events built and serialised with icalendar alone."""
    calendar = Calendar()
    calendar.add("VERSION", "2.0")
    calendar.add("PRODID", "-//baseline//EN")
    for event in chosen:
        written = Event()
        written.add("UID", event.uid)
        written.add("DTSTAMP", NOW)
        written.add("LAST-MODIFIED", NOW)
        written.add("SEQUENCE", 1)
        written.add("DTSTART", event.start)
        written.add("DTEND", event.end)
        written.add("SUMMARY", event.title)
        written.add("DESCRIPTION", event.description)
        written.add("STATUS", "CONFIRMED")
        calendar.add_component(written)
    return bytes(calendar.to_ical())


def feeds() -> list[tuple[str, float, float]]:
    chosen, published = feed_of_400()
    heading = render.Heading(feed="all", site_name="Bench")
    known = {revision.event.uid: revision for revision in published({})}

    def ours(before: dict[str, Revision]) -> None:
        render.feed_bytes(heading, published(before))

    def unchanged() -> None:
        render.feed_bytes(heading, published(known))

    def forget() -> None:
        for cached in (render._event, render._line):  # noqa: SLF001 - a first publication
            cached.cache_clear()

    new = alternating(lambda: ours({}), lambda: library_feed(chosen), forget)
    ours(known)
    same = alternating(unchanged, lambda: library_feed(chosen))
    return [("feed of 400 events, new", *new), ("the same, unchanged", *same)]


def process(*arguments: str) -> Callable[[], object]:
    def start() -> None:
        subprocess.run([sys.executable, *arguments], check=True, capture_output=True, cwd=ROOT)

    return start


def main() -> None:
    """Prints the table."""
    imports = "import typer, pydantic, astral.sun, sqlalchemy"
    program = ("-m", "scheduler", "-p", str(PROFILE))
    with tempfile.TemporaryDirectory() as folder:
        feed = (*program, "--data", f"{folder}/data", "feed", "--out", f"{folder}/out")
        process(*feed)()
        rows = [
            ("year table, one site, 366 days", "astral sun()", *year_table(), "1.5"),
            *(
                (name, "icalendar", ours, baseline, aim)
                for (name, ours, baseline), aim in zip(feeds(), ("1.2", "0.1"), strict=True)
            ),
            (
                "today",
                imports,
                *alternating(process(*program, "today"), process("-c", imports)),
                "1.5",
            ),
            (
                "--help",
                "import typer",
                *alternating(process("-m", "scheduler", "--help"), process("-c", "import typer")),
                "2",
            ),
            ("feed, unchanged", imports, *alternating(process(*feed), process("-c", imports)), "–"),
        ]
    print(f"{'what':42} {'ours ms':>8} {'base ms':>8} {'ratio':>6} {'aim':>5}  baseline")
    for what, baseline_name, ours_s, baseline_s, aim in rows:
        ratio = ours_s / baseline_s
        print(
            f"{what:42} {ours_s * 1000:8.1f} {baseline_s * 1000:8.1f} {ratio:6.2f} {aim:>5}  "
            f"{baseline_name}"
        )


if __name__ == "__main__":
    main()
