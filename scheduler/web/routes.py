"""Which address shows which page, and how often what may be done without end may be done."""

from collections.abc import Callable, Iterator
from functools import partial

from starlette.requests import Request
from starlette.responses import FileResponse, PlainTextResponse, RedirectResponse, Response
from starlette.routing import BaseRoute, Mount, Route
from starlette.staticfiles import StaticFiles

from scheduler.service.household.open_profile import Household
from scheduler.web import backup_download
from scheduler.web.door_forms import is_closing
from scheduler.web.from_workers import FromWorkers
from scheduler.web.last_results import Plans
from scheduler.web.page_requests import Endpoint, PageRequests, View
from scheduler.web.rate_limit import Misses
from scheduler.web.render import HERE
from scheduler.web.request_and_answer import Answer, Visit
from scheduler.web.views import (
    about,
    add,
    begun,
    birds,
    change,
    change_versions,
    coop,
    evening,
    people,
    said_and_done,
    subscribe,
    today,
    weather,
    week,
)
from scheduler.web.views.coop import Coops
from scheduler.web.views.door_card import DoorCards
from scheduler.web.views.flock import Flocks
from scheduler.web.views.phone import Phones
from scheduler.web.views.status import Status
from scheduler.web.views.year import Years

_ROBOTS = "User-agent: *\nAllow: /calendar/\nDisallow: /\n"
# In ten minutes and of one person: more is a program, or somebody else at their phone.
MOST_TESTS, MOST_REPORTS, MOST_INVITATIONS = 5, 30, 20
MOST_FILES = 20
# Who sets a phone up rings it aloud, with Do Not Disturb, and once more after each setting.
MOST_RINGS = 20
# Of a door, besides that it is shut: by whoever is signed in, and by the link of a message.
MOST_CHANGES, MOST_ANSWERS = 30, 12
# Of the profile: whoever measures a house looks at each card before it is kept.
MOST_EDITS = 200
_OFTEN_WITHIN_S = 600.0
# Where a form was answered and the page is loaded again.
_BACK = {
    "/door": "/",
    "/jobs": "/",
    "/eggs": "/",
    "/add/end": "/add",
    "/add/came": "/add",
    "/add/came/undo": "/add",
    "/add/feed": "/add",
    "/weather/end": "/add",
    "/weather/forecast": "/weather",
    "/birds/end": "/birds",
    "/birds/came": "/birds",
    "/birds/came/undo": "/birds",
    "/diary/change": "/diary",
    "/status/test": "/status",
    "/backup-alarm": "/subscribe",
    "/phone/ring": "/phone",
    "/phone/rang": "/phone",
    "/phone/app": "/phone",
    "/phone/app/test": "/phone",
    "/sign-in": "/",
    "/begun/test": "/begun",
    "/begun/invite": "/begun",
    "/people/invite": "/people",
    "/people/screen": "/people",
    "/people/withdraw": "/people",
}


def page_routes(
    desk: PageRequests,
    status: Status,
    monotonic_s: Callable[[], float],
    said: Callable[[Household], None],
    phones: Phones,
) -> list[BaseRoute]:
    """The routes of every page and of what pages load; `said` hears when a door was spoken of."""

    def most(count: int) -> Misses:
        return Misses(monotonic_s, count, _OFTEN_WITHIN_S)

    return [
        *_of_the_birds(desk, most, said, phones),
        *_of_the_house(desk, status, most),
        *_of_phones(desk, most, said, phones),
        *_of_the_profile(desk, most),
        *_by_link(desk, most, said),
        *open_to_all(),
    ]


def route(path: str, endpoint: Endpoint, method: str = "GET") -> Route:
    """The route of that method alone."""
    return Route(path, endpoint, methods=[method])


_Most = Callable[[int], Misses]


def _of_the_birds(
    desk: PageRequests, most: _Most, hear: Callable[[Household], None], phones: Phones
) -> Iterator[Route]:
    """What a keeper does, and what is to be done."""
    page, plans, reports = desk.page, Plans(), most(MOST_REPORTS)
    said = _telling(partial(today.said, plans=plans), hear)
    yield route("/", page(partial(today.show, plans=plans, compare=phones.to_compare)))
    yield route("/door", page(said, often=most(MOST_CHANGES), freely=is_closing), "POST")
    yield route("/jobs", page(partial(today.ticked, plans=plans)), "POST")
    eggs = page(partial(today.collected, plans=plans), often=reports)
    yield route("/eggs", eggs, "POST")
    yield route("/week", page(partial(week.show, plans=plans)))
    yield route("/year", page(Years().show, aside=True))
    yield route("/add", page(add.PAGE.show))
    yield route("/weather", page(weather.show))
    for path in ("/add", "/weather"):  # which a page that was opened before an update still asks
        yield route(path, page(add.PAGE.make, often=reports), "POST")
        yield route(f"{path}/end", page(add.PAGE.end), "POST")
    yield route("/add/feed", page(add.feed, often=reports), "POST")
    yield route("/weather/forecast", page(weather.forecast_answered), "POST")
    yield route("/birds", page(birds.PAGE.show))
    yield route("/birds", page(birds.PAGE.make, often=reports), "POST")
    yield route("/birds/end", page(birds.PAGE.end), "POST")
    changes = most(MOST_CHANGES)
    for path, came, undone in (
        ("/birds/came", birds.came, birds.came_undone),
        ("/add/came", add.came, add.came_undone),
    ):
        yield route(path, page(_telling(came, hear), often=changes), "POST")
        yield route(f"{path}/undo", page(_telling(undone, hear), often=changes), "POST")
    taken_back = page(_telling(said_and_done.changed, hear), often=most(MOST_CHANGES))
    yield route("/diary", page(said_and_done.show))
    yield route("/diary/change", taken_back, "POST")


