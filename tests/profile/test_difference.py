"""What is told of two texts of a profile."""

from pathlib import Path

import pytest

from scheduler.profile.change import Add, Change, Set, Unset, changed
from scheduler.profile.difference import UNTOLD, Difference, differences, differing

CONFIG = Path(__file__).parents[2] / "config"
ANNOTATED = (CONFIG / "annotated.toml").read_text()
WALNUT = ("coop", "walnut-house")
NAMED = """[site]
name = "Orchard"
[[coop]]
name = "Walnut"
[[coop]]
name = "Pond"
vent = [{ size = "1 m2" }, { size = "2 m2" }]
[[flock]]
name = "Girls"
coop = "Walnut"
"""


@pytest.mark.parametrize(
    ("change", "before", "after"),
    [
        (Set((*WALNUT, "floor"), "2.9 m²"), "1.6 m x 2.2 m", "2.9 m²"),
        (Set((*WALNUT, "slope"), 2), "", "2"),
        (Set((*WALNUT, "slope"), 2.5), "", "2.5"),
        (Set((*WALNUT, "light", "programme"), value=True), "false", "true"),
        (Unset((*WALNUT, "perches", "width")), "5 cm", ""),
        (Set((*WALNUT, "vent", 1, "count"), 3), "2", "3"),
        (Set(("reminders", "everybody"), ["5 min"]), "10 min, 25 min, 40 min", "5 min"),
        (Set(("coop", "walnut-house", "name"), "Elm"), "Walnut House", "Elm"),
        (Set(("units",), "uk"), "metric", "uk"),
        (Set(("person", "kim", "push"), "https://a.example.org/b"), UNTOLD, UNTOLD),
        (Unset(("person", "robin", "mail")), UNTOLD, ""),
        (Set(("person", "kim", "service"), "pager"), "", UNTOLD),
        (Set(("mail", "from"), "a@example.org"), UNTOLD, UNTOLD),
        (Set(("mail", "user"), "a@example.org"), UNTOLD, UNTOLD),
        (Set(("forecast", "contact"), "a@example.org"), "", UNTOLD),
    ],
)
def test_a_key_is_told_with_what_stood_there_and_what_stands_there(
    change: Change, before: str, after: str
) -> None:
    found = differences(ANNOTATED, changed(ANNOTATED, [change]))
    assert found == (Difference(change.where, before, after),)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (Unset(("person", "kim")), Difference(("person", "kim"), "Kim", "")),
        (Add(("person",), {"name": "Jo", "id": "jo", "push": "https://a.example.org/b"}),
         Difference(("person", "jo"), "", "Jo")),
        (Unset((*WALNUT, "vent", 0)),
         Difference((*WALNUT, "vent", 0), "15 cm x 60 cm, high, 1.7 m", "")),
        (Add((*WALNUT, "vent"), {"size": "1 m2"}), Difference((*WALNUT, "vent", 2), "", "1 m2")),
        (Set(("cares", "worm-count"), {"on": False}),
         Difference(("cares", "worm-count", "on"), "", "false")),
    ],
)  # fmt: skip
def test_a_whole_thing_that_came_or_went_is_told_once(change: Change, told: Difference) -> None:
    assert differences(ANNOTATED, changed(ANNOTATED, [change])) == (told,)


def test_of_a_table_that_came_or_went_each_key_is_told() -> None:
    gone = changed(ANNOTATED, [Unset((*WALNUT, "bedding"))])
    assert differences(ANNOTATED, gone) == (
        Difference((*WALNUT, "bedding", "material"), "shavings", ""),
        Difference((*WALNUT, "bedding", "depth"), "10 cm", ""),
    )


@pytest.mark.parametrize(
    ("right", "other"),
    [
        ('[site]\nname = "Orchard"\n', '# Ours.\n[site]\nname = "Orchard" # it is\n'),
        ('name = "Walnut"', 'name = "Walnut"\nid = "walnut"'),
        ('coop = "Walnut"', 'coop = "walnut"'),
        ('{ size = "1 m2" }, { size = "2 m2" }', '{ size = "2 m2" }, { size = "1 m2" }'),
        ('[[coop]]\nname = "Walnut"\n[[coop]]', "[[coop]]"),
    ],
)  # fmt: skip
def test_an_order_a_comment_or_an_id_that_follows_from_the_name_is_no_difference(
    right: str, other: str
) -> None:
    text = NAMED.replace(right, other)
    assert text != NAMED
    if other == "[[coop]]":
        text += '[[coop]]\nname = "Walnut"\n'
    assert differences(NAMED, text) == differences(text, NAMED) == ()


def test_a_renamed_thing_without_a_written_id_is_told_by_its_name_alone() -> None:
    text = changed(NAMED, [Set(("coop", "walnut", "name"), "Elm")])
    assert differences(NAMED, text) == (Difference(("coop", "walnut", "name"), "Walnut", "Elm"),)


def test_true_one_and_one_point_nought_are_three_values() -> None:
    texts = ["[site]\nx = true", "[site]\nx = 1", "[site]\nx = 1.0"]
    assert all(differing(one, other) for one in texts for other in texts if one != other)
