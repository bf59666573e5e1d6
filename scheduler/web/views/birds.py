"""Birds: a broody hen, an illness, a medicine and until when its eggs are withheld."""

from collections.abc import Mapping

from scheduler.cares.bird_line import BirdLine
from scheduler.cares.birds_today import bird_line, bird_lines
from scheduler.cares.records import BIRD_KINDS, NOTIFIABLE, SIGNS, BirdKind, Report
from scheduler.cares.report_words import SIGN_WORDS
from scheduler.profile.words import words
from scheduler.service.reports import report
from scheduler.service.reports.read_bird_report import (
    ToldBirds,
    odd_of_birds,
    read_bird_report,
)
from scheduler.web.report_forms import already, kept, listed, refused, say_of, taken_back
from scheduler.web.request_and_answer import Answer, Visit

_FIELDS = ("kind", "coop", "count", "words", "first", "last", "eggs", "meat")
OVER: Mapping[BirdKind, str] = {
    "broody": "She is off the nest",
    "illness": "She is well, or it is over",
    "medicine": "The last dose was yesterday",
}


def show(
    visit: Visit,
    wrong: Mapping[str, str] | None = None,
    unknown: str = "",
    question: str = "",
) -> Answer:
    """The page; `wrong` says by field what could not be used of the form of that kind.

    With a `question` nothing was kept yet: the same form with `sure` = 1 keeps it.
    """
    profile = visit.profile
    book = report.book(visit.journal, profile.site.id)
    facts = {
        "lines": bird_lines(profile, visit.standing.records, visit.today),
        "coops": [(coop.id, coop.name) for coop in profile.coop],
        "signs": [(sign, SIGN_WORDS[sign], sign in NOTIFIABLE) for sign in SIGNS],
        "withdrawal": words(profile.site.region)["withdrawal"],
        "question": question,
        "reports": listed(visit, book, BIRD_KINDS, ends),
        "taken_back": taken_back(visit, book, BIRD_KINDS),
        "nothing": "Nothing is reported of the birds.",
        "wrong": wrong or {},
        "typed": {name: visit.said(name) for name in _FIELDS},
        "seen": visit.form.get("sign", []),
        "unknown": unknown,
        "already": already(visit, book),
    }
    return Answer(template="birds.html", facts=facts, status=422 if wrong or unknown else 200)


def today(visit: Visit) -> list[tuple[BirdLine, int | None, tuple[tuple[str, str], ...]]]:
    """What Today says of the birds, with the number of the report and the buttons that end it."""
    told = visit.standing.reports
    lines = {number: bird_line(visit.profile, one, visit.today) for number, one in told.items()}
    found: list[tuple[BirdLine, int | None, tuple[tuple[str, str], ...]]] = []
    for line in bird_lines(visit.profile, visit.standing.records, visit.today):
        number = next((number for number, each in lines.items() if each == line), None)
        if number is None:
            found.append((line, None, ()))
        else:
            del lines[number]  # of two alike each has its own button
            found.append((line, number, ends(visit, told[number])))
    return found


def ends(visit: Visit, one: Report) -> tuple[tuple[str, str], ...]:
    """The buttons that would end it: what each sends, and what it says."""
    first, last, today = one.spell.first, one.spell.last, visit.today
    if today not in one.spell or last == today != first:
        return ()
    if one.kind != "medicine":
        return () if last else (("over", _over(one)),)
    found = (("over", OVER["medicine"]),) if first < today else ()
    return found if last == today else (*found, ("end", "The last dose is today"))


def _over(one: Report) -> str:
    if one.kind == "broody":
        return OVER["broody"] if one.birds == 1 else "They are off the nest"
    return OVER["illness"] if one.birds == 1 else "They are well, or it is over"


def make(visit: Visit) -> Answer:
    """Keeps what was told; today, where no day was given."""
    kind = visit.said("kind")
    told = ToldBirds(
        **{name: visit.said(name) for name in _FIELDS},
        signs=tuple(visit.form.get("sign", [])[: len(SIGNS)]) if kind == "illness" else (),
    )
    found = read_bird_report(told, visit.profile, visit.today)
    if isinstance(found, tuple):
        return show(visit, refused(found, f"{kind}-"))
    if visit.said("sure") != "1" and (question := odd_of_birds(found, visit.today)):
        return show(visit, question=question)
    return kept(visit, found, "/birds")


def end(visit: Visit) -> Answer:
    """Ends a report, reads a label, or takes it or that back."""
    found = say_of(visit, "/birds")
    return show(visit, unknown=found) if isinstance(found, str) else found
