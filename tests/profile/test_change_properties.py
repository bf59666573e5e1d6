"""Whatever is changed in a profile's text: it loads to what was written, and the rest stays."""

import tomllib
from collections import Counter
from collections.abc import Mapping, Sequence
from copy import deepcopy
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.profile.change import Add, Change, Set, Unset, changed
from scheduler.profile.difference import Differing, differences, differing
from scheduler.profile.load import Loaded, parse
from scheduler.profile.prepare import NAMED_TABLES
from scheduler.profile.raw_tables import Where, inner, named_tables, path_of, same
from scheduler.profile.starter import Answers, starter_text
from tests.profile.test_change import INLINE, NAMELESS_IDS
from tests.unhurried import UNHURRIED, unhurried

TODAY = date(2027, 1, 1)
CONFIG = Path(__file__).parents[2] / "config"
STARTER = starter_text(
    Answers(latitude_deg=51.5, longitude_deg=-0.1, zone_name="Europe/London", person_name="Ana")
)
TEXTS = {path.stem: path.read_text() for path in sorted(CONFIG.glob("*.toml"))}
TEXTS |= {"spread": NAMELESS_IDS.partition("[duty]")[0], "braces": INLINE, "starter": STARTER}
TEXTS |= {
    "returns": TEXTS["annotated"].replace("\n", "\r\n"),
    "marked": "\ufeff" + TEXTS["braces"],
}
LITTLE = ("spread", "marked", "starter")
REST = tuple(pytest.param(one, marks=unhurried) for one in TEXTS if one not in LITTLE)
SOME = (*LITTLE, "annotated", *(one for one in REST if one.values != ("annotated",)))
LENGTHS = ("1 m", "20 cm", "3 ft 2 in", "90 mm")
# Keys that may be set to any of these without a word against them, whatever else stands there.
OF_A_COOP: Mapping[Where, Sequence[Any]] = {
    ("floor",): ("2 m2", "4 ft x 8 ft"), ("height",): LENGTHS, ("slope",): (0, 3, 2.5),
    ("door",): ("manual", "automatic"), ("latch",): ("simple", "two-step"),
    ("ranging",): ("run only", "all day"), ("run", "type"): ("open", "secure"),
    ("run", "mesh"): LENGTHS, ("perches", "length"): LENGTHS, ("nests", "count"): (1, 4),
    ("bedding", "depth"): LENGTHS, ("light", "programme"): (True, False),
    ("letout", "basis"): ("sunrise", "civil dawn"), ("lockup", "cap"): ("22:00", "none"),
    ("vent", 0, "count"): (1, 2), ("drinker", 1, "heated"): (True,),
}  # fmt: skip
OF_THE_SITE: Mapping[Where, Sequence[Any]] = {
    ("units",): ("metric", "us", "uk"), ("site", "elevation"): ("10 m", "300 ft"),
    ("site", "west_horizon"): (0, 4.5, "7°"), ("site", "name"): ("Meadow", 'Ångermanland "x" # y'),
    ("reminders", "bedtime"): ("21:00", "10:30 pm"),
    ("reminders", "everybody"): (["5 min"], ["1 h"]),
    ("rounds", "keen"): (True, False), ("web", "base_url"): ("https://a.example.org",),
    ("cares", "mite-look", "on"): (True, False), ("cares", "worm-count", "minutes"): (1, 60),
    ("cares", "feed", "text"): ("Feed = [them] # 'all'", "a\\b"),
}  # fmt: skip
KEYS = list(OF_A_COOP)
NAMES = st.sampled_from(("Elm", "Walnut 2", "鸡", 'O\'Hara "the" [x]'))


