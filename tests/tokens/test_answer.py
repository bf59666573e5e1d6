"""The answer of a button: only ours is taken, only whole, only for whom and when it was made."""

from dataclasses import replace
from datetime import date
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.tokens.answer import SignedAnswer, Verb, read_answer
from scheduler.tokens.derived import Purpose, same, token

KEY = b"k" * 32
VERBS: tuple[Verb, ...] = get_args(Verb)
ANSWER = SignedAnswer(
    verb="all-in",
    site_id="orchard",
    day=date(2026, 12, 21),
    subject_id="walnut",
    opening=0,
    person_id="ana",
)
slugs = st.from_regex(r"[a-z0-9]{1,13}(-[a-z0-9]{1,12}){0,2}", fullmatch=True)
answers = st.builds(
    SignedAnswer,
    verb=st.sampled_from(VERBS),
    site_id=slugs,
    day=st.dates(),
    subject_id=slugs,
    opening=st.integers(0, 9999),
    person_id=slugs,
    generation=st.integers(0, 9999),
    birds=st.none() | st.lists(st.integers(0, 99_999), min_size=1, max_size=12).map(tuple),
)


@given(answers)
def test_what_was_said_comes_back(answer: SignedAnswer) -> None:
    text = answer.text(KEY)
    assert read_answer(text, KEY) == answer
    assert text.isprintable()
    assert len(text) < 300


def test_the_form() -> None:
    assert ANSWER.text(KEY) == (
        f"duskfold all-in orchard 2026-12-21 walnut 0 ana {ANSWER.token(KEY)}"
    )
    assert read_answer(f"  {ANSWER.text(KEY)}\n", KEY) == ANSWER
    numbered = replace(ANSWER, birds=(12, 8))
    assert numbered.text(KEY) == (
        f"duskfold all-in=12.8 orchard 2026-12-21 walnut 0 ana {numbered.token(KEY)}"
    )


def test_every_change_of_a_character_is_refused() -> None:
    text = ANSWER.text(KEY)
    for place, was in enumerate(text):
        for other in "aZ09-_ |\n\x00é":
            if other != was:
                changed = text[:place] + other + text[place + 1 :]
                # Blanks around an answer are no part of it: none of these is such a one.
                assert read_answer(changed, KEY) is None, changed
        assert read_answer(text[:place] + text[place + 1 :], KEY) is None
        assert read_answer(text[:place] + was + text[place:], KEY) is None


@pytest.mark.parametrize("spelling", ["012", "12.", ".12", "12.08", ""])
def test_a_number_has_one_spelling(spelling: str) -> None:
    text = replace(ANSWER, birds=(12,)).text(KEY)
    assert read_answer(text.replace("=12 ", f"={spelling} "), KEY) is None


@pytest.mark.parametrize("spelling", ["٠", "00"])
def test_an_answer_has_one_spelling(spelling: str) -> None:
    assert read_answer(ANSWER.text(KEY).replace(" 0 ", f" {spelling} "), KEY) is None


@pytest.mark.parametrize(
    "other",
    [
        replace(ANSWER, verb="not-counted"),
        replace(ANSWER, site_id="hill"),
        replace(ANSWER, day=date(2026, 12, 22)),
        replace(ANSWER, subject_id="hazel"),
        replace(ANSWER, opening=1),
        replace(ANSWER, person_id="ben"),
        replace(ANSWER, birds=(12,)),
    ],
)
def test_a_token_is_for_one_answer(other: SignedAnswer) -> None:
    text = other.text(KEY)
    assert read_answer(text, KEY) == other
    assert read_answer(text.replace(other.token(KEY), ANSWER.token(KEY)), KEY) is None


def test_another_key_signs_nothing_of_ours() -> None:
    assert read_answer(ANSWER.text(b"l" * 32), KEY) is None


@pytest.mark.parametrize("text", ["", "duskfold", "hello", "duskfold all-in", "x" * 10_000])
def test_anything_else_is_no_answer(text: str) -> None:
    assert read_answer(text, KEY) is None


def test_a_day_that_never_was_is_no_answer() -> None:
    assert read_answer(ANSWER.text(KEY).replace("12-21", "02-30"), KEY) is None


@given(st.binary(min_size=32, max_size=64), st.text(max_size=40), st.integers(0, 10**6))
def test_a_token_has_43_characters(key: bytes, subject: str, generation: int) -> None:
    made = token(key, "answer", site_id="s", subject=subject, generation=generation)
    assert len(made) == 43
    assert set(made) <= set("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_")


def test_a_token_for_one_purpose_is_none_for_another() -> None:
    purposes: tuple[Purpose, ...] = get_args(Purpose)
    assert len({token(KEY, purpose, site_id="s") for purpose in purposes}) == len(purposes)
    assert same("a", "a")
    assert not same("a", "b")
    assert not same("é", "e")
