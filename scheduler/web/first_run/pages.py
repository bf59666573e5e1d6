"""The pages of the first run: the key, one small step a page, and the moment when all is kept."""

import asyncio
import hmac
import ipaddress
import logging
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from dataclasses import dataclass, replace
from datetime import datetime
from functools import partial
from pathlib import Path
from secrets import token_urlsafe
from typing import TypeVar
from urllib.parse import urlsplit

from starlette.applications import Starlette
from starlette.datastructures import Headers
from starlette.requests import Request, cookie_parser
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import Receive, Scope, Send

from scheduler.journal.fault import JournalFault
from scheduler.machine.clock import Readings
from scheduler.machine.paths import PROFILE_NAME
from scheduler.machine.secrets import keep_secret
from scheduler.profile.load import Problems
from scheduler.service.data_place import DataPlace
from scheduler.service.first_run.begin_household import begin_household, sign_in_owner
from scheduler.service.first_run.first_key import hash_of, is_good, use_up
from scheduler.service.first_run.read_answers import Wrong, first_wrong, wrong_in
from scheduler.service.first_run.so_far import Fields, SoFar, forget, read_so_far, write_so_far
from scheduler.service.first_run.steps import (
    FIELDS,
    LOOK_OVER,
    MOST_HOUSES,
    houses,
    kind_and_number,
    next_step,
    steps_of,
    without_house,
)
from scheduler.service.health.tick_file import is_beating, read_pulse
from scheduler.service.household.exposure import with_topic
from scheduler.service.household.open_profile import Household, open_profile
from scheduler.service.household.reload import has_profile, last_accepted
from scheduler.service.people import access
from scheduler.web import guards
from scheduler.web.early_refusals import TOO_MANY
from scheduler.web.first_run.step_facts import facts_of
from scheduler.web.page_headers import MAY_LOCATE
from scheduler.web.page_requests import refusal_for
from scheduler.web.place_typed import Choice, read_typed
from scheduler.web.rate_limit import Misses
from scheduler.web.render import Renderer, cookie_name, is_https, set_session
from scheduler.web.routes import open_to_all, route
from scheduler.web.views.subscribe import qr

PREFIX = "/begin"
COOKIE = "duskfold-first-run"
PROXIES_HERE = "127.0.0.1/32 ::1/128"
# Where container programs put their own networks by default (from memory).
_CONTAINERS = ipaddress.ip_network("172.16.0.0/12")
_LONGEST_FIELD = 400
_LOOK_EVERY_S = 0.1
_log = logging.getLogger(__name__)
T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Form:
    """A form as it came: every field by its last value."""

    fields: Mapping[str, str]

    def of(self, kind: str) -> Fields:
        """The fields that the step asks for."""
        return {name: self.fields.get(name, "") for name in FIELDS[kind]}


