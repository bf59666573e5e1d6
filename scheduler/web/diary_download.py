"""Everything said and done, as a table to download."""

import csv
import io
from collections.abc import AsyncIterator

from starlette.requests import Request
from starlette.responses import Response, StreamingResponse

from scheduler.service import diary_export
from scheduler.web.page_requests import PageRequests

_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")


async def diary(request: Request, *, desk: PageRequests) -> Response:
    """The table for whoever is signed in; each page of the diary is read by itself."""
    visit = await desk.admit(request)
    if isinstance(visit, Response):
        return visit
    site_id = visit.profile.site.id
    rows = diary_export.pages(visit.journal, site_id)

    async def lines() -> AsyncIterator[bytes]:
        yield _csv([diary_export.HEADINGS])
        while (page := await desk.run(lambda: next(rows, None))) is not None:
            yield _csv(page)

    named = {"content-disposition": f'attachment; filename="{site_id}.csv"'}
    return StreamingResponse(lines(), media_type="text/csv", headers=named)


def _csv(rows: list[diary_export.Row]) -> bytes:
    text = io.StringIO()
    csv.writer(text).writerows([_as_text(cell) for cell in row] for row in rows)
    return text.getvalue().encode()


def _as_text(cell: str) -> str:
    """A table program would take a cell that begins like a formula as one, and run it."""
    return f"'{cell}" if cell.startswith(_FORMULA) else cell
