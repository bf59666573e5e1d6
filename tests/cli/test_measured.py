"""What a keeper's own thermometer shows, noted by hand and told with its age."""

import json
import shlex
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest
from freezegun import freeze_time
from typer.testing import CliRunner, Result

from scheduler.cli import running
from scheduler.cli.app import app
from scheduler.climate.forecast import Measured
from scheduler.journal.store import open_journal
from scheduler.machine.paths import JOURNAL_NAME
from tests.weather_decided import measured_since

# Its models are made when it is first imported, which must not be on a frozen day.
assert running.__name__
ANNOTATED = Path(__file__).parents[2] / "config" / "annotated.toml"
NOON = datetime(2026, 12, 21, 12, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _somewhere_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "400")


def typed(line: str, at: str = "2026-12-21T12:00:00Z", profile: Path = ANNOTATED) -> Result:
    with freeze_time(at):
        words = ["-p", str(profile), "--data", "data", "weather", *shlex.split(line)]
        return CliRunner().invoke(app, words)


def kept() -> tuple[tuple[str, Measured], ...]:
    with closing(open_journal(Path("data") / JOURNAL_NAME)) as journal:
        return measured_since(journal, "quince-lane", datetime(2026, 1, 1, tzinfo=UTC))


@pytest.mark.parametrize(
    ("line", "air_c", "said"),
    [
        ("3.4C", 3.4, "3.4 °C"),
        ("-3.4C", -3.4, "-3.4 °C"),
        ("- 3.4 °C", -3.4, "-3.4 °C"),
        ("38.3F", 3.5, "3.5 °C"),
        ("60C", 60.0, "60 °C"),
        ("-60C", -60.0, "-60 °C"),
        ("-76F", -60.0, "-60 °C"),
    ],
)
def test_what_a_thermometer_shows_is_kept_as_of_now(line: str, air_c: float, said: str) -> None:
    noted = typed(f"measured {line}")
    assert noted.exit_code == 0, noted.output
    assert noted.output.replace("\u00a0", " ") == (
        f"Noted: {said} (Garden). It counts for the plan while the reminders run.\n"
    )
    assert kept() == (("garden", Measured(at=NOON, air_c=air_c)),)


def test_it_is_shown_with_its_age_in_the_households_units(tmp_path: Path) -> None:
    def shown(at: str, profile: Path = ANNOTATED) -> str:
        lines = typed("", at, profile).output.replace("\u00a0", " ").splitlines()
        return next((line for line in lines if "Measured last" in line), "")

    assert shown("2026-12-21T12:00:00Z") == ""
    typed("measured 3.4C --humidity 81%")
    values = "Measured last: 3.4 °C and 81 % humidity (Garden)"
    assert shown("2026-12-21T12:00:30Z") == f"{values}, just now."
    assert shown("2026-12-21T12:01:00Z") == f"{values}, 1 minute ago."
    assert shown("2026-12-21T13:59:00Z") == f"{values}, 119 minutes ago."
    assert shown("2026-12-23T12:10:00Z") == f"{values}, 48 hours ago."
    assert shown("2026-12-24T12:10:00Z") == "", "three days on it says nothing of now"
    assert shown("2026-12-21T11:59:00Z") == "", "a clock that was wrong has told it"
    american = tmp_path / "american.toml"
    text = ANNOTATED.read_text()
    assert 'units = "metric"' in text
    american.write_text(text.replace('units = "metric"', 'units = "us"'))
    assert "38.1 °F and 81 % humidity" in shown("2026-12-21T12:05:00Z", american)


