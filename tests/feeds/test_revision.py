from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS
from scheduler.feeds.called_off import called_off
from scheduler.feeds.event import PARTS, FeedEvent, Part
from scheduler.feeds.planned_events import events
from scheduler.feeds.render import dressed, event_bytes
from scheduler.feeds.revision import Revision, Window, feed_week, is_past, revised, still_shown
from scheduler.profile.values import Profile

WEEK = date(2026, 3, 16)
NOW = datetime(2026, 3, 18, 9, 30, tzinfo=UTC)
TODAY = NOW.date()
DAY, MINUTE = timedelta(days=1), timedelta(minutes=1)
WINDOWS: dict[Part, Window] = {
    "lockup": Window(WEEK, WEEK + 28 * DAY - DAY),
    "jobs": Window(WEEK, WEEK + 14 * DAY - DAY),
    "seasons": Window(WEEK, WEEK + 42 * DAY - DAY),
}

relaxed = settings(deadline=None)


def event(day: date = TODAY + DAY, part: Part = "lockup", title: str = "Lock up") -> FeedEvent:
    start: datetime | date = day
    if part != "seasons":
        start = datetime(day.year, day.month, day.day, 17, 30, tzinfo=UTC)
    return FeedEvent(
        part=part,
        uid=f"{part}-walnut-{day}@orchard",
        day=day,
        start=start,
        end=start + (DAY if part == "seasons" else 10 * MINUTE),
        title=title,
        description="Shut the door.",
        rings=part == "lockup",
    )


def published(
    planned: Iterable[FeedEvent],
    known: dict[str, Revision] | None = None,
    *,
    now: datetime = NOW,
    windows: dict[Part, Window] = WINDOWS,
) -> list[Revision]:
    return list(revised(planned, known or {}, windows, now=now, today=now.date()))


def state(*revisions: Revision) -> dict[str, Revision]:
    """What is known after these have been published, the last of each UID."""
    return {revision.event.uid: revision for revision in revisions}


POOL = [
    event(WINDOWS[part].first + days * DAY, part, title)
    for part in PARTS
    for days in range(13)
    for title in ("one", "two")
]
plans = st.lists(st.sampled_from(POOL), max_size=8, unique_by=lambda e: e.uid)
nows = st.integers(-2 * 1440, 40 * 1440).map(lambda minutes: NOW + minutes * MINUTE)


@relaxed
@given(plans, nows)
def test_publishing_an_unchanged_plan_again_changes_nothing(
    planned: list[FeedEvent], later: datetime
) -> None:
    assert published(planned, state(*published(planned)), now=later) == []


@relaxed
@given(plans.filter(bool), st.data())
def test_a_change_touches_only_its_own_event_and_moves_number_and_time_together(
    planned: list[FeedEvent], data: st.DataObject
) -> None:
    known = state(*published(planned))
    index = data.draw(st.integers(0, len(planned) - 1))
    before = planned[index]
    after = data.draw(
        st.sampled_from(
            (
                replace(before, title=before.title + "!"),
                replace(before, description=""),
                replace(before, end=before.end + DAY),
                replace(before, start=before.start - DAY),
            )
        )
    )
    later = NOW + data.draw(st.timedeltas(timedelta(), 300 * DAY))
    changed = published([*planned[:index], after, *planned[index + 1 :]], known, now=later)
    if is_past(before, later, later.date()):
        assert changed == []  # what was published for the past stays
        return
    [news] = changed
    assert news.event == after
    assert news.cancelled_on is None
    assert news.sequence > known[before.uid].sequence
    # A second later at least: some clients look at nothing but this.
    earliest = known[before.uid].changed_at + timedelta(seconds=1)
    assert news.changed_at == max(later.replace(microsecond=0), earliest)


@relaxed
@given(st.lists(st.tuples(plans, nows), max_size=5))
def test_a_number_rises_with_each_change_even_when_the_clock_steps_back(
    steps: list[tuple[list[FeedEvent], datetime]],
) -> None:
    known: dict[str, Revision] = {}
    for planned, now in steps:
        news = published(planned, known, now=now)
        for revision in news:
            old = known.get(revision.event.uid)
            assert old is None or revision.sequence > old.sequence
            assert old is None or revision.changed_at > old.changed_at
            assert 0 <= revision.sequence < 2**31
        known |= state(*news)


@relaxed
@given(st.lists(st.sampled_from(("one", "two", "three")), min_size=1, max_size=8))
def test_a_number_does_not_fall_when_the_journal_is_lost(titles: list[str]) -> None:
    known: dict[str, Revision] = {}
    now = NOW
    for title in titles:
        known |= state(*published([event(title=title)], known, now=now))
        now += MINUTE
    [again] = published([event(title=titles[-1])], {}, now=now)
    assert again.sequence > known[again.event.uid].sequence


def test_the_number_is_the_minutes_since_2025_or_one_more_than_before() -> None:
    [first] = published([event()])
    assert first.sequence == (365 + 31 + 28 + 17) * 1440 + 9 * 60 + 30
    [second] = published([event(title="two")], state(first), now=NOW + timedelta(seconds=20))
    assert second.sequence == first.sequence + 1
    [third] = published([event()], state(second), now=NOW + 5 * MINUTE)
    assert third.sequence == first.sequence + 5


