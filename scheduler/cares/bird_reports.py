"""What reports of birds mean on a day: eggs that are not for eating, ill birds, broody hens."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from scheduler.cares.records import Records, Report
from scheduler.cares.report_words import birds_words
from scheduler.profile.values import Profile
from scheduler.profile.words import day_words, words

HATCHES_DAYS = 21  # of a hen's fertile eggs, about (common practice, no source)
_KEEP_THE_RECORD = "Keep this record for as long as your local law asks."
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
    def until_words(self) -> str:
        """Until when: "before Fri 11 Dec", or until somebody knows."""
        if self.free_from is not None:
            return f"before {day_words(self.free_from)}"
        names = tuple(dict.fromkeys(one.words for one in self.unread))
        if set(names) == set(self.products):
            return "until the vet or the label says so"
        one = len(names) == 1
        labels, say = ("label", "says") if one else ("labels", "say")
        return f"until the vet or the {labels} of {' and '.join(names)} {say} so"

    @property
    def why(self) -> str:
        """What to do with them meanwhile."""
        return (
            f"Do not eat, give away or sell the eggs, nor feed them to the birds, "
            f"{self.until_words} (after {', '.join(self.products)}). Collect them all the same "
            "and throw them away. Wash your hands with soap."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedAbout:
    """Eggs of a house with signs that have to be reported: nobody has said yet what of them."""

    @property
    def until_words(self) -> str:
        """Until when they are not to be eaten."""
        return "until the vet or the authority says so"

    @property
    def why(self) -> str:
        """What to do with them meanwhile."""
        return (
            "A sign was noted that has to be reported in many countries. Ask about the eggs; let "
            "none leave until you have an answer. Wash your hands with soap."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """Eggs that are not to be eaten if hens lay here that were treated in a house that is gone."""

    house_id: str
    eggs: Withheld

    @property
    def until_words(self) -> str:
        """Until when, and for which house: "before Fri 11 Dec if hens of pen lay here"."""
        return f"{self.eggs.until_words} if hens of {self.house_id} lay here"

    @property
    def why(self) -> str:
        """What to do with them meanwhile."""
        return (
            f"If hens of {self.house_id} lay here, this goes for every egg that may be theirs. "
            f"{self.eggs.why}"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class BirdLine:
    """One thing to know of a house's birds today, by its house, and what is to be done.

    `at_once`: before anything else, the door too.
    """

    house_id: str
    title: str
    text: str
    at_once: bool = False

    @property
    def sentence(self) -> str:
        """The title as a sentence of its own."""
        return self.title if self.title.endswith("?") else f"{self.title}."


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


def carried(profile: Profile, records: Records, day: date) -> Carried | None:
    """The wait of hens whose house the profile has no more; of several the longest."""
    here = {coop.id for coop in profile.coop}
    found = [
        Carried(house_id=house_id, eggs=eggs)
        for house_id in _houses(profile, records)
        if house_id not in here and (eggs := withheld(records, house_id, day))
    ]
    return max(found, key=lambda one: one.eggs.free_from or date.max, default=None)


def asked_about(records: Records, house_id: str, day: date) -> AskedAbout | None:
    """Whether a sign in that house has to be reported, on a day on which it holds."""
    ill = records.of("illness", day)
    reported = any(one.is_notifiable and one.house_id == house_id for one in ill)
    return AskedAbout() if reported else None


def egg_lines(profile: Profile, records: Records, day: date) -> Iterator[BirdLine]:
    """Of each house whose eggs are not to be eaten, or may be eaten again from this day on."""
    for house_id in _houses(profile, records):
        now, before = (withheld(records, house_id, on) for on in (day, day - _DAY))
        if now:
            yield _not_for_eating(profile, house_id, now, day)
        elif before:
            yield BirdLine(
                house_id=house_id,
                title=_titled(
                    profile,
                    house_id,
                    f"by the label, eggs laid from today ({day_words(day)}) on may be eaten again",
                ),
                text=f"After {', '.join(before.products)}. Throw away the older ones. "
                f"{_KEEP_THE_RECORD}",
            )


def _not_for_eating(profile: Profile, house_id: str, eggs: Withheld, day: date) -> BirdLine:
    withdrawal = words(profile.site.region)["withdrawal"]
    asked = (
        f"Nobody has noted the {withdrawal} of eggs for {_given(eggs.unread)} yet: read the label "
        "or ask the vet, and note it"
        if eggs.free_from is None
        else _runs(eggs, withdrawal, day)
    )
    given = f"After {', '.join(eggs.products)}"
    if goes_on := [
        one for one in eggs.courses if day in one.spell and one.spell.last != one.spell.first
    ]:
        still = tuple(dict.fromkeys(one.words for one in goes_on))
        over = [name for name in eggs.products if name not in still]
        given = f"After {', '.join(over)}. " if over else ""
        given += f"{' and '.join(still)} {'is' if len(still) == 1 else 'are'} still being given"
    moved = "Of a treated hen that moves house it holds there, too. " if profile.coop[1:] else ""
    if house_id not in {coop.id for coop in profile.coop}:
        moved = (
            "The profile has no such house now: it holds wherever those hens lay, and where nobody "
            "can tell their eggs apart, for all of that house. "
        )
    laid = f"That goes for all laid since {day_words(eggs.since)}. "
    return BirdLine(
        house_id=house_id,
        title=_titled(
            profile, house_id, f"do not eat, give away or sell the eggs {eggs.until_words}"
        ),
        text=f"{given}. {asked}. Nor feed them to the birds. {laid}{moved}{_KEEP_THE_RECORD}",
    )


def _runs(eggs: Withheld, withdrawal: str, day: date) -> str:
    """From when the days of the label count: the last dose, while it is still to come."""
    last = max((one.spell.last for one in eggs.courses if one.spell.last), default=day)
    if last < day or all(one.spell.last == one.spell.first for one in eggs.courses):
        return f"The {withdrawal} runs, by what you read on the label"
    return (
        f"The {withdrawal} runs from the last dose ({day_words(last)}), by what you read on the "
        "label"
    )


def _given(reports: Iterable[Report]) -> str:
    """Each course by its first day: the same product may have been given before."""
    return " and ".join(f"{one.words} of {day_words(one.spell.first)}" for one in reports)


def bird_line(profile: Profile, report: Report, day: date) -> BirdLine | None:
    """Of ill birds or a broody hen on a day on which it holds; None of what is neither."""
    if day not in report.spell or report.kind not in {"illness", "broody"}:
        return None
    number = (day - report.spell.first).days + 1
    rings_today = report.is_notifiable and report.is_news(day, 1, profile.site.zone)
    ill = report.kind == "illness"
    title, text = _ill(report, number, rings_today=rings_today) if ill else _broody(report, number)
    ends = "; ends today" if day == report.spell.last else ""
    return BirdLine(
        house_id=report.house_id,
        title=_titled(profile, report.house_id, f"{title}{ends}"),
        text=text,
        at_once=rings_today,
    )


def _titled(profile: Profile, house_id: str, text: str) -> str:
    """The text after the house's name, else with a capital."""
    where = house_words(profile, house_id)
    return f"{where}{text}" if where else text[:1].upper() + text[1:]


