"""Addresses of people, and a test of how they are told."""

from typing import Annotated

import typer

from scheduler.cli import completion
from scheduler.cli.options import (
    DataOption,
    JsonOption,
    ProfileOption,
    YesOption,
    argument,
    flag,
    person,
    session_of,
    text,
)
from scheduler.wording.cli.help import Metavar
from scheduler.wording.cli.options import LinksOption


def links(
    context: typer.Context,
    name: Annotated[str | None, argument(Metavar.name, LinksOption.name, completion.people)] = None,
    renew: Annotated[str | None, person("--renew", LinksOption.renew)] = None,
    sign_in: Annotated[str | None, person("--sign-in", LinksOption.sign_in)] = None,
    sign_out: Annotated[str | None, text(Metavar.name, LinksOption.sign_out, "--sign-out")] = None,
    screen: Annotated[str | None, text(Metavar.name, LinksOption.screen, "--screen")] = None,
    take_back: Annotated[str | None, person("--take-back", LinksOption.take_back)] = None,
    renew_answers: Annotated[bool, flag("--renew-answers", LinksOption.renew_answers)] = False,
    alarms: Annotated[bool, flag("--alarms", LinksOption.alarms)] = False,
    yes: YesOption = False,
    profile: ProfileOption = None,
    data: DataOption = None,
    json: JsonOption = False,
) -> None:
    from scheduler.cli.screens import links as shown  # noqa: PLC0415 - only it needs it

    chosen = {
        Metavar.name(): name,
        "--renew": renew,
        "--sign-in": sign_in,
        "--screen": screen,
        "--sign-out": sign_out,
        "--take-back": take_back,
        "--renew-answers": renew_answers or None,
    }
    shown.only_one([option for option, value in chosen.items() if value is not None])
    session = session_of(context, profile, data)
    if sign_in is not None:
        shown.sign_in(session, sign_in, json=json)
    elif screen is not None:
        shown.sign_in_screen(session, screen, json=json)
    elif take_back is not None:
        shown.taken_back(session, take_back, json=json)
    elif sign_out is not None:
        shown.signed_out(session, sign_out, yes=yes, json=json)
    elif renew_answers:
        shown.answers_renewed(session, yes=yes, json=json)
    elif renew is not None:
        shown.renewed(session, renew, yes=yes, json=json)
    else:
        shown.show(session, name, alarms=alarms, json=json)


def try_alert(
    context: typer.Context,
    name: Annotated[str, argument(Metavar.name, LinksOption.to_test, completion.people)],
    profile: ProfileOption = None,
    data: DataOption = None,
    json: JsonOption = False,
) -> None:
    from scheduler.cli.screens import test_alert as screen  # noqa: PLC0415 - only it needs it

    screen.run(session_of(context, profile, data), name, json=json)
