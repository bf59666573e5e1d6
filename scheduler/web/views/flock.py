"""Flock: the birds and what comes next for them, and what their houses lack."""

from scheduler.web.request_and_answer import Answer, Visit


def show(_: Visit) -> Answer:
    """The page."""
    return Answer(template="flock.html")
