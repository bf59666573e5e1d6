"""Everything said and done, to download as a table or as JSON."""

from collections.abc import AsyncIterator, Callable, Iterator

from starlette.requests import Request
from starlette.responses import Response, StreamingResponse

from scheduler.journal.store import Journal
from scheduler.service import diary_files
from scheduler.service.household.open_profile import Household
from scheduler.web.page_requests import PageRequests


async def as_csv(request: Request, *, desk: PageRequests) -> Response:
    """The table for whoever is signed in."""
    return await _file(request, desk, diary_files.as_csv, "csv", "text/csv")


async def as_json(request: Request, *, desk: PageRequests) -> Response:
    """The same for programs."""
    return await _file(request, desk, diary_files.as_json, "json", "application/json")


async def _file(
    request: Request,
    desk: PageRequests,
    pieces_of: Callable[[Journal, Household], Iterator[str]],
    ending: str,
    media_type: str,
) -> Response:
    """The file; each page of the diary is read by itself."""
    visit = await desk.admit(request)
    if isinstance(visit, Response):
        return visit
    pieces = pieces_of(visit.journal, visit.standing.household)

    async def sent() -> AsyncIterator[bytes]:
        while (piece := await desk.run(lambda: next(pieces, None))) is not None:
            yield piece.encode()

    named = {"content-disposition": f'attachment; filename="{visit.profile.site.id}.{ending}"'}
    return StreamingResponse(sent(), media_type=media_type, headers=named)
