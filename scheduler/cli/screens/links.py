"""`duskfold links`: each person's own addresses, and ways to sign in."""

import shlex
import sys

from scheduler.cli.code_to_scan import show_code
from scheduler.cli.compose import Session
from scheduler.cli.faults import CANNOT_USE, by_program, complain, go_on_after
from scheduler.cli.screens.tables import as_json, table, wrapped
from scheduler.cli.terminal import is_terminal
from scheduler.cli.typed import Typed, only_one_called, only_person
from scheduler.feeds.feed_names import feeds_of
from scheduler.profile.by_name import called
from scheduler.profile.person import Person
from scheduler.profile.problem import Unreadable
from scheduler.profile.shared_screen import Screen, new_screen
from scheduler.profile.values import Profile
from scheduler.service.calendars.personal import lead_minutes
from scheduler.service.household.open_profile import Household
from scheduler.service.people.access import (
    INVITED_FOR,
    invite,
    path_of,
    renew,
    renew_answers,
    screens,
    sign_out_all,
    withdraw_all,
)
from scheduler.wording.cli.help import Metavar
from scheduler.wording.cli.household import LinksScreen
from scheduler.wording.cli.refusals import Refusals
from scheduler.wording.spoken import listed

_MINUTES = round(INVITED_FOR.total_seconds() / 60)


def only_one(chosen: list[str]) -> None:
    """Refuses two things at once: one of them would be left undone without a word."""
    if len(chosen) > 1:
        complain(by_program(Refusals.one_at_a_time(found=listed(chosen)), "links"))
        sys.exit(CANNOT_USE)


def show(session: Session, name: str | None, *, alarms: bool, json: bool) -> None:
    """Prints the addresses of everybody, or of one person."""
    household = session.household_in_force
    profile = household.profile
    people = (
        [only_person("links", Metavar.name(), name, profile)]
        if name is not None
        else list(profile.person)
    )
    known = session.passes(household)
    base, feeds = _base(profile), feeds_of(profile)
    mine = [
        (person, one, base + path_of(one, profile.site.name))
        for person in people
        for one in known
        if one.person_id == person.id
        and not one.ended
        and one.feed in feeds
        and (json or (one.alarms, one.lead_minutes) == (alarms, None))
    ]
    if json:
        facts = [
            {
                "person": person.id,
                "kind": one.kind,
                "calendar": one.feed if one.kind == "calendar" else None,
                "alarms": one.alarms,
                "minutes_before": lead_minutes(profile, one),
                "url": url,
            }
            for person, one, url in mine
        ]
        print(as_json({"links": facts}))
        return
    if not mine:
        print(LinksScreen.nobody())
        return
    rows = [
        (person.name, one.feed if one.kind == "calendar" else "tonight", url)
        for person, one, url in mine
    ]
    headings = (LinksScreen.who, LinksScreen.what, LinksScreen.address)
    print(table(rows, [heading() for heading in headings]))
    _explain(profile)


def renewed(session: Session, name: str, *, yes: bool, json: bool) -> None:
    """Ends one person's addresses and says the new ones."""
    household = session.household_in_force
    person = only_person("links", "--renew", name, household.profile)
    if not yes:
        go_on_after(LinksScreen.renew(person=person.name))
    with session.journal() as journal:
        renew(journal, household.profile.site.id, person.id, session.now, tell=household.profile)
    if not json:
        print(wrapped(LinksScreen.renewed(person=person.name)))
    show(session, person.id, alarms=False, json=json)


def signed_out(session: Session, name: str, *, yes: bool, json: bool) -> None:
    """Ends every device of one person, and every sign-in link for them."""
    profile = session.household_in_force.profile
    person = _person_or_screen(session, "--sign-out", name, profile)
    if not yes:
        go_on_after(LinksScreen.sign_out(person=person.name))
    with session.journal() as journal:
        count = sign_out_all(journal, profile.site.id, person.id)
    if json:
        print(as_json(_named(person) | {"devices": count}))
        return
    print(LinksScreen.signed_out(person=person.name, devices=count))


