"""Every command with its options. What a command does stands in compose and in its screen."""

import io
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli import completion
from scheduler.cli.figures_typed import Commands

if TYPE_CHECKING:
    from scheduler.cares.closing import ClosingKind
    from scheduler.cli.compose import Session

app = typer.Typer(
    name="duskfold",
    cls=Commands,
    help="When to let out, range and lock up your hens, what else is due, and calendars of it.",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _place(text: str) -> Path:
    if not text.strip():
        raise typer.BadParameter("found nothing; accepted: the name of a file or folder")
    return Path(text)


_LOG_LEVELS = ("debug", "info", "warning", "error")
ProfileOption = Annotated[
    Path | None,
    typer.Option(
        "--profile",
        "-p",
        metavar="FILE",
        parser=_place,
        help="The profile. [env: DUSKFOLD_PROFILE]",
    ),
]
DataOption = Annotated[
    Path | None,
    typer.Option(
        "--data", metavar="DIR", parser=_place, help="The data folder. [env: DUSKFOLD_DATA]"
    ),
]
DateOption = Annotated[
    str | None,
    typer.Option("--date", metavar="DATE", help="Another day, YYYY-MM-DD."),
]
FromOption = Annotated[
    str | None,
    typer.Option("--from", metavar="DATE", help="First day, YYYY-MM-DD."),
]
ToOption = Annotated[
    str | None,
    typer.Option("--to", metavar="DATE", help="Last day, YYYY-MM-DD."),
]
_PEOPLE = completion.people
JsonOption = Annotated[bool, typer.Option("--json", help="For programs: JSON, times in UTC.")]
CoopOption = Annotated[
    str | None,
    typer.Option(
        "--coop",
        metavar="ID",
        help="Only this coop, by id or name.",
        autocompletion=completion.coops,
    ),
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
    import time  # noqa: PLC0415 - as above; only its calendar function is used

    if log_level.lower() not in _LOG_LEVELS:
        raise typer.BadParameter(
            f'found "{log_level}"; accepted: {", ".join(_LOG_LEVELS)}', param_hint="--log-level"
        )
    handler = logging.StreamHandler(sys.stderr)
    formatter = logging.Formatter("%(asctime)s %(levelname)s %(message)s", "%Y-%m-%dT%H:%M:%SZ")
    formatter.converter = time.gmtime
    handler.setFormatter(formatter)
    log = logging.getLogger("scheduler")  # ours alone: libraries talk of other things
    log.handlers, log.propagate = [handler], False
    log.setLevel(log_level.upper())
    context.obj = (profile, data)


def _session(context: typer.Context, profile: Path | None, data: Path | None) -> "Session":
    from scheduler.cli.compose import Session  # noqa: PLC0415 - --help does without
    from scheduler.machine import clock  # noqa: PLC0415 - as above

    general_profile, general_data = context.obj
    return Session(
        now=clock.now(),
        profile_option=profile or general_profile,
        data_option=data or general_data,
        environment=os.environ,
    )


@app.command()
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
    session = _session(context, profile, None)
    screen.write(session.new_profile_path(), said, now=session.now, force=force)


@app.command()
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

    screen.show(_session(context, profile, None), rules, json=json)


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
    screen.show(session, first, last, day, coop, json=json)


@app.command()
def year(
    context: typer.Context,
    profile: ProfileOption = None,
    day: DateOption = None,
    json: JsonOption = False,
) -> None:
    """Show twelve months on one screen."""
    from scheduler.cli.screens import year as screen  # noqa: PLC0415 - only year needs it

    screen.show(_session(context, profile, None), day, json=json)


@app.command()
def why(
    context: typer.Context,
    job: Annotated[
        list[str],
        typer.Argument(
            metavar="JOB", help="lock-up, let-out, range, or a job.", autocompletion=completion.jobs
        ),
    ],
    profile: ProfileOption = None,
    day: DateOption = None,
    json: JsonOption = False,
) -> None:
    """Explain what makes a job due, with its figures, rule and source."""
    from scheduler.cli.screens import why as screen  # noqa: PLC0415 - only why needs it

    screen.show(_session(context, profile, None), " ".join(job), day, json=json)


YesOption = Annotated[bool, typer.Option("--yes", help="What cannot be taken back: I mean it.")]
ByOption = Annotated[
    str | None,
    typer.Option("--by", metavar="NAME", help="Who says it.", autocompletion=_PEOPLE),
]


FirstDayOption = Annotated[
    str | None, typer.Option("--from", metavar="DAY", help="First day: date, sat, today.")
]
OddOption = Annotated[bool, typer.Option("--yes", help="An odd report: I mean it.")]


@app.command()
def jobs(
    context: typer.Context,
    what: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="WHAT", help="ticked: what was ticked; undo JOB: take its last tick back."
        ),
    ] = None,
    day: DateOption = None,
    by: ByOption = None,
    profile: ProfileOption = None,
    data: DataOption = None,
    json: JsonOption = False,
) -> None:
    """List every job: its id, in the plan or not, when next, how often; or what was ticked."""
    from scheduler.cli.screens import jobs as screen  # noqa: PLC0415 - only jobs needs it

    screen.run(_session(context, profile, data), what or [], day, by, json=json)


