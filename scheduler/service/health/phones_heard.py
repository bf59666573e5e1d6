"""Which phones are not known to ring, or not heard from: told by `health`, Status and the brief."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from sqlalchemy import Connection

from scheduler.alerts.phone import Phone
from scheduler.journal import access, phones
from scheduler.profile.values import Profile
from scheduler.service.health.causes import Cause
from scheduler.wording.service.devices import device_words
from scheduler.wording.service.phones import PhonesHeard
from scheduler.wording.spoken import short_day
from scheduler.wording.words import Words

_HEARD_WITHIN = timedelta(days=7)  # phone-push.md §6
_ENDS_SOON = timedelta(days=14)
_TOLD_FOR = timedelta(days=7)  # of one that has ended
_ENDED = {"gone": PhonesHeard.gone, "signed out": PhonesHeard.signed_out}


def of_phones(connection: Connection, profile: Profile, now: datetime) -> list[Cause]:
    """What is wrong with the phones of people who are here, as notes; by person, the ended last.

    The profile's own phones are those that can be rung with the key pair that there is.
    """
    names, site_id = profile.person_names, profile.site.id
    rung = {one.id for one in profile.phones}

    def cause(says: Words, remedy: Words, person_id: str, label: str, at: datetime) -> Cause:
        day = short_day(profile.date_at(at))
        what = says(who=names[person_id], phone=device_words(label), day=day)
        return Cause(kind="phone", what=what, remedy=remedy())

    known = [one for one in phones.phones(connection, site_id) if one.person_id in names]
    found = [
        cause(says, remedy, one.person_id, one.label, at)
        for one in known
        for says, remedy, at in _of(one, now, is_rung=one.id in rung)
    ]
    sessions = {one.id_hash: one for one in access.sessions(connection, site_id)} if known else {}
    for one in known:
        session = sessions[one.session]
        ends = min(session.until, (session.seen_at or session.until) + access.IDLE_AFTER)
        if ends - now < _ENDS_SOON:
            says, remedy = PhonesHeard.ends_soon, PhonesHeard.use_it
            found.append(cause(says, remedy, one.person_id, one.label, ends))
    ended = phones.ended_since(connection, site_id, now - _TOLD_FOR, ("gone", "signed out"))
    return found + [
        cause(_ENDED[why], PhonesHeard.again, person_id, label, at)
        for person_id, label, at, why in ended
        if person_id in names
    ]


def _of(one: Phone, now: datetime, *, is_rung: bool) -> Iterator[tuple[Words, Words, datetime]]:
    heard, handed = one.arrived_at, one.handed_at
    if not is_rung:
        yield PhonesHeard.other_key, PhonesHeard.again, now
    elif one.rang in {"no", "silent"}:
        yield PhonesHeard.not_ringing, PhonesHeard.open_it, now
    elif not one.is_proven(now):
        yield PhonesHeard.untried, PhonesHeard.open_it, now
    elif heard and handed and handed > heard and now - heard > _HEARD_WITHIN:
        yield PhonesHeard.silent, PhonesHeard.open_it, heard
