"""`duskfold birds`: what is noted of the birds is answered at once, and can be taken back."""

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest
from freezegun import freeze_time
from typer.testing import CliRunner, Result

from scheduler.cli import running
from scheduler.cli.app import app

ROOT = Path(__file__).parents[2]
HOME = ("--data", "data", "-p", str(ROOT / "config" / "annotated.toml"))
TWO = ("--data", "data", "-p", str(ROOT / "config" / "two-coops-three-flocks.toml"))
NOON = datetime(2026, 12, 21, 12, tzinfo=UTC)
# Its models are made when it is first imported, which must not be on a frozen day.
assert running.__name__


@pytest.fixture(autouse=True)
def _in_a_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "300")


def run(*words: str, of: tuple[str, ...] = HOME) -> Result:
    with freeze_time(NOON):
        return CliRunner().invoke(app, [*of, *words])


def titles() -> list[str]:
    facts = json.loads(run("today", "--json").stdout)
    return [one["title"] for one in facts["birds"]]


def test_a_note_beside_a_medicine_is_no_part_of_its_name() -> None:
    told = run("birds", "medicine", "Wormer", "A", "--eggs", "7", "--note", "batch 12").output
    assert "Noted as 1: Wormer A (batch 12) on Mon 21 Dec;" in told


def test_a_medicine_says_until_when_no_egg_is_eaten_and_is_taken_back() -> None:
    told = run("birds", "medicine", "Wormer", "A", "--to", "tomorrow", "--eggs", "7 days")
    assert told.exit_code == 0
    rule = "Do not eat, give away or sell the eggs before Wed 30 Dec"
    assert told.output.startswith(f"{rule}.\n")
    noted = "Wormer A from Mon 21 Dec to Tue 22 Dec; by the label or the vet: eggs 7 days."
    assert f"Noted as 1: {noted}" in told.output
    assert titles() == [rule]
    today = run("today").output
    assert today.index(rule) < today.index("Let out")
    assert "Collect the eggs: not to be eaten before Wed 30 Dec" in today
    [listed] = json.loads(run("birds", "--json").stdout)["reports"]
    assert (listed["egg_days"], listed["eggs_free_from"]) == (7, "2026-12-30")
    assert json.loads(run("weather", "--json").stdout)["reports"] == []
    assert run("birds", "undo", "1").output.endswith("duskfold birds again 1\n")
    assert titles() == []
    run("birds", "again", "1")
    assert titles() == [rule]


def test_a_treatment_that_began_before_today_lasts_until_today_where_that_is_said() -> None:
    for first in ("2026-12-18", "yesterday"):
        told = run("birds", "medicine", "Wormer", "--from", first, "--to", "today", "--eggs", "7")
        # The last dose on 21 December and seven days.
        rule = "Do not eat, give away or sell the eggs before Tue 29 Dec"
        assert told.output.startswith(f"{rule}.\n")


def test_a_second_course_is_answered_with_all_that_withholds_the_eggs() -> None:
    run("birds", "medicine", "Wormer", "--to", "tomorrow", "--eggs", "7")
    later = run(
        "birds", "medicine", "Wormer", "--from", "wed", "--to", "thu", "--eggs", "7", "--yes"
    )
    assert later.output.startswith("Do not eat, give away or sell the eggs before Fri 1 Jan.\n")
    shorter = run("birds", "medicine", "Drops", "--eggs", "1")
    assert shorter.output.startswith("Do not eat, give away or sell the eggs before Fri 1 Jan.\n")
    assert titles() == ["Do not eat, give away or sell the eggs before Fri 1 Jan"]
    week = run("week").output
    assert week.count("sell the eggs before Fri 1 Jan.") == 1
    assert "before Fri 1 Jan. After Drops. Wormer is still being given." in week


def test_a_course_noted_ahead_frees_no_egg_that_is_withheld_today() -> None:
    run("birds", "medicine", "Wormer", "--eggs", "2")
    ahead = run("birds", "medicine", "Drops", "--from", "2026-12-24", "--eggs", "0", "--yes")
    assert ahead.output.startswith("Do not eat, give away or sell the eggs before Thu 24 Dec.\n")
    assert "from today" not in ahead.output


def test_each_change_of_a_medicine_says_what_holds_of_the_eggs_now() -> None:
    rule = "Do not eat, give away or sell the eggs"
    run("birds", "medicine", "Wormer", "--eggs", "2")
    run("birds", "medicine", "Drops")
    for said, until in (
        (("label", "2", "--eggs", "5"), "before Sun 27 Dec"),
        (("again", "2"), "until the vet or the label of Drops says so"),
        (("undo", "2"), "before Thu 24 Dec"),
    ):
        assert run("birds", *said).output.endswith(f"{rule} {until}.\n")


