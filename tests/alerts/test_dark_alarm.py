"""One owner for each evening's dark alarm: the held message, the backup alarm, the heartbeat."""

from dataclasses import replace

import pytest

from scheduler.alerts.dark_alarm import DarkAlarm, held_at
from tests.alerts.orchard import BEN, SITE, WALNUT, WINTER, at, ledger, said

ALONE = SITE + WALNUT + BEN


@pytest.mark.parametrize("heartbeat", [True, False])
@pytest.mark.parametrize("file", [True, False])
@pytest.mark.parametrize("held", [True, False])
def test_the_held_message_comes_before_the_file_and_the_file_before_the_heartbeat(
    *, held: bool, file: bool, heartbeat: bool
) -> None:
    alarm = DarkAlarm(
        person_id="ben",
        name="Ben",
        held_at=at("16:38") if held else None,
        file_at=at("16:39") if file else None,
        file_until=WINTER if file else None,
        has_heartbeat=heartbeat,
    )
    ways = (("held", held), ("file", file), ("heartbeat", heartbeat))
    assert alarm.owner == next((way for way, is_there in ways if is_there), None)
    rings = {"held": at("16:38"), "file": at("16:39")}
    assert alarm.rings_at == rings.get(alarm.owner or "")


def test_what_the_push_server_took_rings_and_what_it_has_not_does_not() -> None:
    evening = ledger(ALONE)
    assert held_at([evening.night()], "ben", at("11:00")) is None, "it has not begun"
    evening.tick(at("12:00"), send=False)
    assert held_at([evening.night()], "ben", at("12:00")) is None, "it is on its way"
    evening.rows = [replace(row, state="sent", attempts=1) for row in evening.rows]
    assert held_at([evening.night()], "ben", at("12:01")) == at("16:38")
    assert held_at([evening.night()], "ana", at("12:01")) is None, "nobody of that name"
    unknown = [replace(row, state="perhaps sent") for row in evening.rows]
    night = replace(evening.night(), rows=tuple(unknown))
    assert held_at([night], "ben", at("12:01")) is None, "nobody knows whether it has it"


def test_it_follows_what_is_put_off_taken_back_and_moved() -> None:
    evening = ledger(ALONE)
    evening.tick(at("12:00"))
    evening.tick(at("16:34"))
    assert held_at([evening.night()], "ben", at("16:35")) == at("16:48:40")
    moved = replace(evening.night(), topics={"ben": "https://push.example.org/other"})
    assert held_at([moved], "ben", at("16:35")) is None, "it lies where Ben is not any more"
    evening.say(said(clock="16:36"))
    assert held_at([evening.night()], "ben", at("16:36")) is None, "the door is shut"
    evening.tick(at("16:36"))
    evening.say(said("reopened", "16:37"))
    assert held_at([evening.night()], "ben", at("16:37")) is None, "it was taken back"


def test_of_several_evenings_the_server_speaks_only_if_it_has_all() -> None:
    evening = ledger(ALONE)
    evening.tick(at("12:00"))
    night = evening.night()
    assert held_at([night, night], "ben", at("12:01")) == at("16:38")
    assert held_at([night, replace(night, rows=())], "ben", at("12:01")) is None
