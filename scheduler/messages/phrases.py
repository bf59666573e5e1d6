"""The pieces of a sentence: names that fit into a title, and words that follow a number."""

from collections.abc import Sequence

TITLE_LENGTH = 80
ENTRY = "Who is let in"
SHORTEST_NAME = 6
SHORT_NAME = 14
_SOMEBODY = "somebody"


def titled(before: str, names: Sequence[str], after: str, many: str = "houses") -> str:
    """`before` + the names + `after` in at most 80 characters; only the names give way."""
    room = TITLE_LENGTH - len(before) - len(after)
    where = joined(names)
    if len(where) > room and len(names) > 1:
        where = f"{len(names)} {many}"
    if len(where) > room:
        where = where[: max(room, SHORTEST_NAME) - 1].rstrip() + "…"
    return f"{before}{where}{after}"


def joined(names: Sequence[str]) -> str:
    return " and ".join((", ".join(names[:-1]), names[-1])) if len(names) > 1 else names[0]


def short(who: str, room: int = 24) -> str:
    if len(who) <= room:
        return who
    if who.startswith(f"{_SOMEBODY} "):  # "at the terminal": no name that could be known by half
        return _SOMEBODY
    return who[: room - 1].rstrip() + "…"


def begun(who: str) -> str:
    """The name as a sentence begins with it: nobody in particular with a capital letter."""
    return f"S{who[1:]}" if who.split(" ", maxsplit=1)[0] == _SOMEBODY else who


def at_least(birds: int, *, more: bool) -> str:
    """Says it as "2", or where more of them may be missing as "at least 2"."""
    return f"at least {birds}" if more else str(birds)


def is_are(count: int) -> str:
    return "is" if count == 1 else "are"


def was_were(count: int) -> str:
    return "was" if count == 1 else "were"
