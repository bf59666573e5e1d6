"""The last good copy: kept only if it reads, never half, dropped when too old."""

import logging
import os
import resource
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from scheduler.climate.forecast import Forecast
from scheduler.sources.forecast_copy import (
    Copies,
    Copy,
    age,
    current,
    question_of,
    renew,
)
from scheduler.sources.forecast_port import (
    Asking,
    Fresh,
    Unchanged,
    Unreadable,
    refused,
    rough,
)
from tests.sinks.authority import Authority
from tests.sinks.fake_forecast import FakeForecast
from tests.sources.forecast_rigs import AGENT, ASKING, NOW, met_rig

HOUR = timedelta(hours=1)
MODIFIED = "Sat, 28 Nov 2026 13:12:00 GMT"


@pytest.fixture
def copies(tmp_path: Path) -> Copies:
    return Copies(tmp_path / "forecasts")


def file_of(copies: Copies) -> Path:
    (file,) = copies.folder.iterdir()
    return file


def kept(copies: Copies, now: datetime = NOW) -> Copy | None:
    return copies.load("met-norway", question_of(FakeForecast(), ASKING), now)


def filled(copies: Copies, now: datetime = NOW) -> Forecast:
    renewed = renew(FakeForecast(), copies, ASKING, now)
    assert renewed.forecast is not None
    return renewed.forecast


def test_what_was_fetched_is_there_after_a_restart(copies: Copies) -> None:
    forecast = filled(copies)
    assert current(FakeForecast(), Copies(copies.folder), ASKING, NOW + HOUR) == forecast


def test_the_copy_keeps_last_modified_letter_by_letter_and_asks_with_it(copies: Copies) -> None:
    first = FakeForecast().fetch(ASKING, NOW)
    assert isinstance(first, Fresh)
    port = FakeForecast([replace(first, last_modified=MODIFIED)])
    renew(port, copies, ASKING, NOW)
    renew(port, copies, ASKING, NOW + HOUR)
    assert [asking.last_modified for asking in port.asked] == ["", MODIFIED]


def test_the_service_is_left_alone_until_expires(copies: Copies) -> None:
    forecast = filled(copies)
    port = FakeForecast()
    renewed = renew(port, copies, ASKING, NOW + timedelta(minutes=29))
    assert (renewed.forecast, renewed.answer) == (forecast, None)
    assert port.asked == []
    renew(port, copies, ASKING, NOW + timedelta(minutes=30))
    assert len(port.asked) == 1


def test_unchanged_keeps_the_copy_and_takes_the_new_expires(copies: Copies) -> None:
    forecast = filled(copies)
    later = NOW + 2 * HOUR
    renewed = renew(FakeForecast([Unchanged(expires=later + HOUR)]), copies, ASKING, later)
    copy = kept(copies, later)
    assert renewed.forecast == forecast
    assert copy is not None
    assert (copy.expires, copy.asked_at, copy.got_at) == (later + HOUR, later, NOW)


def test_html_with_status_200_leaves_the_old_copy(copies: Copies) -> None:
    forecast = filled(copies)
    port = FakeForecast([Fresh(body=b"<html>Sign in</html>")])
    renewed = renew(port, copies, ASKING, NOW + HOUR)
    assert renewed.answer == Unreadable("not json")
    assert renewed.forecast == forecast
    assert current(port, copies, ASKING, NOW + HOUR) == forecast


@pytest.mark.parametrize("kind", ["broken", "throttled", "not let in", "no copy"])
def test_a_refusal_leaves_the_old_copy(copies: Copies, kind: str) -> None:
    forecast = filled(copies)
    answer = refused(kind)  # type: ignore[arg-type] # one of its kinds
    renewed = renew(FakeForecast([answer]), copies, ASKING, NOW + HOUR)
    assert (renewed.forecast, renewed.answer) == (forecast, answer)


def test_36_hours_after_it_was_made_it_is_dropped(copies: Copies) -> None:
    forecast = filled(copies)
    made = forecast.made_at
    assert current(FakeForecast(), copies, ASKING, made + 36 * HOUR) == forecast
    assert current(FakeForecast(), copies, ASKING, made + 37 * HOUR) is None


def test_a_fresh_answer_with_a_forecast_of_37_hours_is_no_forecast(copies: Copies) -> None:
    old = FakeForecast().fetch(ASKING, NOW - 36 * HOUR)
    renewed = renew(FakeForecast([old]), copies, ASKING, NOW)
    assert renewed.forecast is None


def test_its_age_is_told_and_never_negative(copies: Copies) -> None:
    forecast = filled(copies)
    assert age(forecast, NOW) == HOUR
    assert age(forecast, NOW - 5 * HOUR) == timedelta(0)


