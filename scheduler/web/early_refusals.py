"""What is answered before anything is looked up: a line for programs, a small page for browsers.

Both are made once: whoever asks ten thousand times costs no more by asking for the page.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from html import escape

PLAIN = b"text/plain; charset=utf-8"
PAGE = b"text/html; charset=utf-8"
# The page brings nothing with it, not even a style: the server would refuse that name for it too.
PAGE_ONLY = (b"content-security-policy", b"default-src 'none'; frame-ancestors 'none'")


@dataclass(frozen=True, slots=True)
class TurnedAway:
    """One such answer, ready for the wire in both shapes."""

    line: bytes
    page: bytes

    def to(self, headers: Iterable[tuple[bytes, bytes]]) -> tuple[bytes, bytes]:
        """Content type and body, by what the request accepts."""
        wants_page = any(name == b"accept" and b"text/html" in value for name, value in headers)
        return (PAGE, self.page) if wants_page else (PLAIN, self.line)


def _made(line: str, title: str, *paragraphs: str) -> TurnedAway:
    told = "".join(f"<p>{escape(one)}</p>\n" for one in paragraphs)
    page = (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(title)}</title>\n</head>\n<body>\n<main>\n"
        f"<h1>{escape(title)}</h1>\n{told}</main>\n</body>\n</html>\n"
    )
    return TurnedAway(line.encode(), page.encode())


_DOOR = "Nothing was saved. If it was about a door, go and check the door."
ANOTHER_NAME = _made(
    "These pages have another address.\n",
    "These pages have another address",
    "You have reached the right machine, but by a name that it does not go by. Open the address in "
    "your messages, or the one that you put on your home screen. Whoever looks after Duskfold "
    "knows it.",
    _DOOR,
)
TOO_MANY = _made(
    "Too many tries. Wait a minute, then try again.\n",
    "Too many tries",
    "Somebody here has asked for too many pages that do not exist. Wait a minute, then load this "
    "page again. If a link still does not work, ask for a new one.",
    _DOOR,
)
