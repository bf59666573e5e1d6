"""Each of the words is said somewhere, with the places that it has."""

import pytest

from tests.wording.used import Use, all_words, uses


@pytest.fixture(scope="module")
def said() -> tuple[Use, ...]:
    return tuple(uses())


def test_each_is_said_with_the_places_that_it_has(said: tuple[Use, ...]) -> None:
    wrong = [
        (use.where, use.words.key, sorted(use.words.places), "given", sorted(use.filled))
        for use in said
        if use.filled is not None
        and (use.words.places - use.filled if use.chosen else use.words.places ^ use.filled)
    ]
    assert wrong == []


def test_none_is_left_that_nothing_says(said: tuple[Use, ...]) -> None:
    assert sorted(all_words().keys() - {use.words.key for use in said}) == []
