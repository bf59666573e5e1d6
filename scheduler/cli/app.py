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
from scheduler.wording.cli.help import CommandHelp, Metavar, ProgramHelp
from scheduler.wording.cli.options import SharedOption
from scheduler.wording.cli.refusals import Refusals
from scheduler.wording.spoken import in_a_row
from scheduler.wording.words import Words

_LOG_LEVELS = ("debug", "info", "warning", "error")
# In the order in which `--help` lists them.
_COMMANDS: dict[str, tuple[Callable[..., None], Words]] = {
    "init": (setting_up.init, CommandHelp.init),
    "check": (setting_up.check, CommandHelp.check),
    "accept": (setting_up.accept, CommandHelp.accept),
    "today": (planning.today, CommandHelp.today),
    "week": (planning.week, CommandHelp.week),
    "light": (planning.light, CommandHelp.light),
    "year": (planning.year, CommandHelp.year),
    "why": (planning.why, CommandHelp.why),
    "jobs": (reporting.jobs, CommandHelp.jobs),
    "eggs": (reporting.eggs, CommandHelp.eggs),
    "weather": (reporting.weather, CommandHelp.weather),
    "birds": (reporting.birds, CommandHelp.birds),
    "diary": (reporting.diary, CommandHelp.diary),
    "figures": (planning.figures, CommandHelp.figures),
    "feed": (planning.feed, CommandHelp.feed),
    **door.COMMANDS,
    "watch": (reminders.watch, CommandHelp.watch),
    "serve": (reminders.serve, CommandHelp.serve),
    "web": (reminders.web, CommandHelp.web),
    "demo": (reminders.demo, CommandHelp.demo),
    "links": (people.links, CommandHelp.links),
    "test-alert": (people.try_alert, CommandHelp.test_alert),
    "health": (reminders.health, CommandHelp.health),
}

app = typer.Typer(
    name="duskfold",
    cls=Commands,
    help=ProgramHelp.program(),
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)
for _name, (_command, _help) in _COMMANDS.items():
    app.command(_name, help=_help())(_command)
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
        str, typer.Option("--log-level", metavar=Metavar.level(), help=SharedOption.log_level())
    ] = "warning",
    _version: Annotated[
        bool,
        typer.Option(
            "--version",
            callback=_show_version,
            is_eager=True,
            help=SharedOption.version(),
        ),
    ] = False,
) -> None:
    import logging  # noqa: PLC0415 - --help does without
    import time  # noqa: PLC0415 - as above; only its calendar function is used

    if log_level.lower() not in _LOG_LEVELS:
        said = Refusals.log_level(found=log_level, accepted=in_a_row(_LOG_LEVELS))
        raise typer.BadParameter(said, param_hint="--log-level")
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
