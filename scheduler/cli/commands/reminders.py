"""Run the reminders and the pages, and ask how they fare."""

from typing import Annotated

import typer

from scheduler.cli.options import DataOption, JsonOption, ProfileOption, YesOption, session_of


def watch(context: typer.Context, profile: ProfileOption = None, data: DataOption = None) -> None:
    """Run the reminders until stopped."""
    raise typer.Exit(session_of(context, profile, data).watch())


def serve(context: typer.Context, profile: ProfileOption = None, data: DataOption = None) -> None:
    """Run the reminders and the pages until stopped."""
    from scheduler.cli.screens.links import greet  # noqa: PLC0415 - only serve needs it

    raise typer.Exit(session_of(context, profile, data).serve(greet))


def web(
    context: typer.Context,
    profile: ProfileOption = None,
    data: DataOption = None,
    until_stdin_ends: Annotated[
        bool, typer.Option("--until-stdin-ends", help="Stop when standard input ends.")
    ] = False,
) -> None:
    """Run the pages alone, beside a `watch` of its own."""
    session = session_of(context, profile, data)
    raise typer.Exit(session.web(until_stdin_ends=until_stdin_ends))


def health(
    context: typer.Context,
    profile: ProfileOption = None,
    data: DataOption = None,
    json: JsonOption = False,
    agree_clock: Annotated[
        bool,
        typer.Option(
            "--agree-clock", help="Say that this machine's clock is right, though it is doubted."
        ),
    ] = False,
    yes: YesOption = False,
) -> None:
    """Say who could be told tonight, and whether the reminders can be relied on."""
    from scheduler.cli.screens import health as screen  # noqa: PLC0415 - only it needs it

    session = session_of(context, profile, data)
    if agree_clock:
        screen.agree(session, yes=yes, json=json)
    else:
        screen.show(session, json=json)
