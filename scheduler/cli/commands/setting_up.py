"""Write a profile, and check it."""

from typing import Annotated

import typer

from scheduler.cli.options import (
    DataOption,
    JsonOption,
    ProfileOption,
    YesOption,
    flag,
    session_of,
    text,
)


def init(
    context: typer.Context,
    profile: ProfileOption = None,
    name: Annotated[str | None, text("PLACE", "What you call the place.")] = None,
    latitude: Annotated[
        str | None, text("DEGREES", "Degrees north, such as 44.3 or 44°18'N.")
    ] = None,
    longitude: Annotated[str | None, text("DEGREES", "Degrees east; west is negative.")] = None,
    timezone: Annotated[
        str | None,
        text("ZONE", "Such as Europe/Paris; worked out from the place if you leave it out."),
    ] = None,
    region: Annotated[str | None, text("REGION", "US, UK, EU, AU or other.")] = None,
    units: Annotated[str | None, text("UNITS", "metric, us or uk.")] = None,
    coop: Annotated[str | None, text("HOUSE", "What you call the house.")] = None,
    house: Annotated[str | None, text("TYPE", "fixed or ark.", "--type")] = None,
    floor: Annotated[str | None, text("SIZE", 'The floor inside, such as "4 ft x 8 ft".')] = None,
    run: Annotated[str | None, text("RUN", "secure or open.")] = None,
    run_floor: Annotated[str | None, text("SIZE", "The size of the run.")] = None,
    door: Annotated[str | None, text("DOOR", "manual or automatic.")] = None,
    ranging: Annotated[
        str | None, text("RANGING", '"run only", "supervised" or "all day".')
    ] = None,
    hens: Annotated[str | None, text("N", "How many hens.")] = None,
    roosters: Annotated[str | None, text("N", "How many roosters.")] = None,
    coldest_month_low: Annotated[
        str | None, text("TEMPERATURE", "The average night low in the coldest month.")
    ] = None,
    warmest_month_high: Annotated[
        str | None, text("TEMPERATURE", "The average day high in the warmest month.")
    ] = None,
    kind: Annotated[str | None, text("KIND", "bantam, light, medium or heavy.")] = None,
    person: Annotated[str | None, text("PERSON", "Who looks after them.")] = None,
    mail: Annotated[str | None, text("ADDRESS", "Their mail address.")] = None,
    push: Annotated[
        str | None, text("ADDRESS", "The address of their push server or topic.")
    ] = None,
    force: Annotated[bool, flag("--force", "Replace a profile that is already there.")] = False,
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


def accept(
    context: typer.Context,
    profile: ProfileOption = None,
    data: DataOption = None,
    yes: YesOption = False,
    json: JsonOption = False,
) -> None:
    """Use this profile on every host that shares the database."""
    from scheduler.cli.screens import accept as screen  # noqa: PLC0415 - --help does without

    screen.accept(session_of(context, profile, data), yes=yes, json=json)


def check(
    context: typer.Context,
    profile: ProfileOption = None,
    rules: Annotated[str, text("SET", "backyard or eu.", "--rules")] = "backyard",
    json: JsonOption = False,
) -> None:
    """Check that the profile can be used, and that the house is big enough and safe."""
    from scheduler.cli.screens import check as screen  # noqa: PLC0415 - only check needs it

    screen.show(session_of(context, profile, None), rules, json=json)