def test_programs_read_what_was_measured_last() -> None:
    before = json.loads(typed("--json").output)
    assert (before["reports"], before["measured"]) == ([], [])
    noted = json.loads(typed("measured 3.4C --humidity 81 --sensor garden --json").output)
    facts = {
        "sensor": "garden",
        "at": "2026-12-21T12:00:00Z",
        "air_c": 3.4,
        "humidity_percent": 81.0,
    }
    assert noted == facts | {"done": "noted"}
    assert json.loads(typed("--json").output)["measured"] == [facts]
    typed("measured 5C", "2026-12-21T12:10:00Z")
    [later] = json.loads(typed("--json", "2026-12-21T12:11:00Z").output)["measured"]
    assert (later["air_c"], later["humidity_percent"]) == (5.0, None)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("measured", "measured: found nothing; accepted: a temperature such as"),
        ("measured nanC", 'measured: found "nanC"; accepted: a temperature such as'),
        ("measured infC", 'found "infC"'),
        ("measured 3.4", "found"),
        ("measured warm", 'found "warm"'),
        ("measured 60.1C", "accepted: a temperature between -60 °C and 60 °C"),
        ("measured -60.1C", "accepted: a temperature between -60 °C and 60 °C"),
        ("measured 85C", "accepted: a temperature between -60 °C and 60 °C"),
        ("measured 200F", "accepted: a temperature between -76 °F and 140 °F"),
        ("measured 3C --humidity 0.81", "--humidity: found"),
        ("measured 3C --humidity 101%", "accepted: a humidity from 1 % to 100 %"),
        ("measured 3C --humidity damp", '--humidity: found "damp"'),
        ("measured 3C --humidity nan", '--humidity: found "nan"'),
        ("measured 3C --sensor attic", '--sensor: found "attic"; accepted: Garden'),
        ("measured 3C --from today", '--from: found "today"; accepted: nothing here'),
        ("measured 3C --who all", "A measurement is always of this moment."),
        ("measured 3C --by Nobody", "--by: found"),
        ("measurd 3C", 'Did you mean "measured"?'),
        ("storm --humidity 80%", "--humidity: found"),
        ("--sensor garden", "Use that only with a measurement"),
    ],
)
def test_what_no_air_can_be_is_refused_and_nothing_kept(line: str, said: str) -> None:
    refused = typed(line)
    assert refused.exit_code == 2
    assert said in refused.output.replace("\u00a0", " ")
    assert "No weather, predator or order is reported." in typed("").output
    assert kept() == ()


def test_everything_that_is_wrong_is_said_at_once() -> None:
    wrong = typed("measured 85C --humidity 0.81 --sensor attic --to today").output
    for where in ("--to", "--sensor", "measured: found", "--humidity"):
        assert where in wrong


def test_a_household_with_thermometers_of_its_own_says_which(tmp_path: Path) -> None:
    profile = tmp_path / "two.toml"
    places = (
        ("Perch", 'coop"\ncoop = "walnut-house'),
        ("North wall", "outside"),
        ("Porch", "outside"),
    )
    tables = (
        f'\n[[sensor]]\nname = "{name}"\nwhere = "{where}"\nfile = "/run/{number}.json"\n'
        for number, (name, where) in enumerate(places)
    )
    profile.write_text(ANNOTATED.read_text() + "".join(tables))
    for line, name in (
        ("measured 3C", "North wall"),
        ("measured 4C --sensor porch", "Porch"),
        ('measured 5C --sensor "north wall"', "North wall"),
    ):
        noted = typed(line, f"2026-12-21T12:00:0{line[9]}Z", profile)
        assert f"({name})" in noted.output, noted.output
    assert [sensor for sensor, _ in kept()] == ["north-wall", "porch", "north-wall"]
    refused = typed("measured 3C --sensor garden", profile=profile)
    assert refused.exit_code == 2
    assert "accepted: North wall, Porch, Perch" in refused.output


def test_what_is_measured_without_a_name_is_never_the_air_of_a_house(tmp_path: Path) -> None:
    profile = tmp_path / "inside.toml"
    house = 'where = "coop"\ncoop = "walnut-house"\nfile = "/run/0.json"\n'
    profile.write_text(f'{ANNOTATED.read_text()}\n[[sensor]]\nname = "Perch"\n{house}')
    typed("measured 3C", profile=profile)
    typed("measured 9C --sensor perch", "2026-12-21T12:00:01Z", profile)
    assert [(sensor, one.air_c) for sensor, one in kept()] == [("garden", 3.0), ("perch", 9.0)]
