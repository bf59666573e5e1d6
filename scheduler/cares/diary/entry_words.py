"""Every entry of the diary in a keeper's words: one function for each kind."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
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
from scheduler.cares.diary.report_entries import (
    LabelRead,
    ReportConfirmed,
    ReportEnded,
    ReportMade,
)
from scheduler.cares.job_title import title_of
from scheduler.cares.records import BIRD_KINDS, Report
from scheduler.cares.report_words import birds_words, words_of
from scheduler.profile.by_name import from_id
from scheduler.profile.problem import shown
from scheduler.profile.values import Profile
from scheduler.profile.words import capitalized, clock, counted, day_words


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
    site = called.profile.site
    local = at.astimezone(site.zone)
    said = clock(local.time(), site.region)
    if local.date() == of:
        return said
    year = f" {local:%Y}" if local.year != of.year else ""
    return f"{day_words(local.date())}{year}, {said}"


def when_words(entry: Entry, called: NamesInDiary) -> str:
    """When it happened, and when it was said where that is another minute."""
    happened = moment_words(entry.happened_at, entry.day, called)
    said = moment_words(entry.said_at, entry.day, called)
    by_date = entry.said_at.astimezone(called.profile.site.zone).date() != entry.day
    return happened if said == happened else f"{happened} (said {'on' if by_date else 'at'} {said})"


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
    told = "some missing" if what.some_missing else "not counted"
    if what.count is not None:
        short = f" of {what.flock}" if what.count < what.flock else ""
        told = f"{what.count}{short} in"
    return _of_house(entry, called, f"shut, {told}")


@words_for.register
def _(_what: DoorReopened, entry: Entry, called: NamesInDiary) -> str:
    return _of_house(entry, called, "open again")


@words_for.register
def _(what: BirdsFound, entry: Entry, called: NamesInDiary) -> str:
    return _of_house(entry, called, f"{_how_many(what.birds)} found")


@words_for.register
def _(what: LookingStopped, entry: Entry, called: NamesInDiary) -> str:
    told = "given up for lost" if what.for_good else "not found, nobody looks any more tonight"
    return _of_house(entry, called, f"{_how_many(what.birds)} {told}")


@words_for.register
def _(what: BirdsDied, entry: Entry, called: NamesInDiary) -> str:
    return _of_house(entry, called, f"{_how_many(what.birds)} died")


@words_for.register
def _(what: BirdsAway, entry: Entry, called: NamesInDiary) -> str:
    verb = "sleeps" if what.birds == 1 else "sleep"
    return _of_house(entry, called, f"{_how_many(what.birds, 'all birds')} {verb} elsewhere")


@words_for.register
def _(what: BirdsHomeAgain, entry: Entry, called: NamesInDiary) -> str:
    return _of_house(entry, called, f"{_how_many(what.birds, 'all who were away')} home again")


@words_for.register
def _(what: BirdsArrived, entry: Entry, called: NamesInDiary) -> str:
    return _of_house(entry, called, f"{_how_many(what.birds, 'birds')} arrived")


@words_for.register
def _(what: BirdsHatched, entry: Entry, called: NamesInDiary) -> str:
    return _of_house(entry, called, f"{_how_many(what.birds, 'chicks')} hatched")


@words_for.register
def _(what: BirdsSold, entry: Entry, called: NamesInDiary) -> str:
    return _of_house(entry, called, f"{_how_many(what.birds, 'birds')} sold or given away")


@words_for.register
def _(what: BirdsMoved, entry: Entry, called: NamesInDiary) -> str:
    moved = f"moved to {called.name_of(what.to)}" if what.to else "moved in"
    moved += f" from {called.name_of(what.out_of)}" if what.out_of else ""
    return _of_house(entry, called, f"{_how_many(what.birds, 'birds')} {moved}")


def _of_house(entry: Entry, called: NamesInDiary, text: str) -> str:
    return f"{called.name_of(entry.about)}: {text}"


def _how_many(birds: int | None, everybody: str = "all missing birds") -> str:
    return everybody if birds is None else str(birds)


# -- jobs and eggs -----------------------------------------------------------------------------


@words_for.register
def _(what: JobDone, entry: Entry, called: NamesInDiary) -> str:
    return f"Done: {title_of(called.profile, called.cares, task_of(entry, what))}"


@words_for.register
def _(what: JobSkipped, entry: Entry, called: NamesInDiary) -> str:
    return f"Not this time: {title_of(called.profile, called.cares, task_of(entry, what))}"


@words_for.register
def _(what: EggsCounted, entry: Entry, called: NamesInDiary) -> str:
    return _of_house(entry, called, f"{counted(what.eggs, 'eggs')} collected")


# -- reports -----------------------------------------------------------------------------------


@words_for.register
def _(_what: ReportMade, entry: Entry, called: NamesInDiary) -> str:
    return f"Reported: {words_of(called.profile, as_made(entry))}"


@words_for.register
def _(what: ReportEnded, entry: Entry, called: NamesInDiary) -> str:
    when = f"it ends on {day_words(what.last)}"
    if what.last < entry.day:
        when = "it is over, on that same day"
    return f"{_report(what.report, entry, called)}: {when}"


@words_for.register
def _(what: ReportConfirmed, entry: Entry, called: NamesInDiary) -> str:
    return f"{_report(what.report, entry, called)}: still in force on {day_words(what.on)}"


@words_for.register
def _(what: LabelRead, entry: Entry, called: NamesInDiary) -> str:
    told = "how long eggs are withheld was read, but is not known any more"
    if what.egg_days is not None:
        told = f"eggs are withheld for {counted(what.egg_days, 'days')}, by the label or the vet"
    return f"{_report(what.report, entry, called)}: {told}"


def _report(number: int, entry: Entry, called: NamesInDiary) -> str:
    """What is reported, by which something else is said of it: "Frost from Mon 21 Dec"."""
    report = called.reports.get(number)
    if report is None:
        return f"Report {number} of {day_words(entry.day)}"
    kind: str = {"order": "housing order", "predator": "predator's visit"}.get(
        report.kind, report.kind
    )
    text = birds_words(report) if report.kind in BIRD_KINDS else kind
    return f"{capitalized(text)} from {day_words(report.spell.first)}"


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
    done = "Put back" if counts else "Taken back"
    if target is None or number >= before:
        return f"{done}: entry {number}"
    return f"{done}: \N{LEFT DOUBLE QUOTATION MARK}{in_words(target, called)}\u201d"


@words_for.register
def _(what: FromNewer, entry: Entry, called: NamesInDiary) -> str:
    kind = f"{shown(what.kind)}, version {what.version}"
    return _of_house(entry, called, f"something that only a newer Duskfold can show ({kind})")


@words_for.register
def _(what: Unreadable, entry: Entry, called: NamesInDiary) -> str:
    told = f"entry {entry.number} ({shown(what.kind)}) is damaged and does not count"
    return _of_house(entry, called, told)
