"""A question before something is done that cannot be taken back, or is rarely meant."""

from collections.abc import Mapping

from scheduler.web.request_and_answer import Answer


def ask(  # noqa: PLR0913 - a question, its words and where each answer leads
    title: str, text: str, *, yes: str, action: str, sent: Mapping[str, str], back: str
) -> Answer:
    """The page with the question; yes sends the form to `action`, no goes back."""
    facts = {
        "title": title,
        "text": text,
        "yes": yes,
        "action": action,
        "sent": sent,
        "back": back,
    }
    return Answer(template="ask.html", facts=facts)
