"""An evening as the reminders see it: which doors share one, who is called, what it is known by."""

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.alerts.reminded_evening import Evening
from tests.alerts.orchard import (
    ANA,
    BEN,
    CLEO,
    HAZEL,
    SITE,
    TEXT,
    WALNUT,
    WINTER,
    almanac,
    evenings,
    said,
)
from tests.weather_decided import decided


def after_sunset(coop: str, minutes: int) -> str:
    """The coop with a lock-up of its own so many minutes after sunset."""
    rule = f'[coop.lockup]\nbasis = "sunset"\nafter_sunset = "{minutes} min"\n[[flock]]'
    return coop.replace("[[flock]]", rule)


def apart(minutes: int, first: str = WALNUT, second: str = HAZEL) -> str:
    return SITE + after_sunset(first, 20) + after_sunset(second, 20 + minutes) + ANA + BEN


def ids(found: tuple[Evening, ...]) -> list[list[str]]:
    return [[door.coop_id for door in evening.doors] for evening in found]


@pytest.mark.parametrize("minutes", [0, 15])
def test_lock_ups_within_a_quarter_of_an_hour_share_one_evening(minutes: int) -> None:
    (evening,) = evenings(apart(minutes))
    assert {door.coop_id for door in evening.doors} == {"walnut", "hazel"}
    assert evening.lock_up == min(door.lock_up for door in evening.doors)
    assert evening.latest == min(door.latest for door in evening.doors)
    assert [step.at for step in evening.steps if step.kind == "now"] == [evening.lock_up]
    assert [step.at for step in evening.steps if step.kind == "next"] == [evening.latest]


def test_lock_ups_further_apart_do_not() -> None:
    found = evenings(apart(16))
    assert ids(found) == [["walnut"], ["hazel"]]
    assert [evening.subject_id for evening in found] == ["walnut", "hazel"]


def test_no_chain_of_lock_ups_grows_past_a_quarter_of_an_hour() -> None:
    third = HAZEL.replace("Hazel", "Rowan").replace("hazel", "rowan").replace("Bantams", "Old")
    text = SITE + after_sunset(WALNUT, 10) + after_sunset(HAZEL, 20) + after_sunset(third, 30) + ANA
    assert ids(evenings(text)) == [["walnut", "hazel"], ["rowan"]]


def test_a_shared_evening_keeps_its_name_when_the_doors_change_places() -> None:
    early, late = evenings(apart(10))[0], evenings(apart(10, HAZEL, WALNUT))[0]
    assert ids((early, late)) == [["walnut", "hazel"], ["hazel", "walnut"]]
    assert early.subject_id == late.subject_id == "hazel"


def test_an_evening_is_known_by_site_coop_and_date() -> None:
    (evening,) = evenings()
    assert (evening.site_id, evening.subject_id, evening.day) == ("orchard", "walnut", WINTER)


@pytest.mark.parametrize(
    ("people", "duty", "following", "everybody"),
    [
        (ANA, ["ana"], ["ana"], ["ana"]),
        (ANA + BEN, ["ana"], ["ben"], ["ana", "ben"]),
        (CLEO + BEN + ANA, ["cleo"], ["ben"], ["cleo", "ben", "ana"]),
    ],
)
def test_who_is_called_at_each_step(
    people: str, duty: list[str], following: list[str], everybody: list[str]
) -> None:
    (evening,) = evenings(SITE + WALNUT + people)
    called = {step.kind: list(step.people) for step in evening.steps}
    assert called == {
        "heads-up": duty, "now": duty, "again": duty, "next": following, "everybody": everybody,
        "hourly": duty, "bedtime": duty, "dawn": everybody,
    }  # fmt: skip


def test_whoever_cannot_be_reached_is_left_out() -> None:
    nobody = '[[person]]\nname = "Dora"\n'
    (evening,) = evenings(SITE + WALNUT + nobody + BEN)
    assert [contact.person_id for contact in evening.crew] == ["ben"]
    assert evening.steps[0].people == ("ben",)