def damaged(content: bytes) -> Iterator[bytes]:
    yield b""
    yield content[: len(content) // 2]
    yield content[:-1]
    yield content + b" "
    yield content.replace(b'"celsius": 4.0', b'"celsius": 4.1')
    yield content.replace(b'"version":1', b'"version":2')
    yield content.replace(b"met-norway", b"open-meteo")
    yield b"\n" + content
    yield b"{}\n{}"
    yield b"\xff" * 3000
    yield b"[" * 100_000
    yield b"x" * 2_000_000


@pytest.mark.parametrize("number", range(12))
def test_a_half_or_foreign_file_is_no_copy_and_is_fetched_again(
    copies: Copies, number: int
) -> None:
    filled(copies)
    whole = file_of(copies).read_bytes()
    broken = list(damaged(whole))[number]
    assert broken != whole
    file_of(copies).write_bytes(broken)
    assert kept(copies) is None
    port = FakeForecast()
    assert renew(port, copies, ASKING, NOW).forecast is not None
    assert [asking.last_modified for asking in port.asked] == [""]
    assert kept(copies) is not None


def test_what_is_no_file_in_its_place_is_no_copy(copies: Copies, tmp_path: Path) -> None:
    filled(copies)
    file = file_of(copies)
    elsewhere = tmp_path / "elsewhere"
    file.rename(elsewhere)
    file.symlink_to(elsewhere)
    assert kept(copies) is None
    file.unlink()
    os.mkfifo(file)
    assert kept(copies) is None
    file.unlink()
    file.mkdir()
    assert kept(copies) is None
    assert renew(FakeForecast(), copies, ASKING, NOW).forecast is not None


def test_a_copy_of_another_place_is_not_this_ones(copies: Copies) -> None:
    filled(copies)
    elsewhere = Asking(place=rough(44.35, -71.2, 296.0), agent=AGENT)
    assert current(FakeForecast(), copies, elsewhere, NOW) is None


def test_after_a_clock_that_was_a_day_ahead_it_is_fetched_again(copies: Copies) -> None:
    filled(copies, NOW + timedelta(days=1))
    assert kept(copies, NOW) is None
    port = FakeForecast()
    renew(port, copies, ASKING, NOW)
    assert len(port.asked) == 1


@contextmanager
def full_disk() -> Iterator[None]:
    """No file may grow beyond a few octets: what a full disk does to a write."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (64, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


def test_a_full_disk_leaves_the_old_copy_and_gives_the_new_forecast(copies: Copies) -> None:
    filled(copies)
    before = file_of(copies).read_bytes()
    with full_disk():
        renewed = renew(FakeForecast(celsius=9.0), copies, ASKING, NOW + HOUR)
    assert renewed.forecast is not None
    assert renewed.forecast.hours[0].air_c == 9.0
    assert file_of(copies).read_bytes() == before


def test_a_folder_that_cannot_be_made_costs_nothing_but_the_copy(tmp_path: Path) -> None:
    (tmp_path / "forecasts").write_text("a file")
    assert renew(FakeForecast(), Copies(tmp_path / "forecasts"), ASKING, NOW).forecast is not None


def test_the_file_is_its_owners_alone(copies: Copies) -> None:
    filled(copies)
    assert file_of(copies).stat().st_mode & 0o077 == 0


def test_no_log_has_coordinates(
    authority: Authority, copies: Copies, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.DEBUG)
    with met_rig(authority) as rig:
        renew(rig.port, copies, ASKING, NOW)
        with full_disk():
            renew(rig.port, copies, ASKING, NOW + HOUR)
        renew(FakeForecast([Fresh(body=b"44.3")]), copies, ASKING, NOW + 2 * HOUR)
        renew(FakeForecast([refused("broken")]), copies, ASKING, NOW + 2 * HOUR)
    assert "forecast.unreadable source=met-norway why=shape" in caplog.text
    assert "forecast.refused source=met-norway why=broken" in caplog.text
    ours = " ".join(one.getMessage() for one in caplog.records if one.name.startswith("scheduler"))
    assert "forecast" in ours
    assert not [each for each in ("44.3", "71.2", "44.30") if each in ours]


def test_a_real_source_is_asked_conditionally_and_says_unchanged(
    authority: Authority, copies: Copies
) -> None:
    with met_rig(authority) as rig:
        first = renew(rig.port, copies, ASKING, NOW)
        rig.server.now = NOW + HOUR
        second = renew(rig.port, copies, ASKING, NOW + HOUR)
        third = renew(rig.port, copies, ASKING, NOW + HOUR + timedelta(minutes=10))
    assert isinstance(first.answer, Fresh)
    assert isinstance(second.answer, Unchanged)
    assert third.answer is None
    assert first.forecast == second.forecast == third.forecast
