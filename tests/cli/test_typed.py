"""What a keeper types at the terminal is taken as meant: figures below zero, names, --json."""

import json
import shlex
from pathlib import Path

import pytest
from freezegun import freeze_time
from typer.testing import CliRunner, Result

from scheduler.cli.app import app
from scheduler.cli.figures_typed import figures_told

ROOT = Path(__file__).parents[2]
ANNOTATED = ROOT / "config" / "annotated.toml"
TWO = ROOT / "config" / "two-coops-three-flocks.toml"


@pytest.fixture(autouse=True)
def _somewhere_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DUSKFOLD_DATA", str(tmp_path / "data"))
    monkeypatch.setenv("COLUMNS", "400")  # what is said, not where it is broken


def typed(line: str, profile: Path = ANNOTATED, at: str = "2026-12-21T10:00:00Z") -> Result:
    with freeze_time(at):
        return CliRunner().invoke(app, ["-p", str(profile), *shlex.split(line)])


@pytest.mark.parametrize(
    "line",
    [
        "weather frost -5C",
        'weather frost "-5 °C"',
        'weather frost "- 5 °C"',
        "weather frost -5 °C",
        "weather frost 23 F",
        "weather frost --to today -5C",
        "weather frost -5C --to today",
        "weather frost -- -5C",
    ],
)
def test_k9_a_figure_below_zero_is_taken_as_typed(line: str) -> None:
    assert "frost of -5 °C on Mon 21 Dec" in typed(line).output
    told = json.loads(typed("weather --json").output)["reports"]
    assert [report["air_c"] for report in told] == [pytest.approx(-5)]


def test_k9_what_an_option_takes_keeps_its_dash() -> None:
    asked = "init --latitude -33.9 --longitude -70.6 --hens 4 --timezone America/Santiago -p i.toml"
    assert typed(asked).exit_code == 0
    assert "latitude = -33.9000" in Path("i.toml").read_text()
    assert figures_told(["--at", "-5", "-5", "-p", "-9"], {"--at", "-p"}) == [
        "--at", "-5", "−5", "-p", "-9",
    ]  # fmt: skip


@pytest.mark.parametrize("line", ["weather frost -x", "today -5", "closed --coont 3"])
def test_k9_a_slip_in_an_option_is_still_refused(line: str) -> None:
    assert typed(line).exit_code == 2


@pytest.mark.parametrize("command", ["light --json", "closed --yes --json --count 3"])
@pytest.mark.parametrize("coop", ["stone-barn", "Stone Barn", "stone barn", " STONE  barn "])
def test_k18_a_house_is_known_by_id_or_name_in_any_case(command: str, coop: str) -> None:
    result = typed(f'{command} --coop "{coop}"', TWO)
    assert result.exit_code == 0, result.output
    assert json.loads(result.output.splitlines()[0])


@pytest.mark.parametrize("command", ["links", "test-alert", "closed --by", "links --sign-in"])
def test_k18_a_name_nobody_has_is_answered_with_those_there_are(command: str) -> None:
    result = typed(f"{command} Rubin")
    assert result.exit_code == 2
    assert 'found "Rubin"; accepted: Robin, Kim. Did you mean "Robin"?' in result.output


# Each in its place: what was reported, then what is said of it.
WITH_JSON = (
    "today", "week", "light", "year", "figures", "check", "check --rules eu", "why water",
    "weather", "weather storm", "weather frost -5C", "weather end 1", "weather undo 2",
    "closed --yes", "reopened", "closed --yes --count 3", "found", "reopened",
    "closed --yes --count 3", "not-found", "elsewhere --count 1", "elsewhere --back --count 1",
    "feed --out cal", "health", "links", "links Robin", "links --renew Robin",
    "links --sign-in Robin",
)  # fmt: skip


def test_k18_every_command_with_json_prints_json_and_nothing_else() -> None:
    for line in WITH_JSON:
        done = typed(f"{line} --json", at="2026-12-21T16:30:00Z")
        for printed in done.stdout.splitlines():
            assert isinstance(json.loads(printed), dict), line
        assert done.stdout.strip(), (line, done.output)


def test_k18_a_report_made_or_ended_is_told_in_json() -> None:
    made = json.loads(typed("weather storm --json").output)
    assert made["done"] == "noted"
    assert made["number"] == 1
    assert json.loads(typed("weather end 1 --json").output)["done"] == "ended"
    assert json.loads(typed("weather undo 1 --json").output)["done"] == "taken back"
