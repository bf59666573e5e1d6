"""`duskfold diary`: what was said and done, by evening and day, or all of it to take along."""

import io
import sys
from collections.abc import Iterable, Iterator

from scheduler.cli.compose import Session
from scheduler.cli.screens.tables import as_json, table
from scheduler.cli.typed import Typed
from scheduler.profile.problem import nearest
from scheduler.service import diary_files
from scheduler.service.diary_asked import KINDS_ASKED, asked_for, houses
from scheduler.service.diary_pages import DayOfDiary, LineOfDiary, PageOfDiary, pages
from scheduler.wording.cli.refusals import AcceptedThere, FoundThere
from scheduler.wording.cli.said import DiaryScreen
from scheduler.wording.spoken import in_a_row, long_day_with_year, one_by_one


def run(  # noqa: PLR0913 - each is an option
    session: Session,
    *,
    coop: str | None,
    kind: str | None,
    first: str | None,
    last: str | None,
    json: bool,
    csv: bool,
) -> None:
    """Prints it page by page, as it is read."""
    household, typed = session.household(), Typed("diary")
    since, until = typed.day("--from", first), typed.day("--to", last)
    if since and until and until < since:
        typed.refuse("--to", f"{until}", AcceptedThere.day_from(day=since))
    if kind is not None and kind not in KINDS_ASKED:
        accepted = in_a_row([*KINDS_ASKED])
        typed.refuse_word("--kind", kind, accepted, nearest(kind, KINDS_ASKED))
    if json and csv:
        both = FoundThere.both(one="--csv", other="--json")
        typed.refuse("--csv", both, AcceptedThere.one_of_two())
    with session.journal() as journal:
        house = typed.one_of("--coop", coop, houses(journal, household))
        typed.end_if_wrong()
        asked = asked_for(kind, house, since, until)
        if csv:
            if isinstance(sys.stdout, io.TextIOWrapper):
                sys.stdout.reconfigure(newline="")  # its lines end as those of the download do
            pieces = diary_files.as_csv(journal, household, asked)
        elif json:
            pieces = diary_files.as_json(journal, household, asked, as_json)
        else:
            is_part = any((coop, kind, first, last))
            nothing = DiaryScreen.nothing_of_that_kind if is_part else DiaryScreen.empty
            pieces = _in_words(pages(journal, household, asked, session.now), nothing())
        for piece in pieces:
            print(piece, end="")


def _in_words(found: Iterable[PageOfDiary], nothing: str) -> Iterator[str]:
    between = ""
    for page in found:
        for day in page.days:
            yield f"{between}{_heading(day)}\n{table(map(_row, day.lines), indent=2)}\n"
            between = "\n"
    if not between:
        yield f"{nothing}\n"


def _heading(of: DayOfDiary) -> str:
    day = long_day_with_year(of.day)
    return DiaryScreen.evening(day=day) if of.is_evening else day


def _row(line: LineOfDiary) -> tuple[str, str, str]:
    if not line.since:
        return line.when, line.text, line.who
    since = one_by_one(line.since)
    return line.when, DiaryScreen.since(text=line.text, since=since), line.who
