"""Answers to bytes: templates, the headers of every page, the session's cookie."""

import re
from collections.abc import Iterable, Mapping
from datetime import timedelta
from functools import partial
from hashlib import sha256
from pathlib import Path
from types import MappingProxyType
from typing import TypeVar, get_args
from unicodedata import bidirectional

from jinja2 import Environment, FileSystemLoader, StrictUndefined, pass_context
from jinja2.runtime import Context
from markupsafe import Markup, escape
from starlette.responses import RedirectResponse, Response

from scheduler.cares.closing import MANY_BIRDS
from scheduler.journal.access import SIGNED_IN_FOR
from scheduler.messages.missing import more_found
from scheduler.profile.values import Profile
from scheduler.profile.who_may import Matter
from scheduler.profile.words import capitalized, words
from scheduler.service.health.causes import Cause
from scheduler.service.weather.agreed import is_asked
from scheduler.web.request_and_answer import Answer, Visit
from scheduler.web.script_texts import script_texts
from scheduler.web.who_may_open import matter_of
from scheduler.wording import spoken
from scheduler.wording.messages.missing import Missing
from scheduler.wording.web.page_names import OnMore, PageNames
from scheduler.wording.words import form_of, language_tag, pattern_of

HERE = Path(__file__).parent
# Each with its drawing.
AT_THE_THUMB = (
    ("/", PageNames.today, "sunset"),
    ("/week", PageNames.week, "calendar-days"),
    ("/add", PageNames.add, "circle-plus"),
    ("/flock", PageNames.flock, "bird"),
    ("/more", PageNames.more, "ellipsis"),
)
# Pages that a page at the thumb leads to.
BELOW_THE_THUMB = (
    ("/year", PageNames.year, "sun-moon"),
    ("/birds", PageNames.birds, "egg"),
    ("/coop", PageNames.coop, "house"),
)
# Each with its drawing, and with what the page More says about it.
ONE_TAP_AWAY = (
    ("/subscribe", PageNames.subscribe, "calendar-plus", OnMore.subscribe),
    ("/people", PageNames.people, "users", OnMore.people),
    ("/phone", PageNames.phone, "bell-ring", OnMore.phone),
    ("/status", PageNames.status, "activity", OnMore.status),
    ("/card", PageNames.card, "printer", OnMore.card),
    ("/diary", PageNames.diary, "notebook-pen", OnMore.diary),
    ("/weather", PageNames.weather, "cloud-sun", OnMore.weather),
    ("/change", PageNames.change, "sliders-horizontal", OnMore.change),
    ("/about", PageNames.about, "info", OnMore.about),
)
_FILTERS = {
    "day": spoken.long_day,
    "day_with_year": spoken.long_day_with_year,
    "day_and_month": spoken.day_and_month,
    "short_day": spoken.short_day,
    "month_and_year": spoken.month_and_year,
    "short_month_and_year": spoken.short_month_and_year,
    "sentence": capitalized,
    "span": spoken.span_of,
}
_SHOWS = {"/door": "/", "/jobs": "/", "/eggs": "/"}  # a form, and the page that it stands on
_BELONGS_TO = {
    "/evening": "/",
    "/year": "/week",
    "/birds": "/flock",
    "/coop": "/flock",
    "/why": "/flock",
    "/begun": "/more",
    **{path: "/more" for path, *_ in ONE_TAP_AWAY},
}
_SECOND = timedelta(seconds=1)
_Place = TypeVar("_Place", bound=tuple[str, *tuple[object, ...]])


def cookie_name(base_url: str | None) -> str:
    """A browser takes the __Host- name only over https, for this host and every path of it."""
    return "__Host-duskfold" if is_https(base_url) else "duskfold"


def is_https(base_url: str | None) -> bool:
    """Whether people reach the pages over https."""
    return (base_url or "").startswith("https://")


def version_of_static() -> str:
    """Eight digits that change with any file that pages load."""
    digest = sha256()
    for path in sorted((HERE / "static").iterdir()):
        digest.update(path.read_bytes())
    return digest.hexdigest()[:8]


@pass_context
def isolated(context: Context, text: str) -> Markup:
    """The text with each of the context's names in <bdi>."""
    names = sorted(map(re.escape, context.get("names", ())), key=len, reverse=True)
    if not names:
        return escape(text)
    parts = re.split(rf"(?<!\w)({'|'.join(names)})(?!\w)", str(text))
    return Markup("").join(
        Markup("<bdi>{}</bdi>").format(part) if number % 2 else escape(part)
        for number, part in enumerate(parts)
    )


def unkeyed(*texts: str) -> str:
    """No template has a text without its key: a TypeError."""
    raise TypeError(texts)


def said(key: str, english: str) -> str:
    """What `{% trans "key" %}English{% endtrans %}` says in the language that is spoken."""
    return pattern_of(f"page.{key}", english)


def said_of_several(key: str, one: str, many: str, count: int) -> str:
    """What `{% trans "key" count=birds %}one{% pluralize %}many{% endtrans %}` says."""
    return form_of(f"page.{key}", (one, many), count)


