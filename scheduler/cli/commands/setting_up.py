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
from scheduler.wording.cli.help import Metavar
from scheduler.wording.cli.options import InitOption


def init(
    context: typer.Context,
    profile: ProfileOption = None,
    name: Annotated[str | None, text(Metavar.place, InitOption.name)] = None,
    latitude: Annotated[str | None, text(Metavar.degrees, InitOption.latitude)] = None,
    longitude: Annotated[str | None, text(Metavar.degrees, InitOption.longitude)] = None,
    timezone: Annotated[
        str | None,
        text(Metavar.zone, InitOption.timezone),
    ] = None,
    region: Annotated[str | None, text(Metavar.region, InitOption.region)] = None,
    units: Annotated[str | None, text(Metavar.units, InitOption.units)] = None,
    elevation: Annotated[str | None, text(Metavar.height, InitOption.elevation)] = None,
    coop: Annotated[str | None, text(Metavar.house, InitOption.coop)] = None,
    house: Annotated[str | None, text(Metavar.type, InitOption.type, "--type")] = None,
    floor: Annotated[str | None, text(Metavar.size, InitOption.floor)] = None,
    run: Annotated[str | None, text(Metavar.run, InitOption.run)] = None,
    run_floor: Annotated[str | None, text(Metavar.size, InitOption.run_floor)] = None,
    door: Annotated[str | None, text(Metavar.door, InitOption.door)] = None,
    ranging: Annotated[str | None, text(Metavar.ranging, InitOption.ranging)] = None,
    hens: Annotated[str | None, text(Metavar.n, InitOption.hens)] = None,
    roosters: Annotated[str | None, text(Metavar.n, InitOption.roosters)] = None,
    coldest_month_low: Annotated[str | None, text(Metavar.temperature, InitOption.coldest)] = None,
    warmest_month_high: Annotated[str | None, text(Metavar.temperature, InitOption.warmest)] = None,
    forecast: Annotated[str | None, text(Metavar.service, InitOption.forecast)] = None,
    kind: Annotated[str | None, text(Metavar.kind, InitOption.kind)] = None,
    person: Annotated[str | None, text(Metavar.person, InitOption.person)] = None,
    mail: Annotated[str | None, text(Metavar.address, InitOption.mail)] = None,
    push: Annotated[str | None, text(Metavar.address, InitOption.push)] = None,
    force: Annotated[bool, flag("--force", InitOption.force)] = False,
) -> None:
    from scheduler.cli.screens import init as screen  # noqa: PLC0415 - only init needs it

    said = {
        "name": name,
        "latitude": latitude,
        "longitude": longitude,
        "timezone": timezone,
        "region": region,
        "units": units,
        "elevation": elevation,
        "coop": coop,
        "type": house,
        "floor": floor,
        "run": run,
        "run-floor": run_floor,
        "door": door,
        "coldest-month-low": coldest_month_low,
        "warmest-month-high": warmest_month_high,
        "forecast": forecast,
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
    from scheduler.cli.screens import accept as screen  # noqa: PLC0415 - --help does without

    screen.accept(session_of(context, profile, data), yes=yes, json=json)


def check(
    context: typer.Context,
    profile: ProfileOption = None,
    rules: Annotated[str, text(Metavar.set, InitOption.rules, "--rules")] = "backyard",
    json: JsonOption = False,
) -> None:
    from scheduler.cli.screens import check as screen  # noqa: PLC0415 - only check needs it

    screen.show(session_of(context, profile, None), rules, json=json)
