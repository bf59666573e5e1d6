"""A feed's events, made from days as values: who shares one, what its title and text say."""

from datetime import UTC, date, datetime, timedelta
from typing import Literal, get_args
from zoneinfo import ZoneInfo

import pytest

from scheduler.cares.coop_day import CoopDay
from scheduler.cares.day_plan import DayPlan, Line, Plan, Round, Task
from scheduler.cares.free_range import FreeRange, NoRange
from scheduler.cares.let_out import KeptIn, LetOut
from scheduler.cares.lock_up import LockUp
from scheduler.feeds.called_off import called_off
from scheduler.feeds.door_events import lockup_events
from scheduler.feeds.event import FeedEvent
from scheduler.feeds.feed_names import FEEDS, feeds_of, house_feed, house_of
from scheduler.feeds.job_events import job_events
from scheduler.feeds.planned_events import events, nothing_to_show, season_events
from scheduler.light.sun import At
from scheduler.profile.coop import Coop, Ranging
from scheduler.profile.flock import Flock
from scheduler.profile.site import Site
from scheduler.profile.values import Profile

DAY = date(2026, 12, 21)
LONDON = Site(
    name="Orchard", id="orchard", latitude_deg=51.5, longitude_deg=-0.1,
    zone=ZoneInfo("Europe/London"), region="UK",
)  # fmt: skip
Door = Literal["manual", "automatic"]


def at(clock: str) -> datetime:
    """The instant at which the clock in London shows that time on the day."""
    return datetime.fromisoformat(f"{DAY}T{clock}").replace(tzinfo=UTC)


def keep(*names: str, door: Door = "manual", ranging: Ranging = "supervised") -> Profile:
    """Houses of these names, each with six hens; without names Walnut alone."""
    coops = [
        Coop(name=name, id=name.lower(), door=door, ranging=ranging)
        for name in names or ("Walnut",)
    ]
    flocks = [Flock(name=f"{one.name}'s", id=f"of-{one.id}", coop=one.id, hens=6) for one in coops]
    return Profile(units="metric", site=LONDON, coop=tuple(coops), flock=tuple(flocks))


RANGE = FreeRange(start=at("14:53:40"), call_in=at("15:43"), end=at("16:18:20"))


def house(  # noqa: PLR0913 - a day in parts
    coop_id: str = "walnut",
    *,
    shut: str = "16:18:20",
    latest: str = "16:33:10",
    opened: str = "08:33:50",
    free_range: FreeRange | NoRange = RANGE,
    kept_in: KeptIn | None = None,
) -> CoopDay:
    return CoopDay(
        coop_id=coop_id,
        day=DAY,
        dawn=At(at("07:23")),
        sunrise=At(at("08:03")),
        sunset=At(at("15:53")),
        dusk=At(at("16:33:10")),
        daylight=timedelta(hours=7, minutes=50),
        let_out=LetOut(instant=at(opened), basis="sunrise"),
        lock_up=LockUp(instant=at(shut), latest=at(latest), basis="angle"),
        free_range=free_range,
        lamp=None,
        kept_in=kept_in,
    )


def day_of(
    *coops: CoopDay,
    rounds: tuple[Round, ...] = (),
    seasons: tuple[Task, ...] = (),
    empty: frozenset[str] = frozenset(),
) -> DayPlan:
    return DayPlan(day=DAY, coops=coops, rounds=rounds, seasons=seasons, empty=empty)


def of(profile: Profile, *coops: CoopDay, empty: frozenset[str] = frozenset()) -> list[FeedEvent]:
    return list(lockup_events(profile, day_of(*coops, empty=empty)))


def only(kind: str, found: list[FeedEvent]) -> FeedEvent:
    (one,) = [event for event in found if event.kind == kind]
    return one


def houses(kind: str, found: list[FeedEvent]) -> list[list[str]]:
    return [sorted(event.houses) for event in found if event.kind == kind]


# Times


def test_an_event_lies_on_the_minutes_that_a_clock_shows() -> None:
    found = of(keep(), house())
    spans = {event.kind: (event.start, event.end) for event in found}
    assert spans == {
        "letout": (at("08:33"), at("08:43")),
        "range": (at("14:53"), at("16:18")),
        "lockup": (at("16:18"), at("16:33")),
    }


@pytest.mark.parametrize(
    ("shut", "latest", "end"),
    [
        ("16:18:00", "16:18:00", "16:19"),
        ("16:18:10", "16:18:50", "16:19"),
        ("16:18:50", "16:19:10", "16:19"),
        ("16:18:50", "16:20:00", "16:20"),
    ],
)
def test_no_lock_up_is_shorter_than_a_minute(shut: str, latest: str, end: str) -> None:
    event = only("lockup", of(keep(), house(shut=shut, latest=latest)))
    assert (event.start, event.end) == (at("16:18"), at(end))


