"""Add: what happened, in one tap and with at most one number."""

from scheduler.web.request_and_answer import Answer, Visit


def show(_: Visit) -> Answer:
    """The page."""
    return Answer(template="add.html")
