"""The starter profile: a few answers turned into a commented file."""

import json
import textwrap
from collections.abc import Iterable
from dataclasses import dataclass, field

from scheduler.profile.coop import Ranging
from scheduler.profile.forecast import SourceName, usual_source
from scheduler.profile.prepare import id_of
from scheduler.profile.units import Region, Units
from scheduler.profile.usual_duty import WEEKDAYS
from scheduler.wording.profile.coop_keys import CoopKeys
from scheduler.wording.profile.flock_keys import FlockKeys
from scheduler.wording.profile.starter_words import StarterComments, StarterNames
from scheduler.wording.words import Words

_WIDEST = 96


@dataclass(frozen=True, slots=True, kw_only=True)
class House:
    """A house and its birds; `arrived` is a date."""

    coop_name: str = field(default_factory=StarterNames.coop)
    coop_type: str = "fixed"
    run_type: str = ""
    ranging: Ranging = "supervised"
    hens: int = 6
    roosters: int = 0
    kind: str = "medium"
    door: str = "manual"
    floor: str = ""
    run_floor: str = ""
    getting_there_minutes: int = 0
    arrived: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Helper:
    """A further person, and how they are reached."""

    person_name: str
    mail: str = ""
    push: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sender:
    """The server that sends our mail."""

    host: str
    sender: str
    user: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers(House):
    """What `init` or the first pages ask; until then, what is usual.

    The first house and person stand in it by themselves; `further_houses` and `further_people` come
    after them. `duty` has the name of who usually locks up by weekday, from Monday on.
    """

    site_name: str = field(default_factory=StarterNames.site)
    latitude_deg: float = 0.0
    longitude_deg: float = 0.0
    zone_name: str = "Etc/GMT"
    region: Region = "other"
    units: Units = "metric"
    elevation: str = ""
    person_name: str = ""
    mail: str = ""
    push: str = ""
    coldest_month_low: str = ""
    warmest_month_high: str = ""
    sources: tuple[SourceName, ...] | None = None  # None: not asked
    further_houses: tuple[House, ...] = ()
    further_people: tuple[Helper, ...] = ()
    duty: tuple[str, ...] = ()
    sender: Sender | None = None
    base_url: str = ""
    listen: str = ""
    trusted_proxies: tuple[str, ...] = ()


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
    return f"""\
{_lines(StarterComments.what)}
{_lines(StarterComments.switched_off)}

units = {quoted(answers.units)}  {_behind(StarterComments.units)}

[site]
name = {quoted(answers.site_name)}
id = {quoted(_site_id(answers))}  {_behind(StarterComments.id)}
latitude = {answers.latitude_deg:.4f}   {_behind(StarterComments.north)}
longitude = {answers.longitude_deg:.4f}  {_behind(StarterComments.east)}
timezone = {quoted(answers.zone_name)}
region = {quoted(answers.region)}  {_behind(StarterComments.region)}
{_elevation(answers)}
# west_horizon = 5  {_behind(StarterComments.hill)}

{_climate(answers)}
{_forecast(answers)}
{_lines(StarterComments.lockup)}
# [lockup]
# cap = "22:00"

# [rounds]
# weekly_day = "saturday"

{_houses(answers)}
{_people(answers)}
{_lines(StarterComments.jobs)}
# [cares.litter-stirring]
# every = "5 days"
# [[care]]
# name = {quoted(StarterNames.own_job())}
# every = "90 days"
"""


def _houses(answers: Answers) -> str:
    """Every house with its run, then the birds of each."""
    houses = (answers, *answers.further_houses)
    is_one = len(houses) == 1
    parts = [_house(house, answers) for house in houses]
    return "\n".join([*parts, *(_flock(house, is_one=is_one) for house in houses)])


def _house(house: House, answers: Answers) -> str:
    feet = answers.units == "us"
    size = "4 ft x 8 ft" if feet else "1.2 m x 2.4 m"
    depth, capacity = ('"4 in"', '"2 gal"') if feet else ('"10 cm"', '"8 L"')
    if feet and answers.region != "US":
        capacity = '"2 US gal"'
    return f"""\
[[coop]]
name = {quoted(house.coop_name)}
id = {quoted(id_of("coop", house.coop_name))}
type = {quoted(house.coop_type)}  {_behind(StarterComments.coop_type)}
door = {quoted(house.door)}  {_behind(CoopKeys.door)}
ranging = {quoted(house.ranging)}  {_behind(StarterComments.ranging)}
{_getting_there(house)}{_size(house.floor, size)}

{_run(house, size)}

# [coop.bedding]
# depth = {depth}

# [[coop.drinker]]
# type = "bell"
# capacity = {capacity}
"""


def _getting_there(house: House) -> str:
    if not house.getting_there_minutes:
        return ""
    about = _behind(StarterComments.getting_there)
    return f"getting_there = {house.getting_there_minutes}  {about}\n"


def _flock(house: House, *, is_one: bool) -> str:
    """The house's birds; with several houses they are called as their house is."""
    named = StarterNames.flock() if is_one else house.coop_name
    written = "hens" if is_one else f"{id_of('flock', house.coop_name)[:34].strip('-')}-birds"
    lives_in = "" if is_one else f"coop = {quoted(id_of('coop', house.coop_name))}\n"
    arrived = f"arrived = {house.arrived}\n" if house.arrived else ""
    return f"""\
[[flock]]
name = {quoted(named)}
id = {quoted(written)}
{lives_in}hens = {house.hens}
roosters = {house.roosters}
kind = {quoted(house.kind)}  {_behind(FlockKeys.kind)}
{arrived}# hatched = 2026-04-01
"""


