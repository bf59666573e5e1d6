"""`today` says when to leave for a house that is a way off, while it is not dark and not shut."""

from datetime import UTC, datetime
from pathlib import Path

import pytest
from freezegun import freeze_time
from typer.testing import CliRunner

from scheduler.cli import running
from scheduler.cli.app import app
from tests.alerts.orchard import ANA, HAZEL, SITE, WALNUT

assert running.__name__  # its models are made when it is first imported, not on a frozen day
FAR = WALNUT.replace('name = "Walnut"', 'name = "Walnut"\ngetting_there = 14')
LEAVE = "Leave by 16:04."


@pytest.fixture(autouse=True)
def _somewhere_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DUSKFOLD_DATA", str(tmp_path / "data"))
    monkeypatch.setenv("COLUMNS", "80")


def typed(line: str, text: str = SITE + FAR + HAZEL + ANA, clock: str = "12:30") -> str:
    Path("duskfold.toml").write_text(text)
    with freeze_time(datetime.fromisoformat(f"2026-12-21T{clock}").replace(tzinfo=UTC)):
        result = CliRunner().invoke(app, line.split())
    assert result.exit_code == 0, result.output
    return result.output


def test_today_says_when_to_leave_for_that_house_alone() -> None:
    told = typed("today")
    assert told.count(LEAVE) == 1
    assert told.index("Walnut") < told.index(LEAVE) < told.index("Hazel")
    assert "Leave by" not in typed("today", SITE + WALNUT + ANA)


def test_the_longest_way_of_one_walk_counts_as_in_the_reminder() -> None:
    both = SITE + FAR + HAZEL.replace('name = "Hazel"', 'name = "Hazel"\ngetting_there = 3') + ANA
    assert typed("today", both).count(LEAVE) == 2


def test_once_it_is_dark_or_shut_and_of_other_days_nothing_is_said() -> None:
    assert LEAVE in typed("today", clock="16:17")
    assert "Leave by" not in typed("today", clock="16:19")
    assert "Leave by 16:0" in typed("today --date 2026-12-22")
    typed("closed --coop walnut --count 12", clock="16:00")
    assert "Leave by" not in typed("today", clock="16:01")
