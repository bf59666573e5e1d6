"""What is to be done and when, day by day, in figures, and as calendars."""

from pathlib import Path
from typing import Annotated

import typer

from scheduler.cli import completion
from scheduler.cli.options import (
    CoopOption,
    DataOption,
    DateOption,
    FromOption,
    JsonOption,
    ProfileOption,
    ToOption,
    argument,
    flag,
    place,
    session_of,
    text,
)
from scheduler.wording.cli.help import Metavar
from scheduler.wording.cli.options import PlanOption


def today(
    context: typer.Context,
    profile: ProfileOption = None,
    day: DateOption = None,
    json: JsonOption = False,
) -> None:
    from scheduler.cli.screens import today as screen  # noqa: PLC0415 - only today needs it

    screen.show(session_of(context, profile, None), day, json=json)


def week(
    context: typer.Context,
    profile: ProfileOption = None,
    day: DateOption = None,
    json: JsonOption = False,
) -> None:
    from scheduler.cli.screens import week as screen  # noqa: PLC0415 - only week needs it

    screen.show(session_of(context, profile, None), day, json=json)


def light(
    context: typer.Context,
    profile: ProfileOption = None,
    first: FromOption = None,
    last: ToOption = None,
    coop: CoopOption = None,
    day: DateOption = None,
    json: JsonOption = False,
) -> None:
    from scheduler.cli.screens import light as screen  # noqa: PLC0415 - only light needs it

    session = session_of(context, profile, None)
    screen.show(session, first, last, day, coop, json=json)


def year(
    context: typer.Context,
    profile: ProfileOption = None,
    day: DateOption = None,
    json: JsonOption = False,
) -> None:
    from scheduler.cli.screens import year as screen  # noqa: PLC0415 - only year needs it

    screen.show(session_of(context, profile, None), day, json=json)


def why(
    context: typer.Context,
    job: Annotated[list[str], argument(Metavar.job, PlanOption.job, completion.jobs)],
    profile: ProfileOption = None,
    day: DateOption = None,
    json: JsonOption = False,
) -> None:
    from scheduler.cli.screens import why as screen  # noqa: PLC0415 - only why needs it

    screen.show(session_of(context, profile, None), " ".join(job), day, json=json)


def figures(
    context: typer.Context,
    profile: ProfileOption = None,
    day: DateOption = None,
    month: Annotated[str | None, text(Metavar.m, PlanOption.month, "--month")] = None,
    json: JsonOption = False,
) -> None:
    from scheduler.cli.screens import figures as screen  # noqa: PLC0415 - only figures needs it

    screen.show(session_of(context, profile, None), day, month, json=json)


def feed(
    context: typer.Context,
    out: Annotated[
        Path,
        typer.Option("--out", metavar=Metavar.dir(), parser=place, help=PlanOption.out()),
    ],
    profile: ProfileOption = None,
    data: DataOption = None,
    first: FromOption = None,
    days: Annotated[str | None, text(Metavar.n, PlanOption.days, "--days")] = None,
    alarms: Annotated[bool, flag("--alarms", PlanOption.alarms)] = False,
    json: JsonOption = False,
) -> None:
    from scheduler.cli.screens import feed as screen  # noqa: PLC0415 - only feed needs it

    session = session_of(context, profile, data)
    screen.write(session, out, since=first, ahead=days, alarms=alarms, json=json)