def test_no_free_range_time_or_round_is_shorter_than_a_minute() -> None:
    spell = FreeRange(start=at("15:00:05"), call_in=at("15:00:05"), end=at("15:00:40"))
    event = only("range", of(keep(), house(free_range=spell)))
    assert (event.start, event.end) == (at("15:00"), at("15:01"))
    (walk,) = job_events(keep(), day_of(rounds=(round_of(task("feed"), end="08:35:30"),)))
    assert (walk.start, walk.end) == (at("08:35"), at("08:36"))


# Who shares an event


def test_houses_with_the_same_times_share_their_events_and_are_not_named() -> None:
    found = of(keep("Hazel", "Walnut"), house("walnut"), house("hazel"))
    assert [sorted(event.houses) for event in found] == [["hazel", "walnut"]] * 3
    assert [event.uid for event in found] == [
        f"{kind}-hazel-2026-12-21@orchard" for kind in ("letout", "range", "lockup")
    ], "named by the first id, whichever house the profile has first"
    assert only("lockup", found).title == "Lock up · 12 hens · 16:18"


def test_houses_with_other_times_have_their_own_and_are_named() -> None:
    found = of(keep("Hazel", "Walnut"), house("hazel"), house("walnut", shut="16:20:00"))
    titles = [event.title for event in found if event.kind == "lockup"]
    assert titles == ["Lock up · Hazel · 6 hens · 16:18", "Lock up · Walnut · 6 hens · 16:20"]
    assert houses("letout", found) == [["hazel", "walnut"]]


def test_only_as_many_houses_are_named_as_fit_and_the_others_counted() -> None:
    names = ("Alder", "Beech", "Cherry", "Damson", "Elm", "Far")
    some = of(keep(*names), *(house(name.lower()) for name in names[:5]))
    assert only("letout", some).title == "Let out · Alder + Beech + Cherry +2 · 08:33"


@pytest.mark.parametrize(
    ("names", "shown"),
    [
        (("A" * 14, "B" * 13), f"{'A' * 14} + {'B' * 13}"),  # 30 characters fit
        (("A" * 14, "B" * 14), f"{'A' * 14} +1"),
        (("A" * 35, "B" * 4), f"{'A' * 35} +1"),  # one at least
    ],
)
def test_thirty_characters_of_names_fit(names: tuple[str, str], shown: str) -> None:
    found = of(keep(*names, "Far"), *(house(name.lower()) for name in names))
    assert only("letout", found).title == f"Let out · {shown} · 08:33"


def test_a_house_let_into_the_run_shares_no_let_out_with_one_that_ranges() -> None:
    profile = keep("Ash", "Hazel", "Walnut")
    days = [house("ash"), house("hazel", free_range="storm"), house("walnut")]
    found = of(profile, *days)
    assert houses("letout", found) == [["ash", "walnut"], ["hazel"]]
    texts = [event.description for event in found if event.kind == "letout"]
    assert "Look at every bird as it comes out." in texts[0]
    assert "Let them into the run only. They stay in: a storm is on its way." in texts[1]


def test_houses_let_out_together_share_it_though_they_range_at_other_times() -> None:
    later = FreeRange(start=at("15:10"), call_in=at("15:43"), end=at("16:18"))
    found = of(keep("Hazel", "Walnut"), house("hazel"), house("walnut", free_range=later))
    assert houses("letout", found) == [["hazel", "walnut"]]
    assert houses("range", found) == [["hazel"], ["walnut"]]


@pytest.mark.parametrize("why", ["no sunset", "too late"])
def test_where_only_the_hour_is_missing_they_are_not_kept_to_the_run(why: NoRange) -> None:
    text = only("letout", of(keep(), house(free_range=why))).description
    assert "Look at every bird" in text
    assert "run only" not in text


def test_a_house_that_stays_shut_is_locked_up_but_not_let_out() -> None:
    shut = house(kept_in="housing order", free_range="housing order")
    assert [event.kind for event in of(keep(), shut)] == ["lockup"]


def test_a_house_in_which_no_bird_sleeps_has_no_event() -> None:
    found = of(
        keep("Hazel", "Walnut"), house("hazel"), house("walnut"), empty=frozenset({"walnut"})
    )
    assert [sorted(event.houses) for event in found] == [["hazel"]] * 3


# Words


