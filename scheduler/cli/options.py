"""The options that several commands share, and the session that a command line begins."""

import os
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer
from typer.models import ArgumentInfo, OptionInfo

from scheduler.cli import completion
from scheduler.wording.cli.help import Metavar
from scheduler.wording.cli.options import SharedOption
from scheduler.wording.cli.refusals import Refusals
from scheduler.wording.words import Words

if TYPE_CHECKING:
    from scheduler.cli.compose import Session


def place(text: str) -> Path:
    """The file or folder that is named; refuses an empty name."""
    if not text.strip():
        raise typer.BadParameter(Refusals.no_place())
    return Path(text)


Offers = Callable[[Any, str], list[str]]  # of the context and what is typed so far


def argument(metavar: Words, about: Words, offers: Offers | None = None) -> ArgumentInfo:
    """The word or words of a command, with what the shell offers for them."""
    words: ArgumentInfo = typer.Argument(metavar=metavar(), help=about(), autocompletion=offers)
    return words


def text(metavar: Words, about: Words, *names: str, offers: Offers | None = None) -> OptionInfo:
    """The option of a word; without `names` it is called as its parameter is."""
    option: OptionInfo = typer.Option(
        *names, metavar=metavar(), help=about(), autocompletion=offers
    )
    return option


def person(name: str, about: Words) -> OptionInfo:
    """The option of somebody of the profile, whose ids the shell offers."""
    return text(Metavar.name, about, name, offers=completion.people)


def flag(name: str, about: Words) -> OptionInfo:
    """The option that is said or not."""
    option: OptionInfo = typer.Option(name, help=about())
    return option


ProfileOption = Annotated[
    Path | None,
    typer.Option(
        "--profile",
        "-p",
        metavar=Metavar.file(),
        parser=place,
        help=SharedOption.profile(),
    ),
]
DataOption = Annotated[
    Path | None,
    typer.Option("--data", metavar=Metavar.dir(), parser=place, help=SharedOption.data()),
]
JournalOption = Annotated[
    str | None,
    text(
        Metavar.address,
        SharedOption.journal,
        "--journal",
    ),
]
DateOption = Annotated[str | None, text(Metavar.date, SharedOption.date, "--date")]
FromOption = Annotated[str | None, text(Metavar.date, SharedOption.first, "--from")]
ToOption = Annotated[str | None, text(Metavar.date, SharedOption.last, "--to")]
JsonOption = Annotated[bool, flag("--json", SharedOption.json)]
CoopOption = Annotated[
    str | None, text(Metavar.id, SharedOption.coop, "--coop", offers=completion.coops)
]
ByOption = Annotated[str | None, person("--by", SharedOption.by)]
FirstDayOption = Annotated[str | None, text(Metavar.day, SharedOption.first_of_report, "--from")]
YesOption = Annotated[bool, flag("--yes", SharedOption.for_good)]
OddOption = Annotated[bool, flag("--yes", SharedOption.odd)]
CountOption = Annotated[str | None, text(Metavar.n, SharedOption.count, "--count")]
EveningOption = Annotated[str | None, text(Metavar.date, SharedOption.evening, "--evening")]


def session_of(context: typer.Context, profile: Path | None, data: Path | None) -> "Session":
    """The session of this command, whose own options win over those before its name."""
    from scheduler.cli.compose import Session  # noqa: PLC0415 - --help does without
    from scheduler.machine import clock  # noqa: PLC0415 - as above

    general_profile, general_data, journal = context.obj
    folder = data or general_data
    # Whoever looks for a secret in the data folder looks in the one that was named here.
    named = {"DUSKFOLD_DATA": str(folder)} if folder else {}
    return Session(
        now=clock.now(),
        profile_option=profile or general_profile,
        data_option=folder,
        journal_option=journal,
        environment={**os.environ, **named},
    )
