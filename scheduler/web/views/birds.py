"""Birds: who came or went, who is broody or ill, a medicine and until when eggs are withheld."""

from collections.abc import Mapping

from scheduler.cares.bird_line import BirdLine
from scheduler.cares.birds_today import bird_line, bird_lines
from scheduler.cares.records import BIRD_KINDS, NOTIFIABLE, SIGNS, Report, ReportKind
from scheduler.cares.report_words import SIGN_WORDS
from scheduler.profile.words import words
from scheduler.service.reports.read_bird_report import ToldBirds, odd_of_birds, read_bird_report
from scheduler.web import came_or_went
from scheduler.web.report_forms import Buttons, ReportPage, refused
from scheduler.web.request_and_answer import Answer, Visit, go
from scheduler.wording.web.reports import BirdEnds, NoneReported
from scheduler.wording.words import Words

FIELDS = ("kind", "coop", "count", "words", "first", "last", "eggs", "meat")
# What the button says that ends it, for one bird and for several.
_OVER: Mapping[ReportKind, tuple[Words, Words]] = {
    "broody": (BirdEnds.broody_one, BirdEnds.broody_several),
    "illness": (BirdEnds.illness_one, BirdEnds.illness_several),
}


def facts(visit: Visit) -> dict[str, object]:
    profile = visit.profile
    return {
        "lines": bird_lines(profile, visit.standing.records, visit.today),
        "coops": [(coop.id, coop.name) for coop in profile.coop],
        "signs": [(sign, SIGN_WORDS[sign](), sign in NOTIFIABLE) for sign in SIGNS],
        "withdrawal": words(profile.site.region)["withdrawal"],
        "nothing": NoneReported.reported(),
        "signs_seen": visit.form.get("sign", []),
        **came_or_went.facts(visit),
    }


def today(visit: Visit) -> list[tuple[BirdLine, int | None, Buttons]]:
    """What Today says of the birds, with the number of the report and the buttons that end it."""
    told = visit.standing.reports
    lines = {number: bird_line(visit.profile, one, visit.today) for number, one in told.items()}
    found: list[tuple[BirdLine, int | None, Buttons]] = []
    for line in bird_lines(visit.profile, visit.standing.records, visit.today):
        number = next((number for number, each in lines.items() if each == line), None)
        if number is None:
            found.append((line, None, ()))
        else:
            del lines[number]  # of two alike each has its own button
            found.append((line, number, ends_of(visit, told[number])))
    return found


def ends_of(visit: Visit, one: Report) -> Buttons:
    """The buttons that would end it."""
    first, last, today = one.spell.first, one.spell.last, visit.today
    if today not in one.spell or last == today != first:
        return ()
    if one.kind != "medicine":
        of_one, of_several = _OVER[one.kind]
        return () if last else (("over", (of_one if one.birds == 1 else of_several)()),)
    found = (("over", BirdEnds.dose_was_yesterday()),) if first < today else ()
    return found if last == today else (*found, ("end", BirdEnds.dose_is_today()))


def read(visit: Visit) -> Report | Mapping[str, str]:
    kind = visit.said("kind")
    told = ToldBirds(
        **{name: visit.said(name) for name in FIELDS},
        signs=tuple(visit.form.get("sign", [])[: len(SIGNS)]) if kind == "illness" else (),
    )
    found = read_bird_report(told, visit.profile, visit.today)
    return refused(found, f"{kind}-") if isinstance(found, tuple) else found


PAGE = ReportPage(
    name="birds",
    kinds=BIRD_KINDS,
    fields=(*FIELDS, *came_or_went.FIELDS),
    facts=facts,
    read=read,
    odd=lambda visit, found: odd_of_birds(found, visit.today),
    ends=ends_of,
)


def came(visit: Visit) -> Answer:
    """Birds came, hatched, left, moved or died: kept, or asked about beside the field."""
    wrong = came_or_went.keep(visit)
    return PAGE.show(visit, wrong) if wrong else go("/birds#came")


def came_undone(visit: Visit) -> Answer:
    """What was said of that is taken back."""
    if why := came_or_went.take_back(visit):
        return PAGE.show(visit, {"flock-entry": why})
    return go("/birds#came")
