"""The program: its commands by name, and the options before them."""

import io
import sys
from collections.abc import Callable
from typing import Annotated

import typer

from scheduler.cli.commands import door, people, planning, reminders, reporting, setting_up
from scheduler.cli.commands.journal import group as of_the_journal
from scheduler.cli.figures_typed import Commands
from scheduler.cli.options import DataOption, JournalOption, ProfileOption

_LOG_LEVELS = ("debug", "info", "warning", "error")
# In the order in which `--help` lists them.
_COMMANDS: dict[str, Callable[..., None]] = {
    "init": setting_up.init,
    "check": setting_up.check,
    "accept": setting_up.accept,
    "today": planning.today,
    "week": planning.week,
    "light": planning.light,
    "year": planning.year,
    "why": planning.why,
    "jobs": reporting.jobs,
    "eggs": reporting.eggs,
    "weather": reporting.weather,
    "birds": reporting.birds,
    "diary": reporting.diary,
    "figures": planning.figures,
    "feed": planning.feed,
    **door.COMMANDS,
    "watch": reminders.watch,
    "serve": reminders.serve,
    "web": reminders.web,
    "links": people.links,
    "test-alert": people.try_alert,
    "health": reminders.health,
}

app = typer.Typer(
    name="duskfold",
    cls=Commands,
    help="When to let your hens out and lock them up, what else is due, and calendars of it all.",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)
for _name, _command in _COMMANDS.items():
    app.command(_name)(_command)
app.add_typer(of_the_journal, name="journal")


def _show_version(wanted: bool) -> None:
    if wanted:
        from scheduler.cli.compose import version_line  # noqa: PLC0415 - only --version asks

        print(version_line())
        raise typer.Exit


@app.callback()
def everything(
    context: typer.Context,
    profile: ProfileOption = None,
    data: DataOption = None,
    journal: JournalOption = None,
    log_level: Annotated[
        str, typer.Option("--log-level", metavar="LEVEL", help="debug, info, warning or error.")
    ] = "warning",
    _version: Annotated[
        bool,
        typer.Option(
            "--version",
            callback=_show_version,
            is_eager=True,
            help="Show the versions of the program, its database schema and its time zone data.",
        ),
    ] = False,
) -> None:
    """When to let your hens out and lock them up, what else is due, and calendars of it all."""
    import logging  # noqa: PLC0415 - --help does without
    import time  # noqa: PLC0415 - as above; only its calendar function is used

    if log_level.lower() not in _LOG_LEVELS:
        raise typer.BadParameter(
            f'found "{log_level}"; accepted: {", ".join(_LOG_LEVELS)}', param_hint="--log-level"
        )
    handler = logging.StreamHandler(sys.stderr)
    formatter = logging.Formatter("%(asctime)s %(levelname)s %(message)s", "%Y-%m-%dT%H:%M:%SZ")
    formatter.converter = time.gmtime
    handler.setFormatter(formatter)
    log = logging.getLogger("scheduler")  # ours alone: libraries talk of other things
    log.handlers, log.propagate = [handler], False
    log.setLevel(log_level.upper())
    context.obj = (profile, data, journal)


def run() -> None:
    """The program: faults of the outside world end it with a sentence and status 1."""
    from scheduler.cli.faults import told  # noqa: PLC0415 - keeps this module's import small

    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # an old code page must not end the program
    with told():
        app(prog_name="duskfold")
