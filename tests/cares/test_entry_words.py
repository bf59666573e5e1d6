"""The diary in a keeper's words: every kind has some, and no name is left out for an id."""

import re
from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.diary.bird_entries import (
    BirdsArrived,
    BirdsHatched,
    BirdsMoved,
    BirdsSold,
)
from scheduler.cares.diary.codec import KINDS, decode
from scheduler.cares.diary.door_entries import (
    BirdsAway,
    BirdsDied,
    BirdsFound,
    BirdsHomeAgain,
    DoorReopened,
    DoorShut,
    LookingStopped,
)
from scheduler.cares.diary.egg_entries import EggsCounted
from scheduler.cares.diary.entry import Entry, FromNewer, Said, TakenBack, Unreadable
from scheduler.cares.diary.entry_words import NamesInDiary, in_words, when_words, words_for
from scheduler.cares.diary.job_entries import JobDone, JobSkipped
from scheduler.cares.diary.of_reports import as_made
from scheduler.cares.diary.report_entries import (
    LabelRead,
    ReportConfirmed,
    ReportEnded,
    ReportMade,
)
from scheduler.cares.diary.search_entries import LookingToo
from scheduler.cares.job_title import cares_by_id
from scheduler.profile.values import Profile
from tests.conftest import declared

DAY = date(2026, 12, 21)
AT = datetime(2026, 12, 21, 16, 2, tzinfo=UTC)
SITE = """
[site]
name = "Orchard"
id = "s7q"
latitude = 51.5
longitude = 0.0
timezone = "Europe/London"
elevation = "50 m"
"""
HOUSES = """
[[coop]]
name = "Walnut"
id = "c7q"
[[coop]]
name = "Hazel"
id = "c8q"
[[flock]]
name = "Pullets"
id = "f7q"
coop = "c7q"
hens = 12
[[flock]]
name = "Bantams"
id = "f8q"
coop = "c8q"
hens = 6
"""
MADE = ReportMade(report=3, kind="frost", last=date(2026, 12, 23), air_c=-12.0)
FROST = "Reported: frost of -12\u00a0°C from Mon 21 Dec to Wed 23 Dec"
WORMER = "Wormer A from Mon 21 Dec"
MEDICINE = ReportMade(report=4, kind="medicine", words="Wormer A", last=DAY, of_house=True)


@pytest.fixture
def profile() -> Profile:
    return declared(SITE + HOUSES)


def entry(
    what: Said, about: str = "c7q", number: int = 9, at: datetime = AT, said: datetime = AT
) -> Entry:
    return Entry(
        what=what, about=about, day=DAY, who="Ana", said_at=said, happened_at=at, number=number
    )


def called(profile: Profile, catalogue: Catalogue, among: Sequence[Entry] = ()) -> NamesInDiary:
    made = [one for one in among if isinstance(one.what, ReportMade)]
    return NamesInDiary(
        profile=profile,
        cares=cares_by_id(profile, catalogue),
        entries={one.number: one for one in among},
        reports={one.what.report: as_made(one) for one in made if isinstance(one.what, ReportMade)},
    )


@pytest.mark.parametrize(
    ("what", "about", "words"),
    [
        (DoorShut(flock=12, count=11), "c7q", "Walnut: shut, 11 of 12 in"),
        (DoorShut(flock=12, count=12), "c7q", "Walnut: shut, 12 in"),
        (DoorShut(flock=12, count=13), "c7q", "Walnut: shut, 13 in"),
        (DoorShut(flock=12), "c7q", "Walnut: shut, not counted"),
        (DoorShut(flock=12, some_missing=True), "c7q", "Walnut: shut, some missing"),
        (DoorReopened(flock=12), "orchard-pen", "Orchard Pen: open again"),
        (BirdsFound(flock=12, birds=1), "c7q", "Walnut: 1 found"),
        (BirdsFound(flock=12), "c7q", "Walnut: all missing birds found"),
        (LookingStopped(flock=12, birds=1, for_good=True), "c7q", "Walnut: 1 given up for lost"),
        (
            LookingStopped(flock=12, birds=2),
            "c7q",
            "Walnut: 2 not found, no more looking tonight",
        ),
        (LookingToo(), "c7q", "Walnut: looking for the missing birds"),
        (BirdsDied(flock=12, birds=1), "c7q", "Walnut: 1 died"),
        (BirdsAway(flock=12, birds=1), "c7q", "Walnut: 1 sleeps elsewhere"),
        (BirdsAway(flock=12), "c7q", "Walnut: all birds sleep elsewhere"),
        (BirdsHomeAgain(flock=12), "c7q", "Walnut: all that were away are home again"),
        (BirdsArrived(flock=12, birds=3), "c7q", "Walnut: 3 arrived"),
        (BirdsHatched(flock=12, birds=7), "c7q", "Walnut: 7 hatched"),
        (BirdsSold(flock=12, birds=2), "c7q", "Walnut: 2 sold or given away"),
        (BirdsMoved(flock=12, birds=2, to="c8q"), "c7q", "Walnut: 2 moved to Hazel"),
        (BirdsMoved(flock=6, birds=2, out_of="c7q"), "c8q", "Hazel: 2 moved in from Walnut"),
        (EggsCounted(eggs=9), "c7q", "Walnut: 9 eggs collected"),
        (EggsCounted(eggs=1), "c7q", "Walnut: 1 egg collected"),
        (JobDone(care_id="egg-collection"), "c7q", "Done: Collect the eggs (Walnut)"),
        (JobDone(care_id="old-job"), "f7q", "Done: Old job (Pullets)"),
        (
            JobSkipped(care_id="egg-collection"),
            "c8q",
            "Not this time: Collect the eggs (Hazel)",
        ),
        (MADE, "s7q", FROST),
        (
            ReportEnded(report=3, last=date(2026, 12, 22)),
            "s7q",
            "Frost from Mon 21 Dec: it ends on Tue 22 Dec",
        ),
        (
            ReportEnded(report=3, last=date(2026, 12, 20)),
            "s7q",
            "Frost from Mon 21 Dec: it is over, on the same day",
        ),
        (
            ReportConfirmed(report=8, on=DAY),
            "s7q",
            "Report 8 of Mon 21 Dec: still in force on Mon 21 Dec",
        ),
        (
            LabelRead(report=4, egg_days=7),
            "c7q",
            f"{WORMER}: eggs are withheld for 7 days, by the label or the vet",
        ),
        (
            LabelRead(report=4, egg_days=None),
            "c7q",
            f"{WORMER}: how long eggs are withheld was read, but is no longer known",
        ),
        (TakenBack(entry=1), "s7q", f"Taken back: “{FROST}”"),
        (TakenBack(entry=5), "c7q", "Put back: “Walnut: shut, 12 in”"),
        (TakenBack(entry=7), "c7q", "Taken back: entry 7"),
        (
            FromNewer(kind="moult-seen", version=2, text="{}"),
            "c7q",
            'Walnut: something that only a newer Duskfold can show ("moult-seen", version 2)',
        ),
        (
            Unreadable(kind="door-shut", text="{"),
            "c7q",
            'Walnut: entry 9 ("door-shut") is damaged and does not count',
        ),
    ],
)  # fmt: skip
def test_an_entry_is_told_in_words(
    profile: Profile, catalogue: Catalogue, what: Said, about: str, words: str
) -> None:
    among = [
        entry(MADE, "s7q", 1),
        entry(MEDICINE, "c7q", 2),
        entry(DoorShut(flock=12, count=12), "c7q", 3),
        entry(TakenBack(entry=3), "c7q", 5),
    ]
    assert in_words(entry(what, about), called(profile, catalogue, among)) == words