def set_session(response: Response, base_url: str | None, cookie: str) -> None:
    """Gives the browser its session, or takes it away where `cookie` is empty."""
    response.set_cookie(
        cookie_name(base_url),
        cookie,
        max_age=int(SIGNED_IN_FOR / _SECOND) if cookie else 0,
        path="/",
        secure=is_https(base_url),
        httponly=True,
        samesite="lax",
    )


def _drawing(version: str, name: str) -> Markup:
    """The drawing of that name beside words; whoever hears a page read has the words alone."""
    return Markup(
        '<svg class="icon" aria-hidden="true"><use href="/static/icons.svg?v={}#{}"/></svg>'
    ).format(version, name)


class Renderer:
    """Fills templates; every value from outside is escaped."""

    def __init__(self, *, is_made_up: bool = False) -> None:
        """Compiles a template when it is first asked for; `is_made_up`: each page says so."""
        self._version = version_of_static()
        self._templates = Environment(
            loader=FileSystemLoader(HERE / "templates"),
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
            extensions=["jinja2.ext.i18n"],
        )
        self._templates.install_gettext_callables(  # type: ignore[attr-defined] # of the extension
            unkeyed, unkeyed, newstyle=True, pgettext=said, npgettext=said_of_several
        )
        told = {
            "many": MANY_BIRDS,
            "more_found": more_found,
            "uncounted": Missing.uncounted_sentence,
            "is_made_up": is_made_up,
            "icon": partial(_drawing, self._version),
        }
        self._templates.globals.update(told, language=language_tag, script_texts=script_texts)
        self._templates.filters.update(_FILTERS, isolated=isolated)

    def response(self, visit: Visit, answer: Answer, here: str) -> Response:
        """The response; a redirection is a 303, so that going back repeats nothing."""
        if answer.location:
            response: Response = RedirectResponse(answer.location, status_code=answer.status)
        else:
            facts = {**self._common(visit, here, answer.template), **answer.facts}
            body = self._templates.get_template(answer.template).render(facts)
            response = Response(body, answer.status, media_type="text/html")
        if answer.cookie is not None:
            base_url = visit.profile.web.base_url
            set_session(response, base_url, answer.cookie)
            if not answer.cookie and is_https(base_url):
                # Not "cookies": that would take those of every host of the same domain, too.
                response.headers["clear-site-data"] = '"cache", "storage"'
        return response

    def plain(
        self,
        template: str,
        status: int,
        *,
        is_warning: bool = True,
        warnings: tuple[Cause, ...] = (),
        facts: Mapping[str, object] = MappingProxyType({}),
    ) -> Response:
        """A page of nothing that is known; `is_warning`: the reminders cannot be relied on."""
        known = {"version": self._version, "is_warning": is_warning, "warnings": warnings}
        body = self._templates.get_template(template).render({**known, "person": None, **facts})
        return Response(body, status, media_type="text/html")

    def _common(self, visit: Visit, here: str, template: str) -> dict[str, object]:
        site, page = visit.profile.site, _page(here)
        return {
            # Status says nothing else anyway.
            "is_warning": bool(visit.warnings) and template != "status.html",
            # Without a link or a session, nobody learns anything about the place.
            "warnings": () if template == "signed-out.html" else visit.warnings,
            "version": self._version,
            "site": site.name,
            "names": _names(visit.profile),
            "today": visit.today,
            "clock_now": visit.clock(visit.now),
            "now_s": int(visit.now.timestamp()),
            "zone": str(site.zone),
            "hours": 12 if site.region == "US" else 24,
            "person": visit.person,
            "speakers": visit.speakers,
            "words": words(site.region),
            "at_the_thumb": _of(visit, AT_THE_THUMB) if visit.session else (),
            "below_the_thumb": _of(visit, BELOW_THE_THUMB),
            "may": {one for one in get_args(Matter) if visit.session and not visit.may_not(one)},
            "asks_forecast": _asks_forecast(visit),
            "one_tap_away": _of(visit, ONE_TAP_AWAY),
            "page_here": page,
            "tab": _BELONGS_TO.get(page, page),
            "wrong": None,
        }


def _names(profile: Profile) -> frozenset[str]:
    """The names in a sentence that would turn its order: those that run from right to left."""
    named = [profile.site.name, *(coop.name for coop in profile.coop)]
    named += [*(flock.name for flock in profile.flock), *(one.name for one in profile.person)]
    return frozenset(name for name in named if {"R", "AL"} & set(map(bidirectional, name)))


def _of(visit: Visit, places: Iterable[_Place]) -> list[_Place]:
    """Those of the pages that whoever is signed in may open."""
    return [place for place in places if not _is_closed_to(visit, place[0])]


def _is_closed_to(visit: Visit, path: str) -> bool:
    about = matter_of(path)
    return about is not None and visit.may_not(about) is not None


def _asks_forecast(visit: Visit) -> bool:
    """Whether it is an owner who looks, and no owner has answered yet."""
    is_owner = visit.session is not None and visit.may_not("household") is None
    return is_owner and is_asked(visit.profile)


def _page(path: str) -> str:
    """The page of the navigation that an address shows, or lies below."""
    first = "/" + path.split("/")[1]
    return _SHOWS.get(first, first)
