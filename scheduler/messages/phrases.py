"""Names that fit into a title, and a name where a sentence begins."""

from collections.abc import Callable, Sequence

from scheduler.wording.messages.missing import Missing
from scheduler.wording.messages.reminders import Many
from scheduler.wording.spoken import listed
from scheduler.wording.words import Words

TITLE_LENGTH = 80
SHORTEST_NAME = 6
SHORT_NAME = 14
LONGEST_WHO = 24
_SOMEBODY = "somebody"  # how a diary writes whoever has no name, and where they sat


def fitted(said: Callable[[str], str], names: Sequence[str], many: Words = Many.houses) -> str:
    """What is said of these names in at most 80 characters; only the names give way."""
    room = TITLE_LENGTH - len(said(""))
    where = listed(names)
    if len(where) > room and len(names) > 1:
        where = many(count=len(names))
    if len(where) > room:
        where = where[: max(room, SHORTEST_NAME) - 1].rstrip() + "…"
    return said(where)


def short(who: str, room: int = LONGEST_WHO) -> str:
    if len(who) <= room:
        return who
    if who.startswith(f"{_SOMEBODY} "):  # "at the terminal": no name that could be known by half
        return _SOMEBODY
    return who[: room - 1].rstrip() + "…"


def by_whom(said: Callable[[str], str], who: str, room: int = LONGEST_WHO) -> str:
    """What is said of whoever did it in at most 80 characters, if a name of six leaves room."""
    name = short(who, room)
    over = len(said(name)) - TITLE_LENGTH
    return said(short(name, max(len(name) - over, SHORTEST_NAME)) if over > 0 else name)


def begun(who: str) -> str:
    """The name as a sentence begins with it: nobody in particular with a capital letter."""
    return f"S{who[1:]}" if who.split(" ", maxsplit=1)[0] == _SOMEBODY else who


def at_least(birds: int, *, more: bool) -> str:
    """Says it as "2", or where more of them may be missing as "at least 2"."""
    return Missing.at_least(birds=birds) if more else str(birds)
