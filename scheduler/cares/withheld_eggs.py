"""Which eggs of a house are not for eating, until when, and why."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from scheduler.cares.records import Records, Report
from scheduler.profile.by_name import from_id
from scheduler.profile.values import Profile
from scheduler.wording.cares.eggs import EggsUntil, EggsWithheld
from scheduler.wording.spoken import in_a_row, listed, short_day

_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Withheld:
    """Eggs of a house that are not to be eaten; None: nobody has said until when.

    `unread` are the medicines whose label nobody has read, of all `courses` that withhold them;
    `since` is the first day on which one was laid, with no day between that was free.
    """

    free_from: date | None
    since: date
    products: tuple[str, ...]
    unread: tuple[Report, ...] = ()
    courses: tuple[Report, ...] = ()

    @property
    def labels(self) -> tuple[str, ...]:
        """The medicines whose label is to be read; none where it is that of all given."""
        names = tuple(dict.fromkeys(one.words for one in self.unread))
        return () if set(names) == set(self.products) else names

    @property
    def until_words(self) -> str:
        """Until when: "before Fri 11 Dec", or until somebody knows."""
        if self.free_from is not None:
            return EggsUntil.day(day=short_day(self.free_from))
        if not (labels := self.labels):
            return EggsUntil.label()
        return EggsUntil.labels_of(labels=len(labels), medicines=listed(labels))

    @property
    def why(self) -> str:
        """What to do with them meanwhile."""
        return EggsWithheld.why(until=self.until_words, medicines=in_a_row(self.products))


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """Eggs that are not to be eaten, `perhaps`: until when, and what to do with them meanwhile."""

    until_words: str
    why: str
    perhaps: bool = False


def free_from(report: Report) -> date | None:
    """The first day on which eggs may be eaten after that medicine; None where nobody knows.

    The day after the last dose and the days of withdrawal that the label names (common practice,
    no source); with none to wait, the first day of treatment.
    """
    if report.egg_days is None:
        return None
    last = report.spell.last or report.spell.first
    return last + (report.egg_days + 1) * _DAY if report.egg_days else report.spell.first


def withheld(records: Records, house_id: str, day: date) -> Withheld | None:
    """Why the house's eggs are not to be eaten on `day`; of several medicines the latest date.

    A course that begins before they may be eaten again counts already: nobody is to be told a
    first day on which they are withheld once more.
    """
    until: date | None = day
    found: list[Report] = []
    while until and (more := list(_withholding(records, house_id, until))):
        found += more
        ends = [free_from(report) for report in more]
        until = None if None in ends else max(end for end in ends if end)
    if not found:
        return None
    return Withheld(
        free_from=until,
        since=_laid_since(records, house_id, min(report.spell.first for report in found)),
        products=tuple(dict.fromkeys(report.words for report in found)),
        unread=tuple(report for report in found if report.egg_days is None),
        courses=tuple(found),
    )


def _laid_since(records: Records, house_id: str, first: date) -> date:
    """The first day of the earliest course after which none was free before `first`."""
    courses = [r for r in records.reports if r.kind == "medicine" and r.house_id == house_id]
    while earlier := [
        one.spell.first
        for one in courses
        if one.spell.first < first and (free_from(one) or date.max) >= first
    ]:
        first = min(earlier)
    return first


def _withholding(records: Records, house_id: str, day: date) -> Iterator[Report]:
    for report in records.reports:
        if report.kind == "medicine" and report.house_id == house_id and report.spell.first <= day:
            end = free_from(report)
            if end is None or day < end:
                yield report


def carried(profile: Profile, records: Records, day: date) -> Caution | None:
    """For eggs of treated hens whose house the profile has no more; of several the longest wait."""
    found = [
        (eggs, house_id)
        for house_id in houses_treated(profile, records)
        if house_id not in profile.house_names and (eggs := withheld(records, house_id, day))
    ]
    if not found:
        return None
    eggs, house_id = max(found, key=lambda one: one[0].free_from or date.max)
    theirs = from_id(house_id)
    return Caution(
        until_words=EggsUntil.if_hens_of(until=eggs.until_words, house=theirs),
        why=EggsWithheld.perhaps_theirs(house=theirs, why=eggs.why),
        perhaps=True,
    )


def asked_about(records: Records, house_id: str, day: date) -> Caution | None:
    """Where a sign in that house has to be reported, on a day on which it holds."""
    ill = records.of("illness", day)
    reported = any(one.is_notifiable and one.house_id == house_id for one in ill)
    if not reported:
        return None
    return Caution(until_words=EggsUntil.authority(), why=EggsWithheld.ask())


def houses_treated(profile: Profile, records: Records) -> tuple[str, ...]:
    """Houses of which a medicine was reported, in the profile's order; one that is gone last."""
    told = {one.house_id for one in records.reports if one.kind == "medicine"}
    here = profile.house_names
    return (*(one for one in here if one in told), *sorted(told.difference(here)))
