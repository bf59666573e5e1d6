"""Figures below zero as people type them: `weather frost -20C`, without quotes or dashes before."""

import re
from collections.abc import Sequence
from typing import Any

from typer.core import TyperGroup

# Read as a minus by every reader of quantities, and as an option by no parser.
_MINUS = "\N{MINUS SIGN}"
_BELOW_ZERO = re.compile(r"-(?=\s*\.?\d)")


class Commands(TyperGroup):
    """The commands; a word such as -20C is handed to them as a figure, never as an option.

    Their help names what each argument is, and no type of the language.
    """

    def get_command(self, ctx: Any, cmd_name: str) -> Any:  # noqa: ANN401 - typer's own
        """The command of that name."""
        command = super().get_command(ctx, cmd_name)
        for one in command.params if command else ():
            if one.param_type_name == "argument":
                # Typer 0.29 writes "NAME <str>"; those before it have no such method.
                one.display_type = _no_type  # type: ignore[attr-defined]
        return command

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:  # noqa: ANN401 - typer's own
        """The command and what is left for it, with the figures told from the options."""
        name, command, rest = super().resolve_command(ctx, args)
        options = command.params if command else ()
        takes_value = {
            spelled
            for option in options
            if not getattr(option, "is_flag", False)
            for spelled in option.opts
        }
        return name, command, figures_told(rest, takes_value)


def _no_type(*_: Any, **__: Any) -> str:  # noqa: ANN401 - typer's own context
    return ""


def figures_told(words: Sequence[str], takes_value: set[str]) -> list[str]:
    """The words, each figure below zero with a minus sign; what an option takes stays as it is."""
    told: list[str] = []
    before = ""
    for word in words:
        is_value = before in takes_value
        told.append(word if is_value else _told(word))
        before = "" if is_value else word
    return told


def _told(word: str) -> str:
    return _MINUS + word[1:] if _BELOW_ZERO.match(word) else word
