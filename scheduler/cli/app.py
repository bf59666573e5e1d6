"""Every command with its options. What a command does stands in compose and in its screen."""

import os
import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from scheduler.cli.compose import Session

app = typer.Typer(
    name="duskfold",
    help="When to let out, range and lock up your hens, what else is due, and calendars of it.",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise typer.BadParameter(f'found "{text}"; accepted: a date such as 2026-12-21') from None


ProfileOption = Annotated[
    Path | None,
    typer.Option("--profile", "-p", metavar="FILE", help="The profile. [env: DUSKFOLD_PROFILE]"),
]
DataOption = Annotated[
    Path | None,
    typer.Option("--data", metavar="DIR", help="The data folder. [env: DUSKFOLD_DATA]"),
]
DateOption = Annotated[
    date | None,
    typer.Option("--date", metavar="DATE", parser=_day, help="Another day, YYYY-MM-DD."),
]
FromOption = Annotated[
    date | None,
    typer.Option("--from", metavar="DATE", parser=_day, help="First day, YYYY-MM-DD."),
]
ToOption = Annotated[
    date | None,
    typer.Option("--to", metavar="DATE", parser=_day, help="Last day, YYYY-MM-DD."),
]
JsonOption = Annotated[bool, typer.Option("--json", help="For programs: JSON, times in UTC.")]
CoopOption = Annotated[
    str | None, typer.Option("--coop", metavar="ID", help="Only this coop, by id or name.")
]


def _show_version(wanted: bool) -> None:
    if wanted:
        from scheduler.cli.compose import version_line  # noqa: PLC0415 - only --version asks

        print(version_line())
        raise typer.Exit


@app.callback()
def everything(
    context: typer.Context,
    profile: ProfileOption = None,
    data: DataOption = None,
    log_level: Annotated[
        str, typer.Option("--log-level", metavar="LEVEL", help="debug, info, warning or error.")
    ] = "warning",
    _version: Annotated[
        bool,
        typer.Option(
            "--version", callback=_show_version, is_eager=True, help="Program, schema, zone data."
        ),
    ] = False,
) -> None:
    """When to let out, range and lock up your hens, what else is due, and calendars of it."""
    import logging  # noqa: PLC0415 - --help does without

    levels = {name.lower(): level for name, level in logging.getLevelNamesMapping().items()}
    if log_level.lower() not in levels:
        raise typer.BadParameter(
            f'found "{log_level}"; accepted: debug, info, warning, error', param_hint="--log-level"
        )
    logging.basicConfig(
        stream=sys.stderr,
        level=levels[log_level.lower()],
        format="%(asctime)s %(levelname)s %(message)s",
    )
    context.obj = (profile, data)


def _session(context: typer.Context, profile: Path | None, data: Path | None) -> "Session":
    from scheduler.cli.compose import Session  # noqa: PLC0415 - --help does without

    general_profile, general_data = context.obj
    return Session(
        profile_option=profile or general_profile,
        data_option=data or general_data,
        environment=os.environ,
    )


@app.command()
def init(
    context: typer.Context,
    profile: ProfileOption = None,
    name: Annotated[str | None, typer.Option(help="What you call the place.")] = None,
    latitude: Annotated[float | None, typer.Option(help="Degrees north.")] = None,
    longitude: Annotated[float | None, typer.Option(help="Degrees east.")] = None,
    timezone: Annotated[str | None, typer.Option(help="Proposed from the place.")] = None,
    region: Annotated[str | None, typer.Option(help="US, UK, EU, AU or other.")] = None,
    units: Annotated[str | None, typer.Option(help="metric, us or uk.")] = None,
    coop: Annotated[str | None, typer.Option(help="What you call the house.")] = None,
    house: Annotated[str | None, typer.Option("--type", help="fixed or ark.")] = None,
    run: Annotated[str | None, typer.Option(help="secure or open.")] = None,
    ranging: Annotated[
        str | None, typer.Option(help='"run only", "supervised" or "all day".')
    ] = None,
    hens: Annotated[int | None, typer.Option(help="How many hens.")] = None,
    roosters: Annotated[int, typer.Option(help="How many roosters.")] = 0,
    kind: Annotated[str, typer.Option(help="bantam, light, medium or heavy.")] = "medium",
    person: Annotated[str | None, typer.Option(help="Who looks after them.")] = None,
    mail: Annotated[str, typer.Option(help="Their mail address.")] = "",
    push: Annotated[str, typer.Option(help="Their push topic address.")] = "",
    force: Annotated[
        bool, typer.Option("--force", help="Replace a profile that is already there.")
    ] = False,
) -> None:
    """Ask a few questions and write a profile."""
    from scheduler.cli.screens import init as screen  # noqa: PLC0415 - only init needs it

    given = screen.Given(
        name=name,
        latitude=latitude,
        longitude=longitude,
        timezone=timezone,
        region=region,
        units=units,
        coop=coop,
        house=house,
        run=run,
        ranging=ranging,
        hens=hens,
        roosters=roosters,
        kind=kind,
        person=person,
        mail=mail,
        push=push,
    )
    session = _session(context, profile, None)
    screen.write(session.new_profile_path(), given, today=session.now.date(), force=force)


@app.command()
def check(context: typer.Context, profile: ProfileOption = None, json: JsonOption = False) -> None:
    """Say whether the profile can be used, and what is wrong with it."""
    from scheduler.cli.screens import check as screen  # noqa: PLC0415 - only check needs it

    screen.show(_session(context, profile, None), json=json)


@app.command()
def today(
    context: typer.Context,
    profile: ProfileOption = None,
    day: DateOption = None,
    json: JsonOption = False,
) -> None:
    """Show today's times and jobs."""
    from scheduler.cli.screens import today as screen  # noqa: PLC0415 - only today needs it

    screen.show(_session(context, profile, None), day, json=json)


@app.command()
def week(
    context: typer.Context,
    profile: ProfileOption = None,
    day: DateOption = None,
    json: JsonOption = False,
) -> None:
    """Show seven days from today."""
    from scheduler.cli.screens import week as screen  # noqa: PLC0415 - only week needs it

    screen.show(_session(context, profile, None), day, json=json)


@app.command()
def light(
    context: typer.Context,
    profile: ProfileOption = None,
    first: FromOption = None,
    last: ToOption = None,
    coop: CoopOption = None,
    day: DateOption = None,
    json: JsonOption = False,
) -> None:
    """Show sun, let-out, free-range time and lock-up of each date, both ends included."""
    from scheduler.cli.screens import light as screen  # noqa: PLC0415 - only light needs it

    session = _session(context, profile, None)
    screen.show(session, first or day, last or day, coop, json=json)


@app.command()
def feed(
    context: typer.Context,
    out: Annotated[Path, typer.Option("--out", metavar="DIR", help="Where the calendars go.")],
    profile: ProfileOption = None,
    data: DataOption = None,
    first: FromOption = None,
    days: Annotated[
        int | None,
        typer.Option("--days", min=1, max=800, help="Days ahead, instead of the usual windows."),
    ] = None,
    alarms: Annotated[
        bool, typer.Option("--alarms", help="Let lock-ups ring 30 minutes before.")
    ] = False,
    json: JsonOption = False,
) -> None:
    """Write lockup.ics, jobs.ics, seasons.ics and all.ics."""
    from scheduler.cli.screens import feed as screen  # noqa: PLC0415 - only feed needs it

    session = _session(context, profile, data)
    screen.write(session, out, first=first, days=days, alarms=alarms, json=json)


def run() -> None:
    """The program: faults of the outside world end it with a sentence and status 1."""
    from scheduler.cli.faults import told  # noqa: PLC0415 - keeps this module's import small

    with told():
        app(prog_name="duskfold")
