"""The search for birds that are missing: who is told, when, by which ways, and in whose words."""

from dataclasses import replace
from datetime import timedelta

import pytest

from scheduler.alerts.delivery import LOUD, USUAL, Priority
from scheduler.alerts.evening_so_far import Row
from scheduler.alerts.search import by_other_ways, search
from scheduler.alerts.step import decode
from tests.alerts.orchard import MINUTE, Ledger, at, ledger, said

SECOND = timedelta(seconds=1)


def short(clock: str = "15:30", who: str = "Ben") -> Ledger:
    """An evening on which somebody counted eleven of twelve before any reminder."""
    evening = ledger()
    evening.say(said(clock=clock, count=11, who=who))
    return evening


def told(evening: Ledger, clock: str) -> list[str]:
    now = at(clock)
    return [f"{o.key.step} {o.key.person_id} {o.state}" for o in search(evening.night(), now)]


def test_each_word_of_a_search_is_due_at_its_instant() -> None:
    evening = short()
    assert told(evening, "15:29:59") == []
    assert told(evening, "15:30") == ["search-first ana pending", "search-first ben pending"]
    assert told(evening, "15:49:59")[0] == "search-first ana pending"
    assert told(evening, "15:50")[0] == "search-second-look ana pending"


def test_whoever_counted_is_told_and_so_is_whoever_was_told_of_it_before() -> None:
    evening = short()
    assert "search-first ben push" in evening.sent(at("15:30"))
    evening.say(said("found", "15:40", who="Ana"))
    evening.tick(at("15:40"))
    evening.say(said(clock="15:50", count=10, who="Ana"))
    assert "search-first-2 ben pending" in told(evening, "15:50")


def test_what_was_told_is_not_told_again() -> None:
    evening = short()
    evening.tick(at("15:30"))
    assert told(evening, "15:31") == []


def test_what_waits_goes_out_in_the_words_of_now() -> None:
    evening = short()
    evening.tick(at("15:30"), send=False)
    evening.say(replace(said(clock="15:30", count=11, who="Cleo"), at=at("15:30") + SECOND))
    evening.tick(at("15:31"), send=False)
    waiting = [row for row in evening.rows if row.key.step.kind == "search-first"]
    assert {row.key.person_id for row in waiting} == {"ana", "ben"}
    assert all("Cleo shut the door" in row.message.title for row in waiting)


# By other ways


def tried(evening: Ledger, attempts: int = 4, priority: Priority = LOUD) -> list[Row]:
    """Ana's word of the search, tried in vain so often."""
    evening.tick(at("15:30"), send=False)
    [row] = [
        row
        for row in evening.rows
        if row.key.step.kind == "search-first" and row.key.person_id == "ana"
    ]
    return [replace(row, attempts=attempts, priority=priority)]


def others(evening: Ledger, rows: list[Row], clock: str = "15:33") -> list[str]:
    night = replace(evening.night(), rows=tuple(rows))
    found = by_other_ways(night, at(clock), [])
    return [f"{one.key.step} {one.key.person_id} {one.key.channel}" for one in found]


@pytest.mark.parametrize(
    ("attempts", "priority", "goes"),
    [(3, LOUD, False), (4, LOUD, True), (5, LOUD, True), (4, 5, True), (4, USUAL, False)],
)
def test_what_is_loud_and_was_tried_four_times_goes_the_other_ways(
    attempts: int, priority: Priority, *, goes: bool
) -> None:
    evening = short()
    found = others(evening, tried(evening, attempts, priority))
    assert found == (["search-first ana mail"] if goes else [])


def test_what_got_through_one_way_needs_no_other() -> None:
    evening = short()
    [row] = tried(evening)
    mail = replace(row, key=replace(row.key, channel="mail"), state="sent")
    assert others(evening, [row, mail]) == []
    assert others(evening, [row, replace(mail, state="dead")]) == ["search-first ana mail"]
    assert others(evening, [replace(row, state="dropped")]) == []


def test_only_what_sends_somebody_out_goes_the_other_ways_and_not_what_is_given_up() -> None:
    evening = short()
    [row] = tried(evening)
    for step, goes in (("news-1", True), ("shut", False), ("now", False)):
        assert (
            bool(others(evening, [replace(row, key=replace(row.key, step=decode(step)))])) is goes
        )
    night = replace(evening.night(), rows=(row,))
    assert by_other_ways(night, at("15:33"), [row.key]) == []


def test_from_the_let_out_on_nothing_goes_the_other_ways() -> None:
    evening = short()
    night = replace(evening.night(), rows=tuple(tried(evening)))
    let_out = evening.evening.let_out
    assert len(by_other_ways(night, let_out - SECOND, [])) == 1
    assert by_other_ways(night, let_out, []) == []


def next_word(state: str, attempts: int) -> list[str]:
    """By which ways Ana gets the second look when the first word had come so far."""
    evening = short()
    evening.tick(at("15:30"), send=False)
    evening.rows = [
        replace(row, state=state, attempts=attempts)  # type: ignore[arg-type] # words of State
        for row in evening.rows
    ]
    found = search(evening.night(), at("15:30") + 20 * MINUTE)
    return [one.key.channel for one in found if one.key.person_id == "ana"]


def test_whoever_did_not_get_the_word_before_gets_the_next_by_every_way() -> None:
    assert next_word("pending", 1) == ["push", "mail"]
    assert next_word("pending", 0) == ["push"]
    assert next_word("sent", 1) == ["push"]
    assert next_word("perhaps sent", 1) == ["push"]
