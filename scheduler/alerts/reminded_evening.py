"""An evening as the reminders see it: which doors, until when, who is called, in which steps.

It is a snapshot: once its first step was due it stays as it was, whatever the profile becomes.
"""

from collections.abc import Callable, Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from scheduler.alerts.crew import Contact, duty, duty_ids
from scheduler.alerts.delivery import Instant
from scheduler.alerts.ladder import ladder
from scheduler.alerts.step import KeptStep
from scheduler.cares.coop_day import CoopDay
from scheduler.cares.dark_under_cloud import Dark, early_by
from scheduler.cares.door_state import Door
from scheduler.husbandry.age import perches
from scheduler.light.sun import HalfDay
from scheduler.light.wall import first_in
from scheduler.profile.units import Region
from scheduler.profile.values import Profile
from scheduler.profile.words import noun_for

_SHARED_WITHIN = timedelta(minutes=15)  # lock-ups this close are one walk and one message
_MINUTE = timedelta(minutes=1)
_TO_ALL = ("everybody", "dawn")
DoorStates = Mapping[str, Door]  # by coop


@dataclass(frozen=True, slots=True, kw_only=True)
class RemindedDoor:
    """One coop's lock-up: how many `birds` belong in ("hens", or "birds" of several kinds).

    `flock` is how many the profile has there; None in a snapshot of an older version. `perched`:
    they are old enough to sleep on the perch. `let_out` is the next morning's, where they are not
    kept in; None in a snapshot of an older version, too. `getting_there_minutes` is how long it
    takes to get there.
    """

    coop_id: str
    name: str
    birds: int
    noun: str
    lock_up: Instant
    latest: Instant
    automatic: bool
    flock: int | None = None
    perched: bool = True
    let_out: Instant | None = None
    getting_there_minutes: float = 0.0

    @property
    def profile_birds(self) -> int:
        """How many birds the profile had there when the evening began."""
        return self.birds if self.flock is None else self.flock


@dataclass(frozen=True, slots=True, kw_only=True)
class CalledStep:
    """A step with the people it calls, by id; `kind` is in which words they are called."""

    name: KeptStep
    kind: str
    at: Instant
    people: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Evening:
    """One evening of the doors that share a message; `subject_id` is the first one's coop.

    `dark_minutes_early` is by how much cloud has moved the first calls, and nothing else.
    """

    site_id: str
    subject_id: str
    day: date
    zone: str
    region: Region
    doors: tuple[RemindedDoor, ...]
    crew: tuple[Contact, ...]
    steps: tuple[CalledStep, ...]
    let_out: Instant
    kept_in: bool = False
    dark_minutes_early: int = 0

    def opened_of(self, doors: Sequence[RemindedDoor]) -> tuple[RemindedDoor, ...]:
        """Which of them are opened the next morning; all, in a snapshot of an older version."""
        known = any(door.let_out for door in self.doors)
        opened = (door for door in doors if door.let_out or not known)
        return () if self.kept_in else tuple(opened)

    def let_out_of(self, doors: Sequence[RemindedDoor]) -> datetime | None:
        """When the first of them is opened the next morning; None: they all stay in."""
        times = [door.let_out or self.let_out for door in self.opened_of(doors)]
        return min(times, default=None)

    @property
    def lock_up(self) -> datetime:
        """When the first door is due."""
        return min(door.lock_up for door in self.doors)

    def leave_by(self, doors: Sequence[RemindedDoor]) -> datetime | None:
        """When to leave at the latest to be there as the first of them is due, or it is dark.

        The longest way to any of them counts; None where it takes no time.
        """
        longest = max((door.getting_there_minutes for door in doors), default=0.0)
        if not longest:
            return None
        return self.called_in_of(doors) - longest * _MINUTE

    def called_in_of(self, doors: Sequence[RemindedDoor]) -> datetime:
        """When the first of them is due, or it is dark under that evening's cloud."""
        return min(door.lock_up for door in doors) - self.dark_minutes_early * _MINUTE

    @property
    def latest(self) -> datetime:
        """When the first door must not be open any more."""
        return min(door.latest for door in self.doors)

    @property
    def on_duty(self) -> Contact | None:
        """Whose evening it is; None where nobody can be reached."""
        return duty(self.crew, self.day).first

    @property
    def duty_ids(self) -> tuple[str, ...]:
        """The same by id; empty where nobody can be reached."""
        return duty_ids(self.crew, self.day)

    def contact(self, person_id: str) -> Contact:
        """The member of the crew.

        Raises:
            KeyError: there is none of that id.
        """
        return {contact.person_id: contact for contact in self.crew}[person_id]


def among(evening: Evening, now: Sequence[Contact]) -> Evening:
    """The evening with those people who can be told now, its own before those who came since.

    A step whose people have all left is taken by the next of them, in that order. Whoever has the
    evening now is not asked next as well, where anybody else is there. What calls everybody calls
    those who came since, too.
    """
    reached = {contact.person_id: contact for contact in now}
    own = [contact.person_id for contact in evening.crew]
    came = [person_id for person_id in reached if person_id not in own]
    order = [*own, *came] if not any(one in reached for one in own) else own
    crew = tuple(reached[person_id] for person_id in (*own, *came) if person_id in reached)
    has_it = _taken_by(evening.duty_ids, order, reached)
    steps = []
    for step in evening.steps:
        people = _taken_by(step.people, order, reached)
        if step.kind == "next" and has_it and people == has_it:
            people = _after(people[0], order, reached) or people
        if step.kind in _TO_ALL:
            people += [person_id for person_id in came if person_id not in people]
        steps.append(replace(step, people=tuple(people)))
    return replace(evening, crew=crew, steps=tuple(steps))


