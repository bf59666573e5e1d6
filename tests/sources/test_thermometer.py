"""A thermometer's file: what it may hold, and when it is not believed."""

import json
import os
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.climate.forecast import Measured
from scheduler.sources.thermometer import Unfit, judged, look, read

NOW = datetime(2026, 1, 5, 6, 12, tzinfo=UTC)
MINUTE = timedelta(minutes=1)


def shown(air_c: float, minutes_ago: float = 0) -> Measured:
    return Measured(at=NOW - minutes_ago * MINUTE, air_c=air_c)


def kind(found: Measured | Unfit) -> str:
    assert isinstance(found, Unfit), found
    assert found.reason
    return found.kind


@pytest.mark.parametrize("text", ["-3.4", " -3.4\n", '{"air_c": -3.4}'])
def test_a_bare_number_is_of_when_the_file_was_written(text: str) -> None:
    assert read(text.encode(), NOW) == Measured(at=NOW, air_c=-3.4)


def test_an_object_says_its_humidity_and_time() -> None:
    text = b'{"air_c": -3.4, "humidity": 0.81, "at": "2026-01-05T07:10:00+01:00"}'
    measured = read(text, NOW)
    at = datetime(2026, 1, 5, 6, 10, tzinfo=UTC)
    assert measured == Measured(at=at, air_c=-3.4, humidity=0.81)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "not a reading"),
        ("   ", "not a reading"),
        ("null", "not a reading"),
        ("true", "not a reading"),
        ("-3,4", "not a reading"),
        ("ERR", "not a reading"),
        ('"-3.4"', "not a reading"),
        ("[-3.4]", "not a reading"),
        ("{}", "not a reading"),
        ('{"air_c": "-3.4"}', "not a reading"),
        ('{"air_c": -3.4, "at": "2026-01-05T06:10:00"}', "not a reading"),
        ('{"air_c": -3.4, "at": 1767593400}', "not a reading"),
        ('{"air_c": -3.4, "at": "0001-01-01T00:00:00+14:00"}', "not a reading"),
        ('{"air_c": -3.4, "humidity": 81}', "no humidity"),
        ('{"air_c": -3.4, "humidity": NaN}', "no humidity"),
        ('{"air_c": -3.4, "humidity": "dry"}', "no humidity"),
        ("[" * 4000, "not a reading"),
        ("1" * 5000, "too large"),
    ],
)
def test_what_is_no_reading_is_a_value(text: str, why: str) -> None:
    assert kind(read(text.encode(), NOW)) == why


@pytest.mark.parametrize("text", ["NaN", "Infinity", "-Infinity", "85", "-127", "1e999", "9" * 400])
def test_a_value_that_does_not_occur_is_refused(text: str) -> None:
    measured = read(text.encode(), NOW)
    assert isinstance(measured, Measured)
    assert kind(judged(measured, (), NOW)) == "outside range"


@given(st.binary(max_size=300))
def test_no_file_makes_it_raise(content: bytes) -> None:
    assert isinstance(read(content, NOW), Measured | Unfit)


def test_two_hours_old_is_the_oldest() -> None:
    assert judged(shown(1.0, 120), (), NOW) == shown(1.0, 120)
    assert kind(judged(shown(1.0, 121), (), NOW)) == "old"


def test_a_reading_from_the_future_is_a_clock_wrong() -> None:
    assert judged(shown(1.0, -5), (), NOW) == shown(1.0, -5)
    assert kind(judged(shown(1.0, -6), (), NOW)) == "ahead"


def test_a_jump_of_more_than_15_degrees_in_10_minutes_is_refused() -> None:
    assert judged(shown(20.0), [shown(5.0, 10)], NOW) == shown(20.0)
    assert kind(judged(shown(20.1), [shown(5.0, 10)], NOW)) == "jumped"
    assert kind(judged(shown(-15.0), [shown(5.0, 9), shown(-10.0, 30)], NOW)) == "jumped"
    assert judged(shown(20.1), [shown(5.0, 11)], NOW) == shown(20.1)


def day_of(*values: float) -> list[Measured]:
    step = 24 * 60 / len(values)
    return [shown(each, 24 * 60 - number * step) for number, each in enumerate(values)]


def test_the_same_to_the_digit_for_24_hours_is_stuck() -> None:
    assert kind(judged(shown(4.5), day_of(*[4.5] * 48), NOW)) == "stuck"
    assert judged(shown(4.5), day_of(*[4.5] * 47, 4.6), NOW) == shown(4.5)
    assert judged(shown(4.5), day_of(*[4.5] * 48)[1:], NOW) == shown(4.5)
    assert judged(shown(4.6), day_of(*[4.5] * 48), NOW) == shown(4.6)


@given(st.permutations(day_of(4.5, 4.5, 4.5, 4.4, 4.5, 30.0)))
def test_the_order_of_readings_before_does_not_matter(before: list[Measured]) -> None:
    usual = judged(shown(4.5), day_of(4.5, 4.5, 4.5, 4.4, 4.5, 30.0), NOW)
    assert judged(shown(4.5), before, NOW) == usual


def written(folder: Path, content: Any, minutes_ago: float = 0) -> Path:
    file = folder / "garden"
    file.write_text(content if isinstance(content, str) else json.dumps(content))
    at = (NOW - minutes_ago * MINUTE).timestamp()
    os.utime(file, (at, at))
    return file


def test_a_file_is_read_and_judged(tmp_path: Path) -> None:
    assert look(written(tmp_path, "-3.4"), NOW) == Measured(at=NOW, air_c=-3.4)
    assert kind(look(written(tmp_path, "-3.4", 180), NOW)) == "old"
    assert kind(look(written(tmp_path, "20.0"), NOW, [shown(0.0, 5)])) == "jumped"
    assert kind(look(written(tmp_path, "x" * 3_000_000), NOW)) == "too large"
    assert kind(look(written(tmp_path, ""), NOW)) == "not a reading"


def test_its_own_time_counts_more_than_the_files(tmp_path: Path) -> None:
    told = {"air_c": 1.0, "at": (NOW - 180 * MINUTE).isoformat()}
    assert kind(look(written(tmp_path, told), NOW)) == "old"


def test_what_is_no_file_is_missing_and_keeps_nobody_waiting(tmp_path: Path) -> None:
    assert kind(look(tmp_path / "nothing", NOW)) == "missing"
    assert kind(look(tmp_path, NOW)) == "missing"
    os.mkfifo(tmp_path / "pipe")
    assert kind(look(tmp_path / "pipe", NOW)) == "missing"
    assert kind(look(tmp_path / "a\0b", NOW)) == "missing"
