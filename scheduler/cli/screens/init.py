"""`duskfold init`: a few questions, then a commented profile that `check` accepts."""

import sys
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import get_args

import typer

from scheduler.cli.compose import refuse
from scheduler.cli.faults import CANNOT_USE, complain
from scheduler.cli.terminal import is_terminal
from scheduler.profile.fields import Kind
from scheduler.profile.load import parse
from scheduler.profile.package_data import zone
from scheduler.profile.prepare import USUAL_UNITS, proposed_zone
from scheduler.profile.problem import Unreadable, nearest
from scheduler.profile.starter import Answers, guessed_region, starter_text
from scheduler.profile.units import Region, Units
from scheduler.profile.values import Ranging
from scheduler.service.exposure import with_topic
from scheduler.service.places import write_whole

Said = dict[str, str | None]


@dataclass(frozen=True, slots=True)
class _Question:
    """One answer: its option, how it is asked, how it is read."""

    option: str
    asked: str
    read: Callable[[str], str]


def write(path: Path, said: Said, *, today: date, force: bool) -> None:
    """Asks what is missing and writes the profile; an existing one only with `force` or a yes.

    `said` has what each option said, by the option's name; None where it said nothing.
    """
    asks = is_terminal(sys.stdin)
    if path.exists() and not force and not (asks and typer.confirm(f"Replace {path}?")):
        complain(f"duskfold: {path} is already there and was left alone. Replace it: --force")
        sys.exit(CANNOT_USE)
    if (said["mail"] or said["push"]) and not said["person"] and not asks:
        complain("duskfold init: --mail and --push belong to somebody; give --person.")
        sys.exit(CANNOT_USE)
    missing = [f"--{name}" for name in ("latitude", "longitude", "hens") if said[name] is None]
    if missing and not asks:
        complain(f"duskfold init: nobody to ask here, so give {', '.join(missing)}.")
        sys.exit(CANNOT_USE)
    text = starter_text(_answers(said, asks=asks))
    judged = parse(text.encode(), file="your answers", today=today)
    if isinstance(judged, tuple):
        refuse(judged)
    path.parent.mkdir(parents=True, exist_ok=True)
    write_whole(path, text.encode(), private=True)  # topics in it are as good as keys
    option = "" if path == Path("duskfold.toml") else f" --profile {path}"
    print(f"Wrote {path}. Tonight's times: duskfold{option} today")


def _answers(said: Said, *, asks: bool) -> Answers:
    def answer(question: _Question, default: str | None) -> str:
        given = said[question.option]
        if given is not None or not asks:
            return _read(question, given if given is not None else default or "")
        reply: str = typer.prompt(
            question.asked, default=default, value_proc=lambda text: _reread(question, text)
        )
        return reply

    def word(option: str, asked: str, words: tuple[str, ...], default: str) -> str:
        return answer(_Question(option, asked, lambda text: _one_of(text, words)), default)

    latitude = answer(_Question("latitude", "Latitude (south is negative)", _degrees(90)), None)
    longitude = answer(_Question("longitude", "Longitude (west is negative)", _degrees(180)), None)
    proposed = proposed_zone(float(latitude), float(longitude))
    zone_name = answer(_Question("timezone", "Time zone", _zone_name), proposed)
    region = word(
        "region",
        "Region, for words and gallons (US, UK, EU, AU, other)",
        get_args(Region),
        guessed_region(zone_name),
    )
    usual_units = USUAL_UNITS.get(region, "metric")
    units = word("units", "Units (metric, us, uk)", get_args(Units), usual_units)
    site_name = answer(_Question("name", "What do you call the place", str), "Home")
    coop_name = answer(_Question("coop", "What do you call the house", str), "Coop")
    asked_run = "Run: secure (roofed, meshed, dug in) or open"
    run_type = ""  # not known: nothing is said of it
    if asks or said["run"] is not None:
        run_type = word("run", asked_run, ("secure", "open"), "open")
    asked_ranging = "Ranging: run only, supervised (before dusk), all day"
    ranging = word("ranging", asked_ranging, get_args(Ranging), "supervised")
    hens = answer(_Question("hens", "How many hens", _count), "6")
    person = answer(_Question("person", "Who looks after them (empty: nobody yet)", str), "")
    mail = said["mail"] or ""
    if person and not mail and not said["push"]:
        mail = answer(_Question("mail", "Their mail address (empty: none)", str), "")
    return Answers(
        site_name=site_name,
        latitude_deg=float(latitude),
        longitude_deg=float(longitude),
        zone_name=zone_name,
        region=region,  # type: ignore[arg-type] # read as one of its words
        units=units,  # type: ignore[arg-type] # read as one of its words
        coop_name=coop_name,
        coop_type=_read(_Question("type", "", _among(("fixed", "ark"))), said["type"] or "fixed"),
        run_type=run_type,
        ranging=ranging,  # type: ignore[arg-type] # read as one of its words
        hens=int(hens),
        roosters=int(_read(_Question("roosters", "", _count), said["roosters"] or "0")),
        kind=_read(_Question("kind", "", _among(get_args(Kind))), said["kind"] or "medium"),
        person_name=person,
        mail=mail,
        push=with_topic(said["push"] or ""),
    )


def _read(question: _Question, text: str) -> str:
    try:
        return question.read(text)
    except Unreadable as unreadable:
        said = f'found "{text}"' if text else "found nothing"
        complain(
            f"duskfold init: --{question.option}: {said}; "
            f"accepted: {unreadable.accepted}. {unreadable.hint}".rstrip()
        )
        sys.exit(CANNOT_USE)


def _reread(question: _Question, text: str) -> str:
    """As `_read`, but at a prompt: it is asked again."""
    try:
        return question.read(text)
    except Unreadable as unreadable:
        raise typer.BadParameter(f"accepted: {unreadable.accepted}. {unreadable.hint}") from None


def _degrees(limit: float) -> Callable[[str], str]:
    def read(text: str) -> str:
        try:
            ok = abs(float(text)) <= limit
        except ValueError:
            ok = False
        if not ok:
            raise Unreadable(f"degrees from -{limit:g} to {limit:g}, such as 51.5")
        return text

    return read


def _count(text: str) -> str:
    if not text.strip().isdecimal() or int(text) > 5000:  # noqa: PLR2004 - as a profile
        raise Unreadable("a whole number from 0 to 5000")
    return text.strip()


def _zone_name(text: str) -> str:
    if not text:
        raise Unreadable('a time zone such as "Europe/Paris"', "None is known here (open sea?).")
    zone(text)
    return text


def _among(words: tuple[str, ...]) -> Callable[[str], str]:
    return lambda text: _one_of(text, words)


def _one_of(text: str, words: tuple[str, ...]) -> str:
    by_fold = {word.casefold(): word for word in words}
    if found := by_fold.get(" ".join(text.split()).casefold()):
        return found
    raise Unreadable(", ".join(words), nearest(text, words))
