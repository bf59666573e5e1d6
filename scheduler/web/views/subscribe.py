"""Subscribe: each person's own addresses, how to use them, and what a calendar can do."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from urllib.parse import quote

import segno

from scheduler.feeds.feed_names import FeedName, feeds_of, house_of
from scheduler.journal import memos
from scheduler.service.calendars.personal import lead_minutes
from scheduler.service.calendars.shelf import Shelf
from scheduler.service.people.access import LEADS_MINUTES, Pass, pass_of, passes, path_of
from scheduler.web.device_kind import device_kind
from scheduler.web.request_and_answer import Answer, Visit
from scheduler.wording.feeds.calendars import CalendarAbouts
from scheduler.wording.spoken import day_month_year
from scheduler.wording.web.subscribe import (
    BackupNotes,
    SubscribeContents,
    SubscribeNotes,
    SubscribeTitles,
)
from scheduler.wording.words import every

_BORDER = 2
_CONTENTS = {**every(CalendarAbouts), **every(SubscribeContents)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Address:
    """One calendar's address: to tap, to copy, to scan.

    `tap` is read as http by some programs; it is for those that read it as the page says.
    """

    title: str
    about: str
    url: str
    tap: str
    google: str
    qr: str


def show(visit: Visit) -> Answer:
    """The page of whoever is signed in."""
    person_id = visit.session.person_id if visit.session else ""
    alarms, lead = visit.query.get("alarms") == "1", visit.query.get("lead", "")
    chosen = next((n for n in LEADS_MINUTES if str(n) == lead), None) if alarms else None
    mine = [
        one
        for one in _known(visit).values()
        if one.person_id == person_id and not one.ended and not one.former
    ]
    listed = feeds_of(visit.profile)
    calendars = [
        one
        for one in mine
        if (one.kind, one.alarms, one.lead_minutes) == ("calendar", alarms, chosen)
        and one.feed in listed
    ]
    tonight = next((one for one in mine if one.kind == "tonight"), None)
    lasts = Shelf(visit.lookout.place).last_days(visit.journal, visit.profile.site.id)
    base, site_name = _base(visit), visit.profile.site.name
    facts = {
        "addresses": [_address(visit, one, lasts) for one in calendars],
        "tonight": base + path_of(tonight, site_name) if tonight else "",
        "alarms": alarms,
        "lead": chosen,
        "leads": LEADS_MINUTES,
        "usual_lead": round(visit.profile.reminders.heads_up_minutes),
        "has_base": visit.profile.web.base_url is not None,
        "is_https": base.startswith("https://"),
        "local": base,
        "device": device_kind(visit.agent),
        "backup": _backup(visit, person_id),
        "nothing_to_ring": "nothing" in visit.query,
    }
    return Answer(template="subscribe.html", facts=facts)


def _backup(visit: Visit, person_id: str) -> str:
    """How long the backup alarm lasts that they fetched last, or lasted; empty for none."""
    with visit.journal.reading() as connection:
        last = memos.backup_alarms(connection, visit.profile.site.id).get(person_id)
    if last is None:
        return ""
    says = BackupNotes.lasts if last >= visit.today else BackupNotes.ended
    return says(day=day_month_year(last))


def everything(visit: Visit) -> Address | None:
    """The calendar of whoever is signed in that has all there is; None of a shared screen."""
    person_id = visit.session.person_id if visit.session else ""
    lasts = Shelf(visit.lookout.place).last_days(visit.journal, visit.profile.site.id)
    return next(
        (
            _address(visit, one, lasts)
            for one in _known(visit).values()
            if one.person_id == person_id
            and (one.kind, one.feed, one.alarms) == ("calendar", "all", False)
            and not (one.ended or one.former)
        ),
        None,
    )


def one(visit: Visit) -> Answer | None:
    """What a scanned code opens: one calendar's address, with a way in for each kind of device."""
    found = pass_of(_known(visit), visit.path["token"])
    if found is None or found.kind != "calendar" or found.ended:
        return None
    lasts = Shelf(visit.lookout.place).last_days(visit.journal, visit.profile.site.id)
    facts = {
        "one": _address(visit, found, lasts),
        "is_https": _base(visit).startswith("https://"),
        "device": device_kind(visit.agent),
    }
    return Answer(template="subscribe-one.html", facts=facts)


def _known(visit: Visit) -> Mapping[bytes, Pass]:
    standing = visit.standing
    return passes(
        visit.profile,
        standing.almanac.key,
        standing.renewals,
        visit.now,
        standing.former,
        standing.gone_houses,
    )


def _base(visit: Visit) -> str:
    return visit.profile.web.base_url or visit.profile.web.local_url


def _address(visit: Visit, one: Pass, lasts: Mapping[FeedName, date]) -> Address:
    house = house_of(one.feed)
    name = visit.profile.coop_of(house).name if house else ""
    title = name or every(SubscribeTitles)[one.feed]()
    about = [SubscribeContents.house() if house else _CONTENTS[one.feed]()]
    if last := lasts.get(one.feed):
        about.append(SubscribeNotes.runs_to(day=day_month_year(last)))
    if one.alarms and one.feed not in {"jobs", "seasons"}:
        about.append(SubscribeNotes.rings(minutes=lead_minutes(visit.profile, one)))
    url = _base(visit) + path_of(one, visit.profile.site.name)
    tap = "webcal" + url.removeprefix("https").removeprefix("http")
    return Address(
        title=title,
        about=" ".join(about),
        url=url,
        tap=tap,
        google=f"https://calendar.google.com/calendar/r?cid={quote(tap, safe='')}",
        # An https address of a calendar would be imported once, as a copy that never changes.
        qr=qr(f"{_base(visit)}/subscribe/{one.token}"),
    )


def qr(text: str) -> str:
    """The text as an inline SVG to scan, dark on light in light and dark pages alike."""
    code = segno.make(text, error="m", micro=False)
    drawn: str = code.svg_inline(border=_BORDER, omitsize=True, svgclass="qr", lineclass="qr-line")
    return drawn