def _of_the_house(desk: PageRequests, status: Status, most: _Most) -> Iterator[Route]:
    """Figures, calendars, health, people."""
    page = desk.page
    yield route("/flock", page(Flocks().show, aside=True))
    yield route("/coop", page(Coops().show, aside=True))
    yield route("/why/{job}", page(coop.why, aside=True))
    yield route("/subscribe", page(subscribe.show))
    yield route("/card", page(DoorCards().show, aside=True))
    fetched = page(backup_download.pressed, often=most(MOST_FILES))
    yield route("/backup-alarm", fetched, "POST")
    yield route("/status", page(status.show))
    yield route("/status/test", page(status.test, aside=True, often=most(MOST_TESTS)), "POST")
    yield route("/status/clock", page(status.ask_about_the_clock))
    yield route("/status/clock", page(status.agree), "POST")
    yield route("/begun", page(partial(begun.show, status=status)))
    tests = page(partial(status.test, back="/begun"), aside=True, often=most(MOST_TESTS))
    yield route("/begun/test", tests, "POST")
    yield route("/people", page(people.show))
    invited = most(MOST_INVITATIONS)
    yield route("/people/invite", page(people.invite, often=invited), "POST")
    lets_in = page(partial(begun.invite, status=status), often=invited)
    yield route("/begun/invite", lets_in, "POST")
    yield route("/people/screen", page(people.invite_screen, often=invited), "POST")
    yield route("/people/withdraw", page(people.withdraw), "POST")
    yield route("/people/end", page(people.ask_to_end))
    yield route("/people/end", page(people.end), "POST")
    yield route("/more", page(people.more))
    yield route("/about", page(about.show))


def _of_phones(
    desk: PageRequests, most: _Most, hear: Callable[[Household], None], phones: Phones
) -> Iterator[Route]:
    """A person's own phones, and what comes home from them."""
    page, rings = desk.page, most(MOST_RINGS)
    yield route("/phone", page(phones.show))
    yield route("/phone", page(phones.add, aside=True, often=rings), "POST")
    yield route("/phone/ring", page(phones.ring, aside=True, often=rings), "POST")
    yield route("/phone/rang", page(phones.rang), "POST")
    yield route("/phone/end", page(phones.ask_to_end))
    yield route("/phone/end", page(phones.end), "POST")
    yield route("/phone/app", page(phones.set_up_app, often=most(MOST_CHANGES)), "POST")
    tests = page(phones.test_app, aside=True, often=most(MOST_TESTS))
    yield route("/phone/app/test", tests, "POST")
    home = FromWorkers(desk, most(MOST_ANSWERS), hear)
    yield route("/answer", home.answer, "POST")
    yield route("/arrived", home.arrived, "POST")


def _of_the_profile(desk: PageRequests, most: _Most) -> Iterator[Route]:
    """What the profile holds, and what it was changed to."""
    page, edits = desk.page, most(MOST_EDITS)
    yield route("/change", page(change.overview))
    yield route("/change/versions", page(change_versions.show))
    yield route("/change/put-back", page(change_versions.ask_to_put_back))
    yield route("/change/put-back", page(change_versions.put_back, often=edits), "POST")
    yield route("/change/take-over", page(change_versions.ask_to_take_over))
    yield route("/change/take-over", page(change_versions.take_over), "POST")
    yield route("/change/jobs-by-day", page(change.JobsByDay().show, aside=True))
    yield route("/change/jobs/{job}", page(change.job))
    yield route("/change/{section}", page(change.section))
    yield route("/change/{section}", page(change.sent, often=edits), "POST")


def _by_link(desk: PageRequests, most: _Most, hear: Callable[[Household], None]) -> Iterator[Route]:
    """What the links of messages lead to; nobody need be signed in."""
    page = partial(desk.page, signed_in=False)
    answer = partial(page, often=most(MOST_ANSWERS), freely=is_closing)
    for path in ("/evening/{day}/{subject}/{person}/{token}", "/evening/{day}/{person}/{token}"):
        yield route(path, page(evening.show))
        yield route(path, answer(_telling(evening.said, hear)), "POST")
    yield route("/subscribe/{token}", page(subscribe.one))
    yield route("/sign-in", page(people.signed_out, guesses=True), "POST")
    yield route("/sign-in/{secret}", page(people.welcome))
    yield route("/sign-in/{secret}", page(people.enter), "POST")


def open_to_all() -> Iterator[BaseRoute]:
    """What is shown to anybody: what pages load, and what crawlers ask."""
    yield route("/robots.txt", _robots)
    yield route("/worker.js", _worker)
    yield route("/favicon.ico", _icon)
    yield Mount("/static", StaticFiles(directory=HERE / "static"))
    for path, to in _BACK.items():
        yield route(path, partial(_back, to=to))


def _telling(view: View, hear: Callable[[Household], None]) -> View:
    def said(visit: Visit) -> Answer | None:
        answer = view(visit)
        hear(visit.standing.household)
        return answer

    return said


async def _back(_: Request, *, to: str) -> Response:
    return RedirectResponse(to, 303)


async def _robots(_: Request) -> Response:
    return PlainTextResponse(_ROBOTS)


async def _worker(_: Request) -> Response:
    # At the root, because a worker sees only what lies below it.
    return FileResponse(HERE / "static" / "worker.js", media_type="text/javascript")


async def _icon(_: Request) -> Response:
    return FileResponse(HERE / "static" / "icon-192.png")
