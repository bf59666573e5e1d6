"""What is answered before anything is looked up: a line for programs, a small page for browsers.

A page is made once: whoever asks ten thousand times costs no more by asking for it.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from html import escape

from scheduler.wording.web.refusals import AnotherName, TooManyTries, TurnedAwayAtADoor
from scheduler.wording.words import Words, kept, language_tag

PLAIN = b"text/plain; charset=utf-8"
PAGE = b"text/html; charset=utf-8"
# The page brings nothing with it, not even a style: the server would refuse that name for it too.
PAGE_ONLY = (b"content-security-policy", b"default-src 'none'; frame-ancestors 'none'")


def line(told: Words) -> bytes:
    """What a program reads: one line."""
    return f"{told()}\n".encode()


@dataclass(frozen=True, slots=True)
class TurnedAway:
    """One such answer: a line for programs, a page with its title and what to do."""

    program_line: Words
    title: Words
    text: Words

    @property
    def line(self) -> bytes:
        """What a program reads."""
        return line(self.program_line)

    @property
    def page(self) -> bytes:
        """What a browser shows."""
        return _page(self)

    def to(self, headers: Iterable[tuple[bytes, bytes]]) -> tuple[bytes, bytes]:
        """Content type and body, by what the request accepts."""
        wants_page = any(name == b"accept" and b"text/html" in value for name, value in headers)
        return (PAGE, self.page) if wants_page else (PLAIN, self.line)


@kept(most=2)
def _page(told: TurnedAway) -> bytes:
    title = escape(told.title())
    text, door = escape(told.text()), escape(TurnedAwayAtADoor.check())
    page = (
        f'<!doctype html>\n<html lang="{language_tag()}">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{title}</title>\n</head>\n<body>\n<main>\n"
        f"<h1>{title}</h1>\n<p>{text}</p>\n<p>{door}</p>\n</main>\n</body>\n</html>\n"
    )
    return page.encode()


ANOTHER_NAME = TurnedAway(AnotherName.line, AnotherName.title, AnotherName.text)
TOO_MANY = TurnedAway(TooManyTries.line, TooManyTries.title, TooManyTries.text)
