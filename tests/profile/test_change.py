"""What is changed in a profile's text, and what is not."""

import tomllib
from collections.abc import Sequence
from datetime import date
from difflib import ndiff
from pathlib import Path
from typing import Any

import pytest

from scheduler.profile.change import Add, Change, Set, Unset, changed
from scheduler.profile.load import Loaded, parse
from scheduler.profile.starter import Answers, starter_text
from scheduler.profile.values import Profile

TODAY = date(2026, 3, 1)
ANNOTATED = (Path(__file__).parents[2] / "config" / "annotated.toml").read_text()
WALNUT = ("coop", "walnut-house")

NAMELESS_IDS = """# Ours.
[site]
name = "Orchard" # by the brook
latitude = 51.5
longitude = -0.1
region = "UK"

# The old house.
[[coop]]
name = "Walnut" # painted green

# The girls.
[[flock]]
name = "Girls"
coop = "walnut"
hens = 12

# The pond house.
[[coop]]
name = "Pond"
[coop.run]
type = "open"

[[flock]]
name = "Ducks"
coop = " POND"
others = 3

[[person]]
name = "Ana"
[duty]
monday = "ana"
"""


def loaded(text: str) -> Profile:
    # A table that is not read yet would be refused, and who locks up is not asked here.
    without_duty = text.partition("[duty]")[0]
    found = parse(without_duty.encode(), file="test.toml", today=TODAY)
    assert isinstance(found, Loaded), "\n".join(map(str, found))
    return found.profile


def tables(text: str) -> dict[str, Any]:
    return tomllib.loads(text)


def changes_of(before: str, after: str) -> list[str]:
    """The lines that went, with a minus, and those that came, with a plus; in order."""
    lines = ndiff(before.splitlines(), after.splitlines())
    return [line for line in lines if line[0] in "+-"]


@pytest.mark.parametrize(
    ("change", "lines"),
    [
        (
            Set((*WALNUT, "floor"), "2.9 m²"),
            ['- floor = "1.6 m x 2.2 m"', '+ floor = "2.9 m²"'],
        ),
        (
            Set((*WALNUT, "latch"), "simple"),
            ['- latch = "two-step"', '+ latch = "simple"'],
        ),
        (
            Set(("site", "elevation"), "50 m"),
            [
                (
                    '- elevation = "48 m" # above sea level; if you leave it out, the mean of the '
                    "land around is used"
                ),
                (
                    '+ elevation = "50 m" # above sea level; if you leave it out, the mean of the '
                    "land around is used"
                ),
            ],
        ),
        (Set((*WALNUT, "slope"), 2), ["+ slope = 2"]),
        (Set((*WALNUT, "vent", 1, "count"), 3), ["- count = 2", "+ count = 3"]),
        (Set((*WALNUT, "vent", 2, "count"), 3), []),
        (Set(("coop", "gone", "floor"), "1 m2"), []),
        (Set(("units",), "uk"), ['- units = "metric" # metric, us or uk',
                                 '+ units = "uk" # metric, us or uk']),
        (Set(("cares", "mite-look", "on"), value=False), ["+ on = false"]),
        (Set(("cares", "worm-count", "on"), value=False),
         ["+ [cares.worm-count]", "+ on = false", "+ "]),
        (Set(("climate", "humidity"), 80), [
            "- humidity = [85, 81, 77, 71, 71, 72, 72, 74, 79, 82, 86, 87] # per cent",
            "+ humidity = 80 # per cent",
        ]),
        (Set(("care", "sharpen-the-spade", "from"), date(2026, 12, 6)), [
            (
                "- from = 2026-12-05 # the job is first due then; without it, Duskfold counts from "
                "the day you add the job"
            ),
            (
                "+ from = 2026-12-06 # the job is first due then; without it, Duskfold counts from "
                "the day you add the job"
            ),
        ]),
        (Unset((*WALNUT, "height")), ['- height = "1.9 m"']),
        (Unset(("coop", "gone")), []),
        (Unset((*WALNUT, "slope")), []),
        (Unset((*WALNUT, "bedding")),
         ["- [coop.bedding]", '- material = "shavings"', '- depth = "10 cm"', "- "]),
        (Add((*WALNUT, "vent"), {"size": "1 m2"}), ["+ [[coop.vent]]", '+ size = "1 m2"', "+ "]),
        (Set((*WALNUT, "floor"), "1.6 m x 2.2 m"), []),
        (Set(("rounds", "lines"), 5), []),
    ],
)  # fmt: skip
def test_nothing_else_than_the_lines_of_the_key_is_changed(
    change: Change, lines: Sequence[str]
) -> None:
    after = changed(ANNOTATED, [change])
    assert sorted(changes_of(ANNOTATED, after)) == sorted(lines)
    loaded(after)


