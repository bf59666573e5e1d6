"""Which published event a planned one is, whatever comes first and however it is called."""

from collections.abc import Collection
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.feeds.event import FeedEvent
from scheduler.feeds.identity import is_covered, settled, told
from scheduler.feeds.revision import Revision

DAY = date(2026, 3, 18)
NOW = datetime(2026, 3, 10, 9, 30, tzinfo=UTC)


def lock_up(*houses: str, at: int = 17, day: date = DAY) -> FeedEvent:
    """The lock-up that these houses share, as planned: named by the first of them."""
    start = datetime(day.year, day.month, day.day, at, 30, tzinfo=UTC)
    return FeedEvent(
        part="lockup",
        uid=f"lockup-{min(houses)}-{day}@orchard",
        day=day,
        start=start,
        end=start + timedelta(minutes=20),
        title="Lock up",
        description="",
        kind="lockup",
        houses=frozenset(houses),
    )


def season(day: date, *houses: str, kind: str = "shut-vents") -> FeedEvent:
    return FeedEvent(
        part="seasons",
        uid=f"{kind}-{min(houses)}-{day}@orchard",
        day=day,
        start=day,
        end=day + timedelta(days=1),
        title="Low vents shut",
        description="",
        kind=kind,
        houses=frozenset(houses),
    )


def published(*events: FeedEvent) -> dict[str, Revision]:
    return {one.uid: Revision(event=one, sequence=1, changed_at=NOW) for one in events}


def uids(
    planned: list[FeedEvent], known: dict[str, Revision], houses: Collection[str]
) -> list[str]:
    return [one.uid for one in settled(planned, known, houses)]


def test_a_house_that_comes_first_takes_no_event_from_those_that_were_there() -> None:
    known = published(lock_up("hazel", "walnut"))
    houses = {"ash", "hazel", "walnut"}
    assert uids([lock_up("ash", "hazel", "walnut")], known, houses) == list(known)
    # With times of its own it has an event of its own.
    [own, shared] = uids([lock_up("ash", at=16), lock_up("hazel", "walnut")], known, houses)
    assert [own, shared] == [f"lockup-ash-{DAY}@orchard", *known]


def test_the_house_that_named_an_event_may_go() -> None:
    known = published(lock_up("hazel", "walnut"))
    assert uids([lock_up("walnut")], known, {"walnut"}) == list(known)


def test_houses_that_part_have_two_events_and_one_is_the_old_one() -> None:
    known = published(lock_up("hazel", "walnut"))
    found = uids([lock_up("hazel", at=16), lock_up("walnut")], known, {"hazel", "walnut"})
    assert found == [f"lockup-hazel-{DAY}@orchard", f"lockup-walnut-{DAY}@orchard"]


def test_houses_that_meet_go_on_in_one_of_their_events_and_the_other_is_covered() -> None:
    known = published(lock_up("hazel", at=16), lock_up("walnut"))
    together = settled([lock_up("hazel", "walnut")], known, {"hazel", "walnut"})
    assert [one.uid for one in together] == [f"lockup-hazel-{DAY}@orchard"]
    assert is_covered(lock_up("walnut"), together)
    assert not is_covered(lock_up("ash", at=16), together)
    assert is_covered(lock_up("ash"), together), "two of one time would read as twins"
    assert not is_covered(lock_up("walnut"), [])


def test_a_house_under_another_id_goes_on_in_its_events() -> None:
    known = published(lock_up("coop-1"))
    assert uids([lock_up("coop-1f2e")], known, {"coop-1f2e"}) == list(known)
    # Two at once are told apart by their times.
    known = published(lock_up("coop-1", at=16), lock_up("coop-2", at=18))
    renamed = [lock_up("coop-aa", at=18), lock_up("coop-bb", at=16)]
    found = uids(renamed, known, {"coop-aa", "coop-bb"})
    assert found == [f"lockup-coop-2-{DAY}@orchard", f"lockup-coop-1-{DAY}@orchard"]


def test_a_house_that_still_is_there_gives_its_event_to_nobody() -> None:
    known = published(lock_up("hazel"))
    assert uids([lock_up("ash")], known, {"ash", "hazel"}) == [f"lockup-ash-{DAY}@orchard"]


