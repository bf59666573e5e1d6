"""The backup alarm, to be imported into a calendar: who presses the button gets it."""

from starlette.requests import Request
from starlette.responses import Response

from scheduler.feeds.backup_alarm import NAME, BackupFile
from scheduler.service.calendars.backup_files import backup_file_of, hand_out
from scheduler.web.page_requests import PageRequests
from scheduler.web.request_and_answer import Answer, Visit, go

PATH = f"/{NAME}"


def pressed(visit: Visit) -> Answer:
    """Notes that whoever is signed in fetches it, and leads there; a look by itself notes nothing.

    Where there is nothing to ring for, back to the page, which says so.
    """
    file = _file(visit)
    if file is None or visit.person is None:
        return go("/subscribe?nothing=1#backup-alarm")
    hand_out(visit.journal, visit.profile.site.id, visit.person.id, file)
    return go(PATH)


async def as_file(request: Request, *, desk: PageRequests) -> Response:
    """The file for whoever is signed in."""
    visit = await desk.admit(request)
    if isinstance(visit, Response):
        return visit
    file = await desk.run(lambda: _file(visit), aside=True)
    if file is None:
        return await desk.missed(request)
    # Not as an attachment: an iPhone offers to add the events only of what it may show (from
    # memory); other browsers cannot show it, and save it under its name.
    named = {"content-disposition": f'inline; filename="{NAME}"'}
    return Response(file.content, media_type="text/calendar; charset=utf-8", headers=named)


def _file(visit: Visit) -> BackupFile | None:
    standing = visit.standing
    return backup_file_of(standing.household, standing.records, standing.said, visit.now)
