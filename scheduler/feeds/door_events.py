"""The events of a day's let-outs, free-range times and lock-ups."""

from collections.abc import Callable, Iterable, Iterator
from datetime import date, datetime, timedelta
from functools import partial

from scheduler.cares import reasons
from scheduler.cares.coop_day import CoopDay
from scheduler.cares.day_plan import DayPlan
from scheduler.cares.free_range import FreeRange
from scheduler.feeds.event import FeedEvent, house_names, joined_title, minute_begun, span, uid_of
from scheduler.profile.values import Profile
from scheduler.profile.words import local_clock
from scheduler.wording.cares.day_of_house import DayLabels
from scheduler.wording.cares.door_times import CallIn
from scheduler.wording.feeds.events import EventTitles, LockUpEvent, OutEvents
from scheduler.wording.spoken import in_a_row, one_by_one
from scheduler.wording.words import Words

_LET_OUT_LASTS = timedelta(minutes=10)


def lockup_events(profile: Profile, day: DayPlan) -> Iterator[FeedEvent]:
    """Let-outs, free-range times and lock-ups; coops with the same times share an event.

    A coop in which no bird sleeps on that date has none.
    """
    housed = [coop for coop in day.coops if coop.coop_id not in day.empty]
    for coops in _sharing([coop for coop in housed if not coop.kept_in], _morning):
        yield _let_out(profile, coops)
    for coops in _sharing(housed, partial(_ranging, profile)):
        if isinstance(coops[0].free_range, FreeRange):
            yield _free_range(profile, coops, coops[0].free_range)
    for coops in _sharing(housed, lambda coop: coop.lock_up):
        yield _lock_up(profile, coops)


def _sharing(
    coops: Iterable[CoopDay], by: Callable[[CoopDay], object]
) -> list[tuple[CoopDay, ...]]:
    """The coops with equal times together, by id: the order of a profile's tables is no fact."""
    groups: dict[object, list[CoopDay]] = {}
    for coop in sorted(coops, key=lambda coop: coop.coop_id):
        groups.setdefault(by(coop), []).append(coop)
    return [tuple(group) for group in groups.values()]


def _morning(coop: CoopDay) -> object:
    """What houses must have in common to share a let-out: when, and into what."""
    spell = coop.free_range
    return coop.let_out, spell if not isinstance(spell, FreeRange) else "range"


def _ranging(profile: Profile, coop: CoopDay) -> object:
    """What houses must have in common to share a free-range time: when, and what is said of it."""
    return coop.free_range, reasons.why_range(profile, coop)


def _head_count(profile: Profile, coops: tuple[CoopDay, ...]) -> str:
    flocks = (flock for coop in coops for flock in profile.flocks_on(coop.coop_id, coop.day))
    return reasons.birds(tuple(flocks), profile.site.region)


def _counts(profile: Profile, coops: tuple[CoopDay, ...]) -> str:
    """What to count, house by house where several share the event."""
    if len(coops) == 1:
        return LockUpEvent.count(birds=_head_count(profile, coops))
    each = [
        LockUpEvent.birds_of_house(
            birds=_head_count(profile, (coop,)), house=profile.coop_of(coop.coop_id).name
        )
        for coop in coops
    ]
    return LockUpEvent.count(birds=one_by_one(each))


def _event(
    profile: Profile,
    coops: tuple[CoopDay, ...],
    kind: str,
    start_and_end: tuple[datetime, datetime],
    title_and_text: tuple[str, str],
) -> FeedEvent:
    """The event of that kind that those houses share."""
    day = coops[0].day
    return FeedEvent(
        part="lockup",
        uid=uid_of(kind, coops[0].coop_id, day, profile),
        kind=kind,
        houses=frozenset(coop.coop_id for coop in coops),
        day=day,
        start=start_and_end[0],
        end=start_and_end[1],
        title=title_and_text[0],
        description=title_and_text[1],
        rings=kind == "lockup",
    )


def _lock_up(profile: Profile, coops: tuple[CoopDay, ...]) -> FeedEvent:
    coop = coops[0]
    shut = coop.lock_up
    at, latest = _clock(profile, shut.instant, coop.day), _clock(profile, shut.latest, coop.day)
    count = _head_count(profile, coops)
    title = joined_title(DayLabels.lock_up(), house_names(profile, coops), count, at)
    shut_by = LockUpEvent.shut_by(time=latest, reason=reasons.why_latest(coop))
    text = (
        f"{_counts(profile, coops)} {_doors(profile, coops)()} {shut_by}\n"
        f"{_why_lock_up(profile, coops)}{_ducks(profile, coops)}"
    )
    return _event(profile, coops, "lockup", span(shut.instant, shut.latest), (title, text))


def _doors(profile: Profile, coops: tuple[CoopDay, ...]) -> Words:
    """What is done about the doors: one that shuts by itself is only looked at."""
    doors = {profile.coop_of(coop.coop_id).door for coop in coops}
    if len(doors) > 1:
        return LockUpEvent.shut_and_check
    if "manual" in doors:
        return LockUpEvent.shut if len(coops) == 1 else LockUpEvent.shut_every
    return LockUpEvent.check if len(coops) == 1 else LockUpEvent.check_every


def _why_lock_up(profile: Profile, coops: tuple[CoopDay, ...]) -> str:
    """What set it, and what to do about new birds: house by house where that is not the same."""
    houses: dict[str, list[str]] = {}
    for coop in coops:
        why = reasons.why_lock_up(profile, coop)
        houses.setdefault(why, []).append(profile.coop_of(coop.coop_id).name)
    if len(houses) == 1:
        return next(iter(houses))
    return "\n".join(
        LockUpEvent.of_houses(houses=in_a_row(names), reason=why) for why, names in houses.items()
    )


def _ducks(profile: Profile, coops: tuple[CoopDay, ...]) -> str:
    flocks = [flock for coop in coops for flock in profile.flocks_on(coop.coop_id, coop.day)]
    return f" {CallIn.others()}" if any(flock.others for flock in flocks) else ""


def _let_out(profile: Profile, coops: tuple[CoopDay, ...]) -> FeedEvent:
    coop = coops[0]
    start = minute_begun(coop.let_out.instant)
    at = _clock(profile, coop.let_out.instant)
    title = joined_title(DayLabels.let_out(), house_names(profile, coops), at)
    text = f"{reasons.why_let_out(profile, coop)}\n{_out(profile, coop)}"
    return _event(profile, coops, "letout", (start, start + _LET_OUT_LASTS), (title, text))


def _out(profile: Profile, coop: CoopDay) -> str:
    if isinstance(coop.free_range, FreeRange) or coop.free_range in {"no sunset", "too late"}:
        return OutEvents.look()
    return f"{OutEvents.run_only()} {reasons.why_range(profile, coop)}"


def _free_range(profile: Profile, coops: tuple[CoopDay, ...], spell: FreeRange) -> FeedEvent:
    coop = coops[0]
    all_day = profile.coop_of(coop.coop_id).ranging == "all day"
    from_to = EventTitles.from_to(
        start=_clock(profile, spell.start), end=_clock(profile, spell.end)
    )
    title = joined_title(DayLabels.free_range(), house_names(profile, coops), from_to)
    unwatched = "" if all_day else OutEvents.unwatched()
    text = f"{reasons.why_range(profile, coop)}\n{unwatched}".strip()
    return _event(profile, coops, "range", span(spell.start, spell.end), (title, text))


def _clock(profile: Profile, instant: datetime, of: date | None = None) -> str:
    return local_clock(instant, profile.site.zone, profile.site.region, of)