def test_a_season_keeps_its_event_when_its_date_moves() -> None:
    known = published(season(date(2026, 11, 2), "walnut"), season(date(2027, 11, 2), "walnut"))
    moved = [season(date(2026, 11, 9), "walnut"), season(date(2027, 11, 9), "walnut")]
    assert uids(moved, known, {"walnut"}) == list(known)
    by_months = [season(date(2027, 1, 20), "walnut"), season(date(2028, 1, 20), "walnut")]
    assert uids(by_months, known, {"walnut"}) == list(known)
    far = [season(date(2026, 5, 1), "walnut")]  # half a year: the year before's
    assert uids(far, known, {"walnut"}) == ["shut-vents-walnut-2026-05-01@orchard"]
    other = [season(date(2026, 11, 2), "walnut", kind="shut")]
    assert uids(other, known, {"walnut"}) == ["shut-walnut-2026-11-02@orchard"]


def test_a_season_that_was_is_no_season_to_come() -> None:
    # The clocks change in March and in October: five months apart, and one kind.
    spring, autumn = season(date(2026, 3, 17), "walnut"), season(date(2026, 8, 1), "walnut")
    [found] = settled([autumn], published(spring), {"walnut"}, DAY)
    assert found.uid == autumn.uid
    # What moves from yesterday to next week is to be done again, and is shown again.
    [again] = settled([season(date(2026, 3, 24), "walnut")], published(spring), {"walnut"}, DAY)
    assert again.uid == "shut-vents-walnut-2026-03-24@orchard"
    # What was to be today has moved.
    [moved] = settled(
        [season(date(2026, 3, 24), "walnut")], published(season(DAY, "walnut")), {"walnut"}, DAY
    )
    assert moved.uid == f"shut-vents-walnut-{DAY}@orchard"


def test_an_event_of_version_0_1_0_tells_its_kind_and_house_by_its_uid() -> None:
    for event in (lock_up("coop-1"), season(DAY, "nursery-ark")):
        bare = FeedEvent(
            part=event.part,
            uid=event.uid,
            day=event.day,
            start=event.start,
            end=event.end,
            title=event.title,
            description="",
        )
        read = told(bare, {"lockup", "shut", "shut-vents"})
        assert (read.kind, read.houses) == (event.kind, event.houses)


NAMES = st.sampled_from(["ash", "birch", "hazel", "oak", "walnut"])


@st.composite
def evenings(draw: st.DrawFn) -> list[FeedEvent]:
    """Some houses on one evening, in groups that share a time."""
    hours = draw(st.dictionaries(NAMES, st.integers(15, 18), min_size=1))
    groups: dict[int, list[str]] = {}
    for house, hour in hours.items():
        groups.setdefault(hour, []).append(house)
    return [lock_up(*group, at=hour) for hour, group in groups.items()]


@settings(deadline=None)
@given(evenings(), evenings())
def test_no_two_events_have_one_uid_and_every_order_gives_the_same(
    before: list[FeedEvent], after: list[FeedEvent]
) -> None:
    first = settled(before, {}, {house for one in before for house in one.houses})
    known = published(*first)
    houses = {house for one in after for house in one.houses}
    then = settled(after, known, houses)
    assert len({one.uid for one in then}) == len(then)
    assert settled(after[::-1], known, houses) == then[::-1]
    # Published again, nothing changes.
    assert settled(after, published(*then), houses) == then


def round_on(day: date) -> FeedEvent:
    start = datetime(day.year, day.month, day.day, 8, 30, tzinfo=UTC)
    return FeedEvent(
        part="jobs",
        uid=f"morning-orchard-{day}@orchard",
        day=day,
        start=start,
        end=start + timedelta(minutes=20),
        title="Morning jobs",
        description="",
        kind="morning",
    )


def test_a_round_has_no_houses_and_is_known_by_its_date() -> None:
    planned = [round_on(DAY), round_on(DAY + timedelta(days=1))]
    known = published(*planned)
    assert uids(planned, known, {"walnut"}) == list(known)
    assert not is_covered(round_on(DAY), [])
    assert not is_covered(round_on(DAY), [lock_up("walnut")])


