"""What is heard on the return topic: strangers cost nothing, and delay no answer."""

import logging
import threading
from datetime import timedelta
from pathlib import Path

import pytest

from scheduler.machine.clock import Clock, Readings
from scheduler.tokens.answer import SignedAnswer
from scheduler.watch.answer_desk import AnswerDesk
from tests.alerts.orchard import KEY, WINTER, at
from tests.service.desk import desk

SERVER = "https://push.example.net"


class Standing(Clock):
    """A clock that a test moves."""

    def __init__(self) -> None:
        self.monotonic_s = 0.0

    def read(self) -> Readings:
        return Readings(
            wall=at("16:20") + timedelta(seconds=self.monotonic_s),
            boot_s=self.monotonic_s,
            monotonic_s=self.monotonic_s,
        )


def test_s10_what_nobody_signed_is_one_line_and_no_write(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.INFO, "scheduler")
    clock, taken = Standing(), threading.Event()
    with desk(tmp_path) as house:
        heard = AnswerDesk(
            journal=lambda: house.journal,
            almanac=lambda: house.days,
            clock=clock,
            taken=taken.set,
            stop=threading.Event(),
        )
        house.go(at("16:19"))
        before = house.journal.changes()
        for number in range(500):
            heard.heard(SERVER, f"m{number}", "duskfold all-in or whatever")
        assert house.journal.changes() == before
        assert heard.since(SERVER) == AnswerDesk.AT_FIRST
        assert caplog.text.count("answer.ignored") == 1
        true = SignedAnswer(
            verb="all-in", site_id="orchard", day=WINTER, subject_id="walnut", opening=0,
            person_id="ana",
        )  # fmt: skip
        heard.heard(SERVER, "m500", true.text(KEY))
        assert taken.is_set()
        assert heard.since(SERVER) == "m500"
        assert [one.count for one in house.closings()] == [12]
        clock.monotonic_s = 61.0
        heard.heard(SERVER, "m501", "once more")
        assert "count=500" in caplog.text