def test_the_lock_up_says_what_to_do_at_which_door_and_what_to_count() -> None:
    one = only("lockup", of(keep(), house()))
    assert one.description.startswith(
        "Count them: 6 hens. Shut and latch the door. Shut by 16:33 (civil dusk).\n"
    )
    both = only("lockup", of(keep("Hazel", "Walnut"), house("hazel"), house("walnut")))
    assert both.description.startswith(
        "Count them: 6 hens in Hazel; 6 hens in Walnut. Shut and latch every door. Shut by 16:33"
    )
    assert one.rings
    assert both.rings


def test_an_automatic_door_is_looked_at_and_where_houses_differ_both_are_said() -> None:
    one = only("lockup", of(keep(door="automatic"), house()))
    assert one.description.startswith("Count them: 6 hens. Check that the door has closed.")
    mixed = keep("Hazel", "Walnut")
    automatic = mixed.coop[1].model_copy(update={"door": "automatic"})
    mixed = mixed.model_copy(update={"coop": (mixed.coop[0], automatic)})
    both = only("lockup", of(mixed, house("hazel"), house("walnut")))
    assert both.description.startswith(
        "Count them: 6 hens in Hazel; 6 hens in Walnut. Shut and latch the doors. "
        "Check that the automatic door has closed. Shut by "
    )


def test_nothing_but_a_lock_up_rings() -> None:
    assert [event.kind for event in of(keep(), house()) if event.rings] == ["lockup"]


def test_nobody_need_stay_with_birds_that_range_all_day() -> None:
    watched = only("range", of(keep(), house())).description
    assert watched.endswith("If nobody can stay with them, there is no free range today.")
    free = only("range", of(keep(ranging="all day"), house())).description
    assert free == "Out all day. Call them in with feed at 15:43."


# Rounds


def task(  # noqa: PLR0913 - a job in parts
    care_id: str,
    *,
    short: str = "",
    daily: bool = False,
    subject_id: str = "walnut",
    minutes: int = 2,
    title: str = "",
    why: str = "",
) -> Task:
    return Task(
        care_id=care_id, subject="site" if subject_id == "orchard" else "coop",
        subject_id=subject_id, day=DAY, ordinal=1, title=title or care_id, short=short or care_id,
        why=why or f"because of {care_id}", minutes=minutes, daily=daily, season=False,
    )  # fmt: skip


def round_of(*tasks: Task, end: str = "08:50") -> Round:
    lines = tuple(Line(text=one.title, minutes=one.minutes, tasks=(one,)) for one in tasks)
    return Round(
        name="morning", day=DAY, start=at("08:35"), end=at(end), minutes=15, lines=lines
    )  # fmt: skip


def walked(*tasks: Task) -> FeedEvent:
    (event,) = job_events(keep(), day_of(rounds=(round_of(*tasks),)))
    return event


def test_a_round_gives_two_reasons_once_each_and_none_for_what_is_done_every_day() -> None:
    event = walked(
        task("feed", daily=True),
        task("mites", why="they bite"),
        task("mites", subject_id="hazel", why="they bite there, too"),
        task("dust"),
        task("vents"),
    )
    assert event.description.splitlines() == [
        "feed (2 min)",
        "mites (2 min)",
        "mites (2 min)",
        "dust (2 min)",
        "vents (2 min)",
        "Why mites: they bite",
        "Why dust: because of dust",
    ]


def test_a_round_s_title_has_room_for_seventy_characters_of_jobs_each_once() -> None:
    head = "Morning jobs · 15 min"
    assert walked(task("feed"), task("feed", subject_id="hazel")).title == f"{head} · feed"
    room = 70 - len(head)
    first, rest = "a" * 20, "b" * (room - 22)
    assert walked(task(first), task(rest)).title == f"{head} · {first}, {rest}"
    assert walked(task(first), task(f"{rest}b")).title == f"{head} · {first} +1"


# Seasons


def seasons(profile: Profile, *tasks: Task) -> list[FeedEvent]:
    return list(season_events(profile, day_of(seasons=tasks)))


def test_houses_with_the_same_words_share_a_season_and_its_minutes_add_up() -> None:
    tight = [task("tight", subject_id=name, minutes=20) for name in ("walnut", "hazel")]
    (every,) = seasons(keep("Hazel", "Walnut"), *tight)
    assert (every.title, every.start, every.end) == ("tight", DAY, DAY + timedelta(days=1))
    assert every.uid == "tight-hazel-2026-12-21@orchard"
    assert every.description == "because of tight\nIt takes about 40 min."
    (some,) = seasons(keep("Ash", "Hazel", "Walnut"), *tight)
    assert some.title == "tight · Hazel + Walnut"
    assert some.houses == {"hazel", "walnut"}


def test_a_season_of_the_whole_site_names_no_house() -> None:
    (event,) = seasons(keep("Hazel", "Walnut"), task("clocks", subject_id="orchard"))
    assert event.title == "clocks"