def test_most_houses_in_common_make_the_same_event() -> None:
    known = published(lock_up("ash", at=16), lock_up("hazel", "walnut"))
    [found] = uids([lock_up("ash", "hazel", "walnut")], known, {"ash", "hazel", "walnut"})
    assert found == f"lockup-hazel-{DAY}@orchard"


def test_an_event_that_stands_goes_before_one_that_is_called_off() -> None:
    known = published(lock_up("hazel", "walnut", at=16), lock_up("walnut"))
    off, _ = known
    known[off] = replace(known[off], cancelled_on=DAY)
    [found] = uids([lock_up("hazel", "walnut")], known, {"hazel", "walnut"})
    assert found == f"lockup-walnut-{DAY}@orchard"


def test_a_season_goes_on_in_the_nearest_date_and_comes_back_on_its_own() -> None:
    known = published(season(date(2026, 11, 2), "walnut"), season(date(2027, 3, 2), "walnut"))
    [near] = uids([season(date(2027, 1, 20), "walnut")], known, {"walnut"})
    assert near == "shut-vents-walnut-2027-03-02@orchard"
    off, _ = known
    known[off] = replace(known[off], cancelled_on=DAY)
    [back] = uids([season(date(2026, 11, 2), "walnut")], known, {"walnut"})
    assert back == off, "though another one stands"


def test_a_season_moves_by_half_a_year_at_most() -> None:
    known = published(season(date(2026, 5, 1), "walnut"))
    for days, is_same in ((182, True), (183, False)):
        moved = season(date(2026, 5, 1) + timedelta(days=days), "walnut")
        assert (uids([moved], known, {"walnut"}) == list(known)) is is_same


def test_only_one_house_that_came_takes_the_place_of_one_that_went() -> None:
    gone = published(lock_up("hazel"))
    two = [lock_up("ash", at=16), lock_up("birch", at=18)]
    assert uids(two, gone, {"ash", "birch"}) == [one.uid for one in two]
    both_gone = published(lock_up("hazel"), lock_up("walnut", at=18))
    one = lock_up("ash", at=16)
    assert uids([one], both_gone, {"ash"}) == [one.uid]


def test_what_was_called_off_with_its_house_comes_back_for_no_other() -> None:
    known = published(lock_up("hazel"))
    [off] = known
    known[off] = replace(known[off], cancelled_on=DAY)
    assert uids([lock_up("ash")], known, {"ash"}) == [f"lockup-ash-{DAY}@orchard"]


def test_a_season_of_a_house_that_went_moves_to_no_other_date() -> None:
    known = published(season(date(2026, 11, 2), "hazel"))
    planned = season(date(2026, 11, 9), "ash")
    assert uids([planned], known, {"ash"}) == [planned.uid]
    same_date = season(date(2026, 11, 2), "ash")
    assert uids([same_date], known, {"ash"}) == list(known)


def test_houses_renamed_at_once_go_on_by_what_their_seasons_say() -> None:
    day = date(2026, 11, 2)
    shut, wide = season(day, "coop-1"), replace(season(day, "coop-2"), title="Vents wide open")
    new_wide, new_shut = replace(season(day, "aa"), title="Vents wide open"), season(day, "bb")
    found = uids([new_wide, new_shut], published(shut, wide), {"aa", "bb"})
    assert found == [wide.uid, shut.uid]


def test_a_name_that_is_taken_gives_way_to_another_house_s_or_a_number() -> None:
    old = f"lockup-hazel-{DAY}@orchard"
    known = published(replace(lock_up("ash", "birch", "hazel"), uid=old))
    planned = [lock_up("ash", "birch"), lock_up("hazel", "walnut", at=16)]
    found = uids(planned, known, {"ash", "birch", "hazel", "walnut"})
    assert found == [old, f"lockup-walnut-{DAY}@orchard"]
    # A season that moved far away in steps keeps the UID of its first date.
    moved = replace(season(date(2026, 4, 20), "walnut"), uid="shut-vents-walnut-2026-11-02@orchard")
    [other] = uids([season(date(2026, 11, 2), "walnut")], published(moved), {"walnut"})
    assert other == "shut-vents-walnut-2026-11-02-2@orchard"