def test_a_damaged_number_leads_nobody_round_in_a_circle(
    profile: Profile, catalogue: Catalogue
) -> None:
    one, other = entry(TakenBack(entry=5), number=4), entry(TakenBack(entry=4), number=5)
    told = called(profile, catalogue, [one, other])
    assert in_words(one, told) == "Taken back: entry 5"
    assert in_words(other, told) == "Put back: entry 5"


def test_every_kind_has_words_of_its_own() -> None:
    kinds: list[type[Said]] = [*KINDS.values(), FromNewer, Unreadable]
    nobodys = words_for.dispatch(object)
    assert [kind.KIND for kind in kinds if words_for.dispatch(kind) is nobodys] == []


@pytest.mark.parametrize(
    ("happened", "said", "words"),
    [
        ("16:02", "16:02", "16:02"),
        ("16:02", "21:40", "16:02 (said at 21:40)"),
    ],
)
def test_when_it_happened_is_told_and_when_it_was_said_where_that_is_later(
    profile: Profile, catalogue: Catalogue, happened: str, said: str, words: str
) -> None:
    first, second = (
        AT.replace(hour=int(text[:2]), minute=int(text[3:])) for text in (happened, said)
    )
    one = entry(DoorReopened(flock=12), at=first, said=second)
    assert when_words(one, called(profile, catalogue)) == words


def test_another_day_than_that_it_is_of_is_named(profile: Profile, catalogue: Catalogue) -> None:
    late = entry(DoorReopened(flock=12), said=AT + timedelta(days=1, hours=1))
    told = called(profile, catalogue)
    assert when_words(late, told) == "16:02 (said on Tue 22 Dec, 17:02)"
    new_year = entry(DoorReopened(flock=12), at=AT + timedelta(days=12), said=AT)
    assert when_words(new_year, told) == "Sat 2 Jan 2027, 16:02 (said at 16:02)"


# Free text without a figure: an id in what is told is then none of a keeper's own words.
PLAIN = st.text("abc é<=", max_size=8)
VALUES = {
    int: st.integers(0, 40), float: st.floats(-40, 45), date: st.dates(date(2020, 1, 1)),
    str: PLAIN,
}  # fmt: skip


@st.composite
def drawn(draw: st.DrawFn) -> Entry:
    for of, values in VALUES.items():
        st.register_type_strategy(of, values)
    kind = draw(st.sampled_from([*KINDS.values()]))
    return entry(
        draw(st.from_type(kind)),
        draw(st.sampled_from(["c7q", "c8q", "f7q", "f8q", "s7q"])),
        draw(st.integers(1, 30)),
    )


@given(said=st.lists(drawn(), min_size=1, max_size=6))
def test_whatever_was_said_is_told_and_never_by_an_id_where_there_is_a_name(
    said: list[Entry], catalogue: Catalogue
) -> None:
    told = called(declared(SITE + HOUSES), catalogue, said)
    for one in said:
        words = in_words(one, told)
        assert words.strip()
        assert not re.search(r"\b[csf][78]q\b", words)


@pytest.mark.parametrize("kind", [*KINDS, "moult-seen"])
def test_damaged_values_of_any_kind_are_told_as_such(
    profile: Profile, catalogue: Catalogue, kind: str
) -> None:
    words = in_words(entry(decode(kind, 1, '{"nonsense": [}')), called(profile, catalogue))
    assert ("damaged" if kind in KINDS else "only a newer Duskfold") in words