def test_a_thing_goes_with_all_that_is_in_it_and_leaves_every_comment_that_is_not() -> None:
    text = changed(
        ANNOTATED,
        [
            Add(("coop",), {"name": "Elm", "id": "elm", "nests": {"count": 2}}),
            Set(("flock", "the-browns", "coop"), "elm"),
            Unset(WALNUT),
        ],
    )
    profile = loaded(text)
    assert [coop.name for coop in profile.coop] == ["Elm"]
    assert "[coop.run]" not in text
    assert "# Whom to tell; the first person is on duty" in text
    kim = changed(ANNOTATED, [Unset(("person", "kim"))])
    gone = [line for line in ANNOTATED.splitlines() if line not in kim.splitlines()]
    assert len(gone) == 5  # name, id, push, brief, and the role that stands below as a comment


def test_an_emptied_table_goes_and_an_emptied_item_stays() -> None:
    bedding = [Unset((*WALNUT, "bedding", "material")), Unset((*WALNUT, "bedding", "depth"))]
    assert "[coop.bedding]" not in changed(ANNOTATED, bedding)
    feeder = [Unset((*WALNUT, "feeder", 0, key)) for key in ("type", "length", "capacity")]
    assert "[[coop.feeder]]" in changed(ANNOTATED, feeder)


@pytest.mark.parametrize("mark", ["", "\ufeff"])
@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_the_ends_of_lines_and_a_mark_at_the_beginning_stay(newline: str, mark: str) -> None:
    written = mark + ANNOTATED.replace("\n", newline)
    changes: list[Change] = [
        Set((*WALNUT, "slope"), 2),
        Add(("person",), {"name": "Jo", "id": "jo"}),
        Unset(("mail",)),
        Set(("cares", "x", "on"), value=True),
    ]
    plain = changed(ANNOTATED, changes)
    assert changed(written, changes) == mark + plain.replace("\n", newline)


def test_a_text_without_a_last_line_end_gets_one() -> None:
    text = 'units = "metric"\n[web]\nlisten = "127.0.0.1:1" # here'
    assert changed(text, [Set(("web", "base_url"), "https://a.example.org")]) == (
        f'{text}\nbase_url = "https://a.example.org"\n'
    )


@pytest.mark.parametrize(
    ("head", "comes"),
    [
        ("", 'units = "us"\n\n[site]\n'),
        ("# Ours.\n", 'units = "us"\n\n# Ours.\n[site]\n'),
        ("# Ours.\n\n# The place.\n", '# Ours.\n\nunits = "us"\n\n# The place.\n[site]\n'),
    ],
)
def test_the_first_key_of_all_stands_before_the_first_table(head: str, comes: str) -> None:
    text = f'{head}[site]\nname = "A"\n'
    assert changed(text, [Set(("units",), "us")]) == f'{comes}name = "A"\n'