@app.command()
def weather(
    context: typer.Context,
    what: Annotated[
        str | None,
        typer.Argument(
            metavar="WHAT",
            autocompletion=completion.reports,
            help="heat, frost, snow, storm, predator, order; or confirm, end, over, undo, again.",
        ),
    ] = None,
    detail: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="DETAIL", help="36C, -20C; nearby, tried or got-at; or a report's number."
        ),
    ] = None,
    first: FirstDayOption = None,
    last: Annotated[
        str | None, typer.Option("--to", metavar="DAY", help="Last day: date, mon, tomorrow.")
    ] = None,
    link: Annotated[str, typer.Option(metavar="URL", help="Where an order can be read.")] = "",
    who: Annotated[str, typer.Option(metavar="WHOM", help="Whom an order binds.")] = "",
    by: ByOption = None,
    yes: OddOption = False,
    profile: ProfileOption = None,
    data: DataOption = None,
    json: JsonOption = False,
) -> None:
    """Report weather, a predator or a housing order; list, end, undo reports, or undo that."""
    from scheduler.cli.screens import weather as screen  # noqa: PLC0415 - only weather needs it

    told = screen.Told(
        what=what,
        detail=" ".join(detail) if detail else None,
        first=first,
        last=last,
        link=link,
        who=who,
        by=by,
        sure=yes,
    )
    screen.run(_session(context, profile, data), told, json=json)


@app.command()
def birds(
    context: typer.Context,
    what: Annotated[
        str | None,
        typer.Argument(
            metavar="WHAT",
            autocompletion=completion.bird_reports,
            help="broody, illness, medicine; or end, over, undo, again, label.",
        ),
    ] = None,
    detail: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="DETAIL",
            autocompletion=completion.signs,
            help="The signs of an illness; the product by its label; or a report's number.",
        ),
    ] = None,
    coop: CoopOption = None,
    first: FirstDayOption = None,
    last: Annotated[
        str | None, typer.Option("--to", metavar="DAY", help="Last day, of a medicine's last dose.")
    ] = None,
    count: Annotated[str, typer.Option(metavar="BIRDS", help="How many birds.")] = "",
    note: Annotated[str, typer.Option(metavar="TEXT", help="What else you saw.")] = "",
    eggs: Annotated[
        str, typer.Option(metavar="DAYS", help="Withdrawal of eggs as the label or vet gives it.")
    ] = "",
    meat: Annotated[
        str, typer.Option(metavar="DAYS", help="Withdrawal of meat as the label or vet gives it.")
    ] = "",
    by: ByOption = None,
    yes: OddOption = False,
    profile: ProfileOption = None,
    data: DataOption = None,
    json: JsonOption = False,
) -> None:
    """Report a broody hen, an illness or a medicine; list, end, undo reports, or undo that."""
    from scheduler.cli.screens import birds as screen  # noqa: PLC0415 - only birds needs it

    told = screen.Told(
        what=what,
        detail=tuple(detail or ()),
        coop=coop or "",
        first=first,
        last=last,
        count=count,
        note=note,
        eggs=eggs,
        meat=meat,
        by=by,
        sure=yes,
    )
    screen.run(_session(context, profile, data), told, json=json)


