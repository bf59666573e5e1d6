"""The starter profile: a few answers turned into a commented file."""

import json
from dataclasses import dataclass

from scheduler.profile.prepare import slug
from scheduler.profile.units import Region, Units
from scheduler.profile.values import Ranging


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers:
    """What `init` asks, or takes from its options."""

    site_name: str
    latitude_deg: float
    longitude_deg: float
    zone_name: str
    region: Region
    units: Units
    coop_name: str
    coop_type: str
    run_type: str
    ranging: Ranging
    hens: int
    roosters: int
    kind: str
    person_name: str
    mail: str
    push: str


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
    floor = '"4 ft x 8 ft"' if feet else '"1.2 m x 2.4 m"'
    low, high = ('"20 °F"', '"85 °F"') if feet else ('"-3 °C"', '"24 °C"')
    depth, capacity = ('"4 in"', '"2 gal"') if feet else ('"10 cm"', '"8 L"')
    if answers.units == "us" and answers.region != "US":
        capacity = '"2 US gal"'
    person = _person(answers)
    return f"""\
# Your place, your house, your birds. `duskfold check` tells what cannot be used.
# Lines that start with # are not in force: take the mark away and fill in your own.

units = {_quoted(answers.units)}  # metric, us or uk

[site]
name = {_quoted(answers.site_name)}
id = {_quoted(_site_id(answers))}  # for calendars: leave it when you rename
latitude = {answers.latitude_deg:.4f}   # north is positive
longitude = {answers.longitude_deg:.4f}  # east is positive
timezone = {_quoted(answers.zone_name)}
region = {_quoted(answers.region)}  # US, UK, EU, AU or other: your words, your gallons
# west_horizon = 5  # height in degrees of the hill the sun sets behind

# Averages of your place. Without them they are estimated from latitude.
# [climate]
# coldest_month_low = {low}
# warmest_month_high = {high}

# When to lock up: by default when the sun is 4° below the horizon, at most 40 minutes after
# sunset, never past 22:30.
# [lockup]
# cap = "22:00"

# [rounds]
# weekly_day = "saturday"

[[coop]]
name = {_quoted(answers.coop_name)}
id = {_quoted(slug(answers.coop_name) or "coop-1")}
type = {_quoted(answers.coop_type)}  # fixed, or ark (moved over the grass)
door = "manual"  # manual or automatic
ranging = {_quoted(answers.ranging)}  # run only, supervised (before dusk), all day
# floor = {floor}

{_run(answers)}# floor = {floor}

# [coop.bedding]
# depth = {depth}

# [[coop.drinker]]
# type = "bell"
# capacity = {capacity}

[[flock]]
name = "Hens"
id = "hens"
hens = {answers.hens}
roosters = {answers.roosters}
kind = {_quoted(answers.kind)}  # bantam, light, medium or heavy
# hatched = 2026-04-01

{person}
# Jobs can be changed or switched off, and you can add your own.
# [cares.litter-stirring]
# every = "5 days"
# [[care]]
# name = "Oil the hinges"
# every = "90 days"
"""


def _run(answers: Answers) -> str:
    """The run's table where something is known of it, else as a comment."""
    about = "# secure: roofed, meshed, dug in; open: anything less"
    if not answers.run_type:
        return f'# [coop.run]\n# type = "secure"  {about}\n'
    return f"[coop.run]\ntype = {_quoted(answers.run_type)}  {about}\n"


def _site_id(answers: Answers) -> str:
    """The name with its place: two gardens called Home must not share a calendar's numbers."""
    north = f"{abs(answers.latitude_deg):.0f}{'n' if answers.latitude_deg >= 0 else 's'}"
    east = f"{abs(answers.longitude_deg):.0f}{'e' if answers.longitude_deg >= 0 else 'w'}"
    return f"{slug(answers.site_name)[:30].strip('-') or 'site'}-{north}{east}"


def _person(answers: Answers) -> str:
    if not answers.person_name:
        return '# [[person]]\n# name = "Sam"\n# mail = "sam@example.org"\n'
    lines = [
        "[[person]]",
        f"name = {_quoted(answers.person_name)}",
        f"id = {_quoted(slug(answers.person_name) or 'person-1')}",
    ]
    if answers.mail:
        lines.append(f"mail = {_quoted(answers.mail)}")
    if answers.push:
        lines.append(f"push = {_quoted(answers.push)}")
    return "\n".join(lines) + "\n"


def _quoted(text: str) -> str:
    """A TOML basic string; its escapes are those of JSON."""
    return json.dumps(text, ensure_ascii=False)
