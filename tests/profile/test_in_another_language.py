"""What is wrong with a profile does not depend on the language in which it is told."""

from collections.abc import Iterator
from datetime import date

import pytest

from scheduler.profile.explain import counts_birds
from scheduler.profile.load import Loaded, parse
from scheduler.profile.problem import Problem
from scheduler.profile.starter import Answers, starter_text
from scheduler.wording.words import ENGLISH, Language, speak
from tests.wording.marked import OPEN, SHUT, marked
from tests.wording.used import all_words

TODAY = date(2026, 3, 1)

PLAIN = """[site]
name = "Orchard"
latitude = 51.5
longitude = -0.1
region = "UK"

[[coop]]
name = "Walnut"

[[flock]]
name = "Girls"
hens = 12
"""


@pytest.fixture(autouse=True)
def _english_again() -> Iterator[None]:
    yield
    speak(ENGLISH)


def problems(text: str) -> tuple[Problem, ...]:
    found = parse(text.encode(), file="farm.toml", today=TODAY)
    assert not isinstance(found, Loaded)
    return found


def wordless() -> Language:
    """A language that says nothing but what stands in the places."""
    patterns = {
        key: " ".join(f"{{{place}}}" for place in sorted(words.places))
        for key, words in all_words().items()
    }
    return Language("x-wordless", patterns)


def bare(text: str) -> str:
    return text.replace(OPEN, "").replace(SHUT, "")


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        ("hens = 12", "chickens = 12"),  # hens are meant, so nothing is said of 0 birds
        ("hens = 12", "hems = 12"),
        ("hens = 12", "colour = 12"),
        ("hens = 12", 'hens = 12\nkind = "mediun"'),  # the nearest word, not what kind is
        ("hens = 12", 'hens = 12\nkind = "leghorn"'),
        ("51.5", '"51.5 W"'),
        ("51.5", "[51.5, -0.1]"),
        ('name = "Walnut"', 'name = "Walnut"\ntype = "shed"\n[coop.bedding]\ndepth = "900 m"'),
        ("[[coop]]", "[coop]"),
        ('name = "Girls"', 'name: "Girls"'),
        ("[[flock]]", '[mail]\nhost = "a b"\npassword = "hunter2222"\n[[flock]]'),
        (PLAIN, ""),
    ],
)
def test_the_same_is_wrong_in_every_language(right: str, wrong: str) -> None:
    text = PLAIN.replace(right, wrong)
    in_english = list(map(str, problems(text)))
    speak(marked())
    in_marks = list(map(str, problems(text)))
    assert [bare(one) for one in in_marks] == in_english
    assert all(OPEN in one for one in in_marks)


def test_the_nearest_word_is_said_before_what_the_key_is_in_every_language() -> None:
    speak(wordless())
    text = PLAIN.replace("hens = 12", 'hens = 12\nkind = "mediun"')
    assert [problem.hint for problem in problems(text)] == ["medium"]


@pytest.mark.parametrize(
    ("written", "counts"),
    [("hens", True), ("ducks", True), ("yung", True), ("breed", False), ("colour", False)],
)
def test_what_counts_birds_is_known_without_words(written: str, counts: bool) -> None:
    for language in (ENGLISH, wordless()):
        speak(language)
        assert counts_birds(("flock", 0, written)) is counts


def test_a_new_profile_can_be_read_though_a_comment_has_several_lines() -> None:
    answers = Answers(
        latitude_deg=51.5,
        longitude_deg=-0.1,
        zone_name="Europe/London",
        person_name="Ana",
        mail="ana@example.org",
    )
    speak(Language("x-lines", dict.fromkeys(("CoopKeys.door", "StarterComments.mail"), "one\ntwo")))
    new = starter_text(answers)
    assert new.count("# one two\n") == 2
    assert isinstance(parse(new.encode(), file="new.toml", today=TODAY), Loaded)