def _ill(report: Report, number: int, *, rings_today: bool) -> tuple[str, str]:
    what = birds_words(report)
    if report.is_notifiable:
        rung = (
            "ring your vet or the animal-health authority today"
            if rings_today
            else f"day {number}: do as your vet or the animal-health authority has said"
        )
        return f"{rung}: {what}", REPORTABLE
    return f"{what}, day {number}", APART


REPORTABLE = (
    "These signs have to be reported in many countries, whatever the cause: your local rules stand "
    "above this. Until you have heard from them let none range, let no bird, egg or equipment "
    "leave, keep people and other birds well clear, and ask about the eggs before you eat any. "
    "Wash your hands and change your boots each time. No house ranges while this stands: once they "
    "have cleared it, end the report."
)
APART = (
    "Keep her apart, warm, with feed and water, and look at her daily. A vet if she is no better "
    "within a day or two, at once if she gets worse; for a young bird that is hunched or has blood "
    "in its droppings, today. Look at the others too. Where birds are in quarantine in a house "
    "of their own, the 30 days start again when this is over."
)


def _broody(report: Report, number: int) -> tuple[str, str]:
    what, one = birds_words(report), (report.birds or 1) == 1
    asked = ""
    if number > HATCHES_DAYS and report.spell.last is None:
        asked = f". {'Does she' if one else 'Do they'} still sit?"
    them = "her" if one else "them"
    text = (
        f"Lift {them} off once a day to eat and drink. Let {them} sit or break it: that is yours "
        f"to choose. Fertile eggs hatch at about {HATCHES_DAYS} days; nothing by day 24, or no "
        "eggs to hatch: end it."
    )
    return f"{what.removeprefix('1 ')}, day {number}{asked}", text


def bird_lines(profile: Profile, records: Records, day: date) -> tuple[BirdLine, ...]:
    """Everything to know of the birds on that day: what must be reported first, then the eggs."""
    if not records.reports:
        return ()
    found = [(report, bird_line(profile, report, day)) for report in records.reports]
    return (
        *(line for report, line in found if line and report.is_notifiable),
        *egg_lines(profile, records, day),
        *_of("illness", found),
        *_of("broody", found),
    )


def week_lines(
    profile: Profile, records: Records, days: Iterable[date]
) -> Iterator[tuple[date, BirdLine]]:
    """Everything to know on the first of those days, and what changes of the eggs on the others."""
    told: set[str] = set()
    for day in days if records.reports else ():
        lines = egg_lines(profile, records, day) if told else bird_lines(profile, records, day)
        for line in lines:
            if line.title not in told:
                yield day, line
            told.add(line.title)


def _of(kind: str, found: Iterable[tuple[Report, BirdLine | None]]) -> Iterator[BirdLine]:
    for report, line in found:
        if line and report.kind == kind and not report.is_notifiable:
            yield line


def house_words(profile: Profile, house_id: str) -> str:
    """The house before what is said of it, where there are several: "Walnut: ".

    Of one that the profile has no more, only the id is known, and its hens are elsewhere.
    """
    names = {coop.id: coop.name for coop in profile.coop}
    if house_id not in names:
        return f"Hens of {house_id}: "
    return f"{names[house_id]}: " if len(names) > 1 else ""


def _houses(profile: Profile, records: Records) -> tuple[str, ...]:
    """Houses of which a medicine was reported, in the profile's order; one that is gone last."""
    told = {one.house_id for one in records.reports if one.kind == "medicine"}
    here = [coop.id for coop in profile.coop]
    return (*(one for one in here if one in told), *sorted(told.difference(here)))
