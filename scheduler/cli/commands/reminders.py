"""Run the reminders and the pages, and ask how they fare."""

from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli.options import (
    DataOption,
    DateOption,
    JsonOption,
    ProfileOption,
    YesOption,
    flag,
    session_of,
    text,
)
from scheduler.wording.cli.help import Metavar
from scheduler.wording.cli.options import DemoOption, RunOption

if TYPE_CHECKING:
    from scheduler.machine.child_process import KeptRunning
    from scheduler.watch.opening import OpenedWatch


def watch(context: typer.Context, profile: ProfileOption = None, data: DataOption = None) -> None:
    from scheduler.cli.running import run_watch  # noqa: PLC0415 - --help does without

    session = session_of(context, profile, data)
    path, place = session.profile_path(), session.data_place()
    raise typer.Exit(run_watch(path, place, session.environment))


def serve(context: typer.Context, profile: ProfileOption = None, data: DataOption = None) -> None:
    from scheduler.cli.first_run import ask_on_a_page, is_being_answered  # noqa: PLC0415 - as above
    from scheduler.cli.running import run_watch  # noqa: PLC0415 - as above
    from scheduler.cli.screens.links import greet  # noqa: PLC0415 - as above
    from scheduler.cli.serving import beside  # noqa: PLC0415 - as above
    from scheduler.service.household.reload import has_profile  # noqa: PLC0415 - as above

    session = session_of(context, profile, data)
    path = session.profile_path_or_first()
    place = session.data_place()
    if session.is_first_profile(path) and not has_profile(path, place):
        raise typer.Exit(ask_on_a_page(session, path, place))

    def pages(opened: "OpenedWatch") -> "KeptRunning":
        greet(session, opened.household)
        return beside(path, place, first_run=is_being_answered(place))

    raise typer.Exit(
        run_watch(path, place, session.environment, beside=pages, needs_somebody=False)
    )


def web(
    context: typer.Context,
    profile: ProfileOption = None,
    data: DataOption = None,
    until_stdin_ends: Annotated[
        bool, flag("--until-stdin-ends", RunOption.until_stdin_ends)
    ] = False,
    first_run: Annotated[bool, flag("--first-run", RunOption.first_run)] = False,
) -> None:
    from scheduler.cli.serving import run_web  # noqa: PLC0415 - as above

    session = session_of(context, profile, data)
    place, path = session.data_place(), session.profile_path()
    ends = until_stdin_ends
    raise typer.Exit(
        run_web(path, place, session.environment, until_stdin_ends=ends, first_run=first_run)
    )


def demo(
    at: Annotated[str | None, text(Metavar.time, DemoOption.at, "--at")] = None,
    date: DateOption = None,
    listen: Annotated[str | None, text(Metavar.address, DemoOption.listen, "--listen")] = None,
) -> None:
    from scheduler.cli import demo as garden  # noqa: PLC0415 - as above

    raise typer.Exit(garden.run(at, date, listen))


def health(
    context: typer.Context,
    profile: ProfileOption = None,
    data: DataOption = None,
    json: JsonOption = False,
    agree_clock: Annotated[
        bool,
        flag("--agree-clock", RunOption.agree_clock),
    ] = False,
    yes: YesOption = False,
) -> None:
    from scheduler.cli.screens import health as screen  # noqa: PLC0415 - only it needs it

    session = session_of(context, profile, data)
    if agree_clock:
        screen.agree(session, yes=yes, json=json)
    else:
        screen.show(session, json=json)
