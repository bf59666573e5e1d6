"""What the worker of a phone sends home, signed by itself: an answer to a message, a receipt."""

from collections.abc import Callable
from functools import partial

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

from scheduler.journal.fault import JournalFault
from scheduler.service.doors import button
from scheduler.service.household.open_profile import Household
from scheduler.service.people import phones
from scheduler.tokens.answer import SignedAnswer, read_answer
from scheduler.tokens.receipt import Receipt, read_receipt
from scheduler.web.early_refusals import TOO_MANY, line
from scheduler.web.page_requests import PageRequests
from scheduler.web.rate_limit import Misses
from scheduler.web.request_and_answer import Visit
from scheduler.wording.web.refusals import ToPrograms

# Nothing else makes a worker forget an answer: what a proxy or a sign-in page says is not ours.
_TAKEN, _LOST = 204, 409


class FromWorkers:
    """Takes answers and receipts; what nobody of ours has signed is a miss, without a word."""

    def __init__(
        self, desk: PageRequests, often: Misses, hear: Callable[[Household], None]
    ) -> None:
        """`often` counts how often the same may be sent, `hear` hears when a door was spoken of."""
        self._desk = desk
        self._often = often
        self._hear = hear

    async def answer(self, request: Request) -> Response:
        """Keeps what a button on a message said, as of when it was pressed."""
        visit = await self._desk.admit(request, signed_in=False)
        if isinstance(visit, Response):
            return visit
        text = visit.form.get("answer", [""])[-1]
        given = read_answer(text, visit.lookout.key)
        if given is None or given.site_id != visit.profile.site.id:
            return await self._desk.missed(request, by_program=True)
        return await self._taken(text, partial(self._say, visit, given))

    async def arrived(self, request: Request) -> Response:
        """Keeps that a phone has shown a message."""
        visit = await self._desk.admit(request, signed_in=False)
        if isinstance(visit, Response):
            return visit
        text = visit.form.get("receipt", [""])[-1]
        receipt = read_receipt(text, visit.profile.site.id, visit.lookout.key)
        if receipt is None:
            return await self._desk.missed(request, by_program=True)
        return await self._taken(text, partial(_note, visit, receipt))

    async def _taken(self, text: str, work: Callable[[], bool]) -> Response:
        """What was known already is taken as well; of what does not count its phone says so."""
        if not self._often.add(text):
            wait = {"retry-after": str(round(self._often.within_s))}
            return PlainTextResponse(TOO_MANY.line, 429, wait)
        try:
            counts = await self._desk.run(work)
        except (JournalFault, OSError):
            return PlainTextResponse(line(ToPrograms.unreadable), 503)
        return Response(status_code=_TAKEN if counts else _LOST)

    def _say(self, visit: Visit, given: SignedAnswer) -> bool:
        almanac, at = visit.standing.almanac, visit.tapped_at()
        heard = button.answer(visit.journal, almanac, given, visit.now, at=at)
        self._hear(visit.standing.household)
        return heard != "lost"


def _note(visit: Visit, receipt: Receipt) -> bool:
    phones.arrived(visit.journal, receipt, visit.now)
    return True
