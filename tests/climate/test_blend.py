"""What is known of a day, blended: by hand numbers, as it ages, and with what is measured."""

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta, timezone, tzinfo
from math import log, sqrt
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.climate.blend import CivilDay, Known, usual, weather
from scheduler.climate.curve import Averages
from scheduler.climate.fold_hours import HeatScale
from scheduler.climate.forecast import Forecast, ForecastSource, Hour, Measured, OfficialWarning
from scheduler.climate.wave import Wave
from scheduler.climate.weather import Weather
from scheduler.husbandry.heat import heat_index_f

HOUR, DAY_LONG = timedelta(hours=1), timedelta(days=1)
HEAT = HeatScale(heat_index_f, 81.0)
DAY = date(2026, 11, 29)
SD_C = 4.0
YEAR = Averages(
    low=Wave(2.0),
    high=Wave(9.0),
    humidity=Wave(80.0),
    estimated=False,
    low_ln_sd=Wave(log(SD_C)),
    high_ln_sd=Wave(log(SD_C)),
)
MADE_AT = datetime(2026, 11, 28, 6, tzinfo=UTC)
BERLIN = ZoneInfo("Europe/Berlin")
TONGA = timezone(13 * HOUR)


def of(day: date = DAY, zone: tzinfo = UTC) -> CivilDay:
    dusk = datetime.combine(day, time(16, 30), zone).astimezone(UTC)
    return CivilDay(day=day, zone=zone, dusk=dusk, heat=HEAT)


def at(clock: str, day: date = DAY) -> datetime:
    return datetime.combine(day, time.fromisoformat(clock), UTC)


def flat(at: datetime) -> Hour:
    """An hour of a mild, quiet day."""
    return Hour(at=at, air_c=6.0, humidity=0.7, cloud=0.4, wind_m_s=3.0, rain_mm=0.1, snow_cm=0.0)


def forecast(
    hour: Callable[[datetime], Hour] = flat,
    *,
    made_at: datetime = MADE_AT,
    first: datetime | None = None,
    count: int = 216,
    source: ForecastSource = "met-norway",
) -> Forecast:
    begins = first or made_at.replace(minute=0, second=0, microsecond=0)
    hours = [hour(begins + number * HOUR) for number in range(count)]
    return Forecast(
        source=source, made_at=made_at, latitude_deg=51.5, longitude_deg=0.0, hours=hours
    )


def dips(to_c: float, from_c: float = 6.0) -> Callable[[datetime], Hour]:
    """Nights whose 05:00 UTC is that cold."""
    return lambda at: replace(flat(at), air_c=to_c if at.hour == 5 else from_c)


def known_at(now: datetime, *forecasts: Forecast, day: date = DAY) -> Weather:
    return weather(YEAR, Known(forecasts=forecasts), of(day), now)


def test_forecast_and_year_are_blended_as_worked_out_by_hand() -> None:
    """30 h to the end of the night: σ 2.0, w = 16 / (16 + 4) = 0.8, so 2 + 0.8 · (−3 − 2) = −2."""
    found = known_at(MADE_AT, forecast(dips(-3.0))).low_c
    assert found.value == pytest.approx(-2.0)
    assert found.sd == pytest.approx(SD_C * sqrt(0.2))
    assert (found.source, found.at, found.by) == ("forecast", MADE_AT, "met-norway")
    assert found.told == -3.0


@pytest.mark.parametrize(("days", "strays_c"), list(enumerate((1.7, 2.0, 2.3, 2.7, 3.1, 3.6, 4.2))))
def test_what_a_forecast_weighs_by_days_since_it_was_made(days: int, strays_c: float) -> None:
    made_at = at("12:00") - days * DAY_LONG - HOUR
    found = weather(YEAR, Known(forecasts=[forecast(dips(-3.0), made_at=made_at)]), of(), made_at)
    weight = SD_C**2 / (SD_C**2 + strays_c**2)
    if days == 0:  # the night had begun eleven hours before, so nothing is told of it
        assert found.low_c.source == "climate"
    else:
        assert found.low_c.value == pytest.approx(2.0 - weight * 5.0)


def test_an_ageing_forecast_fades_to_the_year_and_is_dropped_after_36_hours() -> None:
    day = MADE_AT.date() + 5 * DAY_LONG
    values = []
    for hours in range(0, 40, 2):
        now = MADE_AT + hours * HOUR
        values.append((hours, known_at(now, forecast(dips(-10.0)), day=day).low_c))
    assert all(one.source == "forecast" for hours, one in values if hours <= 36)
    assert all(one == usual(YEAR, day).low_c for hours, one in values if hours > 36)
    nearer = [
        known_at(MADE_AT, forecast(dips(-10.0)), day=MADE_AT.date() + n * DAY_LONG).low_c
        for n in range(1, 7)
    ]
    assert [one.value for one in nearer] == sorted(one.value for one in nearer)
    assert all(-10 < one.value < 2 and one.sd < SD_C for one in nearer)


