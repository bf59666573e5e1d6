"""Runs the pages: in a process of their own, beside the reminders or alone."""

import logging
import sys
import threading
from collections.abc import Callable, Mapping
from contextlib import closing, suppress
from functools import partial
from pathlib import Path
from socket import gethostname
from typing import TYPE_CHECKING, Any

from scheduler.cli.faults import CANNOT_USE, FAILED, by_program, complain, failed_on
from scheduler.journal.fault import JournalFault
from scheduler.journal.store import Journal
from scheduler.machine.child_process import KeptRunning
from scheduler.machine.clock import Clock, Readings, SystemClock
from scheduler.machine.paths import JOURNAL_NAME
from scheduler.machine.secrets import secret
from scheduler.machine.signing_key import signing_key
from scheduler.profile.servers import Web
from scheduler.profile.text_fields import can_be_listened_on
from scheduler.profile.values import Profile
from scheduler.service.data_place import DataPlace
from scheduler.service.health.pulses import last_pulse
from scheduler.service.health.tick_file import Pulse, is_beating, read_pulse
from scheduler.service.household.open_profile import Household
from scheduler.service.household.reload import has_profile
from scheduler.service.people.open_channels import NOTHING, lacking
from scheduler.service.people.phones import OwnKey, public_key
from scheduler.service.people.test_message import send_test
from scheduler.watch.journal_recovery import COPIES
from scheduler.web.household_now import BUSY_MS, Lookout, NoHousehold
from scheduler.wording.cli.refusals import Faults
from scheduler.wording.cli.running import PagesStart

if TYPE_CHECKING:
    from starlette.types import ASGIApp

FIRST_LISTEN = "0.0.0.0:8640"  # a phone of the home network is to get there
REMINDERS_BEGIN_WITHIN_S = 6.0  # the reminders begin in one or two seconds
_ALIVE_FOR_S = 5.0  # strangers may ask as often as they like
_log = logging.getLogger(__name__)


def run_web(  # noqa: PLR0913 - what a composition root hands in
    path: Path,
    place: DataPlace,
    environment: Mapping[str, str],
    *,
    until_stdin_ends: bool = False,
    first_run: bool = False,
    clock: Clock | None = None,
    wired: Mapping[str, Any] = NOTHING,
) -> int:
    """Serves until asked to stop; 0, or 1 when the address or the journal cannot be used.

    `wired` is for a test's own push service.

    `first_run`: where there is no profile yet, its first questions are asked until there is one.
    """
    # Half a second to import, on a small computer more: commands without pages do without.
    from scheduler.web.memory_limit import bound_memory  # noqa: PLC0415
    from scheduler.web.server import Server  # noqa: PLC0415

    clock = clock or SystemClock()
    listen = environment.get("DUSKFOLD_LISTEN", "")
    asks = first_run and not has_profile(path, place)
    opened = _opened(path, place, environment, clock, asks=asks)
    if isinstance(opened, int):
        return opened
    lookout, web = opened
    if listen and not can_be_listened_on(listen):
        complain(by_program(PagesStart.bad_listen(listen=listen)))
        return CANNOT_USE
    bound_memory()  # it is a server now, and nothing else
    where = listen or (FIRST_LISTEN if asks else web.listen)

    def moved(profile: Profile) -> None:
        # Another address is listened on by another process: whoever started this one sees to it.
        elsewhere = not listen and profile.web.listen != where
        # The pages that follow a first run heed the proxies of the profile by themselves.
        if elsewhere or (not asks and profile.web.trusted_proxies != web.trusted_proxies):
            server.stop()

    def app_of(lookout: Lookout) -> "ASGIApp":
        return _app(lookout, place, environment, clock, moved, listen, wired)

    app = app_of(lookout)
    if first_run:
        app = _gate(path, place, clock, where, partial(_behind_proxies, app, lookout, clock))
    server = Server(app, where, web.trusted_proxies)
    if until_stdin_ends:
        server.stop_with_stdin()
    try:
        server.run()
    except SystemExit:
        complain(by_program(PagesStart.in_use(listen=where)))
        return FAILED
    return 0


def _opened(
    path: Path, place: DataPlace, environment: Mapping[str, str], clock: Clock, *, asks: bool
) -> tuple[Lookout, Web] | int:
    """What the pages look at and where they are reached, or the exit status after a complaint.

    While the first questions are asked, nothing is looked at yet.
    """
    try:
        secret_of, own_key = partial(secret, environment=environment), OwnKey(place, environment)
        lookout = Lookout(
            path,
            place,
            signing_key(place.folder, environment),
            lacks_of=lambda profile: lacking(profile, secret_of),
            key_id=lambda: own_key.key_id,
        )
        if asks:
            return lookout, Web()
        _make_journal(place)
        return lookout, _web(lookout, clock)
    except JournalFault as fault:
        complain(by_program(Faults.data_file(why=fault)))
        return FAILED
    except NoHousehold as fault:
        complain(*map(str, fault.problems), by_program(PagesStart.not_started()))
        return CANNOT_USE
    except OSError as error:
        return failed_on(path, error)


