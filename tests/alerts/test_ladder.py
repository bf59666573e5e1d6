"""The ladder: every instant of the default evening, its settings and its bounds."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.alerts.ladder import Rung, ladder
from scheduler.profile.person import Reminders, ReminderStep, ReminderStyle
from tests.alerts.orchard import TEXT, WINTER, at, evenings, household

STYLES: tuple[ReminderStyle, ...] = get_args(ReminderStyle)
KINDS: tuple[ReminderStep, ...] = get_args(ReminderStep)
MINUTE = timedelta(minutes=1)


def climbed(
    settings: str = "",
    lock_up: str = "16:18",
    latest: str = "16:33",
    bedtime: str | None = "23:00",
    let_out: str = "+08:36",
) -> list[str]:
    """The ladder as "16:18 now duty" under the settings a keeper writes."""
    rungs = ladder(
        household(f"{TEXT}\n[reminders]\n{settings}").profile.reminders,
        lock_up=at(lock_up),
        latest=at(latest),
        bedtime=at(bedtime) if bedtime else None,
        let_out=at(let_out),
    )
    return [f"{shown(rung.at)} {rung.step} {rung.to}" for rung in rungs]


def shown(moment: datetime) -> str:
    return f"{moment:%H:%M}" + (f":{moment:%S}" if moment.second else "")


BEFORE_EVERYBODY = [
    "15:48 heads-up duty",
    "16:18 now duty",
    "16:25:30 again duty",
    "16:33 next next",
]
EVERYBODY = ["16:43 everybody-1 all", "16:58 everybody-2 all", "17:13 everybody-3 all"]


def hourly(*clocks: str) -> list[str]:
    return [f"{clock} hourly-{number} duty" for number, clock in enumerate(clocks, start=1)]


def test_the_default_evening() -> None:
    assert climbed() == [
        *BEFORE_EVERYBODY,
        *EVERYBODY,
        *hourly("18:13", "19:13", "20:13", "21:13", "22:13"),
        "23:00 bedtime duty",
        "08:21 dawn all",
    ]


def test_a_gentle_evening_says_less() -> None:
    assert climbed('style = "gentle"') == [
        "15:48 heads-up duty",
        "16:18 now duty",
        "16:33 next next",
        "16:58 everybody-1 all",
        "23:00 bedtime duty",
        "08:21 dawn all",
    ]


def test_all_night_goes_on_until_the_morning() -> None:
    hours = [f"{hour % 24:02}:13" for hour in range(18, 33)]
    assert climbed('style = "all night"') == [
        *BEFORE_EVERYBODY,
        *EVERYBODY,
        *hourly(*hours),
        "08:21 dawn all",
    ]


def test_on_its_cap_the_evening_calls_everybody_before_bedtime_ends_it() -> None:
    assert climbed(lock_up="22:30", latest="22:50", let_out="+06:30") == [
        "22:00 heads-up duty",
        "22:30 now duty",
        "22:40 again duty",
        "22:50 next next",
        "23:00 everybody-1 all",
        "23:15 everybody-2 all",
        "23:30 everybody-3 all",
        "23:45 bedtime duty",
        "06:15 dawn all",
    ]


def test_without_a_bedtime_on_the_clock_the_evening_ends_a_quarter_hour_after_the_last_call() -> (
    None
):
    assert climbed(bedtime=None)[-2:] == ["17:28 bedtime duty", "08:21 dawn all"]


@pytest.mark.parametrize(
    ("settings", "expected"),
    [
        ('steps = ["now"]', ["16:18 now duty"]),
        ('steps = ["bedtime", "now"]', ["16:18 now duty", "23:00 bedtime duty"]),
        (
            'heads_up = "1 h"\nsteps = ["heads-up", "now"]',
            ["15:18 heads-up duty", "16:18 now duty"],
        ),
        ('heads_up = "0 min"\nsteps = ["heads-up", "now"]', ["16:18 heads-up duty",
                                                            "16:18 now duty"]),
        (
            'everybody = ["20 min", "5 min"]\nsteps = ["now", "everybody", "dawn"]',
            ["16:18 now duty", "16:38 everybody-1 all", "16:53 everybody-2 all", "08:21 dawn all"],
        ),
        (
            'everybody = []\nbedtime = "18:00"\nsteps = ["now", "everybody", "hourly", "bedtime"]',
            ["16:18 now duty", "17:33 hourly-1 duty", "18:00 bedtime duty"],
        ),
        # Where everybody has no turn the hours are counted from the latest.
        (
            'bedtime = "18:00"\nsteps = ["now", "hourly", "bedtime"]',
            ["16:18 now duty", "17:33 hourly-1 duty", "18:00 bedtime duty"],
        ),
    ],
)  # fmt: skip
def test_every_setting_moves_its_step(settings: str, expected: list[str]) -> None:
    bedtime = "18:00" if "18:00" in settings else "23:00"
    assert climbed(settings, bedtime=bedtime) == expected


@pytest.mark.parametrize(
    ("bedtime", "last"),
    [
        ("20:12", ["19:13 hourly-2 duty", "20:12 bedtime duty"]),
        ("20:13", ["19:13 hourly-2 duty", "20:13 bedtime duty"]),
        ("20:14", ["20:13 hourly-3 duty", "20:14 bedtime duty"]),
    ],
)
def test_on_the_hour_of_bedtime_the_last_word_is_the_only_one(
    bedtime: str, last: list[str]
) -> None:
    assert climbed(bedtime=bedtime)[-3:-1] == last


def test_a_bedtime_that_everybody_s_turn_has_passed_waits_a_quarter_of_an_hour_for_it() -> None:
    assert climbed(bedtime="17:00")[-3:] == [
        "17:13 everybody-3 all",
        "17:28 bedtime duty",
        "08:21 dawn all",
    ]
    assert climbed(bedtime="17:28:01")[-2] == "17:28:01 bedtime duty"


def test_in_a_short_night_the_morning_s_word_comes_halfway_and_ends_the_ladder() -> None:
    assert climbed(lock_up="23:50", latest="+00:10", bedtime=None, let_out="+00:30") == [
        "23:20 heads-up duty",
        "23:50 now duty",
        "00:00 again duty",
        "00:10 next next",
        "00:20 dawn all",
    ]


def test_the_style_gives_the_times_that_are_not_set() -> None:
    both = climbed('style = "gentle"\nsteps = ["now", "everybody"]')
    assert both == ["16:18 now duty", "16:58 everybody-1 all"]


@pytest.mark.parametrize(("latest", "reminded"), [("16:21:59", False), ("16:22", True)])
def test_again_is_left_out_when_too_close(latest: str, *, reminded: bool) -> None:
    assert ("again" in " ".join(climbed(latest=latest))) is reminded


def test_the_profile_s_bedtime_is_the_one_of_that_evening() -> None:
    (evening,) = evenings(TEXT + '[reminders]\nbedtime = "00:30"\n')
    assert [step.at for step in evening.steps if step.kind == "bedtime"] == [at("+00:30")]
    assert evening.day == WINTER


rules = st.builds(
    Reminders,
    style=st.sampled_from(STYLES),
    steps=st.none() | st.sets(st.sampled_from(KINDS)).map(lambda some: [*some, "now"]),
    heads_up_minutes=st.floats(0, 240),
    everybody=st.none() | st.lists(st.floats(0, 240), max_size=4).map(sorted).map(tuple),
)
seconds = st.integers(0, 24 * 3600).map(lambda amount: timedelta(seconds=amount))
NOON = datetime(2026, 6, 21, 12, tzinfo=UTC)


@given(
    rule=rules,
    after_noon=seconds,
    grace=seconds,
    night=seconds.filter(bool),
    bedtime=st.none() | seconds.map(lambda after: NOON + after),
)
def test_the_ladder_keeps_its_bounds(
    rule: Reminders,
    after_noon: timedelta,
    grace: timedelta,
    night: timedelta,
    bedtime: datetime | None,
) -> None:
    lock_up = NOON + after_noon
    latest = lock_up + grace
    let_out = latest + night
    rungs = ladder(rule, lock_up=lock_up, latest=latest, bedtime=bedtime, let_out=let_out)
    assert all(before.at <= after.at for before, after in pairwise(rungs))
    assert [rung.at for rung in rungs if rung.step.kind == "now"] == [lock_up]
    assert len({rung.step for rung in rungs}) == len(rungs)
    assert all(rung.at < let_out for rung in rungs)
    check_the_night(rungs, latest, let_out)


@given(
    rule=rules,
    after_noon=seconds,
    grace=seconds,
    night=seconds.filter(bool),
    early=st.integers(0, 20).map(lambda amount: timedelta(minutes=amount)),
)
def test_under_cloud_the_first_two_calls_come_earlier_and_nothing_else(
    rule: Reminders, after_noon: timedelta, grace: timedelta, night: timedelta, early: timedelta
) -> None:
    lock_up = NOON + after_noon
    latest = lock_up + grace
    clear, cloudy = (
        ladder(
            rule,
            lock_up=lock_up,
            latest=latest,
            bedtime=None,
            let_out=latest + night,
            called_in=called_in,
        )
        for called_in in (None, lock_up - early)
    )
    assert all(before.at <= after.at for before, after in pairwise(cloudy))
    assert [(one.step, one.to) for one in cloudy] == [(one.step, one.to) for one in clear]
    for before, after in zip(clear, cloudy, strict=True):
        first = before.step.kind in {"heads-up", "now"}
        assert before.at - after.at == (early if first else timedelta())


@given(
    rule=rules,
    after_noon=seconds,
    grace=seconds,
    night=seconds.filter(bool),
    early=st.integers(0, 20).map(lambda amount: timedelta(minutes=amount)),
    way=st.floats(0, 120).map(lambda amount: timedelta(minutes=amount)),
    bound=st.none() | seconds.map(lambda after: NOON + after / 4),
)
def test_a_way_brings_the_heads_up_forward_and_nothing_else(  # noqa: PLR0913, PLR0917 - an evening
    rule: Reminders,
    after_noon: timedelta,
    grace: timedelta,
    night: timedelta,
    early: timedelta,
    way: timedelta,
    bound: datetime | None,
) -> None:
    lock_up = NOON + after_noon
    latest = lock_up + grace
    near, far = (
        ladder(
            rule,
            lock_up=lock_up,
            latest=latest,
            bedtime=None,
            let_out=latest + night,
            called_in=lock_up - early,
            way=each,
            way_not_before=bound,
        )
        for each in (timedelta(), way)
    )
    assert all(before.at <= after.at for before, after in pairwise(far))
    # It comes first, wherever it was beside another at the same instant.
    was, now = ({one.step: (one.at, one.to) for one in rungs} for rungs in (near, far))
    moved = {step for step in was if now.get(step) != was[step]}
    assert was.keys() == now.keys()
    assert {step.kind for step in moved} <= {"heads-up"}
    for rung in far:
        if rung.step.kind == "heads-up":
            usual = lock_up - early - rule.heads_up_minutes * MINUTE
            if bound is None or bound <= usual - way:
                assert rung.at == usual - way
            else:
                assert rung.at == min(usual, bound)
            assert rung.at <= lock_up - early - way or (bound and rung.at <= max(bound, usual))


def check_the_night(rungs: tuple[Rung, ...], latest: datetime, let_out: datetime) -> None:
    dawn = [rung for rung in rungs if rung.step.kind == "dawn"]
    evening = [rung for rung in rungs if rung.step.kind != "dawn"]
    if dawn:
        assert rungs[-1] is dawn[0]
        assert dawn[0].at == max(let_out - 15 * MINUTE, latest + (let_out - latest) / 2)
        assert all(rung.at < dawn[0].at for rung in evening)
    last_words = [rung for rung in evening if rung.step.kind == "bedtime"]
    assert evening[-1:] == last_words or not last_words
    hours = [rung.at for rung in evening if rung.step.kind == "hourly"]
    assert all(later - earlier == 60 * MINUTE for earlier, later in pairwise(hours))
