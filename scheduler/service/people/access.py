"""Who may do what over HTTP: links by derived tokens, single-use sign-in links, sessions."""

import logging
import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import partial
from hashlib import sha256
from secrets import token_urlsafe
from typing import Literal

from sqlalchemy import Connection

from scheduler.alerts.step import Step
from scheduler.feeds.feed_names import FEEDS, FeedName, feeds_of, house_feed, house_of
from scheduler.journal import access
from scheduler.journal.access import SIGNED_IN_FOR, GoneSite, Invitation, Renewal, SignedIn
from scheduler.journal.store import Journal
from scheduler.messages import let_in
from scheduler.messages.site_news import news
from scheduler.profile.prepare import slug
from scheduler.profile.shared_screen import Screen, screen_of
from scheduler.profile.values import Profile
from scheduler.service.people import entry_notice
from scheduler.service.people.entry_notice import name_of
from scheduler.tokens.derived import same, token
from scheduler.wording.service.devices import Devices
from scheduler.wording.told_later import for_later

LEADS_MINUTES = (15, 30, 60, 120)  # an alarm may be had that long before the lock-up
INVITED_FOR = timedelta(minutes=15)
ENDED_FOR = timedelta(days=30)
_DEVICE_LENGTH = 80
_MARK = 12  # of a hash: enough to tell two apart
_log = logging.getLogger(__name__)
_TOKEN_LENGTH = 43
_CODE_BITS = 40
_LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"  # without those that are misread
_MISREAD = str.maketrans("OIL", "011")
_CODE = re.compile(rf"[{_LETTERS}]{{4}}-[{_LETTERS}]{{4}}")
_NOBODY: Mapping[str, str] = {}


@dataclass(frozen=True, slots=True, kw_only=True)
class Pass:
    """What one address stands for: a calendar or tonight's times, of one person.

    `lead_minutes` is how long before a lock-up its alarm rings; None: as the first reminder.
    `ended` when it was renewed less than 30 days ago; `asked_of` while its person may only have
    another name.
    """

    kind: Literal["calendar", "tonight"]
    token: str
    person_id: str
    feed: FeedName = "all"
    alarms: bool = False
    lead_minutes: int | None = None
    generation: int = 0
    ended: bool = False
    former: bool = False
    asked_of: bool = False


def passes(  # noqa: PLR0913, PLR0917 - whose, by what key, what has ended
    profile: Profile,
    key: bytes,
    renewals: Iterable[Renewal],
    now: datetime,
    former: Mapping[str, str] = _NOBODY,
    gone_houses: Collection[str] = (),
    asked_of: Collection[str] = (),
) -> dict[bytes, Pass]:
    """Every address of the profile's people by the SHA-256 of its token, and those just ended.

    `former` has ids that people were once called by: the addresses of that time stay theirs. Ended
    are those of whoever left, too, and the calendars of the houses that are gone.

    A table by hash tells nothing of a token by the time that a look takes.
    """
    begun: dict[str, list[Renewal]] = {}
    for renewal in renewals:
        begun.setdefault(renewal.person_id, []).append(renewal)
    found = {}
    here = {person.id for person in profile.person}
    yesterday = profile.date_at(now) - timedelta(days=1)
    # A sitter's end with the morning after their last day, as their sessions do.
    over = {one.id for one in profile.person if one.last_day and one.last_day < yesterday}
    gone = tuple(map(house_feed, gone_houses))
    # A house that is left alone keeps its own calendar's address.
    houses = map(house_feed, profile.house_names)
    feeds = tuple(dict.fromkeys((*feeds_of(profile), *houses, *gone)))
    elsewhere = {*begun, *asked_of} - here
    for person_id in (*sorted(elsewhere), *(person.id for person in profile.person)):
        history = begun.get(person_id, [])
        current = history[-1].generation if history else 0
        generations = [current] if person_id in {*here, *asked_of} else []
        generations += [n.generation - 1 for n in history if n.renewed_at + ENDED_FOR > now]
        for generation in generations:
            # The present ids last: who reads the list backwards finds what is printed.
            for called in filter(None, (former.get(person_id), person_id)):
                for one in _of_site(profile.site.id, feeds, called, key, generation):
                    is_ended = generation != current or one.feed in gone or person_id in over
                    found[hashed(one.token)] = replace(
                        one,
                        person_id=person_id,
                        ended=is_ended,
                        former=called != person_id,
                        asked_of=person_id not in here and not is_ended,
                    )
    return found


def passes_of_gone(sites: Iterable[GoneSite], key: bytes) -> dict[bytes, Pass]:
    """The addresses of the sites that the data folder had before: all of them have ended."""
    found = {}
    for site in sites:
        feeds = (*FEEDS, *map(house_feed, site.houses))
        for person_id, generation in site.people.items():
            for one in _of_site(site.site_id, feeds, person_id, key, generation):
                found[hashed(one.token)] = replace(one, ended=True)
    return found


