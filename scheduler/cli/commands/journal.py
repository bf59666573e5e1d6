"""The file or database in which everything that was said is kept."""

from typing import Annotated

import typer

from scheduler.cli.figures_typed import Commands
from scheduler.cli.options import JsonOption, argument, flag

group = typer.Typer(
    cls=Commands,
    help="Copy everything that is kept to another file or server.",
    no_args_is_help=True,
    rich_markup_mode=None,
)


@group.callback()
def everything() -> None:
    """Copy everything that is kept to another file or server."""


@group.command("copy")
def copy(
    source: Annotated[
        str,
        argument(
            "FROM",
            "A data folder, the file in it, or postgresql://… (or a file that holds that address).",
        ),
    ],
    target: Annotated[str, argument("TO", "The same, but still empty.")],
    yes: Annotated[
        bool, flag("--yes", "I mean it, though reminders that use it are running.")
    ] = False,
    json: JsonOption = False,
) -> None:
    """Copy everything and compare both sides; run again, it carries on where it stopped."""
    from scheduler.cli.screens import journal_copy as screen  # noqa: PLC0415 - --help does without

    screen.copy(source, target, yes=yes, json=json)
