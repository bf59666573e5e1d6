"""Links by token: who has which address, for how long after a renewal, and sessions."""

import logging
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.journal.access import Renewal, renewals, sessions
from scheduler.journal.store import Journal, open_journal
from scheduler.profile.values import Profile
from scheduler.service.people import access
from scheduler.service.people.access import Pass, pass_of, passes, path_of, session_hash
from scheduler.tokens.derived import token
from tests.alerts.orchard import ANA, BEN, TEXT, WALNUT
from tests.alerts.orchard import SITE as SITE_TEXT
from tests.conftest import declared

KEY = b"k" * 32
NOW = datetime(2026, 12, 21, 16, 30, tzinfo=UTC)
SECOND = timedelta(seconds=1)
MONTH = timedelta(days=30)
SITE = "orchard"


@pytest.fixture(scope="module")
def profile() -> Profile:
    return declared(TEXT)


@pytest.fixture
def journal(tmp_path: Path) -> Iterator[Journal]:
    opened = open_journal(tmp_path / "journal.sqlite3")
    yield opened
    opened.close()


def renewed(*days_ago: int) -> tuple[Renewal, ...]:
    """Ana's renewals, the oldest first."""
    return tuple(
        Renewal(person_id="ana", generation=n, renewed_at=NOW - timedelta(days=ago))
        for n, ago in enumerate(days_ago, 1)
    )


def tokens(known: dict[bytes, Pass], *, ended: bool = False) -> set[str]:
    return {one.token for one in known.values() if one.person_id == "ana" and one.ended is ended}


def test_everybody_has_addresses_that_nobody_else_has(profile: Profile) -> None:
    known = passes(profile, KEY, (), NOW)
    # Five calendars without alarm, with the usual one, with four leads; tonight.json.
    assert len(known) == ((5 + len(profile.coop)) * 6 + 1) * len(profile.person)
    assert len({one.token for one in known.values()}) == len(known)
    assert passes(profile, KEY, (), NOW + 999 * MONTH) == known, "it hangs on the time"
    assert tokens(passes(profile, b"x" * 32, (), NOW)).isdisjoint(tokens(known))
    for one in known.values():
        assert pass_of(known, one.token) == one
        assert one.token in path_of(one, "Orchard")
        # 256 bits as URL-safe base64 (RFC 4648, section 5) without padding.
        assert len(one.token) == 43


def test_a_file_is_named_for_people(profile: Profile) -> None:
    names = {
        path_of(one, "Quince & Lane, 3").rpartition("/")[2]
        for one in passes(profile, KEY, (), NOW).values()
    }
    assert "quince-lane-3-lockup.ics" in names
    assert "quince-lane-3-all-with-alarms.ics" in names
    assert "tonight.json" in names
    [nameless] = {
        path_of(one, "🐔").rpartition("/")[2]
        for one in passes(profile, KEY, (), NOW).values()
        if one.kind == "calendar" and one.feed == "all" and not one.alarms
    }
    assert nameless == "hens-all.ics"


def test_addresses_of_a_former_id_stay_their_persons(profile: Profile) -> None:
    [ana] = [person for person in profile.person if person.id == "ana"]
    formerly = profile.model_copy(update={"person": (ana.model_copy(update={"id": "person-1"}),)})
    old = passes(formerly, KEY, (), NOW)
    now = passes(profile, KEY, (), NOW, {"ana": "person-1"})
    assert old.keys() <= now.keys()
    for hashed, one in old.items():
        assert (now[hashed].person_id, now[hashed].former) == ("ana", True)
        assert (now[hashed].feed, now[hashed].ended) == (one.feed, False)
    assert old.keys().isdisjoint(passes(profile, KEY, (), NOW))
    ended = passes(profile, KEY, renewed(0), NOW, {"ana": "person-1"})
    assert all(ended[hashed].ended for hashed in old)


