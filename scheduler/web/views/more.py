"""The way to the pages that are not at the thumb."""

from scheduler.web.request_and_answer import Answer, Visit


def show(visit: Visit) -> Answer:
    """The page."""
    del visit
    return Answer(template="more.html")
