"""The options that several commands share, and the session that a command line begins."""

import os
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer
from typer.models import ArgumentInfo, OptionInfo

from scheduler.cli import completion

if TYPE_CHECKING:
    from scheduler.cli.compose import Session


def place(text: str) -> Path:
    """The file or folder that is named; refuses an empty name."""
    if not text.strip():
        raise typer.BadParameter("found nothing; accepted: the name of a file or folder")
    return Path(text)


Offers = Callable[[Any, str], list[str]]  # of the context and what is typed so far


def argument(metavar: str, about: str, offers: Offers | None = None) -> ArgumentInfo:
    """The word or words of a command, with what the shell offers for them."""
    words: ArgumentInfo = typer.Argument(metavar=metavar, help=about, autocompletion=offers)
    return words


def text(metavar: str, about: str, *names: str, offers: Offers | None = None) -> OptionInfo:
    """The option of a word; without `names` it is called as its parameter is."""
    option: OptionInfo = typer.Option(*names, metavar=metavar, help=about, autocompletion=offers)
    return option


def person(name: str, about: str) -> OptionInfo:
    """The option of somebody of the profile, whose ids the shell offers."""
    return text("NAME", about, name, offers=completion.people)


def flag(name: str, about: str) -> OptionInfo:
    """The option that is said or not."""
    option: OptionInfo = typer.Option(name, help=about)
    return option


ProfileOption = Annotated[
    Path | None,
    typer.Option(
        "--profile",
        "-p",
        metavar="FILE",
        parser=place,
        help="The profile to use. [env: DUSKFOLD_PROFILE]",
    ),
]
DataOption = Annotated[
    Path | None,
    typer.Option(
        "--data", metavar="DIR", parser=place, help="The data folder. [env: DUSKFOLD_DATA]"
    ),
]
JournalOption = Annotated[
    str | None,
    text(
        "ADDRESS",
        "A database for several hosts, postgresql://… [env: DUSKFOLD_JOURNAL]",
        "--journal",
    ),
]
DateOption = Annotated[str | None, text("DATE", "Another day, YYYY-MM-DD.", "--date")]
FromOption = Annotated[str | None, text("DATE", "The first day, YYYY-MM-DD.", "--from")]
ToOption = Annotated[str | None, text("DATE", "The last day, YYYY-MM-DD.", "--to")]
JsonOption = Annotated[bool, flag("--json", "Print JSON for programs, with times in UTC.")]
CoopOption = Annotated[
    str | None, text("ID", "Only this coop, by id or name.", "--coop", offers=completion.coops)
]
ByOption = Annotated[str | None, person("--by", "Who says it.")]
FirstDayOption = Annotated[
    str | None, text("DAY", "The first day: a date, sat or today.", "--from")
]
YesOption = Annotated[bool, flag("--yes", "I mean it, though it cannot be taken back.")]
OddOption = Annotated[bool, flag("--yes", "I mean it, though it looks odd.")]
CountOption = Annotated[str | None, text("N", "How many birds.", "--count")]
EveningOption = Annotated[str | None, text("DATE", "Another evening, YYYY-MM-DD.", "--evening")]


def session_of(context: typer.Context, profile: Path | None, data: Path | None) -> "Session":
    """The session of this command, whose own options win over those before its name."""
    from scheduler.cli.compose import Session  # noqa: PLC0415 - --help does without
    from scheduler.machine import clock  # noqa: PLC0415 - as above

    general_profile, general_data, journal = context.obj
    return Session(
        now=clock.now(),
        profile_option=profile or general_profile,
        data_option=data or general_data,
        journal_option=journal,
        environment=os.environ,
    )
