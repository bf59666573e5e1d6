"""Every entry of the diary in a keeper's words: one function for each kind."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from functools import singledispatch

from scheduler.cares.catalogue import Care
from scheduler.cares.diary.bird_entries import (
    BirdsArrived,
    BirdsHatched,
    BirdsMoved,
    BirdsSold,
)
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
from scheduler.cares.diary.job_entries import JobDone, JobSkipped
from scheduler.cares.diary.of_jobs import task_of
from scheduler.cares.diary.of_reports import as_made
from scheduler.cares.diary.profile_entries import ProfileChanged
from scheduler.cares.diary.report_entries import (
    LabelRead,
    ReportConfirmed,
    ReportEnded,
    ReportMade,
)
from scheduler.cares.diary.search_entries import LookingToo
from scheduler.cares.job_title import names_of_jobs, title_of
from scheduler.cares.records import Report
from scheduler.cares.report_words import kind_words, words_of
from scheduler.profile.by_name import from_id
from scheduler.profile.difference import Difference
from scheduler.profile.difference_words import Telling, said
from scheduler.profile.problem import shown
from scheduler.profile.values import Profile
from scheduler.profile.words import capitalized, clock
from scheduler.wording.cares.diary import DiaryBirds, DiaryDoor, DiaryOf, DiaryProfile, DiaryTimes
from scheduler.wording.spoken import one_by_one, short_day, short_day_with_year
from scheduler.wording.words import Words


@dataclass(frozen=True, slots=True, kw_only=True)
class NamesInDiary:
    """What the things of an entry are called: houses, flocks, jobs; and what else it is about.

    `entries` are those that others take back, by their numbers, `reports` those of which something
    was said since they were made, by theirs.
    """

    profile: Profile
    cares: Mapping[str, Care]
    entries: Mapping[int, Entry] = field(default_factory=dict)
    reports: Mapping[int, Report] = field(default_factory=dict)

    @property
    def of_the_profile(self) -> dict[tuple[str, str], str]:
        """What things and jobs are called, by kind and id."""
        things = (
            ("coop", self.profile.coop),
            ("flock", self.profile.flock),
            ("person", self.profile.person),
            ("sensor", self.profile.sensor),
            ("care", self.profile.care),
        )
        names = {(kind, one.id): one.name for kind, every_one in things for one in every_one}
        return names | names_of_jobs(self.profile, self.cares.values())

    def name_of(self, about: str) -> str:
        """The name of a house, a flock or the site; of what is gone, its id in words."""
        profile = self.profile
        flocks = {flock.id: flock.name for flock in profile.flock}
        names = {profile.site.id: profile.site.name, **flocks, **profile.house_names}
        return names.get(about) or from_id(about) or profile.site.name


def in_words(entry: Entry, called: NamesInDiary) -> str:
    """What was said, whole and in plain words: "Walnut: shut, 11 of 12 in"."""
    return capitalized(words_for(entry.what, entry, called))


def moment_words(at: datetime, of: date, called: NamesInDiary) -> str:
    """When that was by the clock at the site, with the date where it is not that of the day."""
    # Said in the night of a move it is still of the old place's evening.
    is_near = called.profile.date_at(at) <= of + timedelta(days=1)
    site = (called.profile.on(of) if is_near else called.profile.at(at)).site
    local = at.astimezone(site.zone)
    said = clock(local.time(), site.region)
    if local.date() == of:
        return said
    day = short_day if local.year == of.year else short_day_with_year
    return DiaryTimes.on_day(day=day(local.date()), time=said)


def when_words(entry: Entry, called: NamesInDiary) -> str:
    """When it happened, and when it was said where that is another minute."""
    happened = moment_words(entry.happened_at, entry.day, called)
    said = moment_words(entry.said_at, entry.day, called)
    if said == happened:
        return happened
    by_date = entry.said_at.astimezone(called.profile.on(entry.day).site.zone).date() != entry.day
    return (DiaryTimes.said_on if by_date else DiaryTimes.said_at)(happened=happened, said=said)


@singledispatch
def words_for(what: Said, entry: Entry, called: NamesInDiary) -> str:
    """The words of that kind of entry; `what` is the entry's own.

    Raises:
        TypeError: nobody has written any for its kind.
    """
    del entry, called
    raise TypeError(what)


# -- doors and their birds ---------------------------------------------------------------------


@words_for.register
def _(what: DoorShut, entry: Entry, called: NamesInDiary) -> str:
    if what.count is None:
        told = DiaryDoor.shut_missing if what.some_missing else DiaryDoor.shut_uncounted
    else:
        told = DiaryDoor.shut_short if what.count < what.flock else DiaryDoor.shut_counted
    return told(house=called.name_of(entry.about), count=what.count, flock=what.flock)


@words_for.register
def _(_what: DoorReopened, entry: Entry, called: NamesInDiary) -> str:
    return DiaryDoor.open_again(house=called.name_of(entry.about))


@words_for.register
def _(what: BirdsFound, entry: Entry, called: NamesInDiary) -> str:
    return _of_birds(DiaryDoor.found, DiaryDoor.all_found, what.birds, entry, called)


@words_for.register
def _(what: LookingStopped, entry: Entry, called: NamesInDiary) -> str:
    if what.for_good:
        return _of_birds(DiaryDoor.lost, DiaryDoor.all_lost, what.birds, entry, called)
    return _of_birds(DiaryDoor.not_found, DiaryDoor.none_found, what.birds, entry, called)


@words_for.register
def _(_what: LookingToo, entry: Entry, called: NamesInDiary) -> str:
    return DiaryDoor.looking(house=called.name_of(entry.about))


@words_for.register
def _(what: BirdsDied, entry: Entry, called: NamesInDiary) -> str:
    return _of_birds(DiaryDoor.died, DiaryDoor.all_died, what.birds, entry, called)


@words_for.register
def _(what: BirdsAway, entry: Entry, called: NamesInDiary) -> str:
    return _of_birds(DiaryDoor.away, DiaryDoor.all_away, what.birds, entry, called)


@words_for.register
def _(what: BirdsHomeAgain, entry: Entry, called: NamesInDiary) -> str:
    return _of_birds(DiaryDoor.home, DiaryDoor.all_home, what.birds, entry, called)


@words_for.register
def _(what: BirdsArrived, entry: Entry, called: NamesInDiary) -> str:
    return _of_birds(DiaryBirds.arrived, DiaryBirds.some_arrived, what.birds, entry, called)


@words_for.register
def _(what: BirdsHatched, entry: Entry, called: NamesInDiary) -> str:
    return _of_birds(DiaryBirds.hatched, DiaryBirds.some_hatched, what.birds, entry, called)


@words_for.register
def _(what: BirdsSold, entry: Entry, called: NamesInDiary) -> str:
    return _of_birds(DiaryBirds.sold, DiaryBirds.some_sold, what.birds, entry, called)


@words_for.register
def _(what: BirdsMoved, entry: Entry, called: NamesInDiary) -> str:
    if what.to:
        told, some = DiaryBirds.moved_to, DiaryBirds.some_moved_to
        if what.out_of:
            told, some = DiaryBirds.moved_to_from, DiaryBirds.some_moved_to_from
    else:
        told, some = DiaryBirds.moved_in, DiaryBirds.some_moved_in
        if what.out_of:
            told, some = DiaryBirds.moved_in_from, DiaryBirds.some_moved_in_from
    return (some if what.birds is None else told)(
        house=called.name_of(entry.about),
        birds=what.birds,
        to=called.name_of(what.to),
        out_of=called.name_of(what.out_of),
    )


def _of_birds(
    some: Words, everybody: Words, birds: int | None, entry: Entry, called: NamesInDiary
) -> str:
    """The words for so many of them; where nobody said how many, those for all."""
    house = called.name_of(entry.about)
    return everybody(house=house) if birds is None else some(house=house, birds=birds)


# -- jobs and eggs -----------------------------------------------------------------------------


@words_for.register
def _(what: JobDone, entry: Entry, called: NamesInDiary) -> str:
    return DiaryOf.done(job=title_of(called.profile, called.cares, task_of(entry, what)))


@words_for.register
def _(what: JobSkipped, entry: Entry, called: NamesInDiary) -> str:
    return DiaryOf.skipped(job=title_of(called.profile, called.cares, task_of(entry, what)))


@words_for.register
def _(what: EggsCounted, entry: Entry, called: NamesInDiary) -> str:
    return DiaryOf.eggs(house=called.name_of(entry.about), eggs=what.eggs)


# -- reports -----------------------------------------------------------------------------------


@words_for.register
def _(_what: ReportMade, entry: Entry, called: NamesInDiary) -> str:
    return DiaryOf.reported(report=words_of(called.profile, as_made(entry)))


@words_for.register
def _(what: ReportEnded, entry: Entry, called: NamesInDiary) -> str:
    report = _report(what.report, entry, called)
    if what.last < entry.day:
        return DiaryOf.over_at_once(report=report)
    return DiaryOf.ends(report=report, day=short_day(what.last))


@words_for.register
def _(what: ReportConfirmed, entry: Entry, called: NamesInDiary) -> str:
    report = _report(what.report, entry, called)
    return DiaryOf.still_in_force(report=report, day=short_day(what.on))


@words_for.register
def _(what: LabelRead, entry: Entry, called: NamesInDiary) -> str:
    report = _report(what.report, entry, called)
    if what.egg_days is None:
        return DiaryOf.label_lost(report=report)
    return DiaryOf.label_read(report=report, days=what.egg_days)


def _report(number: int, entry: Entry, called: NamesInDiary) -> str:
    """What is reported, by which something else is said of it: "Frost from Mon 21 Dec"."""
    report = called.reports.get(number)
    if report is None:
        return DiaryOf.report_number(number=number, day=short_day(entry.day))
    day = short_day(report.spell.first)
    return capitalized(DiaryOf.report_from(report=kind_words(report), day=day))


# -- the profile -------------------------------------------------------------------------------


@words_for.register
def _(what: ProfileChanged, entry: Entry, called: NamesInDiary) -> str:
    del entry
    if what.how == "begun":
        return DiaryProfile.begun()
    if what.how == "taken over":
        return DiaryProfile.taken_over()
    to = Telling(
        names=called.of_the_profile,
        units=called.profile.units,
        region=called.profile.site.region,
    )
    told = [
        said(Difference(where=one.where, before=one.before, after=one.after), to)
        for one in what.differs
    ]
    told += [DiaryProfile.more(count=what.more)] if what.more else []
    says = DiaryProfile.put_back if what.how == "put back" else DiaryProfile.changed
    return says(what=one_by_one(told) if told else DiaryProfile.nothing())


# -- of every kind -----------------------------------------------------------------------------


@words_for.register
def _(what: TakenBack, entry: Entry, called: NamesInDiary) -> str:
    """What that takes back in the end, and whether it counts again by it."""
    counts, number, before = False, what.entry, entry.number
    target = called.entries.get(number)
    # Whatever is taken back came first: a damaged number must not lead round in a circle.
    while target and isinstance(target.what, TakenBack) and number < before:
        counts, number, before = not counts, target.what.entry, number
        target = called.entries.get(number)
    if target is None or number >= before:
        told = DiaryOf.put_back_number if counts else DiaryOf.taken_back_number
        return told(number=number)
    return (DiaryOf.put_back if counts else DiaryOf.taken_back)(said=in_words(target, called))


@words_for.register
def _(what: FromNewer, entry: Entry, called: NamesInDiary) -> str:
    house, kind = called.name_of(entry.about), shown(what.kind)
    return DiaryOf.from_newer(house=house, kind=kind, version=what.version)


@words_for.register
def _(what: Unreadable, entry: Entry, called: NamesInDiary) -> str:
    house, kind = called.name_of(entry.about), shown(what.kind)
    return DiaryOf.damaged(house=house, number=entry.number, kind=kind)
