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
from scheduler.wording.cares.door_times import CallIn

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
        return f"Count them: {_head_count(profile, coops)}."
    each = (f"{_head_count(profile, (c,))} in {profile.coop_of(c.coop_id).name}" for c in coops)
    return f"Count them: {'; '.join(each)}."


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
    which = "the door" if len(coops) == 1 else "every door"
    doors = {profile.coop_of(sharing.coop_id).door for sharing in coops}
    what = {
        frozenset({"manual"}): f"Shut and latch {which}.",
        frozenset({"automatic"}): f"Check that {which} has closed.",
    }.get(frozenset(doors), "Shut and latch the doors. Check that the automatic door has closed.")
    title = joined_title("Lock up", house_names(profile, coops), count, at)
    text = (
        f"{_counts(profile, coops)} {what} Shut by {latest} ({reasons.why_latest(coop)}).\n"
        f"{_why_lock_up(profile, coops)}{_ducks(profile, coops)}"
    )
    return _event(profile, coops, "lockup", span(shut.instant, shut.latest), (title, text))


def _why_lock_up(profile: Profile, coops: tuple[CoopDay, ...]) -> str:
    """What set it, and what to do about new birds: house by house where that is not the same."""
    houses: dict[str, list[str]] = {}
    for coop in coops:
        why = reasons.why_lock_up(profile, coop)
        houses.setdefault(why, []).append(profile.coop_of(coop.coop_id).name)
    if len(houses) == 1:
        return next(iter(houses))
    return "\n".join(f"{', '.join(names)}: {why}" for why, names in houses.items())


def _ducks(profile: Profile, coops: tuple[CoopDay, ...]) -> str:
    flocks = [flock for coop in coops for flock in profile.flocks_on(coop.coop_id, coop.day)]
    return f" {CallIn.others()}" if any(flock.others for flock in flocks) else ""


def _let_out(profile: Profile, coops: tuple[CoopDay, ...]) -> FeedEvent:
    coop = coops[0]
    start = minute_begun(coop.let_out.instant)
    at = _clock(profile, coop.let_out.instant)
    title = joined_title("Let out", house_names(profile, coops), at)
    text = f"{reasons.why_let_out(profile, coop)}\n{_out(profile, coop)}"
    return _event(profile, coops, "letout", (start, start + _LET_OUT_LASTS), (title, text))


def _out(profile: Profile, coop: CoopDay) -> str:
    if isinstance(coop.free_range, FreeRange) or coop.free_range in {"no sunset", "too late"}:
        return "Look at every bird as it comes out."
    return f"Let them into the run only. {reasons.why_range(profile, coop)}"


def _free_range(profile: Profile, coops: tuple[CoopDay, ...], spell: FreeRange) -> FeedEvent:
    coop = coops[0]
    all_day = profile.coop_of(coop.coop_id).ranging == "all day"
    from_to = f"{_clock(profile, spell.start)} to {_clock(profile, spell.end)}"
    title = joined_title("Free range", house_names(profile, coops), from_to)
    unwatched = "" if all_day else "If nobody can stay with them, there is no free range today."
    text = f"{reasons.why_range(profile, coop)}\n{unwatched}".strip()
    return _event(profile, coops, "range", span(spell.start, spell.end), (title, text))


def _clock(profile: Profile, instant: datetime, of: date | None = None) -> str:
    return local_clock(instant, profile.site.zone, profile.site.region, of)