def changes_of(text: str) -> st.SearchStrategy[Change]:
    """Changes that leave any profile of these one that loads."""
    named = named_tables(text)
    coops = st.sampled_from([one["id"] for one in named["coop"]])
    things = [(kind, one["id"]) for kind in NAMED_TABLES[:3] for one in named.get(kind, [])]
    new_id = st.integers(0, 99).map(lambda number: f"x-{number}-{len(text)}")
    counts = st.integers(1, 9)
    return st.one_of(
        st.builds(_set_in, coops, st.sampled_from(values_of(OF_A_COOP))),
        st.builds(lambda coop, key: Unset(("coop", coop, *key)), coops, st.sampled_from(KEYS)),
        st.sampled_from(values_of(OF_THE_SITE)).map(lambda pair: Set(*pair)),
        st.builds(lambda at, name: Set((*at, "name"), name), st.sampled_from(things), NAMES),
        st.builds(lambda one: Add(("person",), {"name": "P", "id": one}), new_id),
        st.builds(lambda one: Add(("care",), {"name": "O", "id": one, "every": "9 d"}), new_id),
        st.builds(
            lambda coop, count: Add(("coop", coop, "vent"), {"size": "200 cm2", "count": count}),
            coops,
            counts,
        ),
        st.builds(
            lambda coop, count: Set(("coop", coop, "nests"), {"count": count, "place": "light"}),
            coops,
            counts,
        ),
    )


def _set_in(coop: str, pair: tuple[Where, Any]) -> Set:
    return Set(("coop", coop, *pair[0]), pair[1])


def values_of(table: Mapping[Where, Sequence[Any]]) -> list[tuple[Where, Any]]:
    return [(key, value) for key, values in table.items() for value in values]


def loads(text: str) -> Loaded:
    found = parse(text.encode(), file="test.toml", today=TODAY)
    assert isinstance(found, Loaded), "\n".join(map(str, found))
    return found


def comments(text: str) -> list[str]:
    """The lines that are nothing but a comment."""
    return [line.strip() for line in text.splitlines() if line.lstrip("\ufeff ").startswith("#")]


def is_within(some: Sequence[str], all_of: Sequence[str]) -> bool:
    """Whether the first are there in the second in the same order."""
    rest = iter(all_of)
    return all(one in rest for one in some)


@pytest.mark.parametrize("which", SOME)
@settings(max_examples=25 if UNHURRIED else 6)
@given(data=st.data())
def test_what_was_written_is_there_and_all_else_as_it_was(which: str, data: st.DataObject) -> None:
    text = TEXTS[which]
    for _ in range(3):
        change = data.draw(changes_of(text))
        after = changed(text, [change])
        loads(after)
        there = named_tables(after)
        path = path_of(change.where, there)
        assert path is not None
        if isinstance(change, Set) and inner(there, path[:-1]) is not None:
            found = inner(there, path)
            assert same(found, change.value) or isinstance(change.where[-2], int)
        elif isinstance(change, Unset):
            assert inner(there, path) is None
        elif isinstance(change, Add):
            assert any(same({**one, **change.values}, one) for one in inner(there, path))
        told = {one.where[: len(change.where)] for one in differing(text, after)}
        assert told <= {change.where, (*change.where[:-1], "id")}
        assert is_within(comments(text), comments(after))
        assert ("\r\n" in text) == ("\r\n" in after)
        text = after


@pytest.mark.parametrize("which", SOME)
@settings(max_examples=25 if UNHURRIED else 6)
@given(data=st.data())
def test_changes_and_their_undoing_leave_every_untouched_line(
    which: str, data: st.DataObject
) -> None:
    text = TEXTS[which]
    now, undoing, touched = text, [], Counter[str]()
    for _ in range(data.draw(st.integers(1, 5))):
        change = data.draw(changes_of(now))
        if isinstance(change, Set) and change.where[-1] in {"name", "nests"}:
            continue  # a name's undoing leaves the id that was written
        undoing.append(undone(change, now))
        before, now = now, changed(now, [change])
        touched |= Counter(before.splitlines()) - Counter(now.splitlines())
    back = changed(now, reversed([one for one in undoing if one]))
    assert differences(text, back) == ()
    kept = [line for line in text.splitlines() if line.strip() and line not in touched]
    assert is_within(kept, back.splitlines())
    assert is_within(comments(text), comments(back))


