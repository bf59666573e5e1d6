"""What a keeper reports: jobs, weather, birds; and the diary of it all."""

from typing import Annotated

import typer

from scheduler.cli import completion
from scheduler.cli.options import (
    ByOption,
    CoopOption,
    DataOption,
    DateOption,
    FirstDayOption,
    FromOption,
    JsonOption,
    OddOption,
    ProfileOption,
    ToOption,
    argument,
    flag,
    session_of,
    text,
)


def jobs(
    context: typer.Context,
    what: Annotated[
        list[str] | None,
        argument(
            "WHAT", "ticked, to see what was ticked; or undo JOB, to take its last tick back."
        ),
    ] = None,
    day: DateOption = None,
    by: ByOption = None,
    profile: ProfileOption = None,
    data: DataOption = None,
    json: JsonOption = False,
) -> None:
    """List every job, when it is next due and how often; or what was ticked."""
    from scheduler.cli.screens import jobs as screen  # noqa: PLC0415 - only jobs needs it

    screen.run(session_of(context, profile, data), what or [], day, by, json=json)


def eggs(
    context: typer.Context,
    count: Annotated[str | None, argument("EGGS", "How many were collected.")] = None,
    coop: CoopOption = None,
    day: DateOption = None,
    by: ByOption = None,
    undo: Annotated[bool, flag("--undo", "Take back the last count.")] = False,
    yes: Annotated[bool, flag("--yes", "I mean it, though they can hardly lay so many.")] = False,
    profile: ProfileOption = None,
    data: DataOption = None,
    json: JsonOption = False,
) -> None:
    """Say how many eggs you collected, in addition to what was counted earlier that day."""
    from scheduler.cli.screens import eggs as screen  # noqa: PLC0415 - only eggs needs it

    session = session_of(context, profile, data)
    screen.run(session, count, coop=coop, on=day, who=by, undo=undo, sure=yes, json=json)


def weather(
    context: typer.Context,
    what: Annotated[
        str | None,
        argument(
            "WHAT",
            "heat, frost, snow, storm, predator, order; or confirm, end, over, undo, again.",
            completion.reports,
        ),
    ] = None,
    detail: Annotated[
        list[str] | None,
        argument("DETAIL", "36C or -20C; nearby, tried or got-at; or the number of a report."),
    ] = None,
    first: FirstDayOption = None,
    last: Annotated[
        str | None, text("DAY", "The last day: a date, mon or tomorrow.", "--to")
    ] = None,
    link: Annotated[str, text("URL", "Where to read an order.")] = "",
    who: Annotated[str, text("WHOM", "Who must follow an order.")] = "",
    by: ByOption = None,
    yes: OddOption = False,
    profile: ProfileOption = None,
    data: DataOption = None,
    json: JsonOption = False,
) -> None:
    """Report weather, a predator or a housing order; list reports, end them or take them back."""
    from scheduler.cli.screens import weather as screen  # noqa: PLC0415 - only weather needs it
    from scheduler.service.reports.read_report import ToldReport  # noqa: PLC0415 - as above

    told = ToldReport(kind=what or "", first=first, last=last, link=link, who=who)
    session, words = session_of(context, profile, data), " ".join(detail or ())
    screen.run(session, what, words, told, by=by, sure=yes, json=json)


def birds(
    context: typer.Context,
    what: Annotated[
        str | None,
        argument(
            "WHAT",
            "broody, illness, medicine; or end, over, undo, again, label.",
            completion.bird_reports,
        ),
    ] = None,
    detail: Annotated[
        list[str] | None,
        argument(
            "DETAIL",
            "The signs of an illness; a medicine's name on its label; or a report's number.",
            completion.signs,
        ),
    ] = None,
    coop: CoopOption = None,
    first: FirstDayOption = None,
    last: Annotated[
        str | None, text("DAY", "The last day; for a medicine, the day of the last dose.", "--to")
    ] = None,
    count: Annotated[str, text("BIRDS", "How many birds.")] = "",
    note: Annotated[str, text("TEXT", "What else you saw.")] = "",
    eggs: Annotated[
        str, text("DAYS", "How many days to withhold the eggs, from the label or the vet.")
    ] = "",
    meat: Annotated[
        str, text("DAYS", "How many days to withhold the meat, from the label or the vet.")
    ] = "",
    by: ByOption = None,
    yes: OddOption = False,
    profile: ProfileOption = None,
    data: DataOption = None,
    json: JsonOption = False,
) -> None:
    """Report a broody hen, an illness or a medicine; list reports, end them or take them back."""
    from scheduler.cli.screens import birds as screen  # noqa: PLC0415 - only birds needs it
    from scheduler.service.reports.read_bird_report import ToldBirds  # noqa: PLC0415 - as above

    told = ToldBirds(
        kind=what or "",
        coop=coop or "",
        first=first or "",
        last=last or "",
        count=count,
        words=note,
        signs=tuple(detail or ()),
        eggs=eggs,
        meat=meat,
    )
    session, words = session_of(context, profile, data), " ".join(detail or ())
    screen.run(session, what, words, told, last=last, by=by, sure=yes, json=json)


def diary(
    context: typer.Context,
    coop: CoopOption = None,
    kind: Annotated[
        str | None,
        text("KIND", "doors, birds, jobs, eggs or reports.", "--kind", offers=completion.kinds),
    ] = None,
    first: FromOption = None,
    last: ToOption = None,
    profile: ProfileOption = None,
    data: DataOption = None,
    json: JsonOption = False,
    csv: Annotated[bool, flag("--csv", "A table to download, the same as on the pages.")] = False,
) -> None:
    """Show what was said and done, evening by evening and day by day, the newest first."""
    from scheduler.cli.screens import diary_table as screen  # noqa: PLC0415 - only diary needs it

    session = session_of(context, profile, data)
    screen.run(session, coop=coop, kind=kind, first=first, last=last, json=json, csv=csv)