def test_what_is_shown_as_a_comment_in_a_new_profile_stays_and_the_table_is_made() -> None:
    text = starter_text(
        Answers(latitude_deg=51.5, longitude_deg=-0.1, zone_name="Europe/London", person_name="Ana")
    )
    before = loaded(text)
    coop = ("coop", before.coop[0].id)
    after = changed(
        text,
        [
            Set((*coop, "bedding", "depth"), "12 cm"),
            Add((*coop, "drinker"), {"type": "bell", "capacity": "8 L"}),
            Set((*coop, "floor"), "2 m2"),
            Set(("mail",), {"host": "mail.example.net", "from": "hens@example.net"}),
            Set(("forecast", "sources"), []),
            Add(("person",), {"name": "Kim", "id": "kim"}),
        ],
    )
    profile = loaded(after)
    assert profile.coop[0].bedding
    assert profile.coop[0].drinker[0].capacity_l == 8
    assert [person.id for person in profile.person] == ["ana", "kim"]
    assert profile.forecast
    assert not [line for line in changes_of(text, after) if line[0] == "-"]
    comments = [line for line in text.splitlines() if line.startswith("#")]
    assert [line for line in after.splitlines() if line.startswith("#")] == comments


def test_arrays_that_are_spread_stay_where_they_are() -> None:
    after = changed(
        NAMELESS_IDS,
        [
            Set(("coop", "walnut", "nests", "count"), 3),
            Set(("coop", "pond", "run", "mesh"), "13 mm"),
            Add(("flock",), {"name": "New", "coop": "walnut", "hens": 2}),
        ],
    )
    assert changes_of(NAMELESS_IDS, after) == [
        "+ ",
        "+ [coop.nests]",
        "+ count = 3",
        '+ mesh = "13 mm"',
        "+ [[flock]]",
        '+ name = "New"',
        '+ coop = "walnut"',
        "+ hens = 2",
        "+ ",
    ]
    profile = loaded(after)
    nests, run = profile.coop_of("walnut").nests, profile.coop_of("pond").run
    assert nests
    assert nests.count == 3
    assert run
    assert run.mesh_m == 0.013
    gone = changed(NAMELESS_IDS, [Unset(("coop", "walnut")), Unset(("flock", "girls"))])
    headers = [line for line in gone.splitlines() if line.startswith("[")]
    assert headers == [
        "[site]", "[[coop]]", "[coop.run]", "[[flock]]", "[[person]]", "[duty]",
    ]  # fmt: skip


def test_what_is_renamed_stays_the_same_thing_and_is_still_named_by_others() -> None:
    after = changed(
        NAMELESS_IDS,
        [
            Set(("site", "name"), "Meadow"),
            Set(("coop", "walnut", "name"), "Elm"),
            Set(("coop", "pond", "name"), "Lake"),
            Set(("flock", "girls", "name"), "Ladies"),
            Set(("person", "ana", "name"), "Anna"),
        ],
    )
    profile = loaded(after)
    assert (profile.site.id, profile.site.name) == (loaded(NAMELESS_IDS).site.id, "Meadow")
    assert profile.house_names == {"walnut": "Elm", "pond": "Lake"}
    assert [(one.id, one.coop) for one in profile.flock] == [
        ("girls", "walnut"), ("ducks", "pond"),
    ]  # fmt: skip
    assert profile.person_names == {"ana": "Anna"}
    assert tables(after)["duty"] == {"monday": "ana"}
    assert 'name = "Elm" # painted green\nid = "walnut"\n' in after
    assert 'coop = "walnut"' in after  # that was its id, so it stays as it was written


def test_what_named_somebody_by_name_names_them_by_id_once_they_are_called_otherwise() -> None:
    text = NAMELESS_IDS.replace('"Ana"', '"Ana B."').replace('monday = "ana"', 'monday = "ANA  b."')
    after = changed(text, [Set(("person", "ana-b", "name"), "Anna")])
    assert tables(after)["duty"] == {"monday": "ana-b"}


def test_a_flock_of_the_only_house_stays_in_it_when_another_comes() -> None:
    text = NAMELESS_IDS.partition("# The pond house.")[0].replace('coop = "walnut"\n', "")
    after = changed(
        text,
        [
            Add(("coop",), {"name": "Elm", "id": "elm"}),
            Add(("flock",), {"name": "New", "id": "new", "coop": "elm", "hens": 1}),
        ],
    )
    assert [flock.coop for flock in loaded(after).flock] == ["walnut", "elm"]