def test_nothing_of_it_counts_more_than_seven_days_ahead_and_gusts_only_three() -> None:
    told = forecast(lambda at: replace(flat(at), gust_m_s=12.0, snow_cm=1.0))
    found = {n: known_at(MADE_AT, told, day=MADE_AT.date() + n * DAY_LONG) for n in range(1, 9)}
    assert [n for n, one in found.items() if one.low_c.source == "forecast"] == list(range(1, 7))
    assert [n for n, one in found.items() if one.gust_m_s] == [1, 2, 3]
    assert [n for n, one in found.items() if one.snow_cm] == [1, 2, 3, 4]


def test_gusts_are_1_7_times_the_wind_only_where_none_are_told() -> None:
    windy = known_at(MADE_AT, forecast(lambda at: replace(flat(at), wind_m_s=10.0)))
    assert windy.gust_m_s
    assert windy.gust_m_s.value == pytest.approx(17.0)
    some = forecast(
        lambda at: replace(flat(at), wind_m_s=10.0, gust_m_s=11.0 if at.hour % 2 else None)
    )
    gust = known_at(MADE_AT, some).gust_m_s
    assert gust
    assert gust.value == 11.0


def test_a_gap_is_filled_by_the_next_source_and_else_by_the_year() -> None:
    whole = forecast(dips(-3.0), source="open-meteo")
    holes = replace(
        whole,
        source="met-norway",
        hours=[one for one in whole.hours if not 1 <= one.at.hour <= 5],
    )
    assert known_at(MADE_AT, holes, whole).low_c.by == "open-meteo"
    assert known_at(MADE_AT, holes).low_c == usual(YEAR, DAY).low_c
    silent = replace(
        whole, hours=[replace(one, gust_m_s=None, wind_m_s=None) for one in whole.hours]
    )
    windy = replace(whole, hours=[replace(one, gust_m_s=9.0) for one in whole.hours])
    found = known_at(MADE_AT, replace(silent, source="us-nws"), windy)
    assert found.gust_m_s
    assert (found.low_c.by, found.gust_m_s.by) == ("us-nws", "open-meteo")


@pytest.mark.parametrize(
    ("zone", "cold_at", "day"),
    [
        # 13 hours ahead: the night of the 30th ends at noon there, 23:00 UTC of the 29th.
        (TONGA, at("22:00"), date(2026, 11, 30)),
        (TONGA, at("23:00"), date(2026, 12, 1)),
        (UTC, at("11:00"), DAY),
        (UTC, at("12:00"), DAY + DAY_LONG),
    ],
)
def test_a_cold_hour_belongs_to_the_night_of_the_site(
    zone: tzinfo, cold_at: datetime, day: date
) -> None:
    told = forecast(lambda at: replace(flat(at), air_c=-9.0 if at == cold_at else 6.0))
    lows = {
        one: weather(YEAR, Known(forecasts=[told]), of(one, zone), MADE_AT).low_c.value
        for one in (DAY + n * DAY_LONG for n in range(4))
    }
    assert min(lows, key=lambda one: lows[one]) == day
    assert sum(value < 0 for value in lows.values()) == 1


@pytest.mark.parametrize(("day", "falls_mm"), [(date(2026, 3, 29), 2.3), (date(2026, 10, 25), 2.5)])
def test_a_day_may_have_23_or_25_hours(day: date, falls_mm: float) -> None:
    made_at = datetime.combine(day - DAY_LONG, time(6), UTC)
    found = weather(YEAR, Known(forecasts=[forecast(made_at=made_at)]), of(day, BERLIN), made_at)
    assert found.rain_mm
    assert found.rain_mm.value == pytest.approx(falls_mm)
    assert found.low_c.source == found.high_c.source == "forecast"


# What is measured


def measured(first: datetime, count: int, air_c: float) -> list[Measured]:
    return [Measured(at=first + n * timedelta(minutes=10), air_c=air_c) for n in range(count)]


def test_what_was_measured_of_a_night_bounds_its_low_whatever_is_forecast() -> None:
    now = at("04:00")
    cold = measured(at("03:00"), 3, -4.0)
    for told in ((), (forecast(dips(5.0)),)):
        found = weather(YEAR, Known(forecasts=told, measured=cold), of(), now).low_c
        assert (found.value, found.source, found.at) == (-4.0, "measured", cold[0].at)
    warm = weather(YEAR, Known(forecasts=[forecast(dips(-8.0))], measured=[cold[0]]), of(), now)
    assert warm.low_c.source == "forecast"
    assert warm.low_c.value < -4.0


def test_what_was_measured_of_a_day_bounds_its_high() -> None:
    shown = measured(at("13:00"), 3, 12.0)
    told = forecast()
    found = weather(YEAR, Known(forecasts=[told], measured=shown), of(), at("14:00")).high_c
    assert (found.value, found.source) == (12.0, "measured")