def test_an_address_counts_only_where_its_channel_is_set_up() -> None:
    (evening,) = almanac(ways=frozenset({"mail"})).planned(WINTER, ())
    assert [(one.person_id, one.addresses) for one in evening.crew] == [
        ("ana", (("mail", "ana@example.org"),)),
        ("cleo", (("mail", "cleo@example.org"),)),
    ]
    assert evening.contact("ana").address("push") is None
    with pytest.raises(KeyError):
        evening.contact("ben")


def test_the_loudest_way_comes_first() -> None:
    person = '[[person]]\nname = "Ana"\nmail = "ana@example.org"\nservice = "pager"\n'
    person += 'push = "https://push.example.org/ana"\n'
    ways = frozenset({"push", "service", "mail"})
    (evening,) = almanac(SITE + WALNUT + person, ways).planned(WINTER, ())  # type: ignore[arg-type] # words of ChannelName
    assert [way for way, _ in evening.crew[0].addresses] == ["push", "service", "mail"]


def test_a_door_says_who_lives_behind_it() -> None:
    mixed = WALNUT + "roosters = 1\n" + HAZEL.replace('"Hazel"', '"Hazel"\ndoor = "automatic"')
    (evening,) = evenings(SITE + mixed.replace("hens = 6", "hens = 1") + ANA)
    assert {(d.name, d.birds, d.noun, d.automatic) for d in evening.doors} == {
        ("Walnut", 13, "birds", False),
        ("Hazel", 1, "hen", True),
    }


def test_fewer_are_expected_after_a_death() -> None:
    before = [said("dead", count=2, day=WINTER - timedelta(days=3))]
    (evening,) = almanac().planned(WINTER, before)
    assert [door.birds for door in evening.doors] == [10]


def test_the_let_out_is_the_next_morning_s() -> None:
    (evening,) = evenings()
    (following,) = evenings(day=WINTER + timedelta(days=1))
    assert evening.latest < evening.let_out < following.lock_up


def test_every_evening_of_a_year_has_its_steps_in_order() -> None:
    days = almanac(TEXT.replace("51.5", "69.6").replace("-0.1", "19").replace("London", "Oslo"))
    for number in range(0, 366, 7):
        day = date(2026, 1, 1) + timedelta(days=number)
        (evening,) = days.planned(day, ())
        instants = [step.at for step in evening.steps]
        assert instants == sorted(instants), day
        assert instants[-1] < evening.let_out, day


# Dark under cloud


def under_cloud(shift: int, text: str = TEXT, day: date = WINTER) -> tuple[Evening, Evening]:
    """The first evening in the clear, and with cloud that makes it dark so much earlier."""
    days = almanac(text)
    weather = (replace(decided(day), shift_minutes=shift),)
    cloudy = replace(days, records=replace(days.records, weather=weather))
    return days.planned(day, ())[0], cloudy.planned(day, ())[0]


def rung(evening: Evening, kind: str) -> datetime:
    return next(one.at for one in evening.steps if one.kind == kind)


def test_cloud_moves_the_first_calls_and_leaves_lock_up_and_latest() -> None:
    clear, cloudy = under_cloud(12)
    assert cloudy.dark_minutes_early == 12
    for kind in ("heads-up", "now"):
        assert rung(clear, kind) - rung(cloudy, kind) == timedelta(minutes=12)
    assert cloudy.doors == clear.doors
    assert (cloudy.lock_up, cloudy.let_out) == (clear.lock_up, clear.let_out)
    later = slice(2, None)
    assert cloudy.steps[later] == clear.steps[later]
    assert under_cloud(0)[1] == clear


def test_a_lock_up_that_is_late_in_the_clear_is_not_called_earlier_than_cloud_takes() -> None:
    deep = '[coop.lockup]\nbasis = "angle"\nangle = -6\n[[flock]]'
    clear, cloudy = under_cloud(5, TEXT.replace("[[flock]]", deep))
    assert rung(clear, "now") - rung(cloudy, "now") == timedelta(minutes=5)


