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
        typed.refuse("--to", f"{until}", f"{since} or a later day")
    if kind is not None and kind not in KINDS_ASKED:
        typed.refuse("--kind", f'"{kind}"', ", ".join(KINDS_ASKED), nearest(kind, KINDS_ASKED))
    if json and csv:
        typed.refuse("--csv", "both --csv and --json", "one of the two")
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
            nothing = (
                "The diary has nothing of that kind." if is_part else "The diary is empty so far."
            )
            pieces = _in_words(pages(journal, household, asked, session.now), nothing)
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
    day = f"{of.day:%A} {of.day.day} {of.day:%B %Y}"
    return f"Evening of {day}" if of.is_evening else day


def _row(line: LineOfDiary) -> tuple[str, str, str]:
    since = f" ({'; '.join(line.since)})" if line.since else ""
    return line.when, f"{line.text}{since}", line.who