def _of_site(
    site_id: str, feeds: Collection[FeedName], person_id: str, key: bytes, generation: int
) -> Iterator[Pass]:
    signed = partial(token, key, site_id=site_id, person_id=person_id, generation=generation)
    leads = ((("alarms", str(minutes)), minutes) for minutes in LEADS_MINUTES)
    kinds: tuple[tuple[tuple[str, ...], int | None], ...] = (
        ((), None),
        (("alarms",), None),
        *leads,
    )
    for alarms, lead_minutes in kinds:
        for feed in feeds:
            yield Pass(
                kind="calendar",
                token=signed("feed", subject=" ".join((feed, *alarms))),
                person_id=person_id,
                feed=feed,
                alarms=bool(alarms),
                lead_minutes=lead_minutes,
                generation=generation,
            )
    tonight = signed("tonight")
    yield Pass(kind="tonight", token=tonight, person_id=person_id, generation=generation)


def hashed(given: str) -> bytes:
    """The SHA-256 of a token or secret."""
    return sha256(given.encode("utf-8", "replace")).digest()


def pass_of(known: Mapping[bytes, Pass], given: str) -> Pass | None:
    """What the token stands for, or None."""
    found = known.get(hashed(given)) if len(given) == _TOKEN_LENGTH else None
    return found if found and same(given, found.token) else None


def path_of(one: Pass, site_name: str) -> str:
    """The address's path; programs show the last part as the calendar's name."""
    if one.kind == "tonight":
        return f"/tonight/{one.token}/tonight.json"
    return f"/calendar/{one.token}/{file_name(one, site_name)}"


def file_name(one: Pass, site_name: str) -> str:
    """What programs show as the calendar's name."""
    lead = f"-{one.lead_minutes}-min" if one.lead_minutes is not None else ""
    alarms = f"-with-alarms{lead}" if one.alarms else ""
    return f"{slug(site_name) or 'hens'}-{house_of(one.feed) or one.feed}{alarms}.ics"


def invite(  # noqa: PLR0913 - who, by whom, when, who hears
    journal: Journal,
    site_id: str,
    person_id: str,
    now: datetime,
    by: SignedIn | None = None,
    *,
    tell: Profile | None = None,
) -> str:
    """A new sign-in link for the person: the path, good once within fifteen minutes.

    `by` is the session that lets them in; None at the terminal. Everybody of the profile `tell`
    hears of it.
    """
    secret = token_urlsafe(32)
    invitation = Invitation(
        secret_hash=hashed(secret).hex(),
        code_hash=hashed(code_of(secret)).hex(),
        person_id=person_id,
        until=now + INVITED_FOR,
        through=(*(one for one in by.through if one != by.person_id), by.person_id) if by else (),
    )
    with journal.writing() as writing:
        access.invite(writing.connection, site_id, invitation)
        if tell and by:
            names = name_of(tell, person_id), name_of(tell, by.person_id)
            step = Step("entry-invited", about=invitation.secret_hash[:_MARK])
            entry_notice.tell(writing.connection, tell, step, news(let_in.invited, *names), now)
    _log.info("entry.invited at_the_terminal=%s", by is None)
    return f"/sign-in/{secret}"


def open_invitations(journal: Journal, site_id: str, now: datetime) -> tuple[Invitation, ...]:
    """Every sign-in link that is still good, the newest first."""
    with journal.reading() as connection:
        return access.open_invitations(connection, site_id, now)


def screens(journal: Journal, site_id: str, now: datetime) -> tuple[Screen, ...]:
    """Every shared screen that is signed in, or has a sign-in link that is still good."""
    with journal.reading() as connection:
        known = [one.person_id for one in access.sessions(connection, site_id)]
        known += [one.person_id for one in access.open_invitations(connection, site_id, now)]
    return tuple(filter(None, map(screen_of, dict.fromkeys(known))))


def withdraw(journal: Journal, site_id: str, secret_hash: str, now: datetime) -> None:
    """Takes a sign-in link back: it signs nobody in any more."""
    with journal.writing() as writing:
        access.use(writing.connection, site_id, secret_hash, now)
    _log.info("entry.withdrawn")


def withdraw_all(journal: Journal, site_id: str, person_id: str, now: datetime) -> int:
    """Takes back every sign-in link for the person that is still good; how many there were."""
    with journal.writing() as writing:
        mine = access.open_invitations(writing.connection, site_id, now)
        taken = [one for one in mine if one.person_id == person_id]
        for one in taken:
            access.use(writing.connection, site_id, one.secret_hash, now)
    _log.info("entry.withdrawn links=%d", len(taken))
    return len(taken)


def invited(journal: Journal, site_id: str, secret: str, now: datetime) -> str | None:
    """Whom a sign-in link is for, while it is good."""
    with journal.reading() as connection:
        found = _invitation(connection, site_id, secret, now)
    return found.person_id if found else None


