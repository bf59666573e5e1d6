"""Write a profile, and check it."""

from typing import Annotated

import typer

from scheduler.cli.options import JsonOption, ProfileOption, session_of


def init(
    context: typer.Context,
    profile: ProfileOption = None,
    name: Annotated[
        str | None, typer.Option(metavar="PLACE", help="What you call the place.")
    ] = None,
    latitude: Annotated[
        str | None, typer.Option(metavar="DEGREES", help="Degrees north, 44.3 or 44°18'N.")
    ] = None,
    longitude: Annotated[str | None, typer.Option(metavar="DEGREES", help="Degrees east.")] = None,
    timezone: Annotated[
        str | None, typer.Option(metavar="ZONE", help="Proposed from the place.")
    ] = None,
    region: Annotated[
        str | None, typer.Option(metavar="REGION", help="US, UK, EU, AU or other.")
    ] = None,
    units: Annotated[str | None, typer.Option(metavar="UNITS", help="metric, us or uk.")] = None,
    coop: Annotated[
        str | None, typer.Option(metavar="HOUSE", help="What you call the house.")
    ] = None,
    house: Annotated[
        str | None, typer.Option("--type", metavar="TYPE", help="fixed or ark.")
    ] = None,
    floor: Annotated[
        str | None, typer.Option(metavar="SIZE", help='Floor inside, "4 ft x 8 ft".')
    ] = None,
    run: Annotated[str | None, typer.Option(metavar="RUN", help="secure or open.")] = None,
    run_floor: Annotated[str | None, typer.Option(metavar="SIZE", help="Size of the run.")] = None,
    door: Annotated[str | None, typer.Option(metavar="DOOR", help="manual or automatic.")] = None,
    ranging: Annotated[
        str | None, typer.Option(metavar="RANGING", help='"run only", "supervised" or "all day".')
    ] = None,
    hens: Annotated[str | None, typer.Option(metavar="N", help="How many hens.")] = None,
    roosters: Annotated[str | None, typer.Option(metavar="N", help="How many roosters.")] = None,
    coldest_month_low: Annotated[
        str | None, typer.Option(metavar="TEMPERATURE", help="Average night of the coldest month.")
    ] = None,
    warmest_month_high: Annotated[
        str | None, typer.Option(metavar="TEMPERATURE", help="Average day of the warmest month.")
    ] = None,
    kind: Annotated[
        str | None, typer.Option(metavar="KIND", help="bantam, light, medium or heavy.")
    ] = None,
    person: Annotated[
        str | None, typer.Option(metavar="PERSON", help="Who looks after them.")
    ] = None,
    mail: Annotated[str | None, typer.Option(metavar="ADDRESS", help="Their mail address.")] = None,
    push: Annotated[
        str | None, typer.Option(metavar="ADDRESS", help="Their push server or topic address.")
    ] = None,
    force: Annotated[
        bool, typer.Option("--force", help="Replace a profile that is already there.")
    ] = False,
) -> None:
    """Ask a few questions and write a profile."""
    from scheduler.cli.screens import init as screen  # noqa: PLC0415 - only init needs it

    said = {
        "name": name,
        "latitude": latitude,
        "longitude": longitude,
        "timezone": timezone,
        "region": region,
        "units": units,
        "coop": coop,
        "type": house,
        "floor": floor,
        "run": run,
        "run-floor": run_floor,
        "door": door,
        "coldest-month-low": coldest_month_low,
        "warmest-month-high": warmest_month_high,
        "ranging": ranging,
        "hens": hens,
        "roosters": roosters,
        "kind": kind,
        "person": person,
        "mail": mail,
        "push": push,
    }
    session = session_of(context, profile, None)
    screen.write(session.new_profile_path(), said, now=session.now, force=force)


def check(
    context: typer.Context,
    profile: ProfileOption = None,
    rules: Annotated[
        str, typer.Option("--rules", metavar="SET", help="backyard or eu.")
    ] = "backyard",
    json: JsonOption = False,
) -> None:
    """Say whether the profile can be used, and whether the house is large and safe enough."""
    from scheduler.cli.screens import check as screen  # noqa: PLC0415 - only check needs it

    screen.show(session_of(context, profile, None), rules, json=json)