def test_one_that_is_early_anyway_is_called_earlier_only_by_what_is_left() -> None:
    clear, cloudy = under_cloud(12, after_sunset(TEXT, 20))
    early = cloudy.dark_minutes_early
    assert 0 < early < 12
    assert rung(clear, "now") - rung(cloudy, "now") == timedelta(minutes=early)


def test_a_lock_up_by_the_clock_is_not_moved_by_cloud() -> None:
    capped = '[coop.lockup]\ncap = "16:00"\n[[flock]]'
    clear, cloudy = under_cloud(12, TEXT.replace("[[flock]]", capped))
    assert cloudy == clear


@given(shift=st.integers(0, 20), day=st.dates(date(2026, 1, 1), date(2026, 12, 31)))
def test_whatever_the_cloud_no_call_comes_later_nor_more_than_twenty_minutes_earlier(
    shift: int, day: date
) -> None:
    clear, cloudy = under_cloud(shift, day=day)
    for before, after in zip(clear.steps, cloudy.steps, strict=True):
        assert timedelta() <= before.at - after.at <= timedelta(minutes=shift)


# The way to a house


def far(minutes: int, name: str = "Walnut", text: str = TEXT) -> str:
    return text.replace(f'name = "{name}"\n', f'name = "{name}"\ngetting_there = {minutes}\n', 1)


def test_the_heads_up_comes_earlier_by_the_way_and_nothing_else_moves() -> None:
    (near,), (off,) = evenings(), evenings(far(14))
    assert rung(near, "heads-up") - rung(off, "heads-up") == timedelta(minutes=14)
    assert off.steps[1:] == near.steps[1:]
    assert off.leave_by(off.doors) == off.lock_up - timedelta(minutes=14)
    assert near.leave_by(near.doors) is None


def test_of_houses_in_one_evening_the_longest_way_counts() -> None:
    both = far(3, text=far(14, "Hazel", TEXT + HAZEL))
    (evening,) = evenings(both)
    (near,) = evenings(TEXT + HAZEL)
    assert rung(near, "heads-up") - rung(evening, "heads-up") == timedelta(minutes=14)
    walnut = [door for door in evening.doors if door.coop_id == "walnut"]
    assert evening.leave_by(evening.doors) == evening.lock_up - timedelta(minutes=14)
    assert evening.leave_by(walnut) == evening.lock_up - timedelta(minutes=3)


def test_dark_under_cloud_one_leaves_for_the_dark() -> None:
    clear, cloudy = under_cloud(12, far(14))
    leave, earlier = (one.leave_by(one.doors) for one in (clear, cloudy))
    assert leave
    assert earlier == leave - timedelta(minutes=12)
    assert rung(clear, "heads-up") - rung(cloudy, "heads-up") == timedelta(minutes=12)


@given(
    minutes=st.integers(0, 120),
    heads_up=st.integers(0, 240),
    latitude=st.integers(-60, 70),
    day=st.dates(date(2026, 1, 1), date(2026, 12, 31)),
)
def test_the_heads_up_is_never_later_than_leave_by_nor_before_the_morning(
    minutes: int, heads_up: int, latitude: int, day: date
) -> None:
    text = f'{TEXT}\n[reminders]\nheads_up = "{heads_up} min"\n'
    days = almanac(far(minutes, text=text.replace("51.5", f"{latitude}")))
    (evening,) = days.planned(day, ())
    leave = evening.leave_by(evening.doors) or evening.lock_up
    morning = max(days.noon(day), *(one.let_out.instant for one in days.coops(day)))
    usual = evening.lock_up - timedelta(minutes=heads_up)
    assert rung(evening, "heads-up") <= max(leave, min(morning, usual))
    assert rung(evening, "heads-up") >= min(morning, usual)
    instants = [one.at for one in evening.steps]
    assert instants == sorted(instants)