@app.command()
def figures(
    context: typer.Context,
    profile: ProfileOption = None,
    day: DateOption = None,
    month: Annotated[
        str | None,
        typer.Option("--month", metavar="M", help="The middle of that month, 1 to 12."),
    ] = None,
    json: JsonOption = False,
) -> None:
    """Do the sums: heat, air, water, feed, bedding, light of each coop."""
    from scheduler.cli.screens import figures as screen  # noqa: PLC0415 - only figures needs it

    screen.show(_session(context, profile, None), day, month, json=json)


@app.command()
def feed(
    context: typer.Context,
    out: Annotated[
        Path, typer.Option("--out", metavar="DIR", parser=_place, help="Where the calendars go.")
    ],
    profile: ProfileOption = None,
    data: DataOption = None,
    first: FromOption = None,
    days: Annotated[
        str | None,
        typer.Option("--days", metavar="N", help="Days ahead, instead of the usual windows."),
    ] = None,
    alarms: Annotated[
        bool, typer.Option("--alarms", help="Let lock-ups ring as early as your first reminder.")
    ] = False,
    json: JsonOption = False,
) -> None:
    """Write the calendar files: evenings, jobs, seasons, all in one."""
    from scheduler.cli.screens import feed as screen  # noqa: PLC0415 - only feed needs it

    session = _session(context, profile, data)
    screen.write(session, out, since=first, ahead=days, alarms=alarms, json=json)


CountOption = Annotated[str | None, typer.Option("--count", metavar="N", help="How many birds.")]
EveningOption = Annotated[
    str | None,
    typer.Option("--evening", metavar="DATE", help="Another evening, YYYY-MM-DD."),
]


@app.command()
def closed(
    context: typer.Context,
    profile: ProfileOption = None,
    data: DataOption = None,
    coop: CoopOption = None,
    count: CountOption = None,
    by: ByOption = None,
    at: Annotated[
        str | None, typer.Option("--at", metavar="TIME", help="When, if not now: 16:52.")
    ] = None,
    evening: EveningOption = None,
    yes: Annotated[
        bool, typer.Option("--yes", help="Hours before the lock-up: I mean it.")
    ] = False,
    json: JsonOption = False,
) -> None:
    """Say that the birds are in and the door is shut; without --count: it looks like all."""
    from scheduler.cli.screens import door as screen  # noqa: PLC0415 - only these need it

    screen.run(
        _session(context, profile, data),
        "closed",
        coop=coop,
        count=count,
        who=by,
        at=at,
        evening=evening,
        sure=yes,
        json=json,
    )


@app.command()
def reopened(
    context: typer.Context,
    profile: ProfileOption = None,
    data: DataOption = None,
    coop: CoopOption = None,
    by: ByOption = None,
    evening: EveningOption = None,
    json: JsonOption = False,
) -> None:
    """Say that the door is open again: the reminders go on."""
    from scheduler.cli.screens import door as screen  # noqa: PLC0415 - only these need it

    session = _session(context, profile, data)
    screen.run(session, "reopened", coop=coop, who=by, evening=evening, json=json)


@app.command()
def found(
    context: typer.Context,
    profile: ProfileOption = None,
    data: DataOption = None,
    coop: CoopOption = None,
    count: CountOption = None,
    by: ByOption = None,
    evening: EveningOption = None,
    json: JsonOption = False,
) -> None:
    """Say that missing birds are in: all of them, or --count."""
    from scheduler.cli.screens import door as screen  # noqa: PLC0415 - only these need it

    session = _session(context, profile, data)
    screen.run(session, "found", coop=coop, count=count, who=by, evening=evening, json=json)


