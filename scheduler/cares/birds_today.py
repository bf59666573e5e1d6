"""What is to be known of the birds on a day: signs to be reported, eggs, ill and broody birds."""

from collections.abc import Hashable, Iterable, Iterator
from datetime import date

from scheduler.cares.bird_line import BirdLine, told_of_house
from scheduler.cares.egg_lines import egg_lines
from scheduler.cares.records import Records, Report
from scheduler.cares.report_words import birds_words
from scheduler.profile.values import Profile
from scheduler.wording.cares.birds import BirdsAsk, BirdsToday

HATCHES_DAYS = 21  # of a hen's fertile eggs, about (common practice, no source)


def bird_line(profile: Profile, report: Report, day: date) -> BirdLine | None:
    """Of ill birds or a broody hen on a day on which it holds; None of what is neither."""
    if day not in report.spell or report.kind not in {"illness", "broody"}:
        return None
    number = (day - report.spell.first).days + 1
    rings_today = report.is_notifiable and report.is_news(day, 1, profile.on(day).site.zone)
    ends, asks = day == report.spell.last, False
    if report.kind == "illness":
        title = _ill(report, number, rings_today=rings_today)
        text = BirdsAsk.reportable() if report.is_notifiable else BirdsAsk.apart()
    else:
        asks = number > HATCHES_DAYS and report.spell.last is None
        title = _broody(report, number, asks=asks)
        text = BirdsAsk.broody(birds=report.birds or 1, days=HATCHES_DAYS)
    if ends:
        title = BirdsToday.ends(title=title)
    birds = (report.kind, report.birds or 1, report.signs, report.words)
    return BirdLine(
        house_id=report.house_id,
        about=(*birds, 0 if rings_today else number, ends),
        title=told_of_house(profile, report.house_id, title),
        text=text,
        at_once=rings_today,
        asks=asks,
    )


def bird_lines(profile: Profile, records: Records, day: date) -> tuple[BirdLine, ...]:
    """Everything to know of the birds on that day: what must be reported first, then the eggs."""
    if not records.reports:
        return ()
    found = [(report, bird_line(profile, report, day)) for report in records.reports]
    others = [(report.kind, line) for report, line in found if not report.is_notifiable]
    return (
        *(line for report, line in found if line and report.is_notifiable),
        *egg_lines(profile, records, day),
        *(line for kind, line in others if line and kind == "illness"),
        *(line for kind, line in others if line and kind == "broody"),
    )


def week_lines(
    profile: Profile, records: Records, days: Iterable[date]
) -> Iterator[tuple[date, BirdLine]]:
    """Everything to know on the first of those days, and what changes of the eggs on the others."""
    told: set[tuple[str, Hashable]] = set()
    for day in days if records.reports else ():
        lines = egg_lines(profile, records, day) if told else bird_lines(profile, records, day)
        for line in lines:
            if (line.house_id, line.about) not in told:
                yield day, line
            told.add((line.house_id, line.about))


def _ill(report: Report, number: int, *, rings_today: bool) -> str:
    if rings_today:
        return BirdsToday.ring(birds=birds_words(report))
    said = BirdsToday.rung if report.is_notifiable else BirdsToday.day_of
    return said(birds=birds_words(report), day=number)


def _broody(report: Report, number: int, *, asks: bool) -> str:
    if (report.birds or 1) == 1:
        return (BirdsToday.still_sits if asks else BirdsToday.broody)(day=number)
    said = BirdsToday.still_sit if asks else BirdsToday.day_of
    return said(birds=birds_words(report), day=number)
