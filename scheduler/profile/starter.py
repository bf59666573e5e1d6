"""The starter profile: a few answers turned into a commented file."""

import json
import textwrap
from dataclasses import dataclass, field

from scheduler.profile.coop import Ranging
from scheduler.profile.forecast import SourceName, usual_source
from scheduler.profile.prepare import id_of
from scheduler.profile.units import Region, Units
from scheduler.wording.profile.coop_keys import CoopKeys
from scheduler.wording.profile.flock_keys import FlockKeys
from scheduler.wording.profile.starter_words import StarterComments, StarterNames
from scheduler.wording.words import Words

_WIDEST = 96


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers:
    """What `init` asks, or takes from its options; until then, what is usual."""

    site_name: str = field(default_factory=StarterNames.site)
    latitude_deg: float = 0.0
    longitude_deg: float = 0.0
    zone_name: str = "Etc/GMT"
    region: Region = "other"
    units: Units = "metric"
    elevation: str = ""
    coop_name: str = field(default_factory=StarterNames.coop)
    coop_type: str = "fixed"
    run_type: str = ""
    ranging: Ranging = "supervised"
    hens: int = 6
    roosters: int = 0
    kind: str = "medium"
    person_name: str = ""
    mail: str = ""
    push: str = ""
    door: str = "manual"
    floor: str = ""
    run_floor: str = ""
    coldest_month_low: str = ""
    warmest_month_high: str = ""
    sources: tuple[SourceName, ...] | None = None  # None: not asked


def guessed_region(zone_name: str) -> Region:
    """The region whose words are likely in that zone; the keeper may say otherwise."""
    area, _, city = zone_name.partition("/")
    if city in _US_CITIES or city.startswith(("Indiana/", "Kentucky/", "North_Dakota/")):
        return "US"
    if zone_name == "Europe/London":
        return "UK"
    return {"Europe": "EU", "Australia": "AU"}.get(area, "other")  # type: ignore[return-value] # all three are in Region


_US_CITIES = frozenset({
    "Adak", "Anchorage", "Boise", "Chicago", "Denver", "Detroit", "Honolulu", "Juneau",
    "Los_Angeles", "Menominee", "Metlakatla", "New_York", "Nome", "Phoenix", "Sitka", "Yakutat",
})  # fmt: skip


def starter_text(answers: Answers) -> str:
    """The profile as TOML, with each further key shown as a comment."""
    feet = answers.units == "us"
    size = "4 ft x 8 ft" if feet else "1.2 m x 2.4 m"
    depth, capacity = ('"4 in"', '"2 gal"') if feet else ('"10 cm"', '"8 L"')
    if feet and answers.region != "US":
        capacity = '"2 US gal"'
    return f"""\
{_lines(StarterComments.what)}
{_lines(StarterComments.switched_off)}

units = {_quoted(answers.units)}  {_behind(StarterComments.units)}

[site]
name = {_quoted(answers.site_name)}
id = {_quoted(_site_id(answers))}  {_behind(StarterComments.id)}
latitude = {answers.latitude_deg:.4f}   {_behind(StarterComments.north)}
longitude = {answers.longitude_deg:.4f}  {_behind(StarterComments.east)}
timezone = {_quoted(answers.zone_name)}
region = {_quoted(answers.region)}  {_behind(StarterComments.region)}
{_elevation(answers)}
# west_horizon = 5  {_behind(StarterComments.hill)}

{_climate(answers)}
{_forecast(answers)}
{_lines(StarterComments.lockup)}
# [lockup]
# cap = "22:00"

# [rounds]
# weekly_day = "saturday"

[[coop]]
name = {_quoted(answers.coop_name)}
id = {_quoted(id_of("coop", answers.coop_name))}
type = {_quoted(answers.coop_type)}  {_behind(StarterComments.coop_type)}
door = {_quoted(answers.door)}  {_behind(CoopKeys.door)}
ranging = {_quoted(answers.ranging)}  {_behind(StarterComments.ranging)}
{_size(answers.floor, size)}

{_run(answers, size)}

# [coop.bedding]
# depth = {depth}

# [[coop.drinker]]
# type = "bell"
# capacity = {capacity}

[[flock]]
name = {_quoted(StarterNames.flock())}
id = "hens"
hens = {answers.hens}
roosters = {answers.roosters}
kind = {_quoted(answers.kind)}  {_behind(FlockKeys.kind)}
# hatched = 2026-04-01

{_person(answers)}
{_lines(StarterComments.jobs)}
# [cares.litter-stirring]
# every = "5 days"
# [[care]]
# name = {_quoted(StarterNames.own_job())}
# every = "90 days"
"""


