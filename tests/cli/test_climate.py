"""What the terminal says of a place's climate: its source, frost ahead, frost dates, heat."""

import json
from pathlib import Path

import pytest
from freezegun import freeze_time
from typer.testing import CliRunner

from scheduler.cli import running
from scheduler.cli.app import app
from tests.unhurried import unhurried

assert running.__name__  # its models are made when it is first imported: not on a frozen day
PLACE = """
[site]
name = "Hill"
latitude = {0}
longitude = {1}
timezone = "{2}"
region = "{3}"
{4}
[[coop]]
name = "Walnut"
[[flock]]
name = "Girls"
hens = 12
"""
LONDON = (51.5, -0.1, "Europe/London", "UK")
AT_SEA = (-40.0, -110.0, "Etc/GMT+7", "other")
GIVEN = '[climate]\ncoldest_month_low = "2 °C"\nwarmest_month_high = "24 °C"\n'


@pytest.fixture(autouse=True)
def _somewhere_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("DUSKFOLD_PROFILE", "DUSKFOLD_DATA", "STATE_DIRECTORY", "XDG_CONFIG_HOME"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "home" / "data"))
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "400")


def said(place: tuple[float, float, str, str], *arguments: str, climate: str = "") -> str:
    Path("p.toml").write_text(PLACE.format(*place, climate), encoding="utf-8")
    with freeze_time("2026-12-21T10:00:00Z"):
        result = CliRunner().invoke(app, [arguments[0], "-p", "p.toml", *arguments[1:]])
    assert result.exit_code == 0, result.output
    return result.output


def test_the_week_counts_the_nights_of_frost_in_winter_alone() -> None:
    assert "Frost possible on 7 of 7 nights (20 % or more)." in said(
        LONDON, "week", "--date", "2027-01-11"
    )
    assert "Frost" not in said(LONDON, "week", "--date", "2026-07-06")


def test_the_year_tells_the_last_and_the_first_frost_in_their_order() -> None:
    lines = said(LONDON, "year", "--date", "2026-01-01").splitlines()
    told = [line for line in lines if line.startswith("One year in two, ")]
    assert len(told) == 2
    assert told[0].startswith("One year in two, the last frost comes after ")
    assert told[1].startswith("One year in two, the first frost comes before ")
    assert not [line for line in lines if "the rule" in line]


def test_the_year_of_a_hot_place_has_one_standing_line_and_no_frost() -> None:
    lines = said((14.6, 121.0, "Asia/Manila", "other"), "year").splitlines()
    assert (
        lines.count(
            "Heat is the rule here: keep shade, two drinkers and open vents all the time. Duskfold "
            "only speaks up on days that are hotter than usual."
        )
        == 1
    )
    assert not [line for line in lines if "frost comes" in line]


@pytest.mark.parametrize(
    ("place", "climate", "source", "sentence"),
    [
        (LONDON, "", "from the climate map", "from the climate map, ±1.5 °C"),
        (AT_SEA, "", "estimated from latitude", "stimated from latitude"),
        (LONDON, GIVEN, "as given", ""),
    ],
    ids=["on the map", "at sea", "given"],
)
@unhurried
def test_every_screen_says_the_same_of_where_the_temperatures_are_from(
    place: tuple[float, float, str, str], climate: str, source: str, sentence: str
) -> None:
    for command in ("today", "week", "year", "figures", "weather"):
        text = said(place, command, climate=climate).replace("\u00a0", " ")
        assert sentence in text, command
        assert ("climate map" in text) is (source == "from the climate map"), command
        assert ("from latitude" in text) is (source == "estimated from latitude"), command
    told = json.loads(said(place, "today", "--json", climate=climate))
    assert told["climate"] == source
    assert json.loads(said(place, "figures", "--json", climate=climate))["climate"] == source
    week = json.loads(said(place, "week", "--json", climate=climate))
    assert {day["climate"] for day in week["days"]} == {source}
