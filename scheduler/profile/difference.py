"""What differs between two texts of a profile, by value: an order or a comment is no difference.

What follows from a name, an id that is written or left out, is none either.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import time
from typing import Any

from scheduler.profile.prepare import NAMED_TABLES
from scheduler.profile.raw_tables import Where, inner, named_tables, same

# Stands for an address, which not everybody who reads a difference may know.
UNTOLD = "…"
_NAMELESS = "–"
_PERSONAL = frozenset({
    ("person", "push"), ("person", "mail"), ("person", "service"), ("person", "telephone"),
    ("mail", "user"), ("mail", "from"), ("forecast", "contact"),
})  # fmt: skip


@dataclass(frozen=True, slots=True)
class Difference:
    """What stood under a key and what stands there, as a keeper writes it; "" for nothing.

    For a thing that came or went as a whole `where` ends at the thing, and it is told by its name,
    or by what its texts say where it has none. Instead of an address `UNTOLD` is told.
    """

    where: Where
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Differing:
    """As a `Difference`, with the raw values; None for nothing.

    The position of an item without an id is that in the text in which it stands: in the older one
    where it stands in both.
    """

    where: Where
    before: Any
    after: Any


def differences(before: str, after: str) -> tuple[Difference, ...]:
    """What differs, in the order of the older text, what came last; addresses are not told.

    Raises:
        tomllib.TOMLDecodeError: one of them is no TOML.
    """
    found = (
        Difference(one.where, _told(one.where, one.before), _told(one.where, one.after))
        for one in differing(before, after)
    )
    return tuple(found)


def differing(before: str, after: str) -> tuple[Differing, ...]:
    """As `differences`, with the values themselves."""
    return tuple(_of_tables((), named_tables(before), named_tables(after)))


def _of_tables(
    where: Where, before: Mapping[str, Any], after: Mapping[str, Any]
) -> Iterator[Differing]:
    for key in dict.fromkeys((*before, *after)):
        here = (*where, key)
        was, now = before.get(key), after.get(key)
        if len(here) == 1 and key in NAMED_TABLES:
            yield from _of_things(here, _tables_in(was), _tables_in(now))
        elif isinstance(was, Mapping) or isinstance(now, Mapping):
            yield from _of_tables(
                here, *(one if isinstance(one, Mapping) else {} for one in (was, now))
            )
        elif _holds_tables(was) or _holds_tables(now):
            yield from _of_items(here, _tables_in(was), _tables_in(now))
        elif was is None or now is None or not same(was, now):
            yield Differing(here, was, now)


def _of_things(
    where: Where, before: Sequence[Mapping[str, Any]], after: Sequence[Mapping[str, Any]]
) -> Iterator[Differing]:
    """Of things with ids; the first one of an id is the thing."""
    were = {str(one.get("id")): one for one in reversed(before)}
    are = {str(one.get("id")): one for one in reversed(after)}
    for thing_id in dict.fromkeys(str(one.get("id")) for one in (*before, *after)):
        was, now = were.get(thing_id), are.get(thing_id)
        here = (*where, thing_id)
        if was is None or now is None:
            yield Differing(here, was, now)
        else:
            yield from _of_tables(here, was, now)


def _of_items(
    where: Where, before: Sequence[Mapping[str, Any]], after: Sequence[Mapping[str, Any]]
) -> Iterator[Differing]:
    """Of items without ids: those that are in both stay apart, the rest is compared in order."""
    left = list(enumerate(after))
    gone = []
    for position, was in enumerate(before):
        twin = next((one for one in left if same(one[1], was)), None)
        if twin:
            left.remove(twin)
        else:
            gone.append((position, was))
    for (position, was), (_, now) in zip(gone, left, strict=False):
        yield from _of_tables((*where, position), was, now)
    for position, was in gone[len(left) :]:
        yield Differing((*where, position), was, None)
    for position, now in left[len(gone) :]:
        yield Differing((*where, position), None, now)


def _is_table(value: object) -> bool:
    return isinstance(value, Mapping)


def _holds_tables(value: object) -> bool:
    return isinstance(value, list) and any(map(_is_table, value))


def _tables_in(value: object) -> list[Mapping[str, Any]]:
    found = value if isinstance(value, list) else [value]
    return [one for one in found if isinstance(one, Mapping)]


def _told(where: Where, value: Any) -> str:  # noqa: ANN401 - TOML gives any type
    if value is None:
        return ""
    if is_personal(where):
        return UNTOLD
    return _written(value)


def is_personal(where: Where) -> bool:
    """Whether an address stands there, or would."""
    return (where[0], where[-1]) in _PERSONAL


def _called(thing: Mapping[str, Any]) -> str:
    """The name of a thing; else what its texts say, as far as it has any."""
    if name := inner(thing, ("name",)):
        return str(name)
    texts = [one for one in thing.values() if isinstance(one, str)]
    return ", ".join(map(_written, texts or thing.values())) or _NAMELESS


def _written(value: Any) -> str:  # noqa: ANN401 - as above
    if isinstance(value, Mapping):
        return _called(value)
    if isinstance(value, list):
        return ", ".join(map(_written, value))
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, time):
        return value.isoformat("minutes")
    if isinstance(value, float):
        return f"{value:g}" if value == float(f"{value:g}") else repr(value)
    return str(value)
