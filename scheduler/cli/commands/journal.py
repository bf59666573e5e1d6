"""The file or database in which everything that was said is kept."""

from typing import Annotated

import typer

from scheduler.cli.figures_typed import Commands
from scheduler.cli.options import JsonOption, argument, flag
from scheduler.wording.cli.help import CommandHelp, Metavar, ProgramHelp
from scheduler.wording.cli.options import CopyOption

group = typer.Typer(
    cls=Commands,
    help=ProgramHelp.journal(),
    no_args_is_help=True,
    rich_markup_mode=None,
)


@group.callback(help=ProgramHelp.journal())
def everything() -> None:
    """Does nothing: a group of one command is a group all the same."""


@group.command("copy", help=CommandHelp.journal_copy())
def copy(
    source: Annotated[
        str,
        argument(
            Metavar.from_,
            CopyOption.source,
        ),
    ],
    target: Annotated[str, argument(Metavar.to, CopyOption.target)],
    yes: Annotated[bool, flag("--yes", CopyOption.in_use)] = False,
    json: JsonOption = False,
) -> None:
    from scheduler.cli.screens import journal_copy as screen  # noqa: PLC0415 - --help does without

    screen.copy(source, target, yes=yes, json=json)
