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
from scheduler.wording.cli.help import Metavar
from scheduler.wording.cli.options import ReportOption, SharedOption


def jobs(
    context: typer.Context,
    what: Annotated[
        list[str] | None,
        argument(Metavar.what, ReportOption.jobs),
    ] = None,
    day: DateOption = None,
    by: ByOption = None,
    profile: ProfileOption = None,
    data: DataOption = None,
    json: JsonOption = False,
) -> None:
    from scheduler.cli.screens import jobs as screen  # noqa: PLC0415 - only jobs needs it

    screen.run(session_of(context, profile, data), what or [], day, by, json=json)


def eggs(
    context: typer.Context,
    count: Annotated[str | None, argument(Metavar.eggs, ReportOption.eggs)] = None,
    coop: CoopOption = None,
    day: DateOption = None,
    by: ByOption = None,
    undo: Annotated[bool, flag("--undo", ReportOption.undo_eggs)] = False,
    yes: Annotated[bool, flag("--yes", ReportOption.many_eggs)] = False,
    profile: ProfileOption = None,
    data: DataOption = None,
    json: JsonOption = False,
) -> None:
    from scheduler.cli.screens import eggs as screen  # noqa: PLC0415 - only eggs needs it

    session = session_of(context, profile, data)
    screen.run(session, count, coop=coop, on=day, who=by, undo=undo, sure=yes, json=json)


def weather(
    context: typer.Context,
    what: Annotated[
        str | None,
        argument(
            Metavar.what,
            ReportOption.weather,
            completion.reports,
        ),
    ] = None,
    detail: Annotated[
        list[str] | None,
        argument(Metavar.detail, ReportOption.weather_detail),
    ] = None,
    first: FirstDayOption = None,
    last: Annotated[str | None, text(Metavar.day, ReportOption.last, "--to")] = None,
    link: Annotated[str, text(Metavar.url, ReportOption.link)] = "",
    who: Annotated[str, text(Metavar.whom, ReportOption.who)] = "",
    humidity: Annotated[str, text(Metavar.percent, ReportOption.humidity)] = "",
    sensor: Annotated[
        str | None, text(Metavar.name, ReportOption.sensor, offers=completion.sensors)
    ] = None,
    by: ByOption = None,
    yes: OddOption = False,
    profile: ProfileOption = None,
    data: DataOption = None,
    json: JsonOption = False,
) -> None:
    from scheduler.cli.screens import weather as screen  # noqa: PLC0415 - only weather needs it
    from scheduler.cli.screens.measured import ToldMeasured  # noqa: PLC0415 - as above
    from scheduler.service.reports.read_report import ToldReport  # noqa: PLC0415 - as above

    told = ToldReport(kind=what or "", first=first, last=last, link=link, who=who)
    measured = ToldMeasured(humidity=humidity, sensor=sensor)
    session, words = session_of(context, profile, data), " ".join(detail or ())
    screen.run(session, what, words, told, measured_by=measured, by=by, sure=yes, json=json)


def birds(
    context: typer.Context,
    what: Annotated[
        str | None,
        argument(
            Metavar.what,
            ReportOption.birds,
            completion.bird_reports,
        ),
    ] = None,
    detail: Annotated[
        list[str] | None,
        argument(
            Metavar.detail,
            ReportOption.birds_detail,
            completion.signs,
        ),
    ] = None,
    coop: CoopOption = None,
    first: FirstDayOption = None,
    last: Annotated[str | None, text(Metavar.day, ReportOption.last_dose, "--to")] = None,
    count: Annotated[str, text(Metavar.birds, SharedOption.count)] = "",
    note: Annotated[str, text(Metavar.text, ReportOption.note)] = "",
    eggs: Annotated[str, text(Metavar.days, ReportOption.eggs_withheld)] = "",
    meat: Annotated[str, text(Metavar.days, ReportOption.meat_withheld)] = "",
    by: ByOption = None,
    yes: OddOption = False,
    profile: ProfileOption = None,
    data: DataOption = None,
    json: JsonOption = False,
) -> None:
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
        text(Metavar.kind, ReportOption.kind, "--kind", offers=completion.kinds),
    ] = None,
    first: FromOption = None,
    last: ToOption = None,
    profile: ProfileOption = None,
    data: DataOption = None,
    json: JsonOption = False,
    csv: Annotated[bool, flag("--csv", ReportOption.csv)] = False,
) -> None:
    from scheduler.cli.screens import diary_table as screen  # noqa: PLC0415 - only diary needs it

    session = session_of(context, profile, data)
    screen.run(session, coop=coop, kind=kind, first=first, last=last, json=json, csv=csv)
