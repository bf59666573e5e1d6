"""Whom the reader of a page can call: told to who is signed in by name, and in no message."""

from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path

import pytest

from scheduler.journal.access import SignedIn
from scheduler.web.household_now import Lookout
from scheduler.web.request_and_answer import Visit
from scheduler.web.whom_to_call import callable_people
from tests.alerts.orchard import ANA, BEN, CLEO, SITE, WALNUT, WINTER, at
from tests.faults.driven import DAY, driven

# Ofcom keeps 020 7946 0000 to 0999 for plays and films.
NUMBERS = {"Ana": "020 7946 0111", "Ben": "+44 (0)20 7946 0222", "Cleo": "+44-20 7946 0333"}
DORA = '[[person]]\nname = "Dora"\ntelephone = "020 7946 0444"\nrole = "sitter"\n'
SITTER = f"{DORA}first_day = {WINTER + DAY}\nlast_day = {WINTER + DAY}\n"
ON_MONDAY = '[duty]\nmonday = "Cleo"\n'
MAIL = '[mail]\nhost = "mail.example.org"\nuser = "hens@example.org"\nfrom = "hens@example.org"\n'
Seen = Callable[[str, datetime], Visit]


def with_number(person: str, name: str) -> str:
    return f'{person}telephone = "{NUMBERS[name]}"\n'


@pytest.fixture
def seen(tmp_path: Path) -> Iterator[Seen]:
    people = [with_number(ANA, "Ana"), with_number(BEN, "Ben"), with_number(CLEO, "Cleo")]
    text = "".join([SITE, WALNUT, *people, SITTER, ON_MONDAY, MAIL])
    with driven(tmp_path, text, at("12:00")) as house:
        lookout = Lookout(house.profile_path, house.running.place, house.running.almanac.key)

        def visit(who: str, now: datetime) -> Visit:
            until = now + DAY
            session = SignedIn(id_hash="", person_id=who, device="", made_at=now, until=until)
            return Visit(
                now=now,
                standing=lookout.standing(now),
                lookout=lookout,
                session=session if who else None,
            )

        yield visit
        lookout.close()


def test_whoever_is_on_duty_comes_first_and_the_reader_not_at_all(seen: Seen) -> None:
    assert [tuple(one) for one in callable_people(seen("ana", at("16:30")))] == [
        ("Cleo", "tel:+442079460333", "+44-20\xa07946\xa00333"),
        # A trunk prefix is not dialled after the country's code.
        ("Ben", "tel:+442079460222", "+44\xa0(0)20\xa07946\xa00222"),
    ]
    names = [one.name for one in callable_people(seen("cleo", at("16:30")))]
    assert names == ["Ana", "Ben"]
    [first, *_] = callable_people(seen("ben", at("16:30", WINTER + DAY)))
    assert first == ("Ana", "tel:02079460111", "020\xa07946\xa00111")


def test_a_sitter_can_be_called_on_their_days(seen: Seen) -> None:
    tonight = callable_people(seen("ana", at("16:30")))
    assert "Dora" not in {one.name for one in tonight}
    tomorrow = callable_people(seen("ana", at("16:30", WINTER + DAY)))
    assert "Dora" in {one.name for one in tomorrow}


@pytest.mark.parametrize("who", ["", "screen:Kitchen", "nobody"])
def test_nobody_who_is_not_signed_in_by_name_is_told_a_number(seen: Seen, who: str) -> None:
    assert callable_people(seen(who, at("16:30"))) == ()
