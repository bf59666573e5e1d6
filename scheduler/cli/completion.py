"""What the shell offers while a command is typed; where anything is wrong, nothing."""

import os
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from scheduler.service.household.open_profile import Household


def jobs(ctx: Any, incomplete: str) -> list[str]:  # noqa: ANN401 - typer's context
    """The ids of jobs, and the times of the day."""
    from scheduler.service.jobs.which_job import job_names  # noqa: PLC0415 - --help does without

    return _fitting(ctx, incomplete, job_names)


def reports(ctx: Any, incomplete: str) -> list[str]:  # noqa: ANN401 - as above
    """What can be reported, and what can be done with a report."""
    from scheduler.cares.records import WEATHER_KINDS  # noqa: PLC0415 - as above

    del ctx
    words = (*WEATHER_KINDS, "again", "confirm", "end", "measured", "over", "undo")
    return [word for word in words if word.startswith(incomplete)]


def bird_reports(ctx: Any, incomplete: str) -> list[str]:  # noqa: ANN401 - as above
    """What can be reported of the birds, and what can be done with such a report."""
    from scheduler.cares.records import BIRD_KINDS  # noqa: PLC0415 - as above

    del ctx
    words = (*BIRD_KINDS, "again", "end", "label", "over", "undo")
    return [word for word in words if word.startswith(incomplete)]


def signs(ctx: Any, incomplete: str) -> list[str]:  # noqa: ANN401 - as above
    """The signs of an illness, where one is reported."""
    from scheduler.cares.records import SIGNS  # noqa: PLC0415 - as above

    ill = ctx.params.get("what") == "illness"
    return [sign for sign in SIGNS if ill and sign.startswith(incomplete)]


def kinds(ctx: Any, incomplete: str) -> list[str]:  # noqa: ANN401 - as above
    """What the diary can be asked for alone."""
    from scheduler.service.diary_asked import KINDS_ASKED  # noqa: PLC0415 - as above

    del ctx
    return [kind for kind in KINDS_ASKED if kind.startswith(incomplete)]


def coops(ctx: Any, incomplete: str) -> list[str]:  # noqa: ANN401 - as above
    """The ids of the houses."""
    return _fitting(ctx, incomplete, lambda household: (one.id for one in household.profile.coop))


def sensors(ctx: Any, incomplete: str) -> list[str]:  # noqa: ANN401 - as above
    """The ids of the thermometers."""
    from scheduler.service.measured import thermometers  # noqa: PLC0415 - as above

    return _fitting(
        ctx, incomplete, lambda household: (one.id for one in thermometers(household.profile))
    )


def people(ctx: Any, incomplete: str) -> list[str]:  # noqa: ANN401 - as above
    """The ids of the people."""
    return _fitting(ctx, incomplete, lambda household: (one.id for one in household.profile.person))


def _fitting(
    ctx: Any,  # noqa: ANN401 - as above
    incomplete: str,
    names: "Callable[[Household], Iterable[str]]",
) -> list[str]:
    wanted = incomplete.casefold()
    return [
        name
        for household in _household(ctx)
        for name in names(household)
        if name.startswith(wanted)
    ]


def _household(ctx: Any) -> "Iterator[Household]":  # noqa: ANN401 - as above
    """The household of the command line so far; none where the profile cannot be used."""
    from scheduler.machine import clock  # noqa: PLC0415 - as above
    from scheduler.machine.paths import find_profile, journal_folder  # noqa: PLC0415 - as above
    from scheduler.service.household.open_profile import Household, open_profile  # noqa: PLC0415 - as above

    above = ctx.parent.params if ctx.parent else {}
    named = ctx.params.get("profile") or above.get("profile")
    data = ctx.params.get("data") or above.get("data")
    folder = journal_folder(Path(data) if data else None, os.environ)
    path = find_profile(Path(named) if named else None, os.environ, folder)
    try:
        household = open_profile(path, clock.now()) if isinstance(path, Path) else None
    except OSError:
        return
    if isinstance(household, Household):
        yield household
