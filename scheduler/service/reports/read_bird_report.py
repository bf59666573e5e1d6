"""Reads a report of birds as a keeper writes it, at a terminal or in the fields of a page."""

import re
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Literal, get_args

from scheduler.cares.records import BIRD_KINDS, SIGNS, BirdKind, Report, Sign, Spell
from scheduler.cares.report_words import read_day
from scheduler.profile.by_name import called
from scheduler.profile.load import Problems
from scheduler.profile.problem import Problem, Unreadable, nearest, shown
from scheduler.profile.values import Profile
from scheduler.wording.service.reports import (
    BirdsAccepted,
    BirdsAsked,
    BirdsHints,
    ReportAccepted,
)
from scheduler.wording.spoken import in_a_row, short_day

Field = Literal["kind", "coop", "first", "last", "count", "words", "signs", "eggs", "meat"]
LONGEST_WORDS = 80
MOST_DAYS = 365  # of withdrawal; more is a slip of the pen
_ODD_DAYS = 60
_LONGEST_TREATMENT_DAYS = 31  # the same
_AHEAD = timedelta(days=31)  # a treatment that is planned
_BACK = timedelta(days=365)
_DAY = timedelta(days=1)
_WHOLE = re.compile(r"(\d{1,6})\s*(d|days?)?", re.IGNORECASE | re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldBirds:
    """The texts of a report of birds as written; one not given is empty."""

    kind: str
    coop: str = ""
    first: str = ""
    last: str = ""
    count: str = ""
    words: str = ""
    signs: tuple[str, ...] = ()
    eggs: str = ""
    meat: str = ""


def read_bird_report(told: ToldBirds, profile: Profile, today: date) -> Report | Problems:
    """The report, or one problem for each wrong field, in the order of `Field`, which is its key.

    Begins today unless told; a medicine lasts one day, the others until somebody ends them. One
    bird is ill or broody unless told; a medicine is for every bird of the house. No withdrawal is
    ever filled in.
    """
    reading = _Reading(told, profile, today)
    report = reading.report()
    order = get_args(Field)
    if reading.problems or report is None:
        return tuple(sorted(reading.problems, key=lambda one: order.index(one.key[0])))
    return report


def read_days(text: str) -> int:
    """Whole days of withdrawal, as on a label: "7", "7 days", "0".

    Raises:
        Unreadable: it is no such number.
    """
    written = _WHOLE.fullmatch(text.strip())
    if written and int(written[1]) <= MOST_DAYS:
        return int(written[1])
    raise Unreadable(BirdsAccepted.days(most=MOST_DAYS), BirdsHints.unknown_days())


def odd_of_birds(report: Report, today: date) -> str:
    """What to ask before the report is kept, because it is likely to be a slip; mostly nothing.

    A weekday is the next one, and whoever notes a treatment has mostly given it.
    """
    first, last = report.spell.first, report.spell.last or report.spell.first
    days = (last - first).days + 1
    if report.kind == "medicine" and days > _LONGEST_TREATMENT_DAYS:
        return BirdsAsked.long_treatment(days=days)
    if report.kind == "medicine" and first > today:
        return BirdsAsked.to_come(day=short_day(first))
    withheld = (BirdsAsked.long_eggs, report.egg_days), (BirdsAsked.long_meat, report.meat_days)
    for asks, withdrawal in withheld:
        if withdrawal is not None and withdrawal > _ODD_DAYS:
            return asks(days=withdrawal)
    return ""


@dataclass(slots=True)
class _Reading:
    """One report being read; what cannot be used counts as not told, beside its problem."""

    told: ToldBirds
    profile: Profile
    today: date
    problems: list[Problem] = field(default_factory=list)

    def report(self) -> Report | None:
        """The report as far as it can be read."""
        kind, house_id = self._kind(), self._house()
        first = self._first(kind)
        last = self._last(kind, first)
        birds, words, signs = self._birds(house_id), self._words(kind), self._signs(kind)
        eggs, meat = self._days("eggs", self.told.eggs), self._days("meat", self.told.meat)
        if kind is None:
            return None
        told = Report(kind=kind, spell=Spell(first=first, last=last), house_id=house_id)
        if kind == "medicine":
            return replace(told, birds=birds, words=words, egg_days=eggs, meat_days=meat)
        return replace(told, birds=birds or 1, words=words, signs=signs)

    def _wrong(self, key: Field, found: str, accepted: str, hint: str = "") -> None:
        written = shown(found) if found else BirdsAccepted.nothing()
        self.problems.append(Problem(key=(key,), found=written, accepted=accepted, hint=hint))

    def _kind(self) -> BirdKind | None:
        kind = next((one for one in BIRD_KINDS if one == self.told.kind), None)
        if kind is None:
            hint = nearest(self.told.kind, BIRD_KINDS)
            self._wrong("kind", self.told.kind, in_a_row(BIRD_KINDS), hint)
        return kind

    def _house(self) -> str:
        coops, told = self.profile.coop, self.told.coop.strip()
        if not told and len(coops) == 1:
            return coops[0].id
        if coop := called(told, coops):
            return coop.id
        names = [coop.id for coop in coops]
        self._wrong("coop", told, in_a_row(names), nearest(told, names))
        return ""

    def _first(self, kind: BirdKind | None) -> date:
        ahead = _AHEAD if kind == "medicine" else timedelta()
        return self._day("first", self.told.first, self.today, self.today + ahead) or self.today

    def _last(self, kind: BirdKind | None, first: date) -> date | None:
        most = self.today + _BACK if kind == "medicine" else self.today
        last = self._day("last", self.told.last, first, most)
        if last and last < first:
            self._wrong("last", self.told.last, ReportAccepted.or_later(first=first))
        return last or (first if kind == "medicine" else None)

    def _day(
        self, key: Literal["first", "last"], text: str, since: date, most: date
    ) -> date | None:
        if not text:
            return None
        try:
            day = read_day(text, self.today, since)
        except Unreadable as unreadable:
            self._wrong(key, text, unreadable.accepted, unreadable.hint)
            return None
        least = self.today - _BACK
        if least <= day <= most:
            return day
        hint = BirdsHints.not_over() if key == "last" and most == self.today else ""
        self._wrong(key, text, ReportAccepted.between(first=least, last=most), hint)
        return None

    def _birds(self, house_id: str) -> int | None:
        text = self.told.count.strip()
        if not text:
            return None
        most = sum(one.birds for one in self.profile.flocks_of(house_id)) if house_id else 10**6
        number = int(text) if re.fullmatch(r"[0-9]{1,6}", text) else 0
        if 1 <= number <= most:
            return number
        accepted = BirdsAccepted.birds(most=most) if house_id else BirdsAccepted.any_birds()
        there = BirdsHints.only(birds=most) if number > most else ""
        self._wrong("count", text, accepted, there)
        return None

    def _words(self, kind: BirdKind | None) -> str:
        words = self.told.words.strip()
        fits = BirdsAccepted.product if kind == "medicine" else BirdsAccepted.seen
        if len(words) > LONGEST_WORDS or not words.isprintable():
            self._wrong("words", words, fits(longest=LONGEST_WORDS))
        elif kind == "medicine" and not words:
            self._wrong("words", words, BirdsAccepted.on_label())
        elif kind == "illness" and not words and not self.told.signs:
            self._wrong("words", words, BirdsAccepted.sign())
        elif kind == "broody" and words:
            self._wrong("words", words, BirdsAccepted.empty(), BirdsHints.day_is_enough())
        return words

    def _signs(self, kind: BirdKind | None) -> tuple[Sign, ...]:
        if kind != "illness" and self.told.signs:
            found = " ".join(self.told.signs)
            self._wrong("signs", found, BirdsAccepted.no_sign(), BirdsHints.signs())
        for told in self.told.signs:
            if told not in SIGNS:
                self._wrong("signs", told, in_a_row(SIGNS), nearest(told, SIGNS))
        return tuple(sign for sign in SIGNS if sign in self.told.signs)

    def _days(self, key: Literal["eggs", "meat"], text: str) -> int | None:
        if not text.strip():
            return None
        if self.told.kind in BIRD_KINDS and self.told.kind != "medicine":
            self._wrong(key, text, BirdsAccepted.no_days(), BirdsHints.withheld())
            return None
        try:
            return read_days(text)
        except Unreadable as unreadable:
            self._wrong(key, text, unreadable.accepted, unreadable.hint)
            return None
