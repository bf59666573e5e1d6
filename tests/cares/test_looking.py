"""Who looks for missing birds is said beside what is said of doors, and changes nothing of it."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.cares.closing import Closing
from scheduler.cares.diary.codec import decode, encode
from scheduler.cares.diary.door_entries import BirdsFound, DoorReopened, DoorShut, OfADoor
from scheduler.cares.diary.entry import Entry, Said, TakenBack
from scheduler.cares.diary.of_doors import closings_of
from scheduler.cares.diary.of_searches import lookers_of
from scheduler.cares.diary.search_entries import LookingToo
from scheduler.cares.door_fold import door
from scheduler.cares.looking import search_since, who_looks

EVENING = date(2026, 12, 21)
AT = datetime(2026, 12, 21, 16, tzinfo=UTC)
FLOCK = 12
# What a letter stands for in the order of saying: short count, all in, found, open again.
SAYS: Mapping[str, OfADoor] = {
    "s": DoorShut(flock=FLOCK, count=11),
    "a": DoorShut(flock=FLOCK, count=12),
    "f": BirdsFound(flock=FLOCK, birds=1),
    "o": DoorReopened(flock=FLOCK),
}


def entry(what: Said, number: int, who: str = "Ana") -> Entry:
    at = AT + number * timedelta(minutes=1)
    return Entry(
        what=what, about="walnut", day=EVENING, who=who, person_id=who.lower(), said_at=at,
        happened_at=at, number=number,
    )  # fmt: skip


def evening(told: str) -> list[Entry]:
    """What was said, a letter each: of `SAYS`; A or K, that Ana or Kim looks; u, an undo."""
    found: list[Entry] = []
    for number, letter in enumerate(told, 1):
        if letter in SAYS:
            found.append(entry(SAYS[letter], number))
        elif letter == "u":
            found.append(entry(TakenBack(entry=number - 1), number))
        else:
            found.append(entry(LookingToo(), number, "Ana" if letter == "A" else "Kim"))
    return found


def closings(entries: Iterable[Entry]) -> list[Closing]:
    return [one.closing for one in closings_of(entries)]


@pytest.mark.parametrize(
    ("told", "names"),
    [
        ("s", ""),
        ("sA", "Ana"),
        ("sAK", "Ana Kim"),
        ("sKAK", "Kim Ana"),
        ("sAu", ""),
        ("sAKu", "Ana"),
        ("sAf", ""),
        ("sAa", ""),
        ("sAo", ""),
        ("sAfu", "Ana"),  # the find was a slip: the search has never ended
        ("sAfs", ""),  # that is another search
        ("sAfsK", "Kim"),
        ("A", ""),
        ("As", ""),
        ("sAs", "Ana"),
    ],
)
def test_whoever_said_so_in_this_search_looks(told: str, names: str) -> None:
    known = evening(told)
    looking = who_looks(lookers_of(known), closings(known), "walnut", EVENING, FLOCK)
    assert [one.who for one in looking] == names.split()
    other = who_looks(lookers_of(known), closings(known), "barn", EVENING, FLOCK)
    assert not other


def test_a_search_is_known_since_the_count_that_was_short_was_said() -> None:
    known = closings(evening("asf"))
    assert search_since(known, "walnut", EVENING, FLOCK) is None
    assert search_since(known[:2], "walnut", EVENING, FLOCK) == AT + timedelta(minutes=2)
    late = replace(known[1], at=AT - timedelta(hours=1), made_at=AT + timedelta(hours=1))
    assert search_since([late], "walnut", EVENING, FLOCK) == AT + timedelta(hours=1)
    before = replace(known[1], evening=EVENING - timedelta(days=1))
    assert search_since([before], "walnut", EVENING, FLOCK) is None


def test_a_phone_whose_clock_is_ahead_hides_nobody() -> None:
    short, looking = evening("sK")
    ahead = replace(short, happened_at=AT + timedelta(minutes=4))
    kept = replace(looking, happened_at=AT + timedelta(minutes=4))
    known = [ahead, kept]
    found = who_looks(lookers_of(known), closings(known), "walnut", EVENING, FLOCK)
    assert [one.who for one in found] == ["Kim"]


@given(told=st.text("safo", max_size=6), back=st.booleans(), data=st.data())
def test_saying_so_anywhere_changes_no_door(told: str, back: bool, data: st.DataObject) -> None:
    plain = evening(told + "u" * (back and bool(told)))
    places = data.draw(st.lists(st.integers(0, len(plain)), max_size=5))
    among: list[Entry] = []
    numbers: dict[int, int] = {}
    for place in range(len(plain) + 1):
        for _ in range(places.count(place)):
            who = data.draw(st.sampled_from(["Ana", "Kim"]))
            at = plain[place - 1].said_at if place else AT
            new = entry(LookingToo(), len(among) + 1, who)
            among.append(replace(new, said_at=at, happened_at=at))
            if data.draw(st.booleans()):
                undo = TakenBack(entry=len(among))
                among.append(replace(among[-1], what=undo, number=len(among) + 1))
        if place < len(plain):
            one = plain[place]
            numbers[one.number] = len(among) + 1
            what = one.what
            if isinstance(what, TakenBack):
                what = TakenBack(entry=numbers[what.entry])
            among.append(replace(one, what=what, number=len(among) + 1))
    assert closings(among) == closings(plain)
    stands = door(closings(among), "walnut", EVENING, FLOCK)
    assert stands == door(closings(plain), "walnut", EVENING, FLOCK)
    if stands.state != "searching":
        assert not who_looks(lookers_of(among), closings(among), "walnut", EVENING, FLOCK)


def test_an_older_program_keeps_it_and_counts_it_not_among_what_was_said_of_doors() -> None:
    kind, version, text = encode(LookingToo())
    assert (kind, version, text) == ("looking", 1, "{}")
    assert LookingToo.FAMILY != OfADoor.FAMILY
    assert decode(kind, version + 1, text).KIND == "from-newer"
