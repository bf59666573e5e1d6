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
from scheduler.wording.cli.help import DoorCommandHelp, Metavar
from scheduler.wording.cli.options import DoorOption
from scheduler.wording.words import Words

if TYPE_CHECKING:
    from scheduler.cares.closing import ClosingKind


def closed(
    context: typer.Context,
    profile: ProfileOption = None,
    data: DataOption = None,
    coop: CoopOption = None,
    count: CountOption = None,
    by: ByOption = None,
    at: Annotated[str | None, text(Metavar.time, DoorOption.at, "--at")] = None,
    evening: EveningOption = None,
    yes: Annotated[bool, flag("--yes", DoorOption.early)] = False,
    json: JsonOption = False,
) -> None:
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
    back: Annotated[bool, flag("--back", DoorOption.back)] = False,
    json: JsonOption = False,
) -> None:
    say = _of_birds("back" if back else "elsewhere")
    say(context, profile, data, coop, count, by, evening, json)


def moved(
    context: typer.Context,
    profile: ProfileOption = None,
    data: DataOption = None,
    coop: CoopOption = None,
    to: Annotated[str | None, text(Metavar.id, DoorOption.to, "--to", offers=coops)] = None,
    count: CountOption = None,
    by: ByOption = None,
    evening: EveningOption = None,
    json: JsonOption = False,
) -> None:
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


def _of_the_door(kind: "ClosingKind") -> Callable[..., None]:
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

    return say


def _of_birds(kind: "ClosingKind") -> Callable[..., None]:
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

    return say


COMMANDS: dict[str, tuple[Callable[..., None], Words]] = {
    "closed": (closed, DoorCommandHelp.closed),
    "reopened": (_of_the_door("reopened"), DoorCommandHelp.reopened),
    "found": (_of_birds("found"), DoorCommandHelp.found),
    "not-found": (_of_birds("not-found"), DoorCommandHelp.not_found),
    "dead": (_of_birds("dead"), DoorCommandHelp.dead),
    "given-up": (_of_birds("given-up"), DoorCommandHelp.given_up),
    "undo": (_of_the_door("undone"), DoorCommandHelp.undo),
    "elsewhere": (elsewhere, DoorCommandHelp.elsewhere),
    "arrived": (_of_birds("arrived"), DoorCommandHelp.arrived),
    "hatched": (_of_birds("hatched"), DoorCommandHelp.hatched),
    "sold": (_of_birds("sold"), DoorCommandHelp.sold),
    "moved": (moved, DoorCommandHelp.moved),
}
