"""Tables end where the terminal ends, whatever stands in them, and nothing of them is lost."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from typer.testing import CliRunner

from scheduler.cli.app import app
from scheduler.cli.screens.tables import _width, table
from scheduler.profile.package_data import catalogue as raw_catalogue
from tests.unhurried import unhurried

ROOT = Path(__file__).parents[2]
TABLES = ("today", "week", "year", "light", "figures", "check", "weather", "why mite-look")


@pytest.fixture(autouse=True)
def _somewhere_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DUSKFOLD_DATA", str(tmp_path / "data"))
    monkeypatch.delenv("COLUMNS", raising=False)


def table_lines(command: str, name: str) -> list[str]:
    profile = str(ROOT / "config" / f"{name}.toml")
    output = CliRunner().invoke(app, ["-p", profile, *command.split()]).output
    # Prose is left to whoever shows it; a column's gap makes a line one of a table.
    return [line for line in output.splitlines() if "  " in line.strip()]


@pytest.mark.parametrize("command", TABLES)
@pytest.mark.parametrize("name", ["annotated", "two-coops-three-flocks", "northern-65n"])
@unhurried
def test_k10_tables_are_80_wide_where_nobody_knows_the_terminal(command: str, name: str) -> None:
    lines = table_lines(command, name)
    assert lines or command == "weather"
    assert [line for line in lines if _width(line) > 80] == []


@pytest.mark.parametrize("columns", [40, 60, 132])
@pytest.mark.parametrize("command", ["today", "year", "light"])
def test_k10_tables_follow_the_terminal(
    command: str, columns: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    lines = table_lines(command, "twelve-hens-40n")
    assert [line for line in lines if _width(line) > columns] == []


WORDS = st.text(st.sampled_from("ab dé鸡🐔 °5"), max_size=120)


@given(st.lists(st.lists(WORDS, min_size=3, max_size=3), min_size=1, max_size=5))
def test_wrapping_loses_nothing_and_keeps_the_columns(rows: list[list[str]]) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("COLUMNS", "40")
        lines = table(rows).split("\n")
    assert all(_width(line) <= 40 for line in lines)
    written = "".join("".join(row) for row in rows).replace(" ", "")
    shown = "".join(lines).replace(" ", "").replace("–", "")
    assert sorted(shown) == sorted(written)


def test_an_address_is_never_broken(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    address = "https://hens.example.org/calendar/" + "k" * 60
    assert address in table([("Ana", "tonight", address)], ("who", "what", "address"))


@pytest.mark.parametrize("columns", [24, 40, 80, 110])
def test_what_is_copied_is_never_broken(columns: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    text = "Look under the perches with a torch, and at the cracks in the wood, after dark"
    copied = ("rest-before-lay-and-long", "/srv/hens/calendars/lockup.ics", "cares.mite-look.every")
    shown = table([(one, text, text) for one in copied], ("job", "what", "how often"))
    assert [one for one in copied if one not in shown] == []


@pytest.mark.parametrize("columns", [40, 110])
def test_k10_jobs_are_listed_with_whole_ids(columns: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    profile = str(ROOT / "config" / "twelve-hens-40n.toml")
    shown = CliRunner().invoke(app, ["-p", profile, "jobs"]).output.split()
    assert set(raw_catalogue()["care"]) <= set(shown)


def test_labels_and_times_stay_whole_beside_sentences(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    sentence = "Stay in sight until the door is latched. Call them in with feed at 15:53."
    told = table([("Free range", "from 15:03", sentence), ("Lock up", "16:27", "Shut, latch.")])
    assert told.splitlines()[0].startswith("Free range  from 15:03  Stay in sight")