def test_hours_are_measured_past_or_forecast_future() -> None:
    """It was forecast to be −8 °C at five, and the thermometer showed 6 °C all night."""
    all_night = measured(at("20:00", DAY - DAY_LONG), 60, 6.0)
    found = weather(
        YEAR, Known(forecasts=[forecast(dips(-8.0))], measured=all_night), of(), at("06:30")
    )
    assert found.low_c.value > 4.0


def test_a_thermometer_that_was_away_for_hours_takes_no_forecast_away() -> None:
    now = at("20:00")
    two = [Measured(at=at("13:00", DAY - DAY_LONG), air_c=6.0), Measured(at=now, air_c=6.0)]
    told = forecast(lambda at: replace(flat(at), gust_m_s=18.0, air_c=-3.0 if at.hour == 5 else 6))
    alone = weather(YEAR, Known(forecasts=[told]), of(), now)
    found = weather(YEAR, Known(forecasts=[told], measured=two), of(), now)
    assert found.low_c == alone.low_c
    assert found.gust_m_s == alone.gust_m_s


def test_a_thermometer_takes_no_gust_and_no_rain_away() -> None:
    told = forecast(lambda at: replace(flat(at), gust_m_s=18.0))
    shown = measured(at("00:00"), 6 * 15, 7.0)
    found = weather(YEAR, Known(forecasts=[told], measured=shown), of(), at("15:00"))
    assert found.gust_m_s
    assert found.gust_m_s.value == 18.0
    assert found.rain_mm
    assert found.rain_mm.value == pytest.approx(2.4)


@pytest.mark.parametrize("told", [(), (forecast(),)])
def test_sun_on_the_case_makes_no_heat(told: tuple[Forecast, ...]) -> None:
    """Six forecast, nine usual: 19 °C is more than 8 °C above either."""
    in_sun = measured(at("12:00"), 6, 19.0)
    found = weather(YEAR, Known(forecasts=told, measured=in_sun), of(), at("14:00"))
    assert found == weather(YEAR, Known(forecasts=told), of(), at("14:00"))


def test_what_is_not_yet_measured_bounds_nothing() -> None:
    ahead = [Measured(at=at("20:00"), air_c=-20.0)]
    found = weather(YEAR, Known(measured=ahead), of(), at("04:00"))
    assert found == usual(YEAR, DAY)


# What is past


def test_of_a_day_that_has_begun_what_was_told_last_stands_where_a_new_forecast_begins_later() -> (
    None
):
    told = forecast(lambda at: replace(flat(at), air_c=-3 if at.hour == 5 else 20, gust_m_s=18.0))
    before = known_at(MADE_AT, told)
    later = forecast(made_at=at("15:00"))
    found = weather(YEAR, Known(forecasts=[later]), of(), at("15:10"), before)
    assert (found.low_c, found.high_c) == (before.low_c, before.high_c)
    assert found.gust_m_s == before.gust_m_s
    assert found.cloud_at_dusk
    assert found.cloud_at_dusk.at == later.made_at
    tomorrow = of(DAY + DAY_LONG)
    assert weather(YEAR, Known(forecasts=[later]), tomorrow, at("15:10"), before).high_c.at == (
        later.made_at
    )


def test_without_any_forecast_a_day_goes_back_to_the_year() -> None:
    before = known_at(MADE_AT, forecast(dips(-3.0)))
    assert weather(YEAR, Known(), of(), at("15:10"), before) == usual(YEAR, DAY)


def test_a_warning_counts_on_the_days_that_it_touches_and_changes_no_number() -> None:
    warning = OfficialWarning(
        id="1",
        kind="storm",
        event="High Wind Warning",
        headline="",
        sender="",
        onset=at("22:00"),
        ends=at("04:00", DAY + DAY_LONG),
    )
    for n in range(-1, 4):
        known = Known(forecasts=[forecast()], warnings=[warning])
        day = DAY + n * DAY_LONG
        found = weather(YEAR, known, of(day), MADE_AT)
        assert found.warnings == ((warning,) if n in {0, 1} else ())
        assert replace(found, warnings=()) == known_at(MADE_AT, forecast(), day=day)


@given(
    air=st.floats(-40, 45), years=st.floats(-20, 40), sd=st.floats(0.5, 12), ahead=st.integers(1, 6)
)
def test_a_blend_lies_between_both_and_is_surer_than_either(
    air: float, years: float, sd: float, ahead: int
) -> None:
    year = replace(YEAR, low=Wave(years), low_ln_sd=Wave(log(sd)))
    told = forecast(lambda at: replace(flat(at), air_c=air))
    day = MADE_AT.date() + ahead * DAY_LONG
    found = weather(year, Known(forecasts=[told]), of(day), MADE_AT).low_c
    assert min(air, years) - 1e-9 <= found.value <= max(air, years) + 1e-9
    assert 0 < found.sd < sd
