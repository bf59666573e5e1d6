"""Names with a slip of the finger."""

import random
from string import ascii_lowercase

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from scheduler.places.folded import folded
from scheduler.places.place import Place
from scheduler.places.slips import Fit, near_lines, one_slip, two_slips
from tests.places.drawn import drawn, world
from tests.unhurried import unhurried

SLIPS = ("missing", "doubled", "swapped", "wrong")
words = st.text("abc ", min_size=1, max_size=9)


def slipped(name: str, slip: str, at: int, letter: str) -> str:
    """The name with that slip at that letter."""
    if slip == "missing":
        return name[:at] + name[at + 1 :]
    if slip == "doubled":
        return name[:at] + name[at] + name[at:]
    if slip == "wrong":
        return name[:at] + letter + name[at + 1 :]
    return name[:at] + name[at : at + 2][::-1] + name[at + 2 :]


@given(drawn(), st.sampled_from(SLIPS), st.integers(0, 99), st.sampled_from(ascii_lowercase))
def test_a_name_with_any_slip_is_offered(place: Place, slip: str, letter: int, other: str) -> None:
    name = folded(place.name)
    assume(len(name) >= 5)
    typed = slipped(name, slip, letter % len(name), other)
    assume(len(typed.split()) == len(name.split()))  # a space is no letter
    assert name in {folded(found.name) for found in world().like(typed, 250)}


@unhurried
def test_most_names_with_a_slip_are_among_the_first_five() -> None:
    draw = random.Random(20261130)  # noqa: S311 - a sample, the same each time
    tried = missed = 0
    while tried < 400:
        place = world()[draw.randrange(len(world()))]
        name = folded(place.name)
        if len(name) < 5 or place.people < 500:
            continue
        typed = slipped(name, draw.choice(SLIPS), draw.randrange(len(name)), draw.choice("aeiost"))
        tried += 1
        missed += name not in {folded(found.name) for found in world().like(typed)}
    print(f"{missed} of {tried} were not among the first five")
    assert missed <= tried * 0.1


@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        ("lewws", "Lewes, England, United Kingdom"),
        ("lwes", "Lewes, England, United Kingdom"),
        ("lewse uk", "Lewes, England, United Kingdom"),
        ("lewse, delaware", "Lewes, Delaware, United States"),
        ("springfeild, il", "Springfield, Illinois, United States"),
        ("birmingam", "Birmingham, England, United Kingdom"),
        ("edinburg", "Edinburgh, Scotland, United Kingdom"),
        ("zuerich", "Zürich, Zurich, Switzerland"),
        ("glostershire", "Gloucester, England, United Kingdom"),
        ("мосвка", "Moscow, Russia"),
    ],
)
def test_slips_that_people_make(typed: str, offered: str) -> None:
    assert offered in map(str, world().like(typed))


def test_a_name_that_is_like_none_offers_those_with_its_first_letters() -> None:
    found = world().like("lewesqqqqqqqqq")
    assert {place.name for place in found} == {"Lewes"}


def distance(a: str, b: str) -> int:
    """How many slips lie between them, by the definition (optimal string alignment)."""
    rows: list[list[int]] = [[*range(len(b) + 1)]]
    for i in range(1, len(a) + 1):
        rows.append([i, *[0] * len(b)])
        for j in range(1, len(b) + 1):
            ways = [
                rows[i - 1][j] + 1,
                rows[i][j - 1] + 1,
                rows[i - 1][j - 1] + (a[i - 1] != b[j - 1]),
            ]
            if i > 1 and j > 1 and a[i - 1] == b[j - 2] and a[i - 2] == b[j - 1]:
                ways.append(rows[i - 2][j - 2] + 1)
            rows[i][j] = min(ways)
    return rows[-1][-1]


@given(words, words)
def test_slips_are_those_of_the_definition(typed: str, key: str) -> None:
    apart = distance(typed, key)
    assert (one_slip(typed, key) in {Fit.EQUAL, Fit.ONE_SLIP}) == (apart <= 1)
    assert (one_slip(typed, key) is Fit.EQUAL) == (typed == key)
    assert (two_slips(typed, key) is Fit.TWO_SLIPS) == (apart <= 2)


@given(st.lists(st.text("abcдж東", min_size=1, max_size=7), min_size=1, max_size=30), st.data())
def test_no_line_within_the_slips_is_overlooked(keys: list[str], data: st.DataObject) -> None:
    slips = data.draw(st.sampled_from((1, 2)))
    typed = data.draw(st.text("abcдж東", min_size=slips + 1, max_size=7))
    lines = b"\n" + "\n".join(keys).encode() + b"\n"
    judge = one_slip if slips == 1 else two_slips
    found = {line for line, fit in near_lines(lines, typed, slips, judge) if fit is not Fit.BEGINS}
    assert found == {at for at, key in enumerate(keys) if distance(typed, key) <= slips}
