"""`week`, `weather`, `year` and `today` show the weather, in tables no wider than the terminal."""

import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from freezegun import freeze_time
from typer.testing import CliRunner

from scheduler.cli import running
from scheduler.cli.app import app
from scheduler.climate.forecast import OfficialWarning
from scheduler.climate.weather import Reading
from scheduler.journal.store import open_journal
from scheduler.machine.paths import JOURNAL_NAME
from scheduler.profile.quantity import NO_BREAK
from tests.unhurried import unhurried
from tests.weather_decided import decided, keep_decided

assert running.__name__  # its models are made when it is first imported, not on a frozen day
ANNOTATED = Path(__file__).parents[2] / "config" / "annotated.toml"
SITE_ID = "quince-lane"
NOW = datetime(2026, 12, 21, 10, tzinfo=UTC)
MADE = NOW - timedelta(hours=14)
DAY = timedelta(days=1)
WARNING = OfficialWarning(
    id="1", kind="storm", event="High Wind Warning", headline="High Wind Warning until 9 PM",
    sender="NWS Nowhere", onset=MADE, ends=NOW + DAY,
)  # fmt: skip


@pytest.fixture(autouse=True)
def _somewhere_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DUSKFOLD_DATA", str(tmp_path / "data"))
    monkeypatch.setenv("COLUMNS", "80")


def typed(line: str) -> str:
    with freeze_time(NOW):
        result = CliRunner().invoke(app, ["-p", str(ANNOTATED), *line.split()])
    assert result.exit_code == 0, result.output
    return result.output.replace(NO_BREAK, " ")


@pytest.fixture
def _decided(tmp_path: Path) -> None:
    """A forecast of the evening before has told of four days: frost, wind and a warning."""
    typed("weather storm --to today")  # which makes the journal
    journal = open_journal(tmp_path / "data" / JOURNAL_NAME)
    days = []
    for number in range(4):
        of = decided((NOW + number * DAY).date(), low_c=-3.0, at=NOW)
        weather = replace(
            of.weather,
            low_c=replace(of.weather.low_c, at=MADE, by="met-norway"),
            high_c=replace(of.weather.high_c, at=MADE, by="met-norway"),
            gust_m_s=Reading(value=18.0, source="forecast", at=MADE, by="met-norway"),
            warnings=(WARNING,),
        )
        days.append(replace(of, weather=weather, shift_minutes=0 if number else 12))
    keep_decided(journal, SITE_ID, days)
    journal.close()


NAMES = ("1 night in 10 below", "1 day in 10 above", "nights of frost")
QUOTED = "Official warning from NWS Nowhere: “High Wind Warning until 9 PM”"


@pytest.mark.usefixtures("_decided")
def test_the_week_shows_the_weather_below_the_days() -> None:
    lines = typed("week").splitlines()
    assert max(len(line) for line in lines if "  " in line.strip()) <= 80
    text = " ".join(" ".join(lines).split())
    for said in ("gusts", "65 km/h", "forecast of", "usual for the date", QUOTED):
        assert said in text, said
    first, *_, last = json.loads(typed("week --json"))["weather"]
    low = {"c": -3.0, "sd": 1.3, "source": "forecast", "by": "met-norway"}
    assert first["low"] == {**low, "at": "2026-12-20T20:00:00Z"}
    assert first["gusts"]["m_s"] == 18.0
    assert first["warnings"][0]["headline"] == WARNING.headline
    assert any("storm" in one for one in first["jobs"])
    assert last["low"]["source"] == "climate"
    assert (last["gusts"], last["warnings"]) == (None, [])


@pytest.mark.usefixtures("_decided")
def test_weather_shows_tonight_and_tomorrow_with_the_age_of_an_old_forecast() -> None:
    text = typed("weather")
    source = "(forecast of Sun 21:00, MET Norway, 14 hours old)"
    assert f"-3 °C tonight {source}" in text
    assert f"4 °C tomorrow {source}" in text
    assert QUOTED in text
    assert "Duskfold has no forecast" not in text
    told = json.loads(typed("weather --json"))
    assert told["last_forecast"] == "2026-12-20T20:00:00Z"
    assert told["weather"]["date"] == "2026-12-22"


@pytest.mark.usefixtures("_decided")
def test_today_quotes_the_warning_of_today_alone() -> None:
    assert QUOTED in typed("today")
    assert QUOTED not in typed("today --date 2026-12-22")


@pytest.mark.usefixtures("_decided")
def test_today_says_that_cloud_makes_it_dark_early() -> None:
    assert "Cloudy: dark about 12 minutes early." in typed("today")
    assert "Cloudy" not in typed("today --date 2026-12-22")


def test_without_a_forecast_the_average_is_told_as_such() -> None:
    text = typed("weather")
    assert "tonight (usual for the date)" in text
    assert "Duskfold has no forecast, so it goes by the average until you tell it more." in text
    assert "usual for the date" in typed("week")
    assert json.loads(typed("weather --json"))["last_forecast"] is None


@unhurried
def test_the_year_shows_each_months_air_and_frost() -> None:
    lines = typed("year").splitlines()
    [head] = [line.split() for line in lines if line.startswith("°C ")]
    assert len(head) == 13
    rows = {name: row for row in lines for name in NAMES if row.startswith(name)}
    assert [len(row.removeprefix(name).split()) for name, row in rows.items()] == [12] * 3
    assert max(map(len, rows.values())) <= 80
    months = json.loads(typed("year --json"))["months"]
    january = next(month for month in months if month["month"] == "2027-01")
    assert january["one_night_in_ten_below_c"] < january["low_c"] < january["high_c"]
    assert 10 < january["frost_nights"] < 31
