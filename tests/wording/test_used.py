"""Each of the words is said somewhere, with the places that it has."""

from tests.wording.used import all_words, uses

USES = tuple(uses())


def test_each_is_said_with_the_places_that_it_has() -> None:
    wrong = [
        (use.where, use.words.key, sorted(use.words.places), "given", sorted(use.filled))
        for use in USES
        if use.filled is not None
        and (use.words.places - use.filled if use.chosen else use.words.places ^ use.filled)
    ]
    assert wrong == []


def test_none_is_left_that_nothing_says() -> None:
    assert sorted(all_words().keys() - {use.words.key for use in USES}) == []