class FirstPages:
    """Everything that is answered under the first run's address, one request at a time."""

    def __init__(
        self,
        place: DataPlace,
        listen: str,
        read: Callable[[], Readings],
        misses: Misses,
        *,
        patience_s: float,
    ) -> None:
        """`listen` is where the profile is to say that the pages listen.

        `patience_s` is how long whoever has answered waits at most for the reminders to begin.
        """
        self._place = place
        self._listen = listen
        self._read_clocks = read
        self._patience_s = patience_s
        self._misses = misses
        self._so_far = read_so_far(place.folder)
        self._renderer = Renderer()
        self._thread = ThreadPoolExecutor(1, "duskfold-first-run")
        step = f"{PREFIX}/{{step}}"
        self._app = Starlette(
            routes=[
                route("/", self._start),
                route(PREFIX, self._start),
                route(f"{PREFIX}/with/{{key}}", self._offer_key),
                route(f"{PREFIX}/with/{{key}}", self._take_key, "POST"),
                route(f"{PREFIX}/keep", self._start),
                route(f"{PREFIX}/keep", self._keep, "POST"),
                route(step, self._show),
                route(step, self._answer, "POST"),
                *open_to_all(),
                route("/live", _not_yet),
            ],
            exception_handlers={404: self._missed, 405: self._missed},
        )
        self._app.router.redirect_slashes = False

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        await self._app(scope, receive, send)

    # -- from the answers to the usual pages ------------------------------------------------------

    def is_awaited(self) -> bool:
        """Whether the answers are kept, and whoever gave them has not been seen signed in yet."""
        if self._so_far.kept_at is None:
            return False
        if self._so_far.may_ask_again(self._now()):
            return True
        self._forget()
        return False

    def note_arrival(self, scope: Scope) -> None:
        """Forgets the answers once whoever gave them comes with the session that they were given.

        Until then a phone that never got the answer may ask again.
        """
        cookies = cookie_parser(Headers(scope=scope).get("cookie", ""))
        given = cookies.get(cookie_name(None)) or cookies.get(cookie_name("https://"))
        if given and access.session_hash(given) == self._so_far.session_hash:
            self._forget()

    def close(self) -> None:
        """Ends the thread once its work is done."""
        self._thread.shutdown()

    def _forget(self) -> None:
        self._so_far = SoFar()
        try:
            forget(self._place.folder)
        except OSError as fault:
            _log.warning("first_run.not_forgotten reason=%s", type(fault).__name__)

    # -- the key ----------------------------------------------------------------------------------

    async def _start(self, request: Request) -> Response:
        if not self._is_theirs(request):
            return self._page("begin-closed.html", 403)
        return self._next()

    async def _offer_key(self, request: Request) -> Response:
        if self.is_awaited() or not is_good(self._place.folder, request.path_params["key"]):
            return await self._missed(request, None)
        is_begun = bool(self._so_far.steps)
        return self._page("begin-key.html", facts={"is_begun": is_begun})

    async def _take_key(self, request: Request) -> Response:
        form = await self._form(request)
        if isinstance(form, Response):
            return form
        if self.is_awaited() or not use_up(self._place.folder, request.path_params["key"]):
            return await self._missed(request, None)
        cookie = token_urlsafe(24)
        if fault := await self._write(replace(self._so_far, cookie_hash=hash_of(cookie))):
            return fault
        response = self._next()
        # For as long as the browser is open: on every page it is asked for anew by the key.
        response.set_cookie(
            COOKIE,
            cookie,
            path="/",
            httponly=True,
            samesite="strict",
            secure=bool(_https_address(request)),
        )
        return response

    def _is_theirs(self, request: Request) -> bool:
        given = request.cookies.get(COOKIE, "")
        kept = self._so_far.cookie_hash
        return bool(given and kept) and hmac.compare_digest(hash_of(given), kept)

    # -- the steps --------------------------------------------------------------------------------

    async def _show(self, request: Request) -> Response:
        if not self._is_theirs(request):
            return self._page("begin-closed.html", 403)
        if self.is_awaited():
            return self._page("begin-go-on.html")
        step = request.path_params["step"]
        if not self._may_see(step):
            return self._next()
        return self._shown(request, step, self._so_far)

    def _may_see(self, step: str) -> bool:
        """Whether the step is answered, or is the next one."""
        known = steps_of(self._so_far)
        if step not in known:
            kind, number = kind_and_number(step)
            return kind == "house" and number == houses(self._so_far) + 1 <= MOST_HOUSES
        return step in self._so_far.steps or step == next_step(self._so_far)

    async def _answer(self, request: Request) -> Response:
        form = await self._their_form(request)
        if isinstance(form, Response):
            return form
        step = request.path_params["step"]
        kind, number = kind_and_number(step)
        if self.is_awaited() or step == LOOK_OVER or not self._may_see(step):
            return self._next()
        if form.fields.get("do") == "remove" and kind == "house" and number > 1:
            answered: SoFar | Response = without_house(self._so_far, number)
        else:
            answered = await self._judged(request, step, form)
        if isinstance(answered, Response):
            return answered
        if fault := await self._write(answered, form.fields.get("password", "").strip()):
            return fault
        if form.fields.get("do") == "another" and kind == "run" and number < MOST_HOUSES:
            return RedirectResponse(f"{PREFIX}/house-{number + 1}", 303)
        return self._next()

    async def _judged(self, request: Request, step: str, form: _Form) -> SoFar | Response:
        """With that answered; where it cannot be used, the page once more, with what was typed."""
        kind, before = kind_and_number(step)[0], self._so_far
        fields = self._read(kind, form, step, request)
        if isinstance(fields, Choice):
            shown = before.answered(step, form.of(kind))
            return self._shown(request, step, shown, choice=fields, status=422)
        if isinstance(fields, str):
            shown = before.answered(step, form.of(kind))
            return self._shown(request, step, shown, wrong={"typed": fields}, status=422)
        answered = before.answered(step, fields)
        if step == "place" and before.of("place") != fields:  # it is asked about once more
            steps = {name: one for name, one in answered.steps.items() if name != "dusk"}
            answered = replace(answered, steps=steps)
        if wrong := await self._run(partial(wrong_in, answered, step, self._now())):
            return self._shown(request, step, answered, wrong=wrong, status=422)
        return answered

    def _read(self, kind: str, form: _Form, step: str, request: Request) -> Fields | Choice | str:
        if kind == "place":
            return read_typed(form.fields.get("typed", ""), form.fields.get("choice", ""))
        fields = dict(form.of(kind))
        if kind == "reach" and fields.get("how") == "push":
            fields["push"] = _topic(fields["server"].strip(), self._so_far.of(step).get("push", ""))
        if kind == "web":
            is_away = fields.get("where") == "anywhere"
            fields["proxies"] = _proxies(request) if is_away else ""
            fields["here"] = "" if is_away else _home_address(request)
        return fields

    def _shown(  # noqa: PLR0913 - what was typed, and what is said of it
        self,
        request: Request,
        step: str,
        so_far: SoFar,
        *,
        wrong: Wrong | None = None,
        choice: Choice | None = None,
        status: int = 200,
    ) -> Response:
        kind = kind_and_number(step)[0]
        steps = steps_of(so_far)
        if step not in steps:
            steps = (*steps, step)
        at = steps.index(step)
        facts = {
            "step": step,
            "wrong": wrong or ({"typed": choice.wrong} if choice and choice.wrong else {}),
            "choices": choice.options if choice else (),
            "back": self._back(step, steps, at),
            "is_last": step == LOOK_OVER,
            "part": at + 1,
            "parts": len(steps),
            **facts_of(step, so_far, self._now(), _https_address(request)),
        }
        response = self._page(f"begin-{kind}.html", status, facts=facts)
        if kind == "place":
            response.headers["permissions-policy"] = MAY_LOCATE
        return response

    @staticmethod
    def _back(step: str, steps: tuple[str, ...], at: int) -> str:
        kind, number = kind_and_number(step)
        if kind == "house" and number > 1 and step == steps[-1]:
            return f"{PREFIX}/run-{number - 1}"
        return f"{PREFIX}/{steps[at - 1]}" if at else ""

    def _next(self) -> Response:
        return RedirectResponse(f"{PREFIX}/{next_step(self._so_far)}", 303)

    # -- all is kept ------------------------------------------------------------------------------

    async def _keep(self, request: Request) -> Response:
        form = await self._their_form(request)
        if isinstance(form, Response):
            return form
        if next_step(self._so_far) != LOOK_OVER:
            return self._next()
        try:
            response = await self._run(partial(self._kept, request))
        except (JournalFault, OSError) as fault:
            return self._failed(fault)
        if response.status_code == 303:  # noqa: PLR2004 - signed in
            await self._reminders_begin()
        return response

    def _kept(self, request: Request) -> Response:
        now, profile = self._now(), self._place.folder / PROFILE_NAME
        if self.is_awaited() and has_profile(profile, self._place):
            found = self._begun(profile, now)
        else:
            if step := first_wrong(self._so_far, now):
                wrong = wrong_in(self._so_far, step, now)
                return self._shown(request, step, self._so_far, wrong=wrong, status=422)
            found = begin_household(self._place, self._so_far, self._listen, now)
            self._so_far = read_so_far(self._place.folder)
        if not isinstance(found, Household):
            return self._page("begin-go-on.html", 500)
        return self._signed_in(request, found, now)

    def _begun(self, profile: Path, now: datetime) -> Household | Problems:
        """What was kept before, by whoever was cut off on the way."""
        with closing(self._place.open()) as journal:
            return last_accepted(journal, now) or open_profile(profile, now)

    def _signed_in(self, request: Request, household: Household, now: datetime) -> Response:
        """On this device, where the address is the one that the pages will have; else by a link."""
        base_url = household.profile.web.base_url
        with closing(self._place.open()) as journal:
            here = _https_address(request) or _own_address(request)
            if is_https(base_url) and here != base_url:
                person_id = household.profile.person[0].id
                path = access.invite(journal, household.profile.site.id, person_id, now)
                link = f"{base_url}{path}"
                facts = {"link": link, "qr": qr(link), "address": base_url}
                return self._page("begin-elsewhere.html", facts=facts)
            agent = request.headers.get("user-agent", "")
            cookie = sign_in_owner(journal, self._place, household, self._so_far, agent, now)
        self._so_far = read_so_far(self._place.folder)
        response = RedirectResponse("/begun", 303)
        set_session(response, base_url, cookie)
        return response

    # -- what each of them needs ------------------------------------------------------------------

    def _now(self) -> datetime:
        return self._read_clocks().wall

    async def _reminders_begin(self) -> None:
        """Waits until they do, so that the first page does not say that they are not running."""
        ends_s = asyncio.get_running_loop().time() + self._patience_s
        while asyncio.get_running_loop().time() < ends_s:
            if is_beating(read_pulse(self._place.folder), self._read_clocks()):
                return
            await asyncio.sleep(_LOOK_EVERY_S)

    async def _run(self, work: Callable[[], T]) -> T:
        return await asyncio.get_running_loop().run_in_executor(self._thread, work)

    async def _write(self, so_far: SoFar, mail_password: str = "") -> Response | None:
        """Keeps the answers, and the password where one was typed; the page when it cannot."""
        try:
            if mail_password:
                keep = partial(keep_secret, self._place.folder, "mail-password", mail_password)
                await self._run(keep)
            await self._run(partial(write_so_far, self._place.folder, so_far))
        except OSError as error:
            return self._failed(error)
        self._so_far = so_far
        return None

    def _failed(self, fault: Exception) -> Response:
        _log.warning("first_run.not_kept reason=%s", type(fault).__name__)
        return self._page("begin-not-kept.html", 503)

    async def _form(self, request: Request) -> _Form | Response:
        """The form, or why it is turned away: another site's, too long, none."""
        scheme = "https" if _https_address(request) else request.url.scheme
        if guards.is_from_elsewhere(request.headers, None, scheme):
            return self._refused("from_elsewhere", 403)
        try:
            form = await guards.read_form(request.scope, request.receive)
        except guards.BadBody as bad:
            response = self._refused("too_long" if bad.status == 413 else "unreadable", bad.status)  # noqa: PLR2004 - too large
            response.headers["connection"] = "close"
            return response
        return _Form(fields={name: each[-1][:_LONGEST_FIELD] for name, each in form.items()})

    async def _their_form(self, request: Request) -> _Form | Response:
        form = await self._form(request)
        if isinstance(form, Response) or self._is_theirs(request):
            return form
        return self._page("begin-closed.html", 403)

    def _refused(self, why: str, status: int) -> Response:
        facts = {"refusal": refusal_for(why, back="/"), "here": "/"}
        return self._renderer.plain("refused.html", status, is_warning=False, facts=facts)

    def _page(
        self, template: str, status: int = 200, facts: Mapping[str, object] | None = None
    ) -> Response:
        return self._renderer.plain(template, status, is_warning=False, facts=facts or {})

    async def _missed(self, request: Request, _: Exception | None) -> Response:
        """404, and 429 for a source that misses too often: a wrong key and no page look alike."""
        source = request.client.host if request.client else ""
        if self._misses.add(source):
            return self._page("begin-missing.html", 404)
        kind, body = TOO_MANY.to(request.scope["headers"])
        return Response(body, 429, {"retry-after": "60"}, media_type=kind.decode())