def test_seasons_with_other_words_stay_apart() -> None:
    found = seasons(
        keep("Hazel", "Walnut"),
        task("vents", subject_id="hazel", title="Vents shut"),
        task("vents", subject_id="walnut", title="Vents open"),
    )
    assert [event.title for event in found] == ["Vents shut · Hazel", "Vents open · Walnut"]


# Feeds


def test_a_house_has_a_calendar_of_its_own_where_there_are_several() -> None:
    assert feeds_of(keep()) == FEEDS
    assert feeds_of(keep("Walnut", "Hazel")) == (*FEEDS, "house-hazel", "house-walnut")
    assert house_of(house_feed("hazel")) == "hazel"
    assert [house_of(feed) for feed in FEEDS] == [None] * len(FEEDS)


def test_the_parts_of_a_day_come_together() -> None:
    day = day_of(house(), rounds=(round_of(task("feed")),), seasons=(task("tight"),))
    found = list(events(Plan(profile=keep(), days=(day,), climate="as given")))
    assert [event.part for event in found] == ["lockup", "lockup", "lockup", "jobs", "seasons"]
    assert len({event.uid for event in found}) == len(found)


def test_an_empty_calendar_has_one_whole_day_that_says_so() -> None:
    event = nothing_to_show(keep(), DAY)
    assert event.end == DAY + timedelta(days=1)
    assert (event.uid, event.rings) == ("nothing-orchard-2026-12-21@orchard", False)


# Called off


def off(
    kind: str,
    day: DayPlan | None,
    profile: Profile | None = None,
    *days: CoopDay,
) -> FeedEvent:
    """The first event of that kind, as it was planned, called off as the day is now."""
    kept = profile or keep()
    planned = next(one for one in of(kept, *(days or (house(),))) if one.kind == kind)
    return called_off(planned, kept, day)


def test_what_is_called_off_says_so_rings_no_more_and_keeps_no_clock_time() -> None:
    event = off("lockup", None)
    assert event.title == "Called off: lock up"
    assert event.description == "Called off: there is nothing to do."
    assert not event.rings


def test_what_is_called_off_names_its_houses_where_there_are_several() -> None:
    two = keep("Hazel", "Walnut")
    both = off("lockup", None, two, house("hazel"), house("walnut"))
    assert both.title == "Called off: lock up · Hazel + Walnut"
    planned = only("range", of(keep("Ash", "Hazel", "Walnut"), house("ash")))
    gone = called_off(planned, keep("Hazel", "Walnut"), None)
    assert gone.title == "Called off: free range · Ash", "as its title knew it"
    alone = only("lockup", of(keep(), house()))
    assert called_off(alone, keep("Hazel"), None).title == "Called off: lock up"


def test_free_range_time_under_a_housing_order_is_spent_under_a_roof() -> None:
    event = off("range", day_of(house(free_range="housing order")))
    assert event.title == "Called off: free range (housing order)"
    assert event.description == (
        "Called off (housing order): "
        "keep them in the covered run, or in the house if the run has no roof."
    )


def test_birds_that_stay_shut_in_are_fed_there() -> None:
    event = off("letout", day_of(house(free_range="housing order", kept_in="housing order")))
    assert event.description == (
        "Called off (housing order): "
        "keep them in the house. Feed and water them there, and look at every bird."
    )


def test_without_a_reason_none_is_given_and_a_lock_up_has_none() -> None:
    assert off("range", day_of(house())).description == (
        "Called off: keep them in the run or the house."
    )
    assert off("lockup", day_of(house(free_range="storm"))).title == "Called off: lock up"


@pytest.mark.parametrize("why", get_args(NoRange))
def test_free_range_that_is_called_off_asks_for_birds_to_stay_in_whatever_the_reason(
    why: NoRange,
) -> None:
    event = off("range", day_of(house(free_range=why)))
    assert event.description.startswith("Called off")
    assert ": keep them in the " in event.description


def test_a_season_is_called_off_by_its_own_title_though_its_care_is_called_like_a_walk() -> None:
    (planned,) = seasons(keep("Walnut"), task("evening", subject_id="walnut", title="Light on"))
    assert called_off(planned, keep("Walnut"), None).title == "Called off: light on"


def test_nothing_is_asked_where_no_bird_sleeps_any_more() -> None:
    gone = day_of(house(free_range="no birds"), empty=frozenset({"walnut"}))
    assert off("range", gone).description == "Called off: there is nothing to do."


def test_the_reason_is_that_of_the_event_s_own_house() -> None:
    two = keep("Hazel", "Walnut")
    day = day_of(house("hazel", free_range="storm"), house("walnut", free_range="predator"))
    event = off("range", day, two, house("walnut"))
    assert event.title == "Called off: free range · Walnut (a predator got at them)"