def test_a_clock_before_2025_gives_no_negative_number() -> None:
    [revision] = published([event()], now=datetime(1970, 1, 1, tzinfo=UTC))
    assert revision.sequence == 0


def test_the_time_of_a_change_is_in_whole_seconds() -> None:
    [revision] = published([event()], now=NOW + timedelta(seconds=7, microseconds=999_999))
    assert revision.changed_at == NOW + timedelta(seconds=7)


PLANNED_NO_MORE: list[tuple[Part, date, bool]] = [
    ("lockup", TODAY - DAY, False),
    ("lockup", TODAY, True),
    ("seasons", TODAY - DAY, False),
    ("lockup", TODAY + DAY, True),
    ("lockup", WINDOWS["lockup"].last, True),
    ("lockup", WINDOWS["lockup"].last + DAY, False),
    ("jobs", WINDOWS["jobs"].last, True),
    ("jobs", WINDOWS["jobs"].last + DAY, False),
    ("seasons", WINDOWS["lockup"].last + DAY, True),
    ("seasons", WINDOWS["seasons"].last + DAY, False),
]


@pytest.mark.parametrize(("part", "day", "is_cancelled"), PLANNED_NO_MORE)
def test_what_is_planned_no_more_is_cancelled_unless_it_is_over_inside_the_window_of_its_part(
    part: Part, day: date, *, is_cancelled: bool
) -> None:
    known = state(*published([event(day, part)]))
    later = NOW + timedelta(hours=3)
    news = published([], known, now=later)
    if not is_cancelled:
        assert news == []
        return
    [cancelled] = news
    [before] = known.values()
    assert cancelled.event == before.event
    assert cancelled.cancelled_on == TODAY
    assert cancelled.sequence == before.sequence + 180
    assert cancelled.changed_at == later


def test_a_date_before_the_window_is_not_cancelled() -> None:
    known = state(*published([event(TODAY + DAY)]))
    later_window: dict[Part, Window] = {"lockup": Window(TODAY + 2 * DAY, TODAY + 30 * DAY)}
    assert published([], known, windows=later_window) == []


def test_a_cancelled_event_is_cancelled_once() -> None:
    known = state(*published([event()]))
    known |= state(*published([], known, now=NOW + MINUTE))
    assert published([], known, now=NOW + 2 * MINUTE) == []


@pytest.mark.parametrize("title", ["Lock up", "Lock up · 11 hens"])
def test_an_event_that_is_planned_again_is_back_with_a_higher_number(title: str) -> None:
    known = state(*published([event()]))
    [cancelled] = published([], known, now=NOW + MINUTE)
    [back] = published([event(title=title)], state(cancelled), now=NOW + MINUTE)
    assert back.event.title == title
    assert back.cancelled_on is None
    assert back.sequence == cancelled.sequence + 1
    assert published([event(title=title)], state(back), now=NOW + 2 * MINUTE) == []


def test_a_week_later_only_the_new_week_is_news(small: Profile, catalogue: Catalogue) -> None:
    def planned(week: date) -> list[FeedEvent]:
        return list(events(plan(small, NO_RECORDS, week, week + 27 * DAY, catalogue)))

    def windows(week: date) -> dict[Part, Window]:
        window = Window(week, week + 27 * DAY)
        return {"lockup": window, "jobs": window, "seasons": window}

    known = state(*published(planned(WEEK), windows=windows(WEEK)))
    later = NOW + 7 * DAY
    news = published(planned(WEEK + 7 * DAY), known, now=later, windows=windows(WEEK + 7 * DAY))
    assert {revision.event.day for revision in news} == {WEEK + n * DAY for n in range(28, 35)}
    assert {revision.cancelled_on for revision in news} == {None}


def test_whether_an_alarm_may_ring_is_no_change() -> None:
    quiet = replace(event(), rings=False)
    assert quiet == event()
    assert published([quiet], state(*published([event()])), now=NOW + MINUTE) == []


def test_a_calendar_sees_the_same_event_with_and_without_its_alarm() -> None:
    [revision] = published([event()])
    without, ringing = (dressed(event_bytes(revision), lead_minutes=m) for m in (None, 30))
    head, _, rest = ringing.partition(b"BEGIN:VALARM\r\n")
    _, _, tail = rest.partition(b"END:VALARM\r\n")
    assert rest
    assert head + tail == without


CHANGES: list[Callable[[FeedEvent], FeedEvent]] = [
    lambda shown: replace(shown, start=shown.start - MINUTE),
    lambda shown: replace(shown, end=shown.end + MINUTE),
    lambda shown: replace(shown, title="Lock up!"),
    lambda shown: replace(shown, description="Shut the door!"),
    # The part decides whether the time is shown as taken.
    lambda shown: replace(shown, part="seasons"),
]