async def _not_yet(_: Request) -> Response:
    """Nothing reminds yet: whoever watches this address is to know."""
    return PlainTextResponse("", 503)


def _topic(server: str, kept: str) -> str:
    """The push address at that server with a topic of its own; the one it had, where it is."""
    given = server if "://" in server or not server else f"https://{server}"
    if kept and kept.rpartition("/")[0] == given.rstrip("/"):
        return kept
    return with_topic(given)


def _https_address(request: Request) -> str:
    """The https address in the browser's bar, as the browser or a proxy tells it; else empty."""
    forwarded = request.headers.get("x-forwarded-proto", request.url.scheme)
    host = request.headers.get("x-forwarded-host") or request.headers.get("host", "")
    return f"https://{host.lower()}" if forwarded == "https" and host else ""


def _home_address(request: Request) -> str:
    """The address by which a phone at home came; empty on this machine itself."""
    host = request.headers.get("host", "")
    name = (urlsplit(f"//{host}").hostname or "localhost").lower()
    try:
        is_here = ipaddress.ip_address(name).is_loopback
    except ValueError:
        is_here = name == "localhost"
    return "" if is_here else f"http://{host.lower()}"


def _own_address(request: Request) -> str:
    return f"{request.url.scheme}://{request.headers.get('host', '')}"


def _proxies(request: Request) -> str:
    """The networks of the proxy that this came through, where it is one of this machine."""
    if "x-forwarded-proto" not in request.headers or request.client is None:
        return ""
    try:
        address = ipaddress.ip_address(request.client.host)
    except ValueError:
        return ""
    if address.is_loopback:
        return PROXIES_HERE
    return str(_CONTAINERS) if address.version == 4 and address in _CONTAINERS else ""  # noqa: PLR2004 - IPv4