@app.command("not-found")
def not_found(
    context: typer.Context,
    profile: ProfileOption = None,
    data: DataOption = None,
    coop: CoopOption = None,
    count: CountOption = None,
    by: ByOption = None,
    evening: EveningOption = None,
    json: JsonOption = False,
) -> None:
    """End tonight's search without having found them: they stay missing until that is ended."""
    from scheduler.cli.screens import door as screen  # noqa: PLC0415 - only these need it

    session = _session(context, profile, data)
    screen.run(session, "not-found", coop=coop, count=count, who=by, evening=evening, json=json)


@app.command()
def dead(
    context: typer.Context,
    profile: ProfileOption = None,
    data: DataOption = None,
    coop: CoopOption = None,
    count: CountOption = None,
    by: ByOption = None,
    evening: EveningOption = None,
    json: JsonOption = False,
) -> None:
    """Say that birds have died: fewer are expected until the profile is changed."""
    from scheduler.cli.screens import door as screen  # noqa: PLC0415 - only these need it

    session = _session(context, profile, data)
    screen.run(session, "dead", coop=coop, count=count, who=by, evening=evening, json=json)


@app.command("given-up")
def given_up(
    context: typer.Context,
    profile: ProfileOption = None,
    data: DataOption = None,
    coop: CoopOption = None,
    count: CountOption = None,
    by: ByOption = None,
    evening: EveningOption = None,
    json: JsonOption = False,
) -> None:
    """Give missing birds up for lost: fewer are expected until the profile is changed."""
    from scheduler.cli.screens import door as screen  # noqa: PLC0415 - only these need it

    session = _session(context, profile, data)
    screen.run(session, "given-up", coop=coop, count=count, who=by, evening=evening, json=json)


@app.command()
def undo(
    context: typer.Context,
    profile: ProfileOption = None,
    data: DataOption = None,
    coop: CoopOption = None,
    by: ByOption = None,
    evening: EveningOption = None,
    json: JsonOption = False,
) -> None:
    """Take back what was said last of a door or its birds, within a day; the diary shows it."""
    from scheduler.cli.screens import door as screen  # noqa: PLC0415 - only these need it

    session = _session(context, profile, data)
    screen.run(session, "undone", coop=coop, who=by, evening=evening, json=json)


@app.command()
def elsewhere(
    context: typer.Context,
    profile: ProfileOption = None,
    data: DataOption = None,
    coop: CoopOption = None,
    count: CountOption = None,
    by: ByOption = None,
    evening: EveningOption = None,
    back: Annotated[bool, typer.Option("--back", help="They are back in their house.")] = False,
    json: JsonOption = False,
) -> None:
    """Say that birds sleep elsewhere (broody pen, hospital cage), or are back."""
    from scheduler.cli.screens import door as screen  # noqa: PLC0415 - only these need it

    session = _session(context, profile, data)
    kind: ClosingKind = "back" if back else "elsewhere"
    screen.run(session, kind, coop=coop, count=count, who=by, evening=evening, json=json)


@app.command()
def watch(context: typer.Context, profile: ProfileOption = None, data: DataOption = None) -> None:
    """Run the reminders until stopped."""
    raise typer.Exit(_session(context, profile, data).watch())


@app.command()
def serve(context: typer.Context, profile: ProfileOption = None, data: DataOption = None) -> None:
    """Run the reminders and the pages until stopped."""
    from scheduler.cli.screens.links import greet  # noqa: PLC0415 - only serve needs it

    raise typer.Exit(_session(context, profile, data).serve(greet))


@app.command()
def web(
    context: typer.Context,
    profile: ProfileOption = None,
    data: DataOption = None,
    until_stdin_ends: Annotated[
        bool, typer.Option("--until-stdin-ends", help="Stop when standard input ends.")
    ] = False,
) -> None:
    """Run the pages alone, beside a `watch` of its own."""
    session = _session(context, profile, data)
    raise typer.Exit(session.web(until_stdin_ends=until_stdin_ends))