def _elevation(answers: Answers) -> str:
    example = _quoted("1000 ft" if answers.units == "us" else "320 m")
    given = _quoted(answers.elevation)
    line = f"elevation = {given}" if answers.elevation else f"# elevation = {example}"
    return f"{line}  {_behind(StarterComments.elevation)}"


def _run(answers: Answers, example: str) -> str:
    """The run's table where something is known of it, else as a comment.

    A size without a kind would stand in no table: then the run is what most are, open.
    """
    about = _behind(StarterComments.run_type)
    if not answers.run_type:
        return f'# [coop.run]\n# type = "secure"  {about}\n{_size("", example)}'
    size = _size(answers.run_floor, example)
    return f"[coop.run]\ntype = {_quoted(answers.run_type)}  {about}\n{size}"


def _site_id(answers: Answers) -> str:
    """The name with its place: two gardens called Home must not share a calendar's numbers."""
    north = f"{abs(answers.latitude_deg):.0f}{'n' if answers.latitude_deg >= 0 else 's'}"
    east = f"{abs(answers.longitude_deg):.0f}{'e' if answers.longitude_deg >= 0 else 'w'}"
    return f"{id_of('site', answers.site_name)[:30].strip('-')}-{north}{east}"


def _person(answers: Answers) -> str:
    if not answers.person_name:
        return '# [[person]]\n# name = "Sam"\n# mail = "sam@example.org"\n'
    lines = [
        "[[person]]",
        f"name = {_quoted(answers.person_name)}",
        f"id = {_quoted(id_of('person', answers.person_name))}",
    ]
    if answers.mail:
        lines.append(f"mail = {_quoted(answers.mail)}")
    if answers.push:
        lines.append(f"push = {_quoted(answers.push)}")
    if answers.mail:
        lines += ["", _lines(StarterComments.mail), *_MAIL]
    return "\n".join(lines) + "\n"


_MAIL = (
    "# [mail]",
    '# host = "mail.example.net"',
    '# user = "hens@example.net"',
    '# from = "hens@example.net"',
)


def _climate(answers: Answers) -> str:
    if answers.coldest_month_low and answers.warmest_month_high:
        return (
            f"{_lines(StarterComments.climate)}\n[climate]\n"
            f"coldest_month_low = {_quoted(answers.coldest_month_low)}\n"
            f"warmest_month_high = {_quoted(answers.warmest_month_high)}\n"
        )
    low, high = ("20 °F", "85 °F") if answers.units == "us" else ("-3 °C", "24 °C")
    return (
        f"{_lines(StarterComments.climate_estimated)}\n# [climate]\n"
        f"# coldest_month_low = {_quoted(low)}\n# warmest_month_high = {_quoted(high)}\n"
    )


def _forecast(answers: Answers) -> str:
    """The answer; where nobody was asked, how one would be written."""
    usual = usual_source(answers.region, answers.latitude_deg, answers.longitude_deg)
    if answers.sources is None:
        example = f"# [forecast]\n# sources = [{_quoted(usual)}]\n"
        return f"{_lines(StarterComments.forecast)}\n{example}"
    if not answers.sources:
        refused = _lines(StarterComments.forecast_refused)
        return f"{refused}\n[forecast]\nsources = []  # [{_quoted(usual)}]\n"
    named = ", ".join(map(_quoted, answers.sources))
    return (
        f"{_lines(StarterComments.forecast)}\n[forecast]\nsources = [{named}]\n"
        f"# rounding = 0.1  {_behind(StarterComments.rounding)}\n"
        f'# contact = "sam@example.org"  {_behind(StarterComments.contact)}\n'
    )


def _size(given: str, example: str) -> str:
    return f"floor = {_quoted(given)}" if given else f"# floor = {_quoted(example)}"


def _quoted(text: str) -> str:
    """A TOML basic string; its escapes are those of JSON."""
    return json.dumps(text, ensure_ascii=False)


def _lines(comment: Words) -> str:
    """The comment on lines of its own."""
    return textwrap.fill(
        comment(),
        _WIDEST,
        initial_indent="# ",
        subsequent_indent="# ",
        break_long_words=False,
        break_on_hyphens=False,
    )


def _behind(comment: Words) -> str:
    """The comment behind a key, which no line may end."""
    return f"# {' '.join(comment().split())}"