def code_of(secret: str) -> str:
    """The short code of a sign-in link, as it is shown: "7K3M-Q2XA"; good once, as the link is."""
    number = int.from_bytes(hashed(f"code|{secret}")[: _CODE_BITS // 8])
    letters = [_LETTERS[number >> shift & 31] for shift in range(0, _CODE_BITS, 5)]
    return "".join(letters[:4]) + "-" + "".join(letters[4:])


def short_code(journal: Journal, site_id: str, typed: str, now: datetime) -> str | None:
    """The path of the sign-in link whose code was typed, however it was; None for any other."""
    plain = "".join(typed.upper().translate(_MISREAD).split()).replace("-", "")
    code = f"{plain[:4]}-{plain[4:]}"
    if not _CODE.fullmatch(code) or invited(journal, site_id, code, now) is None:
        return None
    return f"/sign-in/{code}"


def _invitation(
    connection: Connection, site_id: str, secret: str, now: datetime
) -> Invitation | None:
    """By the secret of the link, or by its short code."""
    given = hashed(secret).hex()
    if _CODE.fullmatch(secret):
        return access.invited_by_code(connection, site_id, given, now)
    return access.invited(connection, site_id, given, now)


def sign_in(  # noqa: PLR0913 - who, by what, on what, when, who hears
    journal: Journal,
    site_id: str,
    secret: str,
    device: str,
    now: datetime,
    *,
    tell: Profile | None = None,
) -> str | None:
    """Uses a sign-in link up and begins a session: the cookie's value, or None when it is no good.

    Everybody of the profile `tell` hears of it.
    """
    session_id = token_urlsafe(24)
    with journal.writing() as writing:
        found = _invitation(writing.connection, site_id, secret, now)
        if found is None or not access.use(writing.connection, site_id, found.secret_hash, now):
            return None
        session = SignedIn(
            id_hash=hashed(session_id).hex(),
            person_id=found.person_id,
            device=_device(device),
            made_at=now,
            until=now + SIGNED_IN_FOR,
            through=found.through,
            seen_at=now,
        )
        access.sign_in(writing.connection, site_id, session)
        if tell:
            by = name_of(tell, found.through[-1]) if found.through else ""
            matter = news(let_in.signed_in, name_of(tell, found.person_id), session.device, by)
            step = Step("entry-signed-in", about=session.id_hash[:_MARK])
            entry_notice.tell(writing.connection, tell, step, matter, now)
    _log.info("entry.signed_in")
    return session_id


def sign_out(journal: Journal, site_id: str, id_hash: str) -> None:
    """Ends a session at once, on whichever device."""
    with journal.writing() as writing:
        access.sign_out(writing.connection, site_id, id_hash)
    _log.info("entry.signed_out")


def note_used(journal: Journal, site_id: str, used: Mapping[str, datetime]) -> None:
    """Writes down when sessions were last used, by their hashes."""
    with journal.writing() as writing:
        for id_hash, at in used.items():
            access.note_used(writing.connection, site_id, id_hash, at)


def sign_out_all(journal: Journal, site_id: str, person_id: str) -> int:
    """Ends the person's sessions on all devices, and their sign-in links; how many devices."""
    with journal.writing() as writing:
        count = access.sign_out_all(writing.connection, site_id, person_id)
    _log.info("entry.signed_out devices=%d", count)
    return count


def renew(
    journal: Journal, site_id: str, person_id: str, now: datetime, *, tell: Profile | None = None
) -> None:
    """Ends all that lets the person in and begins anew: addresses, links, buttons, sessions.

    Everybody of the profile `tell` hears of it.
    """
    with journal.writing() as writing:
        generation = access.renew(writing.connection, site_id, person_id, now)
        access.sign_out_all(writing.connection, site_id, person_id)
        if tell:
            matter = news(let_in.renewed, name_of(tell, person_id))
            step = Step("entry-renewed", generation, about=person_id)
            entry_notice.tell(writing.connection, tell, step, matter, now)
    _log.info("entry.renewed")


def renew_answers(
    journal: Journal, site_id: str, now: datetime, *, tell: Profile | None = None
) -> None:
    """Begins a new return topic: the buttons of every message sent before lead nowhere.

    Everybody of the profile `tell` hears of it.
    """
    with journal.writing() as writing:
        generation = access.renew_answers(writing.connection, site_id)
        if tell:
            step, matter = Step("entry-answers", generation), news(let_in.answers_renewed)
            entry_notice.tell(writing.connection, tell, step, matter, now)
    _log.info("entry.answers_renewed")


def session_hash(cookie: str) -> str:
    """The hash that a session is kept by, whatever the cookie holds.

    An older program set a signature behind it; whoever is signed in by such a cookie stays so.
    """
    return hashed(cookie.partition(".")[0]).hex()


_UNKNOWN = for_later(Devices.unknown)
_DEVICES = ("iPhone", "iPad", "Android", "Windows", "Macintosh", "Linux")
_BROWSERS = (("Edg", "Edge"), ("Firefox", "Firefox"), ("Chrom", "Chrome"), ("Safari", "Safari"))


def _device(agent: str) -> str:
    """What a person knows a device by: "iPhone, Safari"."""
    device = next((name for name in _DEVICES if name in agent), "")
    browser = next((name for sign, name in _BROWSERS if sign in agent), "")
    return ", ".join(part for part in (device, browser) if part)[:_DEVICE_LENGTH] or _UNKNOWN