def test_what_was_renewed_is_gone_for_thirty_days_and_then_unknown(profile: Profile) -> None:
    before = tokens(passes(profile, KEY, (), NOW))
    once = passes(profile, KEY, renewed(0), NOW)
    assert tokens(once, ended=True) == before
    assert tokens(once).isdisjoint(before)
    assert tokens(passes(profile, KEY, renewed(0), NOW + MONTH - SECOND), ended=True) == before
    assert tokens(passes(profile, KEY, renewed(0), NOW + MONTH), ended=True) == set()
    twice = passes(profile, KEY, renewed(40, 10), NOW)
    assert tokens(twice, ended=True) == tokens(passes(profile, KEY, renewed(40), NOW))
    assert not before & {one.token for one in twice.values()}
    others = [one for one in once.values() if one.person_id != "ana"]
    assert others
    assert not any(one.ended for one in others)


def test_the_addresses_of_whoever_left_and_of_a_house_that_went_end_and_are_not_unknown(
    profile: Profile,
) -> None:
    before = passes(profile, KEY, (), NOW)
    left = profile.model_copy(update={"person": profile.person[1:]})
    gone = profile.person[0].id
    renewal = Renewal(person_id=gone, generation=1, renewed_at=NOW)
    after = passes(left, KEY, (renewal,), NOW)
    theirs = {hashed for hashed, one in before.items() if one.person_id == gone}
    assert theirs
    assert {after[hashed].ended for hashed in theirs} == {True}
    assert not any(after[hashed].ended for hashed in before.keys() - theirs)
    assert theirs.isdisjoint(passes(left, KEY, (renewal,), NOW + MONTH))

    barn = profile.coop[0].model_copy(update={"id": "barn", "name": "Barn"})
    two = profile.model_copy(update={"coop": (profile.coop[0], barn)})
    alone = passes(profile, KEY, (), NOW, gone_houses={"barn"})
    for hashed, one in passes(two, KEY, (), NOW).items():
        assert alone[hashed].ended is (one.feed == "house-barn")


def test_the_addresses_of_a_sitter_end_with_the_day_after_the_last() -> None:
    last = NOW.date()
    sitter = f'{BEN}role = "sitter"\nlast_day = {last}\n'
    household = declared(SITE_TEXT + WALNUT + ANA + sitter)
    for days, ended in ((0, False), (1, False), (2, True)):
        known = passes(household, KEY, (), NOW + timedelta(days=days))
        assert {one.ended for one in known.values() if one.person_id == "ben"} == {ended}
        assert {one.ended for one in known.values() if one.person_id == "ana"} == {False}


@given(st.text(max_size=60))
def test_nothing_else_opens_anything(text: str) -> None:
    known = passes(declared(TEXT), KEY, (), NOW)
    assert pass_of(known, text) is None


def test_a_session_is_kept_by_the_hash_of_its_cookie(journal: Journal) -> None:
    path = access.invite(journal, SITE, "ana", NOW)
    secret = path.rpartition("/")[2]
    agent = "Mozilla/5.0 (iPhone; CPU iPhone OS 17_0) AppleWebKit/605 Version/17.0 Safari/604"
    cookie = access.sign_in(journal, SITE, secret, agent, NOW)
    assert cookie
    assert access.sign_in(journal, SITE, secret, agent, NOW) is None, "used twice"
    with journal.reading() as connection:
        [session] = sessions(connection, SITE)
    assert (session.id_hash, session.device) == (session_hash(cookie), "iPhone, Safari")
    assert cookie not in session.id_hash
    signed = f"{cookie}.{token(KEY, 'evening', site_id=SITE)}"
    assert session_hash(signed) == session.id_hash, "whoever was signed in before an update"
    for forged in (cookie[:-1], cookie + "a", "." + cookie, ""):
        assert session_hash(forged) != session.id_hash


def test_s16_a_renewal_is_written_down_and_logged_without_a_name(
    journal: Journal, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.INFO, "scheduler")
    access.renew(journal, SITE, "ana", NOW)
    access.renew_answers(journal, SITE, NOW)
    access.sign_out_all(journal, SITE, "ana")
    assert caplog.messages == [
        "entry.renewed",
        "entry.answers_renewed",
        "entry.signed_out devices=0",
    ]
    with journal.reading() as connection:
        assert [one.generation for one in renewals(connection, SITE)] == [1]
