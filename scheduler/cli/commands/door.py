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
    at: Annotated[
        str | None, text("TIME", "When it happened, if not now, such as 16:52.", "--at")
    ] = None,
    evening: EveningOption = None,
    yes: Annotated[bool, flag("--yes", "I mean it, though lock-up is hours away.")] = False,
    json: JsonOption = False,
) -> None:
    """Say that the door is shut and how many are in; without --count, that it looks like all."""
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
    back: Annotated[bool, flag("--back", "Say that they are back in their house.")] = False,
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
    "reopened": _of_the_door(
        "reopened", "Say that the door is open again, so that the reminders go on."
    ),
    "found": _of_birds(
        "found", "Say that missing birds are in: all of them, or as many as --count."
    ),
    "not-found": _of_birds(
        "not-found",
        "Stop looking for tonight; they stay missing until you say what became of them.",
    ),
    "dead": _of_birds(
        "dead", "Say that birds have died; fewer are expected until the profile changes."
    ),
    "given-up": _of_birds(
        "given-up",
        "Give missing birds up for lost; fewer are expected until the profile changes.",
    ),
    "undo": _of_the_door(
        "undone",
        "Take back the last thing said about a door or its birds, within a day.",
    ),
    "elsewhere": elsewhere,
    "arrived": _of_birds(
        "arrived",
        "Say that birds have come to live in a house, in addition to those in the profile.",
    ),
    "hatched": _of_birds("hatched", "Say that chicks have hatched in a house."),
    "sold": _of_birds("sold", "Say that birds were sold or given away."),
    "moved": moved,
}
