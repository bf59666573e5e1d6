"""People's own phones: whose they are, how many, and which key they are set up with."""

from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.alerts.phone import Phone, Subscription
from scheduler.journal import access
from scheduler.journal.access import SignedIn
from scheduler.journal.phones import phones as phones_of
from scheduler.journal.store import Journal, open_journal
from scheduler.service.people import phones
from scheduler.service.people.access import INVITED_FOR, code_of, invite, invited, short_code

NOW = datetime(2026, 12, 21, 12, tzinfo=UTC)
SITE = "orchard"


@pytest.fixture
def journal(tmp_path: Path) -> Iterator[Journal]:
    with closing(open_journal(tmp_path / "journal.sqlite3")) as opened:
        yield opened


def signed_in(journal: Journal, who: str, session: str) -> None:
    one = SignedIn(
        id_hash=session,
        person_id=who,
        device="iPhone",
        made_at=NOW,
        until=NOW + timedelta(days=365),
    )
    with journal.writing() as writing:
        access.sign_in(writing.connection, SITE, one)


def add(
    journal: Journal, number: int, *, who: str = "ana", key: str = "k", shared: bool = False
) -> Phone:
    session = f"{who}-{number}"
    signed_in(journal, who, session)
    endpoint = f"https://fcm.googleapis.com/{number}"
    given = Subscription(endpoint=endpoint, p256dh="p", auth="a", key_id=key)
    return phones.add(
        journal,
        SITE,
        person_id=who,
        session=session,
        label="iPhone",
        subscription=given,
        now=NOW,
        is_shared=shared,
    )


def known(journal: Journal) -> list[str]:
    with journal.reading() as connection:
        return [one.id for one in phones_of(connection, SITE)]


def test_eight_phones_are_enough_for_anybody(journal: Journal) -> None:
    made = [add(journal, number) for number in range(phones.MOST_PHONES)]
    with pytest.raises(phones.TooMany):
        add(journal, 8)
    assert len(known(journal)) == len(made)
    add(journal, 9, who="kim")


def test_whoever_sets_up_a_browser_has_it_from_then_on(journal: Journal) -> None:
    add(journal, 1)
    signed_in(journal, "kim", "kim-1")
    given = Subscription(endpoint="https://fcm.googleapis.com/1", p256dh="p", auth="b", key_id="k")
    kims = phones.add(
        journal, SITE, person_id="kim", session="kim-1", label="iPhone", subscription=given, now=NOW
    )
    assert known(journal) == [kims.id]


def test_a_phone_ends_with_its_session(journal: Journal) -> None:
    add(journal, 1)
    with journal.writing() as writing:
        access.sign_out(writing.connection, SITE, "ana-1")
    assert known(journal) == []


def test_of_several_hosts_none_sets_phones_up_with_a_key_of_its_own(journal: Journal) -> None:
    add(journal, 1, key="first", shared=True)
    with pytest.raises(phones.OtherKey):
        add(journal, 2, key="second", shared=True)
    with journal.reading() as connection:
        for own in (None, "second"):
            ring = phones.read_ringing(connection, SITE, NOW, own, is_shared=True)
            assert len(ring) == 1, "another host rings it"
            assert phones.read_ringing(connection, SITE, NOW, own) == ()


def test_alone_a_host_goes_by_the_key_that_it_has(journal: Journal) -> None:
    add(journal, 1, key="lost")
    kept = add(journal, 2, key="new")
    with journal.reading() as connection:
        [one] = phones.read_ringing(connection, SITE, NOW, "new")
    assert one.id == kept.id


@given(st.binary(min_size=8, max_size=32))
def test_a_short_code_has_eight_signs_that_nobody_misreads(secret: bytes) -> None:
    code = code_of(secret.hex())
    assert len(code) == 9
    assert code[4] == "-"
    assert not set(code) & set("ILOU")


def test_a_short_code_stands_for_its_link_once_however_it_is_typed(journal: Journal) -> None:
    path = invite(journal, SITE, "ana", NOW)
    code = code_of(path.rpartition("/")[2])
    typed = code.lower().replace("-", " ").replace("0", "o").replace("1", "l")
    found = short_code(journal, SITE, typed, NOW)
    assert found == f"/sign-in/{code}"
    assert invited(journal, SITE, code, NOW) == "ana"
    assert short_code(journal, SITE, code, NOW + INVITED_FOR) is None
    wrong = ("A" if code[0] != "A" else "B") + code[1:]
    for other in (wrong, "", code * 2, "!"):
        assert short_code(journal, SITE, other, NOW) is None


def test_a_phone_that_is_only_known_by_a_receipt_of_long_ago_is_not_proven() -> None:
    subscription = Subscription(endpoint="https://x", p256dh="p", auth="a", key_id="k")
    phone = Phone(
        id="a" * 16,
        person_id="ana",
        session="s",
        label="iPhone",
        subscription=subscription,
        made_at=NOW,
        arrived_at=NOW - timedelta(days=31),
    )
    assert not phone.is_proven(NOW)
    assert replace(phone, rang="yes").is_proven(NOW)