def undone(change: Change, before: str) -> Change | None:
    """What takes the change back."""
    named = named_tables(before)
    path = path_of(change.where, named)
    assert path is not None
    there = inner(tomllib.loads(before.removeprefix("\ufeff")), path)
    if isinstance(change, Add):
        position: str | int = change.values.get("id") or len(there or ())  # type: ignore[assignment] # an id
        return Unset((*change.where, position))
    if there is None:
        return Unset(change.where)
    return Set(change.where, there)


@pytest.mark.parametrize("which", [*LITTLE, *REST])
def test_every_thing_and_every_key_of_a_profile_can_be_left_out(which: str) -> None:
    """Whatever is left out, the text stays TOML and the rest of its values stay."""
    text = TEXTS[which]
    named = named_tables(text)
    for where in [*addresses(named)]:
        after = changed(text, [Unset(where)])
        path = path_of(where, named)
        assert path is not None
        if inner(tomllib.loads(text.removeprefix("\ufeff")), path) is None:
            continue  # it follows from something else
        gone = {one.where for one in differing(text, after)}
        ends = [*where] if not isinstance(where[-1], int) else [*where[:-1]]
        assert all([*one[: len(ends)]] == ends or follows(one) for one in gone), (where, gone)


def follows(where: Where) -> bool:
    """Whether what stands there follows from other things: a house from there being but one."""
    return where[-1] == "coop" or len(where) == 2


def addresses(value: Any, where: Where = ()) -> list[Where]:
    if isinstance(value, dict):
        inside = [one for key, part in value.items() for one in addresses(part, (*where, key))]
    elif isinstance(value, list) and value and isinstance(value[0], dict):
        named = len(where) == 1 and where[0] in NAMED_TABLES
        parts = [(one["id"] if named else number, one) for number, one in enumerate(value)]
        inside = [one for part, inner_ in parts for one in addresses(inner_, (*where, part))]
    else:
        inside = []
    return [where, *inside] if where else inside


@pytest.mark.parametrize("which", TEXTS)
def test_nothing_differs_from_itself(which: str) -> None:
    assert differences(TEXTS[which], TEXTS[which]) == ()


@pytest.mark.parametrize("which", TEXTS)
@pytest.mark.parametrize("other", TEXTS)
def test_what_differs_is_all_that_differs(which: str, other: str) -> None:
    """Done to the tables of one text it gives those of the other; and so does the way back."""
    before, after = TEXTS[which], TEXTS[other]
    found = differing(before, after)
    assert comparable(applied(named_tables(before), found)) == comparable(named_tables(after))
    assert len(differing(after, before)) == len(found)


def applied(tables: dict[str, Any], found: Sequence[Differing]) -> dict[str, Any]:
    tables = deepcopy(tables)
    gone: list[tuple[list[Any], Any]] = []
    for one in found:
        path = list(one.where)
        holder: Any = tables
        for number, part in enumerate(path[:-1]):
            if isinstance(holder, list):
                holder = thing(holder, part)
            else:
                is_array = isinstance(path[number + 1], int) or part in NAMED_TABLES
                holder = holder.setdefault(part, [] if is_array and not number % 2 else {})
        if isinstance(holder, list):
            if one.before is not None:
                gone.append((holder, thing(holder, path[-1])))
            if one.after is not None:
                gone.append((holder, None))
                holder.append(one.after)
        elif one.after is None:
            del holder[path[-1]]
        else:
            holder[path[-1]] = one.after
    for array, item in gone:
        if item is not None:
            array[:] = [one for one in array if one is not item]
    return tables


def thing(array: list[Any], part: str | int) -> Any:
    if isinstance(part, int):
        return array[part]
    return next(one for one in array if one.get("id") == part)


def comparable(value: Any) -> Any:
    """The tables without an order of things, and without empty ones."""
    if isinstance(value, dict):
        arrays = (*NAMED_TABLES, "vent", "drinker", "feeder")
        there = {key: one for key, one in value.items() if one or key not in arrays}
        parts = {key: comparable(one) for key, one in there.items()}
        return {key: one for key, one in parts.items() if one != {}}
    if isinstance(value, list) and any(isinstance(one, dict) for one in value):
        return sorted(repr(sorted(comparable(one).items())) for one in value)
    return repr(value)
