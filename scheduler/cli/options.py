"""The options that several commands share, and the session that a command line begins."""

import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli import completion

if TYPE_CHECKING:
    from scheduler.cli.compose import Session


def place(text: str) -> Path:
    """The file or folder that is named; refuses an empty name."""
    if not text.strip():
        raise typer.BadParameter("found nothing; accepted: the name of a file or folder")
    return Path(text)


ProfileOption = Annotated[
    Path | None,
    typer.Option(
        "--profile",
        "-p",
        metavar="FILE",
        parser=place,
        help="The profile. [env: DUSKFOLD_PROFILE]",
    ),
]
DataOption = Annotated[
    Path | None,
    typer.Option(
        "--data", metavar="DIR", parser=place, help="The data folder. [env: DUSKFOLD_DATA]"
    ),
]
DateOption = Annotated[
    str | None,
    typer.Option("--date", metavar="DATE", help="Another day, YYYY-MM-DD."),
]
FromOption = Annotated[
    str | None,
    typer.Option("--from", metavar="DATE", help="First day, YYYY-MM-DD."),
]
ToOption = Annotated[
    str | None,
    typer.Option("--to", metavar="DATE", help="Last day, YYYY-MM-DD."),
]
JsonOption = Annotated[bool, typer.Option("--json", help="For programs: JSON, times in UTC.")]
CoopOption = Annotated[
    str | None,
    typer.Option(
        "--coop",
        metavar="ID",
        help="Only this coop, by id or name.",
        autocompletion=completion.coops,
    ),
]
ByOption = Annotated[
    str | None,
    typer.Option("--by", metavar="NAME", help="Who says it.", autocompletion=completion.people),
]
FirstDayOption = Annotated[
    str | None, typer.Option("--from", metavar="DAY", help="First day: date, sat, today.")
]
YesOption = Annotated[bool, typer.Option("--yes", help="What cannot be taken back: I mean it.")]
OddOption = Annotated[bool, typer.Option("--yes", help="An odd report: I mean it.")]
CountOption = Annotated[str | None, typer.Option("--count", metavar="N", help="How many birds.")]
EveningOption = Annotated[
    str | None,
    typer.Option("--evening", metavar="DATE", help="Another evening, YYYY-MM-DD."),
]


def session_of(context: typer.Context, profile: Path | None, data: Path | None) -> "Session":
    """The session of this command, whose own options win over those before its name."""
    from scheduler.cli.compose import Session  # noqa: PLC0415 - --help does without
    from scheduler.machine import clock  # noqa: PLC0415 - as above

    general_profile, general_data = context.obj
    return Session(
        now=clock.now(),
        profile_option=profile or general_profile,
        data_option=data or general_data,
        environment=os.environ,
    )
