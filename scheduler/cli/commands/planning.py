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


def today(
    context: typer.Context,
    profile: ProfileOption = None,
    day: DateOption = None,
    json: JsonOption = False,
) -> None:
    """Show today's times and jobs."""
    from scheduler.cli.screens import today as screen  # noqa: PLC0415 - only today needs it

    screen.show(session_of(context, profile, None), day, json=json)


def week(
    context: typer.Context,
    profile: ProfileOption = None,
    day: DateOption = None,
    json: JsonOption = False,
) -> None:
    """Show seven days from today."""
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
    """Show the sun, let-out, free-range time and lock-up for each day from --from to --to."""
    from scheduler.cli.screens import light as screen  # noqa: PLC0415 - only light needs it

    session = session_of(context, profile, None)
    screen.show(session, first, last, day, coop, json=json)


def year(
    context: typer.Context,
    profile: ProfileOption = None,
    day: DateOption = None,
    json: JsonOption = False,
) -> None:
    """Show twelve months on one screen."""
    from scheduler.cli.screens import year as screen  # noqa: PLC0415 - only year needs it

    screen.show(session_of(context, profile, None), day, json=json)


def why(
    context: typer.Context,
    job: Annotated[
        list[str], argument("JOB", "lock-up, let-out, range or a job.", completion.jobs)
    ],
    profile: ProfileOption = None,
    day: DateOption = None,
    json: JsonOption = False,
) -> None:
    """Explain what makes a job due, with its figures, rule and source."""
    from scheduler.cli.screens import why as screen  # noqa: PLC0415 - only why needs it

    screen.show(session_of(context, profile, None), " ".join(job), day, json=json)


def figures(
    context: typer.Context,
    profile: ProfileOption = None,
    day: DateOption = None,
    month: Annotated[
        str | None, text("M", "The middle of this month, 1 to 12, instead of today.", "--month")
    ] = None,
    json: JsonOption = False,
) -> None:
    """Work out heat, air, water, feed, bedding and light for each coop."""
    from scheduler.cli.screens import figures as screen  # noqa: PLC0415 - only figures needs it

    screen.show(session_of(context, profile, None), day, month, json=json)


def feed(
    context: typer.Context,
    out: Annotated[
        Path,
        typer.Option(
            "--out", metavar="DIR", parser=place, help="The folder to write the calendars to."
        ),
    ],
    profile: ProfileOption = None,
    data: DataOption = None,
    first: FromOption = None,
    days: Annotated[
        str | None, text("N", "How many days ahead, instead of as many as usual.", "--days")
    ] = None,
    alarms: Annotated[
        bool, flag("--alarms", "Let the lock-ups ring as early as your first reminder.")
    ] = False,
    json: JsonOption = False,
) -> None:
    """Write the calendar files: evenings, jobs, seasons, and all in one."""
    from scheduler.cli.screens import feed as screen  # noqa: PLC0415 - only feed needs it

    session = session_of(context, profile, data)
    screen.write(session, out, since=first, ahead=days, alarms=alarms, json=json)
