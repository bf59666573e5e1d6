"""`duskfold init`: a few questions, then a commented profile that `check` accepts."""

import sys
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TypeVar, get_args

import typer

from scheduler.cli.compose import refuse
from scheduler.cli.faults import CANNOT_USE, complain
from scheduler.profile.fields import Kind
from scheduler.profile.load import parse
from scheduler.profile.prepare import proposed_zone
from scheduler.profile.problem import nearest
from scheduler.profile.starter import Answers, guessed_region, starter_text
from scheduler.profile.units import Region, Units
from scheduler.profile.values import Ranging
from scheduler.service.places import write_whole

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """What the options said; None where they said nothing."""

    name: str | None
    latitude: float | None
    longitude: float | None
    timezone: str | None
    region: str | None
    units: str | None
    coop: str | None
    house: str | None
    run: str | None
    ranging: str | None
    hens: int | None
    roosters: int
    kind: str
    person: str | None
    mail: str
    push: str


def write(path: Path, given: Given, *, today: date, force: bool) -> None:
    """Asks what is missing and writes the profile; an existing one only with `force` or a yes."""
    asks = sys.stdin.isatty()
    if path.exists() and not force and not (asks and typer.confirm(f"Replace {path}?")):
        complain(f"duskfold: {path} is already there and was left alone. Replace it: --force")
        sys.exit(CANNOT_USE)
    if not asks:
        _refuse_gaps(given)
    text = starter_text(_answers(given, asks=asks))
    judged = parse(text.encode(), file="your answers", today=today)
    if isinstance(judged, tuple):
        refuse(judged)
    path.parent.mkdir(parents=True, exist_ok=True)
    write_whole(path, text.encode())
    option = "" if path == Path("duskfold.toml") else f" --profile {path}"
    print(f"Wrote {path}. Tonight's times: duskfold{option} today")


def _refuse_gaps(given: Given) -> None:
    missing = [
        f"--{name}" for name in ("latitude", "longitude", "hens") if getattr(given, name) is None
    ]
    if missing:
        complain(f"duskfold init: nobody to ask here, so give {', '.join(missing)}.")
        sys.exit(CANNOT_USE)


def _answers(given: Given, *, asks: bool) -> Answers:
    def ask(question: str, value: T | None, default: T, accept: Callable[[str], T]) -> T:
        if value is not None:
            return value
        if not asks:
            return default
        answer: T = typer.prompt(question, default=default, value_proc=accept)
        return answer

    latitude = _number(given.latitude, "Latitude in degrees (south is negative)", 90)
    longitude = _number(given.longitude, "Longitude in degrees (west is negative)", 180)
    zone_name = given.timezone or _zone_name(latitude, longitude, asks=asks)
    region = _word(
        "region",
        ask(
            "Region, for words and gallons (US, UK, EU, AU, other)",
            given.region,
            guessed_region(zone_name),
            str,
        ),
        get_args(Region),
    )
    usual_units = {"US": "us", "UK": "uk"}.get(region, "metric")
    units = _word(
        "units", ask("Units (metric, us, uk)", given.units, usual_units, str), get_args(Units)
    )
    return Answers(
        site_name=ask("What do you call the place", given.name, "Home", str),
        latitude_deg=latitude,
        longitude_deg=longitude,
        zone_name=zone_name,
        region=region,  # type: ignore[arg-type] # _word gives one of the words
        units=units,  # type: ignore[arg-type] # _word gives one of the words
        coop_name=ask("What do you call the house", given.coop, "Coop", str),
        coop_type=_word("type", given.house or "fixed", ("fixed", "ark")),
        run_type=_word(
            "run",
            ask("Run: secure (roofed, meshed, dug in) or open", given.run, "open", str),
            ("secure", "open"),
        ),
        ranging=_word(  # type: ignore[arg-type] # _word gives one of the words
            "ranging",
            ask(
                "Ranging: run only, supervised (before dusk), all day",
                given.ranging,
                "supervised",
                str,
            ),
            get_args(Ranging),
        ),
        hens=ask("How many hens", given.hens, 6, int),
        roosters=given.roosters,
        kind=_word("kind", given.kind, get_args(Kind)),
        person_name=ask("Who looks after them (empty: nobody yet)", given.person, "", str),
        mail=given.mail,
        push=given.push,
    )


def _zone_name(latitude: float, longitude: float, *, asks: bool) -> str:
    proposed = proposed_zone(latitude, longitude)
    if asks:
        answer: str = typer.prompt("Time zone", default=proposed)
        return answer
    if not proposed:
        complain(
            "duskfold init: no time zone is known for this place (open sea?); give --timezone."
        )
        sys.exit(CANNOT_USE)
    return proposed


def _number(value: float | None, question: str, limit: float) -> float:
    def accept(text: str) -> float:
        number = float(text)
        if not abs(number) <= limit:
            raise typer.BadParameter(f"accepted: -{limit:g} to {limit:g}")
        return number

    if value is None:
        answer: float = typer.prompt(question, value_proc=accept)
        return answer
    if not abs(value) <= limit:
        name = question.split(maxsplit=1)[0].lower()
        complain(f"duskfold init: --{name}: found {value:g}; accepted: -{limit:g} to {limit:g}.")
        sys.exit(CANNOT_USE)
    return value


def _word(option: str, said: str, words: tuple[str, ...]) -> str:
    by_fold = {word.casefold(): word for word in words}
    if said.strip().casefold() in by_fold:
        return by_fold[said.strip().casefold()]
    accepted = ", ".join(words)
    hint = nearest(said, words)
    complain(f'duskfold init: --{option}: found "{said}"; accepted: {accepted}. {hint}')
    sys.exit(CANNOT_USE)
