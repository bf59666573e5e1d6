"""Subscribe: each person's own addresses, how to use them, and what a calendar can do."""

from dataclasses import dataclass
from urllib.parse import quote

import segno

from scheduler.feeds.event import FeedName
from scheduler.service.access import Pass, passes, path_of
from scheduler.web.visit import Answer, Visit

_TITLES: dict[FeedName, tuple[str, str]] = {
    "lockup": ("Evenings", "let out, free range, lock up; 15 weeks ahead"),
    "jobs": ("Jobs", "each morning's and evening's jobs; 8 weeks ahead"),
    "seasons": ("Seasons", "what changes with the season; a year ahead"),
    "all": ("All in one", "everything in one calendar; jobs 8 weeks, seasons a year ahead"),
}
_BORDER = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Address:
    """One calendar's address: to tap, to copy, to scan."""

    title: str
    about: str
    url: str
    tap: str
    google: str
    qr: str


def show(visit: Visit) -> Answer:
    """The page of whoever is signed in."""
    person_id = visit.session.person_id if visit.session else ""
    alarms = visit.query.get("alarms") == "1"
    known = passes(
        visit.profile, visit.standing.almanac.key, visit.standing.renewals, visit.now
    ).values()
    mine = [one for one in known if one.person_id == person_id and not one.ended]
    base = visit.profile.web.base_url or visit.profile.web.local_url
    calendars = [one for one in mine if one.kind == "calendar" and one.alarms == alarms]
    tonight = next((one for one in mine if one.kind == "tonight"), None)
    site_name = visit.profile.site.name
    facts = {
        "addresses": [_address(one, base, site_name) for one in calendars],
        "tonight": base + path_of(tonight, site_name) if tonight else "",
        "alarms": alarms,
        "has_base": visit.profile.web.base_url is not None,
        "is_https": base.startswith("https://"),
        "local": base,
    }
    return Answer(template="subscribe.html", facts=facts)


def _address(one: Pass, base: str, site_name: str) -> Address:
    title, about = _TITLES[one.feed]
    url = base + path_of(one, site_name)
    # webcal is read as http by some programs and as https by others: the proxy has to know both.
    tap = "webcal" + url.removeprefix("https").removeprefix("http")
    return Address(
        title=title,
        about=about,
        url=url,
        tap=tap,
        google=f"https://calendar.google.com/calendar/r?cid={quote(tap, safe='')}",
        qr=qr(url),
    )


def qr(text: str) -> str:
    """The text as an inline SVG to scan, dark on light in both colour schemes."""
    code = segno.make(text, error="m", micro=False)
    drawn: str = code.svg_inline(border=_BORDER, omitsize=True, svgclass="qr", lineclass="qr-line")
    return drawn