@pytest.mark.parametrize("change", CHANGES)
def test_whatever_a_calendar_shows_is_a_change(
    change: Callable[[FeedEvent], FeedEvent],
) -> None:
    [news] = published([change(event())], state(*published([event()])), now=NOW + MINUTE)
    assert news.event == change(event())


def test_a_cancelled_event_is_shown_until_the_first_feed_week_14_days_on() -> None:
    [cancelled] = published([], state(*published([event()])))
    tuesday, monday = date(2026, 3, 17), date(2026, 3, 16)
    assert still_shown(replace(cancelled, cancelled_on=tuesday), date(2026, 3, 16))
    assert still_shown(replace(cancelled, cancelled_on=tuesday), date(2026, 3, 30))
    assert not still_shown(replace(cancelled, cancelled_on=tuesday), date(2026, 4, 6))
    assert not still_shown(replace(cancelled, cancelled_on=monday), date(2026, 3, 30))
    assert not still_shown(replace(cancelled, cancelled_on=None), date(2026, 3, 16))


def test_an_event_is_cancelled_on_the_date_at_the_site() -> None:
    known = state(*published([event(TODAY + 2 * DAY)]))
    [cancelled] = revised([], known, WINDOWS, now=NOW, today=TODAY + DAY)
    assert cancelled.cancelled_on == TODAY + DAY


# From the calendar of March 2026: the 2nd, 9th and 16th are Mondays.
@pytest.mark.parametrize(
    ("today", "monday"),
    [(date(2026, 3, 9), date(2026, 3, 2)), (date(2026, 3, 16), date(2026, 3, 9))]
    + [(date(2026, 3, day), date(2026, 3, 9)) for day in range(10, 16)],
)
def test_the_feed_week_starts_on_the_monday_on_or_before_yesterday(
    today: date, monday: date
) -> None:
    assert feed_week(today) == monday


@relaxed
@given(st.dates(date(1970, 1, 1), date(2100, 12, 31)))
def test_a_feed_week_starts_one_to_seven_days_ago_on_a_monday(today: date) -> None:
    assert DAY <= today - feed_week(today) <= 7 * DAY
    assert feed_week(today).isoweekday() == 1


def test_both_ends_belong_to_a_window() -> None:
    window = Window(WEEK, WEEK + DAY)
    inside = [day in window for day in (WEEK - DAY, WEEK, WEEK + DAY, WEEK + 2 * DAY)]
    assert inside == [False, True, True, False]


def test_a_job_of_one_house_only_is_called_off_with_that_house(small: Profile) -> None:
    vents = event(part="seasons", title="Vents wide open · Orchard Pen")
    assert called_off(vents, small, None).title == "Called off: vents wide open · Orchard Pen"
    walls = event(part="seasons", title="Make the house tight")
    assert called_off(walls, small, None).title == "Called off: make the house tight"


def test_what_is_told_anew_is_a_change_though_nothing_of_it_changed() -> None:
    one, other = event(), event(TODAY + 2 * DAY)
    known = state(*published([one, other]))
    later = NOW + MINUTE
    [news] = revised([one, other], known, WINDOWS, now=later, today=TODAY, anew={one.uid})
    assert (news.event, news.changed_at) == (one, later)
    assert news.sequence > known[one.uid].sequence


def test_what_stays_is_not_called_off_though_it_is_planned_no_more() -> None:
    one, other = event(), event(TODAY + 2 * DAY)
    known = state(*published([one, other]))
    [news] = revised([], known, WINDOWS, now=NOW, today=TODAY, stays={one.uid})
    assert (news.event, news.cancelled_on) == (other, TODAY)


def test_a_part_without_a_window_calls_nothing_off() -> None:
    known = state(*published([event(), event(part="jobs")]))
    [news] = published([], known, windows={"jobs": WINDOWS["jobs"]})
    assert news.event.part == "jobs"


def test_what_is_called_off_is_published_in_the_words_for_it() -> None:
    known = state(*published([event()]))

    def struck(shown: FeedEvent) -> FeedEvent:
        return replace(shown, title=f"Called off: {shown.title}")

    [news] = revised([], known, WINDOWS, now=NOW, today=TODAY, called_off=struck)
    assert news.event.title == "Called off: Lock up"


def test_whose_an_event_is_changes_without_a_new_number() -> None:
    one = replace(event(), houses=frozenset({"walnut"}))
    both = replace(one, houses=frozenset({"hazel", "walnut"}))
    known = state(*published([one]))
    [news] = published([both], known, now=NOW + MINUTE)
    assert news.event.houses == {"hazel", "walnut"}
    assert (news.sequence, news.changed_at) == (known[one.uid].sequence, known[one.uid].changed_at)
    assert published([both], state(news), now=NOW + 2 * MINUTE) == []


def test_an_event_is_over_the_moment_it_ends() -> None:
    timed, whole = event(TODAY), event(TODAY - DAY, "seasons")
    assert isinstance(timed.end, datetime)
    assert [is_past(timed, timed.end - MINUTE + n * MINUTE, TODAY) for n in (0, 1)] == [False, True]
    assert [is_past(whole, NOW, day) for day in (TODAY - DAY, TODAY)] == [False, True]