def _taken_by(called: Sequence[str], order: Sequence[str], reached: Container[str]) -> list[str]:
    here = [person_id for person_id in called if person_id in reached]
    return here if here or not called else _after(called[0], order, reached)


def _after(person_id: str, order: Sequence[str], reached: Container[str]) -> list[str]:
    """The next one in that order who can be reached, from its beginning on after its end."""
    after = order.index(person_id) + 1 if person_id in order else 0
    following = (*order[after:], *order[:after])
    return [one for one in following if one in reached and one != person_id][:1]


def evenings_of(  # noqa: PLR0913 - one date in parts, each from another room
    profile: Profile,
    coops: Sequence[CoopDay],
    half: HalfDay,
    *,
    next_let_outs: Mapping[str, datetime],
    kept_in: Container[str] = (),
    birds: Mapping[str, int],
    crew: tuple[Contact, ...],
    dark: Dark | None = None,
) -> tuple[Evening, ...]:
    """The evenings of one date: doors whose lock-ups lie within 15 minutes share one.

    `dark` is when it gets dark under that evening's cloud, if there is any.

    `half` is the evening half-day of the date; `next_let_outs` and `birds` are by coop. `kept_in`
    are the coops that are not opened the next morning.
    """
    opened = {coop_id: at for coop_id, at in next_let_outs.items() if coop_id not in kept_in}
    site, evenings = profile.site, []
    for group in in_one_walk(coops, lambda coop: coop.lock_up.instant):
        let_out = min(next_let_outs[coop.coop_id] for coop in group)
        # Cloud moves the call of doors that all go by the light.
        early = min(early_by(coop.lock_up, dark) for coop in group)
        evenings.append(
            Evening(
                site_id=site.id,
                # The profile's first, not the evening's: doors may change places over the year.
                subject_id=min(coop.coop_id for coop in group),
                day=group[0].day,
                zone=str(site.zone),
                region=site.region,
                doors=tuple(
                    _door(profile, coop, birds[coop.coop_id], opened.get(coop.coop_id))
                    for coop in group
                ),
                crew=crew,
                steps=_steps(profile, group, HalfDay(half.start, let_out), crew, early),
                let_out=let_out,
                dark_minutes_early=early,
                kept_in=all(coop.coop_id in kept_in for coop in group),
            )
        )
    return tuple(evenings)


def in_one_walk(
    coops: Iterable[CoopDay], instant_of: Callable[[CoopDay], datetime]
) -> Iterator[list[CoopDay]]:
    """The coops in order of their instants, together where they lie within 15 minutes."""
    group: list[CoopDay] = []
    for coop in sorted(coops, key=instant_of):
        if group and instant_of(coop) - instant_of(group[0]) > _SHARED_WITHIN:
            yield group
            group = []
        group.append(coop)
    if group:
        yield group


def _door(profile: Profile, coop: CoopDay, birds: int, let_out: datetime | None) -> RemindedDoor:
    house = profile.coop_of(coop.coop_id)
    flocks = profile.flocks_on(coop.coop_id, coop.day)
    only_hens = all(flock.hens == flock.birds for flock in flocks)
    return RemindedDoor(
        coop_id=house.id,
        name=house.name,
        birds=birds,
        noun=noun_for(birds, "hen" if only_hens else "bird"),
        lock_up=coop.lock_up.instant,
        latest=coop.lock_up.latest,
        automatic=house.door == "automatic",
        flock=sum(flock.birds for flock in flocks),
        perched=any(perches(flock, coop.day) for flock in flocks),
        let_out=let_out,
        getting_there_minutes=house.getting_there_minutes,
    )


def _steps(
    profile: Profile,
    group: Sequence[CoopDay],
    night: HalfDay,
    crew: tuple[Contact, ...],
    early: int,
) -> tuple[CalledStep, ...]:
    rule, whose = profile.reminders, duty(crew, group[0].day)
    called = {"duty": [whose.first], "next": [whose.second], "all": crew}
    rungs = ladder(
        rule,
        lock_up=group[0].lock_up.instant,
        called_in=group[0].lock_up.instant - early * _MINUTE,
        latest=min(coop.lock_up.latest for coop in group),
        bedtime=first_in(night, rule.bedtime, profile.site.zone),
        let_out=night.end,
        way=max(profile.coop_of(one.coop_id).getting_there_minutes for one in group) * _MINUTE,
        way_not_before=max(night.start, *(one.let_out.instant for one in group)),
    )
    return tuple(
        CalledStep(
            name=rung.step,
            kind=rung.step.kind,
            at=rung.at,
            people=tuple(contact.person_id for contact in called[rung.to] if contact),
        )
        for rung in rungs
    )
