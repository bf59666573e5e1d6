"""What was decided of a day's weather comes back as it was, or counts as nothing decided."""

import json
from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.cares.decided import DecidedDay
from scheduler.cares.decided_codec import VERSION, decode, encode
from scheduler.climate.forecast import OfficialWarning
from scheduler.climate.weather import Reading, Weather

instants = st.datetimes(timezones=st.just(UTC))
numbers = st.floats(allow_nan=False, allow_infinity=False)
texts = st.text(st.characters(exclude_categories=["Cs"]))  # what can be sent as UTF-8
readings = st.builds(
    Reading,
    value=numbers,
    sd=numbers,
    source=st.sampled_from(["told", "measured", "forecast", "climate"]),
    at=st.none() | instants,
)
warnings = st.builds(
    OfficialWarning,
    id=texts,
    kind=st.sampled_from(["storm", "frost", "heat"]),
    event=texts,
    headline=texts,
    sender=texts,
    onset=instants,
    ends=instants,
)
PERHAPS = ("index_f", "gust_m_s", "rain_mm", "snow_cm", "cloud_at_dusk", "rain_at_dusk_mm")
weathers = st.builds(
    Weather,
    day=st.dates(),
    low_c=readings,
    high_c=readings,
    humidity_at_high=readings,
    warnings=st.lists(warnings, max_size=3).map(tuple),
    **dict.fromkeys(PERHAPS, st.none() | readings),
)
decided_days = st.builds(
    DecidedDay,
    weather=weathers,
    decided_at=instants,
    signs=st.frozensets(texts, max_size=4),
    stood=st.frozensets(texts, max_size=4),
    shift_minutes=st.integers(0, 20),
)

AT = datetime(2026, 12, 20, 7, 30, tzinfo=UTC)
FROST = DecidedDay(
    weather=Weather(
        day=date(2026, 12, 21),
        low_c=Reading(value=-7.5, sd=1.4, source="forecast", at=AT),
        high_c=Reading(value=1.0, sd=1.4, source="forecast", at=AT),
        humidity_at_high=Reading(value=0.8),
        gust_m_s=Reading(value=9.0, source="forecast", at=AT),
        warnings=(
            OfficialWarning(
                id="w1", kind="frost", event="Hard freeze", headline="Hard freeze tonight",
                sender="An office", onset=AT, ends=AT,
            ),
        ),
    ),
    decided_at=AT,
    signs=frozenset({"ice", "hard-frost"}),
    stood=frozenset({"frost"}),
    shift_minutes=12,
)  # fmt: skip
# As the version that first kept it has written it.
KEPT = (
    '{"version":1,"decided":{"weather":{"day":"2026-12-21",'
    '"low_c":{"value":-7.5,"sd":1.4,"source":"forecast","at":"2026-12-20T07:30:00Z"},'
    '"high_c":{"value":1.0,"sd":1.4,"source":"forecast","at":"2026-12-20T07:30:00Z"},'
    '"humidity_at_high":{"value":0.8},'
    '"gust_m_s":{"value":9.0,"source":"forecast","at":"2026-12-20T07:30:00Z"},'
    '"warnings":[{"id":"w1","kind":"frost","event":"Hard freeze",'
    '"headline":"Hard freeze tonight","sender":"An office",'
    '"onset":"2026-12-20T07:30:00Z","ends":"2026-12-20T07:30:00Z"}]},'
    '"decided_at":"2026-12-20T07:30:00Z","signs":["hard-frost","ice"],"stood":["frost"],'
    '"shift_minutes":12}}'
)


@given(decided_days)
def test_whatever_was_decided_comes_back_as_it_was(decided: DecidedDay) -> None:
    text = encode(decided)
    assert decode(text) == decided
    assert text.isascii(), "no engine is asked for what it cannot keep"


@given(decided_days)
def test_its_instants_are_in_utc_as_the_journal_wants_them(decided: DecidedDay) -> None:
    found = decode(encode(decided))
    assert found
    assert found.decided_at.tzinfo is UTC
    assert found.weather.low_c.at is None or found.weather.low_c.at.tzinfo is UTC


def test_what_was_kept_once_is_read_for_ever() -> None:
    assert encode(FROST) == KEPT
    assert decode(KEPT) == FROST


def test_another_zone_is_the_same_instant() -> None:
    told = KEPT.replace("2026-12-20T07:30:00Z", "2026-12-20T09:30:00+02:00")
    assert decode(told) == FROST


def test_equal_days_are_one_text_in_whatever_order_their_signs_were_found() -> None:
    signs = [f"sign-{number}" for number in range(20)]
    one, other = (replace(FROST, signs=frozenset(found)) for found in (signs, [*reversed(signs)]))
    assert encode(one) == encode(other)
    assert json.loads(encode(one))["decided"]["signs"] == sorted(signs)


def test_no_text_of_a_warning_breaks_a_journal() -> None:
    (warning,) = FROST.weather.warnings
    told = replace(warning, headline="\0 ‘é’ 🐔\n")
    day = replace(FROST, weather=replace(FROST.weather, warnings=(told,)))
    assert "\0" not in encode(day)
    assert decode(encode(day)) == day


@pytest.mark.parametrize("version", [0, VERSION + 1, 99])
def test_of_another_version_nothing_is_decided(version: int) -> None:
    assert decode(KEPT.replace('"version":1', f'"version":{version}')) is None


@pytest.mark.parametrize(
    "text",
    [
        *("", "{", "null", "[]", "7", '{"version":1}', "\0", "[" * 5000),
        KEPT[:-1],
        KEPT.replace("-7.5", '"cold"'),
        KEPT.replace("-7.5", "null"),
        *(KEPT.replace("-7.5", number) for number in ("NaN", "-Infinity", "1e999")),
        KEPT.replace("2026-12-21", "2026-12-32"),
        KEPT.replace('"forecast"', '"a friend"'),
        KEPT.replace('"decided_at":"2026-12-20T07:30:00Z"', '"decided_at":"2026-12-20T07:30:00"'),
        KEPT.replace('"2026-12-20T07:30:00Z","signs"', '"0001-01-01T00:00:00+14:00","signs"'),
        KEPT.replace('"version":1,', ""),
    ],
)
def test_of_what_is_damaged_nothing_is_decided(text: str) -> None:
    assert decode(text) is None


def test_a_number_that_is_none_is_not_kept_as_one() -> None:
    low = Reading(value=float("nan"))
    assert decode(encode(replace(FROST, weather=replace(FROST.weather, low_c=low)))) is None
