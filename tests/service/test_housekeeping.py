"""What is done once a night beside the reminders."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from scheduler.journal import access
from scheduler.journal.access import SignedIn
from scheduler.service.housekeeping import Housekeeping
from tests.alerts.orchard import TEXT, WINTER, at
from tests.service.desk import desk

YEAR = timedelta(days=365)


def test_a_session_whose_time_is_over_is_forgotten_at_night(tmp_path: Path) -> None:
    now = at("03:30", WINTER)
    over = SignedIn(
        id_hash="a" * 64,
        person_id="ana",
        device="phone",
        made_at=now - YEAR,
        until=now - timedelta(minutes=1),
    )
    lasts = replace(over, id_hash="b" * 64, until=now + YEAR)
    with desk(tmp_path, TEXT) as house:
        with house.journal.writing() as writing:
            for one in (over, lasts):
                access.sign_in(writing.connection, "orchard", one)
        Housekeeping(tmp_path).run(house.journal, house.days, 1, now)
        with house.journal.reading() as connection:
            assert access.sessions(connection, "orchard") == (lasts,)
