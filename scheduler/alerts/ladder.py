"""The ladder: the instants at which an evening's reminders go out, and to whom."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from scheduler.alerts.step import Step
from scheduler.profile.person import Reminders, ReminderStep, ReminderStyle

Called = Literal["duty", "next", "all"]
_MINUTE = timedelta(minutes=1)
_HOUR = timedelta(hours=1)
# All of this file's times: common practice, no source.
_SHORTEST_HALF = 2 * _MINUTE  # an `again` closer than this to `now` is one message too many
_BEFORE_LET_OUT = 15 * _MINUTE
_LAST_AFTER = 15 * _MINUTE  # when bedtime comes before everybody was told
_EVERYBODY: dict[ReminderStyle, tuple[float, ...]] = {
    "gentle": (25.0,),
    "standard": (10.0, 25.0, 40.0),
    "all night": (10.0, 25.0, 40.0),
}
_STEPS: dict[ReminderStyle, tuple[ReminderStep, ...]] = {
    "gentle": ("heads-up", "now", "next", "everybody", "bedtime", "dawn"),
    "standard": ("heads-up", "now", "again", "next", "everybody", "hourly", "bedtime", "dawn"),
    "all night": ("heads-up", "now", "again", "next", "everybody", "hourly", "dawn"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Rung:
    """One reminder of the ladder: its step, when it is due, and whom it calls."""

    step: Step
    at: datetime
    to: Called


def ladder(  # noqa: PLR0913 - an evening's instants
    rule: Reminders,
    *,
    lock_up: datetime,
    latest: datetime,
    bedtime: datetime | None,
    let_out: datetime,
    called_in: datetime | None = None,
    way: timedelta = timedelta(0),
    way_not_before: datetime | None = None,
) -> tuple[Rung, ...]:
    """The steps in order of their instants, which never fall; `now` is always among them.

    `bedtime` is when the clock shows it that evening, `let_out` the next morning's. All steps but
    the last lie before the morning's, which comes 15 minutes before the let-out. The first two go
    by `called_in`, where it is dark before the lock-up. The first of all comes earlier by the `way`
    to the door, but not for it before `way_not_before`.
    """
    wanted = rule.steps or _STEPS[rule.style]
    times = rule.everybody if rule.everybody is not None else _EVERYBODY[rule.style]
    everybody = [latest + minutes * _MINUTE for minutes in times]
    last_call = everybody[-1] if everybody and "everybody" in wanted else latest
    dawn = max(let_out - _BEFORE_LET_OUT, latest + (let_out - latest) / 2)
    night_end, earliest = dawn, last_call + _LAST_AFTER
    if "bedtime" in wanted:
        night_end = min(max(bedtime or earliest, earliest), dawn)
    first = called_in or lock_up
    heads_up = first - rule.heads_up_minutes * _MINUTE
    if way:
        # What is asked for without a way stays: only the way has this bound.
        heads_up = min(heads_up, max(heads_up - way, way_not_before or heads_up - way))
    half = (latest - lock_up) / 2
    again = [Rung(step=Step("again"), at=lock_up + half, to="duty")]
    rungs = [
        Rung(step=Step("heads-up"), at=heads_up, to="duty"),
        Rung(step=Step("now"), at=first, to="duty"),
        *(again if half >= _SHORTEST_HALF else ()),
        Rung(step=Step("next"), at=latest, to="next"),
        *_numbered("everybody", everybody, "all"),
        *_numbered("hourly", _hours(last_call, night_end), "duty"),
        Rung(step=Step("bedtime"), at=night_end, to="duty"),
    ]
    kept = [rung for rung in rungs if rung.step.kind in wanted and rung.at < dawn]
    if "dawn" in wanted:
        kept.append(Rung(step=Step("dawn"), at=dawn, to="all"))
    return tuple(sorted(kept, key=lambda rung: rung.at))


def _numbered(kind: ReminderStep, instants: Iterable[datetime], to: Called) -> Iterator[Rung]:
    for number, at in enumerate(instants, start=1):
        yield Rung(step=Step(kind, number), at=at, to=to)


def _hours(since: datetime, until: datetime) -> Sequence[datetime]:
    count = max((until - since) // _HOUR, 0)
    hours = [since + number * _HOUR for number in range(1, count + 1)]
    return [hour for hour in hours if hour < until]
