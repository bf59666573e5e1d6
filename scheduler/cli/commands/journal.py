"""The file or database in which everything that was said is kept."""

from typing import Annotated

import typer

from scheduler.cli.figures_typed import Commands
from scheduler.cli.options import JsonOption, argument, flag

group = typer.Typer(
    cls=Commands,
    help="Move everything that is kept to another file or server.",
    no_args_is_help=True,
    rich_markup_mode=None,
)


@group.callback()
def everything() -> None:
    """Move everything that is kept to another file or server."""


@group.command("copy")
def copy(
    source: Annotated[
        str, argument("FROM", "A data folder, its file, or postgresql://… (or a file of it).")
    ],
    target: Annotated[str, argument("TO", "The same, where nothing is yet.")],
    yes: Annotated[bool, flag("--yes", "Reminders run that use it: I mean it.")] = False,
    json: JsonOption = False,
) -> None:
    """Copy all of it, and compare both; begun again, it goes on where it was."""
    from scheduler.cli.screens import journal_copy as screen  # noqa: PLC0415 - --help does without

    screen.copy(source, target, yes=yes, json=json)