def taken_back(session: Session, name: str, *, json: bool) -> None:
    """Takes back every sign-in link for one person that nobody has used; devices stay signed in."""
    profile = session.household_in_force.profile
    person = _person_or_screen(session, "--take-back", name, profile)
    with session.journal() as journal:
        count = withdraw_all(journal, profile.site.id, person.id, session.now)
    if json:
        print(as_json(_named(person) | {"links": count}))
        return
    if not count:
        print(LinksScreen.none_to_cancel(person=person.name))
        return
    print(LinksScreen.cancelled(links=count, person=person.name))


def answers_renewed(session: Session, *, yes: bool, json: bool) -> None:
    """Ends the buttons of every message that was sent before."""
    profile = session.household_in_force.profile
    if not yes:
        go_on_after(LinksScreen.renew_answers())
    with session.journal() as journal:
        renew_answers(journal, profile.site.id, session.now, tell=profile)
    if json:
        print(as_json({"answers": "renewed"}))
        return
    print(LinksScreen.answers_renewed())


def sign_in(session: Session, name: str, *, json: bool) -> None:
    """Prints a link that signs a device in, once, within fifteen minutes."""
    household = session.household_in_force
    person = only_person("links", "--sign-in", name, household.profile)
    if json:
        link, ends_at = _invited(session, household, person), session.now + INVITED_FOR
        print(as_json({"person": person.id, "url": link, "ends": ends_at}))
        return
    show_invitation(session, household, person)


def sign_in_screen(session: Session, name: str, *, json: bool) -> None:
    """Prints a link that makes a device a shared screen of that name."""
    household = session.household_in_force
    try:
        screen = new_screen(name, household.profile)
    except Unreadable as wrong:
        typed = Typed("links")
        typed.refuse_word("--screen", name, wrong.accepted, wrong.hint)
        typed.give_up()
    if json:
        link, ends_at = _invited(session, household, screen), session.now + INVITED_FOR
        print(as_json({"screen": screen.name, "url": link, "ends": ends_at}))
        return
    show_invitation(session, household, screen)


def _person_or_screen(
    session: Session, option: str, name: str, profile: Profile
) -> Person | Screen:
    """Whoever, or whichever shared screen, is called so; ends with who there are."""
    if person := called(name, profile.person):
        return person
    with session.journal() as journal:
        shared = screens(journal, profile.site.id, session.now)
    known: list[Person | Screen] = [*profile.person, *shared]
    return only_one_called("links", option, name, known)


def _named(one: Person | Screen) -> dict[str, object]:
    return {"person": one.id} if isinstance(one, Person) else {"screen": one.name}


def greet(session: Session, household: Household) -> None:
    """Says where the pages are, and to whom nobody is signed in yet, how to begin."""
    profile = household.profile
    print(LinksScreen.pages(site=profile.site.name, url=_base(profile)), flush=True)
    if not profile.person or session.is_anybody_signed_in(household):
        return
    first = profile.person[0]
    how = LinksScreen.how_to_sign_in(program=session.program, person=first.id)
    print(how, flush=True)
    if is_terminal(sys.stdout):
        show_invitation(session, household, first)


def show_invitation(session: Session, household: Household, person: Person | Screen) -> None:
    """The link, and on a terminal its picture to scan."""
    link = _invited(session, household, person)
    print(LinksScreen.invitation(person=person.name, minutes=_MINUTES))
    print(link)
    named = person.id if isinstance(person, Person) else shlex.quote(person.name)
    print(LinksScreen.how_to_cancel(program=session.program, person=named))
    if is_terminal(sys.stdout):
        show_code(link)
    _explain(household.profile)


def _invited(session: Session, household: Household, person: Person | Screen) -> str:
    profile = household.profile
    with session.journal() as journal:
        return _base(profile) + invite(journal, profile.site.id, person.id, session.now)


def _explain(profile: Profile) -> None:
    if profile.web.base_url is None:
        print(wrapped(LinksScreen.this_machine()))


def _base(profile: Profile) -> str:
    return profile.web.base_url or profile.web.local_url