def _web(lookout: Lookout, clock: Clock) -> Web:
    return lookout.standing(clock.read().wall).household.profile.web


def _app(  # noqa: PLR0913, PLR0917 - what the pages need of the world
    lookout: Lookout,
    place: DataPlace,
    environment: Mapping[str, str],
    clock: Clock,
    moved: Callable[[Profile], None],
    listen: str,
    wired: Mapping[str, Any],
) -> "ASGIApp":
    """The usual pages."""
    from scheduler.web.app import App, Outside  # noqa: PLC0415 - as above

    return App(
        lookout,
        Outside(
            read=clock.read,
            send_test=lambda profile, person_id, phone_id=None: send_test(
                profile,
                person_id,
                place,
                environment,
                phone_id=phone_id,
                wired=wired,
                now=lambda: clock.read().wall,
                migrate=False,
            ),
            phone_key=lambda site_id: public_key(place, environment, site_id),
            is_alive=_alive(place, clock),
            in_force=moved,
            said=_taking_back(place, environment, clock),
            listen=listen,
        ),
    )


def _gate(
    path: Path, place: DataPlace, clock: Clock, where: str, usual: "Callable[[], ASGIApp]"
) -> "ASGIApp":
    """The pages of the first run in front of the usual ones."""
    from scheduler.web.first_run.gate import Gate  # noqa: PLC0415 - as above
    from scheduler.web.first_run.pages import FirstPages  # noqa: PLC0415 - as above
    from scheduler.web.guards import hosts_of  # noqa: PLC0415 - as above
    from scheduler.web.rate_limit import Misses  # noqa: PLC0415 - as above

    misses = Misses(lambda: clock.read().monotonic_s)
    pages = FirstPages(place, where, clock.read, misses, patience_s=REMINDERS_BEGIN_WITHIN_S)
    return Gate(
        pages,
        usual,
        partial(has_profile, path, place),
        hosts_of(None, where, gethostname()),
        misses,
    )


def _behind_proxies(app: "ASGIApp", lookout: Lookout, clock: Clock) -> "ASGIApp":
    """The usual pages after a first run, when the server has long begun without proxies."""
    from uvicorn.middleware.proxy_headers import ProxyHeadersMiddleware  # noqa: PLC0415 - as above

    try:
        _make_journal(lookout.place)
        proxies = _web(lookout, clock).trusted_proxies
    except (JournalFault, NoHousehold, OSError):  # the pages themselves say so
        proxies = ()
    if not proxies:
        return app
    # uvicorn types what it wraps more narrowly than Starlette does.
    wrapped: ASGIApp = ProxyHeadersMiddleware(app, list(proxies))  # type: ignore[arg-type,assignment]
    return wrapped


def _taking_back(
    place: DataPlace, environment: Mapping[str, str], clock: Clock
) -> Callable[[Household], None]:
    """While the reminders are not running, what push servers hold is taken back from here."""

    def work(household: Household) -> None:
        from scheduler.watch.take_back_held import instead_of_the_reminders  # noqa: PLC0415 - TLS

        try:
            with closing(place.open(migrate=False)) as journal:
                instead_of_the_reminders(journal, household, place, environment, clock.read())
        except (JournalFault, OSError) as fault:
            _log.warning("held.not_taken_back reason=%s", type(fault).__name__)

    def said(household: Household) -> None:
        # A server is asked in the thread, whether anybody reminds: the page does not wait for it.
        if place.server or not is_beating(read_pulse(place.folder), clock.read()):
            threading.Thread(target=work, args=(household,), daemon=True).start()

    return said


def _make_journal(place: DataPlace) -> None:
    """Begins a journal where there has never been one; a lost one is for the reminders to mend."""
    if place.server:
        return
    if not any((place.folder / name).exists() for name in (JOURNAL_NAME, *COPIES)):
        place.open().close()


def beside(path: Path, place: DataPlace, *, first_run: bool = False) -> KeptRunning:
    """The pages as a child of this process, started again whenever they end.

    With a safe path: what lies in the working directory is no code of ours.
    """
    given = ["--profile", str(path), "--data", str(place.folder), "--until-stdin-ends"]
    given += ["--first-run"] if first_run else []
    # Not as an option: every user of the machine may read those, and a password stands in it.
    told = {"DUSKFOLD_JOURNAL": place.server} if place.server else {}
    return KeptRunning([sys.executable, "-P", "-m", "scheduler", "web", *given], told)


def _alive(place: DataPlace, clock: Clock) -> Callable[[], bool]:
    """Whether the reminders' ticks come; looked at every five seconds at most."""
    told: tuple[float, bool] = (float("-inf"), False)
    opened: Journal | None = None

    def pulse(readings: Readings) -> Pulse | None:
        nonlocal opened
        if place.server and opened is None:
            with suppress(JournalFault):
                opened = place.open(wait_ms=BUSY_MS, migrate=False)
        return last_pulse(place, opened, readings)

    def is_alive() -> bool:
        nonlocal told
        readings = clock.read()
        if readings.monotonic_s - told[0] >= _ALIVE_FOR_S:
            told = (readings.monotonic_s, is_beating(pulse(readings), readings))
        return told[1]

    return is_alive
