"""Writes the page of sources from the program: `python tests/docs/sources.py` renews it."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from pathlib import Path

from scheduler.cares.usual_day import usual_day
from scheduler.climate.curve import averages, hottest_high_c
from scheduler.husbandry.figures import figures
from scheduler.husbandry.housing import criteria
from scheduler.profile.load import Loaded, parse
from scheduler.profile.package_data import catalogue
from scheduler.profile.values import Profile

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "config" / "SOURCES.md"
READ = {
    "S": "read: the source, its abstract, or the part that has the figure",
    "P": "partly read; the text says what the rest is",
    "Q": "quoted second-hand, the original not opened",
    "M": "from memory, not opened",
    "C": "no source: common practice",
    "D": "worked out here",
}
_WRITTEN_ON = date(2026, 11, 28)
_DAYS = (date(2026, 1, 15), date(2026, 7, 10), date(2026, 10, 1))  # cold, hot, in between
_HEAD = """\
# Every source that a keeper is shown, and how it was read

This page is written from the program: `python tests/docs/sources.py` renews it. It names what
`why`, `figures` and `check` show for the shipped profiles, and for a house of chicks, young birds
and others.
"""
# What no shipped profile has.
_MORE = """
[[coop]]
name = "Everything"
floor = "2 m x 2 m"
[coop.light]
lux = 10
[[coop.drinker]]
type = "bell"
capacity = "5 L"
[[coop.drinker]]
type = "nipple"
capacity = "5 L"
[[coop.feeder]]
capacity = "5 kg"
[[flock]]
name = "Chicks"
coop = "everything"
young = 5
hatched = 2026-06-20
raised_by = "brooder"
[[flock]]
name = "Young"
coop = "everything"
young = 5
hatched = 2026-01-20
[[flock]]
name = "Layers"
coop = "everything"
hens = 3
others = 2
hatched = 2025-01-20
"""

Shown = dict[tuple[str, str], dict[str, set[str]]]  # (mark, source): place: what it stands with


def shown() -> Shown:
    """Each source with where it is shown."""
    found: Shown = defaultdict(lambda: defaultdict(set))
    for care_id, care in catalogue()["care"].items():
        found[care["mark"], care["source"]]["`why`"].add(care_id)
    for profile in _profiles():
        for day in _DAYS:
            _add_sums(found, profile, day)
    return found


def _profiles() -> Iterator[Profile]:
    for path in sorted((ROOT / "config").glob("*.toml")):
        for text in (path.read_text(encoding="utf-8"), path.read_text(encoding="utf-8") + _MORE):
            loaded = parse(text.encode(), file=path.name, today=_WRITTEN_ON)
            if isinstance(loaded, Loaded):  # with a second house some would need more keys
                yield loaded.profile


def _add_sums(found: Shown, profile: Profile, day: date) -> None:
    hottest_c = hottest_high_c(averages(profile))
    for coop in profile.coop:
        for figure in figures(profile, coop, usual_day(profile, day)):
            found[figure.source.mark, figure.source.text]["`figures`"].add(figure.key)
        for rules, place in (("backyard", "`check`"), ("eu", "`check --rules eu`")):
            for one in criteria(profile, coop, rules, day, hottest_c):  # type: ignore[arg-type] # a rule set
                found[one.source.mark, one.source.text][place].add(one.key)


def page() -> str:
    """The whole page."""
    found = shown()
    parts = [_HEAD]
    for mark, how in READ.items():
        rows = sorted((text, places) for (one, text), places in found.items() if one == mark)
        if rows:
            parts.append(f"\n## {how[0].upper()}{how[1:]}\n\n| source | shown with |\n|---|---|\n")
            parts += [f"| {text} | {_places(places)} |\n" for text, places in rows]
    return "".join(parts)


def _places(places: dict[str, set[str]]) -> str:
    return "; ".join(f"{place} {', '.join(sorted(keys))}" for place, keys in sorted(places.items()))


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
