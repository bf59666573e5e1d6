"""Say how a door stands and where its birds are."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli.completion import coops
from scheduler.cli.options import (
    ByOption,
    CoopOption,
    CountOption,
    DataOption,
    EveningOption,
    JsonOption,
    ProfileOption,
    flag,
    session_of,
    text,
)

if TYPE_CHECKING:
    from scheduler.cares.closing import ClosingKind


def closed(
    context: typer.Context,
    profile: ProfileOption = None,
    data: DataOption = None,
    coop: CoopOption = None,
    count: CountOption = None,
    by: ByOption = None,
    at: Annotated[str | None, text("TIME", "When, if not now: 16:52.", "--at")] = None,
    evening: EveningOption = None,
    yes: Annotated[bool, flag("--yes", "Hours before the lock-up: I mean it.")] = False,
    json: JsonOption = False,
) -> None:
    """Say that the birds are in and the door is shut; without --count: it looks like all."""
    from scheduler.cli.screens import door as screen  # noqa: PLC0415 - --help does without

    screen.run(
        session_of(context, profile, data),
        "closed",
        coop=coop,
        count=count,
        who=by,
        at=at,
        evening=evening,
        sure=yes,
        json=json,
    )


def elsewhere(
    context: typer.Context,
    profile: ProfileOption = None,
    data: DataOption = None,
    coop: CoopOption = None,
    count: CountOption = None,
    by: ByOption = None,
    evening: EveningOption = None,
    back: Annotated[bool, flag("--back", "They are back in their house.")] = False,
    json: JsonOption = False,
) -> None:
    """Say that birds sleep elsewhere (broody pen, hospital cage), or are back."""
    say = _of_birds("back" if back else "elsewhere")
    say(context, profile, data, coop, count, by, evening, json)


def moved(
    context: typer.Context,
    profile: ProfileOption = None,
    data: DataOption = None,
    coop: CoopOption = None,
    to: Annotated[
        str | None, text("ID", "The house they moved to, by id or name.", "--to", offers=coops)
    ] = None,
    count: CountOption = None,
    by: ByOption = None,
    evening: EveningOption = None,
    json: JsonOption = False,
) -> None:
    """Say that birds have moved from one house to another."""
    from scheduler.cli.screens import door as screen  # noqa: PLC0415 - only these need it

    session = session_of(context, profile, data)
    screen.run(
        session,
        "moved-out",
        coop=coop,
        to=to,
        count=count,
        who=by,
        evening=evening,
        json=json,
    )


def _of_the_door(kind: "ClosingKind", said: str) -> Callable[..., None]:
    def say(
        context: typer.Context,
        profile: ProfileOption = None,
        data: DataOption = None,
        coop: CoopOption = None,
        by: ByOption = None,
        evening: EveningOption = None,
        json: JsonOption = False,
    ) -> None:
        from scheduler.cli.screens import door as screen  # noqa: PLC0415 - as above

        session = session_of(context, profile, data)
        screen.run(session, kind, coop=coop, who=by, evening=evening, json=json)

    say.__doc__ = said
    return say


def _of_birds(kind: "ClosingKind", said: str = "") -> Callable[..., None]:
    def say(
        context: typer.Context,
        profile: ProfileOption = None,
        data: DataOption = None,
        coop: CoopOption = None,
        count: CountOption = None,
        by: ByOption = None,
        evening: EveningOption = None,
        json: JsonOption = False,
    ) -> None:
        from scheduler.cli.screens import door as screen  # noqa: PLC0415 - as above

        session = session_of(context, profile, data)
        screen.run(session, kind, coop=coop, count=count, who=by, evening=evening, json=json)

    say.__doc__ = said
    return say


COMMANDS: dict[str, Callable[..., None]] = {
    "closed": closed,
    "reopened": _of_the_door("reopened", "Say that the door is open again: the reminders go on."),
    "found": _of_birds("found", "Say that missing birds are in: all of them, or --count."),
    "not-found": _of_birds(
        "not-found",
        "End tonight's search without having found them: they stay missing until that is ended.",
    ),
    "dead": _of_birds(
        "dead", "Say that birds have died: fewer are expected until the profile is changed."
    ),
    "given-up": _of_birds(
        "given-up",
        "Give missing birds up for lost: fewer are expected until the profile is changed.",
    ),
    "undo": _of_the_door(
        "undone",
        "Take back what was said last of a door or its birds, within a day; the diary shows it.",
    ),
    "elsewhere": elsewhere,
    "arrived": _of_birds(
        "arrived", "Say that birds have come to live in a house, beside those of the profile."
    ),
    "hatched": _of_birds("hatched", "Say that chicks have hatched in a house."),
    "sold": _of_birds("sold", "Say that birds of a house were sold or given away."),
    "moved": moved,
}
