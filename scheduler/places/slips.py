"""Names that are a slip of the finger away: a letter missing, doubled, wrong, or two swapped."""

import itertools
from collections.abc import Callable, Iterator
from enum import IntEnum


class Fit(IntEnum):
    """How well a key fits what was typed; the lower the better."""

    EQUAL = 0
    ONE_SLIP = 1
    BEGINS = 2  # it goes on, after letters with one slip
    TWO_SLIPS = 3


def one_slip(typed: str, key: str) -> Fit | None:
    """How the key fits, with one slip at most; None where it does not."""
    same = 0
    for mine, theirs in zip(typed, key, strict=False):
        if mine != theirs:
            break
        same += 1
    mine, theirs = typed[same:], key[same:]
    if not mine:
        return Fit.EQUAL if not theirs else Fit.ONE_SLIP if len(theirs) == 1 else Fit.BEGINS
    rests = [
        (mine[1:], theirs),  # one too many
        (mine, theirs[1:]),  # one is missing
        (mine[1:], theirs[1:]),  # a wrong one
    ]
    if len(mine) > 1 and mine[1::-1] == theirs[:2]:
        rests.append((mine[2:], theirs[2:]))
    if any(rest == other for rest, other in rests):
        return Fit.ONE_SLIP
    return Fit.BEGINS if any(rest and other.startswith(rest) for rest, other in rests) else None


def two_slips(typed: str, key: str) -> Fit | None:
    """Whether two slips at most lie between them."""
    if abs(len(typed) - len(key)) > 2:  # noqa: PLR2004 - two slips
        return None
    before: list[int] = []
    row = list(range(len(key) + 1))
    for at, mine in enumerate(typed, 1):
        older, before, row = before, row, [at]
        for there, theirs in enumerate(key, 1):
            cost = min(before[there] + 1, row[-1] + 1, before[there - 1] + (mine != theirs))
            if at > 1 < there and mine == key[there - 2] and typed[at - 2] == theirs:
                cost = min(cost, older[there - 2] + 1)
            row.append(cost)
        if min(row) > 2:  # noqa: PLR2004 - two slips
            return None
    return Fit.TWO_SLIPS if row[-1] <= 2 else None  # noqa: PLR2004 - two slips


def near_lines(
    lines: bytes, typed: str, slips: int, fits: Callable[[str, str], Fit | None]
) -> Iterator[tuple[int, Fit]]:
    """The numbers of the lines that fit, which stand between line feeds, each with how.

    So many slips leave one of `slips + 1` pieces as it was, nearly where it was: only lines that
    have one of those are looked at. Two letters that were swapped across a cut harm two pieces,
    so what they were is looked for, too.
    """
    seen: set[int] = set()
    for at, piece in _pieces(typed, slips + 1):
        wanted = piece.encode()
        # In another script a letter is up to three bytes, and so is each slip.
        before = len(typed[:at].encode())
        slack = slips * (1 if typed.isascii() else 3)
        for found in _all(lines, b"\n" + wanted if not at else wanted):
            begin = found + 1 if not at else lines.rfind(b"\n", 0, found) + 1
            if (at and abs(found - begin - before) > slack) or begin in seen:
                continue
            seen.add(begin)
            key = lines[begin : lines.find(b"\n", begin)].decode()
            if (fit := fits(typed, key)) is not None:
                yield lines.count(b"\n", 0, begin) - 1, fit


def _pieces(typed: str, count: int) -> Iterator[tuple[int, str]]:
    """Where each piece begins, and the piece."""
    cuts = [len(typed) * n // count for n in range(count + 1)]
    for begin, end in itertools.pairwise(cuts):
        if end > begin:
            yield begin, typed[begin:end]
        if begin < end < len(typed):
            yield begin, typed[begin : end - 1] + typed[end]


def _all(lines: bytes, wanted: bytes) -> Iterator[int]:
    found = lines.find(wanted)
    while found >= 0:
        yield found
        found = lines.find(wanted, found + 1)
