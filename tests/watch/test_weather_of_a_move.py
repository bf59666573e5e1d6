"""Whose weather it is around a move: the old place's until then, the new one's from then on."""

from datetime import date, timedelta
from pathlib import Path

from tests.cares.moves import move
from tests.faults.driven import DAY, MINUTE, memory_folder
from tests.watch.skies import FIRST, HOUR, TODAY, profile, skies

__all__ = ["memory_folder"]

ON = TODAY + 3 * DAY
MOVES = profile("met-norway", more=move("Berlin", ON))


def sources(over: object) -> dict[date, str]:
    found = over.decided  # type: ignore[attr-defined] # the skies of the test
    return {day: one.weather.low_c.source for day, one in found.items()}


def test_days_after_the_move_are_as_usual_at_the_new_place_until_the_day_itself(
    memory_folder: Path,
) -> None:
    with skies(memory_folder, MOVES) as over:
        over.turns(FIRST, FIRST + 2 * HOUR, every=10 * MINUTE)
        by_day = sources(over)
        assert {by_day[day] for day in by_day if TODAY < day < ON} == {"forecast"}
        assert {by_day[day] for day in by_day if day >= ON} == {"climate"}
        assert {round(one.place.longitude_deg) for one in over.met.asked} == {0}
        over.met.asked.clear()
        over.turn(FIRST + 3 * DAY)
        over.turns(FIRST + 3 * DAY, FIRST + 3 * DAY + 2 * HOUR, every=10 * MINUTE)
        assert {round(one.place.longitude_deg) for one in over.met.asked} == {13}
        by_day = sources(over)
        assert {by_day[day] for day in by_day if ON < day < ON + 5 * DAY} == {"forecast"}


def test_what_was_decided_by_the_old_place_is_decided_anew_once_a_move_is_planned(
    memory_folder: Path,
) -> None:
    with skies(memory_folder, profile("met-norway")) as over:
        over.turns(FIRST, FIRST + HOUR, every=10 * MINUTE)
        assert sources(over)[ON] == "forecast"
        over.rewrite(MOVES, FIRST + 2 * HOUR)
        over.turns(FIRST + 2 * HOUR + 2 * MINUTE, FIRST + 3 * HOUR, every=10 * MINUTE)
        assert sources(over)[ON] == "climate"
        assert sources(over)[ON - timedelta(days=1)] == "forecast"