def _elevation(answers: Answers) -> str:
    example = quoted("1000 ft" if answers.units == "us" else "320 m")
    given = quoted(answers.elevation)
    line = f"elevation = {given}" if answers.elevation else f"# elevation = {example}"
    return f"{line}  {_behind(StarterComments.elevation)}"


def _run(house: House, example: str) -> str:
    """The run's table where something is known of it, else as a comment.

    A size without a kind would stand in no table: then the run is what most are, open.
    """
    about = _behind(StarterComments.run_type)
    if not house.run_type:
        return f'# [coop.run]\n# type = "secure"  {about}\n{_size("", example)}'
    size = _size(house.run_floor, example)
    return f"[coop.run]\ntype = {quoted(house.run_type)}  {about}\n{size}"


def _site_id(answers: Answers) -> str:
    """The name with its place: two gardens called Home must not share a calendar's numbers."""
    north = f"{abs(answers.latitude_deg):.0f}{'n' if answers.latitude_deg >= 0 else 's'}"
    east = f"{abs(answers.longitude_deg):.0f}{'e' if answers.longitude_deg >= 0 else 'w'}"
    return f"{id_of('site', answers.site_name)[:30].strip('-')}-{north}{east}"


def _people(answers: Answers) -> str:
    """Every person; the server for mail, who locks up, and where the pages are reached."""
    if not answers.person_name:
        parts = ['# [[person]]\n# name = "Sam"\n# mail = "sam@example.org"\n']
    else:
        people: tuple[Answers | Helper, ...] = (answers, *answers.further_people)
        parts = [_person(one) for one in people]
        if any(one.mail for one in people):
            parts.append(_mail_server(answers.sender))
    return "\n".join([*parts, *_duty(answers.duty), *_web(answers)])


def _person(one: Answers | Helper) -> str:
    lines = [
        "[[person]]",
        f"name = {quoted(one.person_name)}",
        f"id = {quoted(id_of('person', one.person_name))}",
    ]
    if one.mail:
        lines.append(f"mail = {quoted(one.mail)}")
    if one.push:
        lines.append(f"push = {quoted(one.push)}")
    return "\n".join(lines) + "\n"


def _mail_server(sender: Sender | None) -> str:
    about = _lines(StarterComments.mail)
    if sender is None:
        return "\n".join([about, *_MAIL]) + "\n"
    user = f"user = {quoted(sender.user)}\n" if sender.user else ""
    host, address = quoted(sender.host), quoted(sender.sender)
    return f"{about}\n[mail]\nhost = {host}\n{user}from = {address}\n"


def _duty(names: tuple[str, ...]) -> Iterable[str]:
    """Who usually locks up, where that is not the same person every day."""
    if not any(names):
        return
    lines = [f"{day} = {quoted(name)}" for day, name in zip(WEEKDAYS, names, strict=True) if name]
    yield "\n".join([_lines(StarterComments.duty), "[duty]", *lines]) + "\n"


def _web(answers: Answers) -> Iterable[str]:
    lines = [f"base_url = {quoted(answers.base_url)}"] if answers.base_url else []
    lines += [f"listen = {quoted(answers.listen)}"] if answers.listen else []
    if answers.trusted_proxies:
        lines.append(f"trusted_proxies = [{', '.join(map(quoted, answers.trusted_proxies))}]")
    if lines:
        yield "\n".join(["[web]", *lines]) + "\n"


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
            f"coldest_month_low = {quoted(answers.coldest_month_low)}\n"
            f"warmest_month_high = {quoted(answers.warmest_month_high)}\n"
        )
    low, high = ("20 °F", "85 °F") if answers.units == "us" else ("-3 °C", "24 °C")
    return (
        f"{_lines(StarterComments.climate_estimated)}\n# [climate]\n"
        f"# coldest_month_low = {quoted(low)}\n# warmest_month_high = {quoted(high)}\n"
    )


def _forecast(answers: Answers) -> str:
    """The answer; where nobody was asked, how one would be written."""
    usual = usual_source(answers.region, answers.latitude_deg, answers.longitude_deg)
    if answers.sources is None:
        example = f"# [forecast]\n# sources = [{quoted(usual)}]\n"
        return f"{_lines(StarterComments.forecast)}\n{example}"
    if not answers.sources:
        refused = _lines(StarterComments.forecast_refused)
        return f"{refused}\n[forecast]\nsources = []  # [{quoted(usual)}]\n"
    named = ", ".join(map(quoted, answers.sources))
    return (
        f"{_lines(StarterComments.forecast)}\n[forecast]\nsources = [{named}]\n"
        f"# rounding = 0.1  {_behind(StarterComments.rounding)}\n"
        f'# contact = "sam@example.org"  {_behind(StarterComments.contact)}\n'
    )


def _size(given: str, example: str) -> str:
    return f"floor = {quoted(given)}" if given else f"# floor = {quoted(example)}"


def quoted(text: str) -> str:
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
