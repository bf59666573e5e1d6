"""`duskfold demo`: the pages of a made-up garden, which sends nothing and keeps nothing."""

import signal
import sys
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from types import FrameType

from scheduler.cares.records import NO_RECORDS
from scheduler.cli.code_to_scan import show_code
from scheduler.cli.demo_garden import garden_text, tell_the_last_week
from scheduler.cli.faults import FAILED, by_program, complain
from scheduler.cli.screens.tables import wrapped
from scheduler.cli.terminal import is_terminal
from scheduler.cli.typed import Typed
from scheduler.machine import clock
from scheduler.machine.clock import Clock, ShiftedClock
from scheduler.machine.home_address import url_for_phones
from scheduler.machine.paths import PROFILE_NAME
from scheduler.machine.signing_key import signing_key
from scheduler.profile.text_fields import can_be_listened_on
from scheduler.service.almanac import Almanac
from scheduler.service.calendars.shelf import Shelf
from scheduler.service.data_place import DataPlace
from scheduler.service.household.accept_profile import accept_profile
from scheduler.service.household.open_profile import Household, read_profile
from scheduler.service.people.access import INVITED_FOR, invite
from scheduler.web.household_now import Lookout
from scheduler.wording.cli.demo import DemoScreen
from scheduler.wording.cli.running import PagesStart
from scheduler.wording.profile.reading_words import Addresses
from scheduler.wording.spoken import long_day_with_year

# Neither the port nor the name of the household's own pages: the browser would send them what was
# tapped here, and would be signed out there.
_USUAL_NAMES = ("//127.0.0.1:", "//localhost:")
USUAL_LISTEN = "127.0.0.1:8641"
_BEFORE_LOCK_UP = timedelta(minutes=30)
_MINUTE = timedelta(minutes=1)


def run(at: str | None, on: str | None, listen: str | None) -> int:
    """Serves the garden until asked to stop, then removes it; 0, or 1 when it cannot."""
    typed = Typed("demo")
    shown, day = typed.wall_time("--at", at), typed.day("--date", on)
    where = listen or USUAL_LISTEN
    if listen is not None and not can_be_listened_on(listen):
        typed.refuse_word("--listen", listen, Addresses.listen())
    typed.end_if_wrong()
    for one in _ASKING:
        signal.signal(one, _asked)
    try:
        with TemporaryDirectory(prefix="duskfold-demo-") as folder:
            return _serve(DataPlace(Path(folder)), where, shown, day)
    except _Asked:
        return 0


class _Asked(BaseException):
    """Somebody asked the demo to stop."""


# A terminal that is closed asks by the last.
_NAMES = ("SIGTERM", "SIGINT", "SIGHUP")
_ASKING = [getattr(signal, name) for name in _NAMES if hasattr(signal, name)]


def _tidying_up() -> None:
    """From now on nobody who asks once more keeps it from that."""
    for one in _ASKING:
        signal.signal(one, signal.SIG_IGN)


def _asked(number: int, frame: FrameType | None) -> None:
    del number, frame
    _tidying_up()
    raise _Asked


@dataclass(frozen=True, slots=True, kw_only=True)
class Garden:
    """The household, its days, and the instant at which the demo begins."""

    household: Household
    almanac: Almanac
    begins: datetime


def made_up(place: DataPlace, listen: str, shown: time | None, day: date | None) -> Garden:
    """The garden on that day, or today by its own clock, at the time that its clock is to show."""

    def household(of: date) -> Household:
        text = garden_text(of, listen)
        found = read_profile(text.encode(), PROFILE_NAME, datetime.combine(of, time(12), UTC))
        assert isinstance(found, Household), found  # noqa: S101 - it comes with the program
        return found

    zone = household(clock.now().date()).profile.site.zone
    today = day or clock.now().astimezone(zone).date()
    garden = household(today)
    # Never that of the environment: nothing of the household's own is touched.
    key = signing_key(place.folder, {})
    almanac = Almanac(household=garden, records=NO_RECORDS, ways=frozenset(), key=key)
    first = min(coop.lock_up.instant for coop in almanac.coops(today)) - _BEFORE_LOCK_UP
    begins = first.replace(second=0, microsecond=0)
    if shown is not None:
        begins = datetime.combine(today, shown, zone).astimezone(UTC)
    return Garden(household=garden, almanac=almanac, begins=begins)


def _serve(place: DataPlace, listen: str, shown: time | None, day: date | None) -> int:
    from scheduler.web.app import App, Outside  # noqa: PLC0415 - half a second to import
    from scheduler.web.server import Server  # noqa: PLC0415 - as above

    garden = made_up(place, listen, shown, day)
    household, profile = garden.household, garden.household.profile
    path = place.folder / PROFILE_NAME
    path.write_text(household.text, encoding="utf-8")
    with closing(place.open()) as journal:
        accept_profile(journal, household, garden.begins, None)
        tell_the_last_week(journal, garden.almanac, household.today(garden.begins))
        Shelf(place).publish(journal, household, garden.begins, NO_RECORDS)
        link = invite(journal, profile.site.id, profile.person[0].id, garden.begins)
    there: Clock = ShiftedClock(garden.begins - clock.now())
    app = App(
        Lookout(path, place, garden.almanac.key),
        Outside(
            read=there.read,
            send_test=lambda *_, **__: [],
            is_alive=lambda: True,
            in_force=lambda _profile: None,
            said=lambda _household: None,
            is_made_up=True,
        ),
    )
    server = Server(app, listen, ())
    try:
        bound = server.config.bind_socket()
        bound.listen()  # whoever opens the address at once is answered as soon as the pages are up
        _say_what_it_is(garden, url_for_phones(listen).replace(*_USUAL_NAMES) + link)
        # Of all that may ask, the server knows but two; within its loop nothing may be raised.
        signal.signal(_ASKING[-1], lambda _number, _frame: server.stop())
        server.run(sockets=[bound])
        _tidying_up()
    except SystemExit:
        complain(by_program(PagesStart.in_use(listen=listen)))
        return FAILED
    return 0


def _say_what_it_is(garden: Garden, url: str) -> None:
    profile, day = garden.household.profile, garden.household.today(garden.begins)
    late = garden.almanac.clock(garden.begins, day)
    print(wrapped(DemoScreen.what_it_is()))
    print(wrapped(DemoScreen.how_late(time=late, day=long_day_with_year(day))))
    minutes = round(INVITED_FOR / _MINUTE)
    print(wrapped(DemoScreen.open_it(person=profile.person[0].name, minutes=minutes)))
    print(url)
    if is_terminal(sys.stdout):
        show_code(url)
    print(DemoScreen.how_to_end(), flush=True)
