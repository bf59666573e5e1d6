"""The diary to take along: a table (CSV) or JSON, in pieces, each of a page that was read."""

import csv
import io
import json
from collections.abc import Callable, Iterator

from scheduler.journal.entries_by_day import Asked
from scheduler.journal.store import Journal
from scheduler.service import diary_export
from scheduler.service.diary_export import EVERYTHING
from scheduler.service.household.open_profile import Household

_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")


def as_csv(journal: Journal, household: Household, asked: Asked = EVERYTHING) -> Iterator[str]:
    """A row for each entry, below the headings."""
    yield _lines([diary_export.headings()])
    for page in diary_export.pages(journal, household, asked):
        yield _lines([diary_export.row(one) for one in page])


def as_json(
    journal: Journal,
    household: Household,
    asked: Asked = EVERYTHING,
    dumps: Callable[[object], str] = json.dumps,
) -> Iterator[str]:
    """An object with the site and its entries, an entry a line."""
    site, between = household.profile.site, "\n"
    yield f'{{"site": {dumps(site.id)}, "zone": {dumps(str(site.zone))}, "diary": ['
    for page in diary_export.pages(journal, household, asked):
        yield between + ",\n".join(dumps(diary_export.as_object(one)) for one in page)
        between = ",\n"
    yield "\n]}\n"


def _lines(rows: list[diary_export.Row]) -> str:
    text = io.StringIO()
    csv.writer(text).writerows([_as_text(cell) for cell in row] for row in rows)
    return text.getvalue()


def _as_text(cell: str) -> str:
    """A table program would take a cell that begins like a formula as one, and run it."""
    return f"'{cell}" if cell.startswith(_FORMULA) else cell