def test_a_course_that_is_over_says_which_day_is_taken_for_its_last_dose() -> None:
    run("birds", "medicine", "Wormer", "--from", "2026-12-20", "--to", "2026-12-22", "--eggs", "2")
    told = run("birds", "over", "1").output
    assert "That makes Sun 20 Dec the day of the last dose. If one was given today: " in told
    run("birds", "again", "1")
    assert run("birds", "end", "1").output.endswith("the eggs before Thu 24 Dec.\n")


@pytest.mark.parametrize("kind", ["medicine", "storm"])
def test_over_names_no_date_that_nobody_typed(kind: str) -> None:
    if kind == "medicine":
        run("birds", "medicine", "Drops", "--from", "thu", "--yes")
        said = run("birds", "over", "1").stderr
        assert "found a medicine that only begins on 2026-12-24; accepted: " in said
    else:
        run("weather", "storm", "--from", "2026-12-17", "--to", "2026-12-18")
        said = run("weather", "over", "1").stderr
        assert "found a storm that ended on 2026-12-18; accepted: " in said
    assert "2026-12-20" not in said


def test_an_unread_label_is_asked_about_until_it_is_read() -> None:
    told = run("birds", "medicine", "Drops").output
    assert told.startswith("Do not eat, give away or sell the eggs until the vet or the label says")
    assert "duskfold birds label 1 --eggs DAYS" in told
    assert run("birds", "label", "1").exit_code == 2
    assert run("birds", "label", "1", "--eggs", "3").exit_code == 0
    assert titles() == ["Do not eat, give away or sell the eggs before Fri 25 Dec"]
    run("birds", "again", "1")
    assert titles() == ["Do not eat, give away or sell the eggs until the vet or the label says so"]


def test_a_sign_to_be_reported_is_answered_first_with_whom_to_ring() -> None:
    told = run("birds", "illness", "blue-comb", "breathing", "--count", "2").output
    first, second, *_ = told.splitlines()
    assert first.startswith("Call your vet or the animal-health authority today: 2 ill birds (")
    assert "let no bird, egg or equipment leave" in second
    for over, left in (("over", []), ("end", [f"{first[:-1]}; ends today"])):
        assert run("birds", over, "1").exit_code == 0
        assert titles() == left
        run("birds", "again", "1")
        assert len(titles()) == 1


def test_a_dose_cannot_be_over_on_its_own_day_or_its_eggs_would_be_freed_too_soon() -> None:
    run("birds", "medicine", "Drops", "--eggs", "2", "--to", "wed")
    refused = run("birds", "over", "1")
    assert refused.exit_code == 2
    assert (
        "found a medicine that began today; accepted: 2026-12-21 or a later day" in refused.stderr
    )
    run("birds", "end", "1")
    assert titles() == ["Do not eat, give away or sell the eggs before Thu 24 Dec"]


def test_all_that_cannot_be_is_refused_at_once() -> None:
    wrong = run(
        *("birds", "medicine", "--from", "2027-05-01", "--to", "2026-11-01", "--eggs", "-3"),
        *("--meat", "900", "--count", "0"),
    )
    assert wrong.exit_code == 2
    options = [line.split(": ")[1] for line in wrong.stderr.splitlines()]
    assert options == ["--from", "--to", "--count", "medicine", "--eggs", "--meat"]
    assert "whole days from 0 to 365, as the label or the vet says" in wrong.stderr
    many = run("birds", "broody", "--count", "13")
    assert many.exit_code == 2
    assert "accepted: a number from 1 to 12. The house has only 12 birds." in many.stderr
    assert run("birds", "broody", "--from", "tomorrow").exit_code == 2
    assert 'Did you mean "breathing"?' in run("birds", "illness", "breathin").stderr
    assert json.loads(run("birds", "--json").stdout)["reports"] == []


def test_of_several_houses_it_has_to_be_said_which() -> None:
    unsaid = run("birds", "broody", of=TWO)
    assert unsaid.exit_code == 2
    assert "--coop: found nothing; accepted: " in unsaid.stderr


def test_what_is_odd_is_asked_about() -> None:
    asked = run("birds", "medicine", "Drops", "--eggs", "70")
    assert asked.exit_code == 2
    assert "Does the label really say 70 days for eggs?" in asked.stderr
    ahead = run("birds", "medicine", "Drops", "--from", "tomorrow", "--eggs", "7")
    assert ahead.exit_code == 2
    assert "is still to come. Is it planned? If it has already been given, say on" in ahead.stderr
    assert run("birds", "medicine", "Drops", "--eggs", "70", "--yes").exit_code == 0


def test_a_report_of_the_weather_is_ended_by_no_word_of_the_birds_nor_one_of_them_by_its() -> None:
    run("weather", "heat", "34C")
    run("birds", "broody")
    wrong = run("birds", "over", "1")
    assert wrong.exit_code == 2
    assert "For report 1, run: duskfold weather over 1" in wrong.output
    assert "accepted: 2." in run("birds", "over", "7").output
    other = run("weather", "undo", "2")
    assert other.exit_code == 2
    assert "For report 2, run: duskfold birds undo 2" in other.output
    assert len(json.loads(run("weather", "--json").stdout)["reports"]) == 1
