"""What is to be known of the birds on a day: signs to be reported, eggs, ill and broody birds."""

from collections.abc import Iterable, Iterator
from datetime import date

from scheduler.cares.bird_line import BirdLine, told_of_house
from scheduler.cares.egg_lines import egg_lines
from scheduler.cares.records import Records, Report
from scheduler.cares.report_words import birds_words
from scheduler.profile.values import Profile

HATCHES_DAYS = 21  # of a hen's fertile eggs, about (common practice, no source)
REPORTABLE = (
    "In many countries you must report these signs, whatever the cause. Your local rules come "
    "first. Until you have heard from them, let none range, let no bird, egg or equipment leave, "
    "keep people and other birds well clear, and ask about the eggs before you eat any. Wash your "
    "hands and change your boots each time. No house ranges while this stands. Once they have "
    "cleared it, end the report."
)
APART = (
    "Keep her apart and warm, with feed and water, and look at her every day. Call a vet if she is "
    "no better within a day or two, at once if she gets worse, and today for a young bird that is "
    "hunched or has blood in its droppings. Look at the others too. Where birds are in quarantine "
    "in a house of their own, the 30 days start again when this is over."
)


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
        title=told_of_house(profile, report.house_id, f"{title}{ends}"),
        text=text,
        at_once=rings_today,
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
    told: set[str] = set()
    for day in days if records.reports else ():
        lines = egg_lines(profile, records, day) if told else bird_lines(profile, records, day)
        for line in lines:
            if line.title not in told:
                yield day, line
            told.add(line.title)


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


def _broody(report: Report, number: int) -> tuple[str, str]:
    one = (report.birds or 1) == 1
    what = "broody hen" if one else birds_words(report)
    asked = ""
    if number > HATCHES_DAYS and report.spell.last is None:
        asked = f". {'Does she' if one else 'Do they'} still sit?"
    them = "her" if one else "them"
    text = (
        f"Lift {them} off once a day to eat and drink. Let {them} sit, or break {them} of it: that "
        f"is for you to choose. Fertile eggs hatch at about {HATCHES_DAYS} days. If none do by day "
        "24, or there are no eggs to hatch, end it."
    )
    return f"{what}, day {number}{asked}", text