def test_a_house_that_is_named_by_its_place_is_found_once_it_has_a_name_in_latin_letters() -> None:
    text = NAMELESS_IDS.replace('"Walnut"', '"鸡舍"').replace('coop = "walnut"', 'coop = "coop-1"')
    before = loaded(text)
    after = changed(text, [Set(("coop", before.coop[0].id, "name"), "Walnut")])
    assert loaded(after).flock[0].coop == before.coop[0].id


def test_a_new_id_is_followed_by_the_flocks_of_the_house() -> None:
    after = changed(NAMELESS_IDS, [Set(("coop", "pond", "id"), "lake")])
    assert [flock.coop for flock in loaded(after).flock] == ["walnut", "lake"]


INLINE = """
coop = [
  { name = "Walnut", run = { type = "open" }, vent = [{ size = "1 m2" }] }, # the old one
  { name = "Pond" }, # the new one
]
site.name = "Orchard"
site.latitude = 51.5 # north
site.longitude = -0.1
flock = [{ name = "Girls", coop = "Walnut", hens = 3 }, # brown
  { name = "Ducks", coop = "Pond", others = 1 }]
cares.mite-look.minutes = 8
"""


@pytest.mark.parametrize(
    ("change", "line"),
    [
        (Set(("coop", "walnut", "run", "type"), "secure"), 'run = { type = "secure" }, vent'),
        (Set(("coop", "pond", "floor"), "2 m2"), '{ name = "Pond", floor = "2 m2" }, # the new'),
        (Set(("site", "region"), "UK"), 'site.longitude = -0.1\nsite.region = "UK"\n'),
        (Set(("site", "latitude"), 51), "site.latitude = 51 # north"),
        (Set(("cares", "mite-look", "on"), value=False), "8\ncares.mite-look.on = false\n"),
        (Set(("cares", "worm-count", "on"), value=False), "8\ncares.worm-count.on = false\n"),
        (Unset(("coop", "walnut", "run", "type")), '{ name = "Walnut", vent = ['),
        (Unset(("cares", "mite-look", "minutes")), "others = 1 }]\n"),
        (Set(("coop", "pond", "nests", "count"), 2), "nests = {count = 2}"),
        (Add(("coop", "walnut", "vent"), {"size": "2 m2"}), '{ size = "2 m2" }]'),
        (Add(("coop", "pond", "vent"), {"size": "2 m2"}), "the new one"),
        (Set(("coop", "pond", "name"), "Lake"), "# the old one"),
    ],
)
def test_a_profile_in_braces_and_with_dots_is_changed_where_it_is_written(
    change: Change, line: str
) -> None:
    after = changed(INLINE, [change])
    assert line.replace(" ", "") in after.replace(" ", "")
    assert after != INLINE
    assert "# the old one\n" in after
    assert "[coop" not in after
    loaded(after)


def test_the_last_item_of_a_list_in_brackets_takes_the_key_along() -> None:
    text = 'person = [{ name = "Ana" }]\nunits = "us"\n'
    assert changed(text, [Unset(("person", "ana"))]) == 'units = "us"\n'


def test_what_a_value_says_is_no_table_and_no_comment() -> None:
    text = '''a = """
[b] # no
c = 1
""" # yes
[ "d" . 'e f' ]
g = [ # one
  "]", # two
]
h = '#'
'''
    after = changed(text, [Set(("d", "e f", "i"), 'a "b"\n'), Set(("d", "e f", "h"), "x")])
    assert after == text.replace("h = '#'", 'h = "x"') + 'i = "a \\"b\\"\\n"\n'


def test_nothing_is_lost_in_adding_a_thing_and_taking_it_away_again() -> None:
    for kind in ("coop", "flock", "person", "care", "sensor"):
        added = changed(ANNOTATED, [Add((kind,), {"name": "Other", "id": "other"})])
        assert added != ANNOTATED
        kept = changed(added, [Unset((kind, "other"))])
        kept = changed(kept, [Unset(("flock", "the-browns", "coop"))])
        assert kept == ANNOTATED