@app.command()
def links(
    context: typer.Context,
    name: Annotated[
        str | None,
        typer.Argument(metavar="NAME", help="Only this person.", autocompletion=_PEOPLE),
    ] = None,
    renew: Annotated[
        str | None,
        typer.Option(
            "--renew",
            metavar="NAME",
            help="End their old addresses.",
            autocompletion=completion.people,
        ),
    ] = None,
    sign_in: Annotated[
        str | None,
        typer.Option(
            "--sign-in",
            metavar="NAME",
            help="Sign a device in, once.",
            autocompletion=completion.people,
        ),
    ] = None,
    sign_out: Annotated[
        str | None, typer.Option("--sign-out", metavar="NAME", help="Sign all their devices out.")
    ] = None,
    take_back: Annotated[
        str | None,
        typer.Option(
            "--take-back",
            metavar="NAME",
            help="Take back the sign-in links made for them.",
            autocompletion=completion.people,
        ),
    ] = None,
    renew_answers: Annotated[
        bool, typer.Option("--renew-answers", help="End the buttons of every message sent before.")
    ] = False,
    alarms: Annotated[bool, typer.Option("--alarms", help="Those with alarms.")] = False,
    yes: YesOption = False,
    profile: ProfileOption = None,
    data: DataOption = None,
    json: JsonOption = False,
) -> None:
    """Show each person's calendar addresses; renew them, or sign devices in or out."""
    from scheduler.cli.screens import links as screen  # noqa: PLC0415 - only it needs it

    chosen = {
        "NAME": name,
        "--renew": renew,
        "--sign-in": sign_in,
        "--sign-out": sign_out,
        "--take-back": take_back,
        "--renew-answers": renew_answers or None,
    }
    screen.only_one([option for option, value in chosen.items() if value is not None])
    session = _session(context, profile, data)
    if sign_in is not None:
        screen.sign_in(session, sign_in, json=json)
    elif take_back is not None:
        screen.taken_back(session, take_back, json=json)
    elif sign_out is not None:
        screen.signed_out(session, sign_out, yes=yes, json=json)
    elif renew_answers:
        screen.answers_renewed(session, yes=yes, json=json)
    elif renew is not None:
        screen.renewed(session, renew, yes=yes, json=json)
    else:
        screen.show(session, name, alarms=alarms, json=json)


@app.command("test-alert")
def try_alert(
    context: typer.Context,
    name: Annotated[
        str,
        typer.Argument(
            metavar="NAME", help="A person of the profile.", autocompletion=completion.people
        ),
    ],
    profile: ProfileOption = None,
    data: DataOption = None,
    json: JsonOption = False,
) -> None:
    """Send a person a real test over each of their channels."""
    from scheduler.cli.screens import test_alert as screen  # noqa: PLC0415 - only it needs it

    screen.run(_session(context, profile, data), name, json=json)


@app.command()
def health(
    context: typer.Context,
    profile: ProfileOption = None,
    data: DataOption = None,
    json: JsonOption = False,
    agree_clock: Annotated[
        bool,
        typer.Option(
            "--agree-clock", help="Say that this machine's clock is right, though it is doubted."
        ),
    ] = False,
    yes: YesOption = False,
) -> None:
    """Say who could be told tonight, and whether the reminders can be relied on."""
    from scheduler.cli.screens import health as screen  # noqa: PLC0415 - only it needs it

    session = _session(context, profile, data)
    if agree_clock:
        screen.agree(session, yes=yes, json=json)
    else:
        screen.show(session, json=json)


def run() -> None:
    """The program: faults of the outside world end it with a sentence and status 1."""
    from scheduler.cli.faults import told  # noqa: PLC0415 - keeps this module's import small

    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # an old code page must not end the program
    with told():
        app(prog_name="duskfold")
