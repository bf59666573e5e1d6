"""The commands as a person and a program use them: output, exit status, nothing half-written."""

import json
import os
import re
import resource
import sqlite3
import stat
import subprocess
import sys
import tomllib
from contextlib import closing
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from pathlib import Path

import pytest
from freezegun import freeze_time
from typer.testing import CliRunner, Result

from scheduler.cares.done_and_waiting import Done, TaskKey
from scheduler.cli import running
from scheduler.cli.app import app
from scheduler.journal.store import open_journal
from scheduler.journal.tables import VERSION
from scheduler.machine.paths import JOURNAL_NAME
from scheduler.profile.package_data import catalogue as raw_catalogue
from tests.journal.as_said import keep_ticks
from tests.unhurried import UNHURRIED, unhurried

# Its models are made when it is first imported, which must not be on a frozen day.
assert running.__name__
ROOT = Path(__file__).parents[2]
ANNOTATED = ROOT / "config" / "annotated.toml"


@pytest.fixture(autouse=True)
def _somewhere_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An empty folder, an empty home, no setting of the machine."""
    for name in ("DUSKFOLD_PROFILE", "DUSKFOLD_DATA", "STATE_DIRECTORY", "XDG_CONFIG_HOME"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "home" / "data"))
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "400")  # what is said, not where it is broken


def run(*arguments: str | Path) -> Result:
    """The command in this process, on a fixed day."""
    with freeze_time("2026-12-21T10:00:00Z"):
        return CliRunner().invoke(app, [str(argument) for argument in arguments])


def duskfold(*arguments: str | Path, **environment: str) -> subprocess.CompletedProcess[str]:
    """The installed program as a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "scheduler", *map(str, arguments)],
        capture_output=True,
        text=True,
        errors="replace",
        check=False,
        timeout=60,
        env={**os.environ, **environment},
    )


def test_today_shows_tonight_and_the_jobs() -> None:
    result = run("--profile", ANNOTATED, "today")
    assert result.exit_code == 0
    assert "Quince Lane, Monday 21 December 2026" in result.output
    assert "Lock up     16:52" in result.output
    assert "Shut by     17:07" in result.output
    assert "Morning jobs, 07:55, 7 min" in result.output
    assert "estimated" not in result.output


def test_the_readme_shows_what_today_prints() -> None:
    shown = (ROOT / "README.md").read_text().split("```text\n")[1].split("```")[0]
    assert shown.strip() in run("today", "-p", ANNOTATED).output


def test_us_profile_speaks_us() -> None:
    result = run("today", "-p", ROOT / "config" / "twelve-hens-40n.toml", "--date", "2026-07-04")
    assert "pm" in result.output
    assert "waterers" in result.output


def test_week_has_a_row_for_each_house_and_day() -> None:
    result = run("week", "-p", ROOT / "config" / "southern-ark.toml")
    assert result.exit_code == 0
    assert result.output.count("Green Ark") == 7
    assert result.output.count("Nursery Ark") == 7


def test_light_prints_one_object_a_date_both_ends_included() -> None:
    result = run("light", "-p", ANNOTATED, "--from", "2026-12-20", "--to", "2026-12-22", "--json")
    rows = [json.loads(line) for line in result.output.splitlines()]
    assert [row["date"] for row in rows] == ["2026-12-20", "2026-12-21", "2026-12-22"]
    night = rows[1]
    assert night["coop"] == "walnut-house"
    assert night["lockup"] == "2026-12-21T15:52:20Z"
    assert night["latest"] == night["dusk"]
    assert night["lockup_basis"] == "angle"
    assert night["range_to"] == night["lockup"]
    assert night["daylight_minutes"] == pytest.approx(473, abs=2)
    assert set(night) >= {
        "date", "coop", "sunrise", "sunset", "dawn", "dusk", "lockup", "latest", "lockup_basis",
        "letout", "range_from", "range_to", "daylight_minutes",
    }  # fmt: skip


def test_light_says_never_where_the_sun_gives_nothing() -> None:
    result = run(
        "light", "-p", ROOT / "config" / "northern-65n.toml", "--date", "2026-06-21", "--json"
    )
    row = json.loads(result.output)
    assert row["dusk"] is None
    assert row["dusk_never"] == "above"
    assert row["lockup"] == "2026-06-21T19:00:00Z"
    assert row["lockup_basis"] == "cap"
    assert row["letout"]


def test_light_of_one_coop_by_id_or_name_and_the_nearest_spelling() -> None:
    southern = ROOT / "config" / "southern-ark.toml"
    by_id = run("light", "-p", southern, "--coop", "green-ark", "--json").output
    assert by_id == run("light", "-p", southern, "--coop", "Green Ark", "--json").output
    assert len(by_id.splitlines()) == 1
    wrong = run("light", "-p", southern, "--coop", "green-arc", "--json")
    assert wrong.exit_code == 2
    assert 'found "green-arc"; accepted: Green Ark, Nursery Ark. Did you mean' in wrong.output


@pytest.mark.parametrize(
    "arguments",
    [
        ("--from", "2026-12-22", "--to", "2026-12-21"),
        ("--from", "2026-01-01", "--to", "2099-01-01"),
    ],
)
def test_light_refuses_windows_that_are_empty_or_endless(arguments: tuple[str, ...]) -> None:
    result = run("light", "-p", ANNOTATED, *arguments)
    assert result.exit_code == 2
    assert "accepted: the day of --from or a later one, at most 3660 days in all." in result.output


@pytest.mark.parametrize(
    ("arguments", "options"),
    [
        (
            ("light", "--from", "28/11", "--to", "today", "--coop", "x"),
            ("--from", "--to", "--coop"),
        ),
        (("figures", "--month", "13", "--date", "28/11"), ("--date", "--month", "--month")),
        (("feed", "--out", ANNOTATED, "--from", "x", "--days", "0"), ("--from", "--days", "--out")),
        (("why", "moonrise", "--date", "x"), ("--date", "JOB")),
        (("jobs", "undo", "moonrise", "--date", "x", "--by", "No"), ("--date", "--by", "undo")),
        (("jobs", "tickd", "--date", "x", "--by", "No"), ("--date", "--by", "WHAT")),
        (("weather", "heat", "so", "--to", "x", "--by", "No"), ("--by", "heat", "--to")),
        (("weather", "end", "one", "--to", "x", "--by", "No"), ("--by", "end", "--to")),
        (("birds", "illness", "--count", "x", "--by", "No"), ("--by", "--count", "illness")),
        (("birds", "label", "one", "--eggs", "x", "--by", "No"), ("--by", "--eggs", "label")),
    ],
    ids=lambda words: " ".join(map(str, words[:2])),
)
def test_every_word_that_cannot_be_read_is_told_at_once(
    arguments: tuple[str | Path, ...], options: tuple[str, ...]
) -> None:
    result = run(arguments[0], "-p", ANNOTATED, *arguments[1:])
    assert result.exit_code == 2
    lines = result.output.splitlines()
    assert sorted(line.split(": ")[1] for line in lines) == sorted(options)
    assert all(line.startswith(f"duskfold {arguments[0]}: ") for line in lines)
    assert all("; accepted: " in line for line in lines)


@pytest.mark.parametrize("day", ["0001-01-01", "1899-12-31", "2200-01-01", "9999-12-31"])
@pytest.mark.parametrize("command", [("today", "--date"), ("light", "--from"), ("week", "--date")])
def test_the_ends_of_the_calendar_are_refused(command: tuple[str, str], day: str) -> None:
    result = run(command[0], "-p", ANNOTATED, command[1], day)
    assert result.exit_code == 2
    assert "accepted: years 1900 to 2199" in result.output


def test_an_old_code_page_does_not_end_the_program() -> None:
    text = ANNOTATED.read_text().replace("Quince Lane", "Quince 🐔")
    Path("p.toml").write_text(text, encoding="utf-8")
    done = duskfold("today", "-p", "p.toml", PYTHONIOENCODING="cp1252", PYTHONUTF8="0")
    assert done.returncode == 0, done.stderr
    done = duskfold("today", "-p", "p.toml", "--json", PYTHONIOENCODING="cp1252", PYTHONUTF8="0")
    assert json.loads(done.stdout)["site"] == "quince-lane"


def test_feed_from_further_back_than_it_remembers_is_refused() -> None:
    result = run("feed", "-p", ANNOTATED, "--out", "c", "--data", "d", "--from", "2026-10-01")
    assert result.exit_code == 2
    assert "accepted: 2026-10-22 or a later day" in result.output
    assert not Path("c").exists()


def test_a_wrong_date_names_what_is_accepted() -> None:
    result = run("today", "-p", ANNOTATED, "--date", "21.12.2026")
    assert result.exit_code == 2
    assert "accepted: a date such as 2026-12-21" in result.output


def test_json_of_today_and_week() -> None:
    today = json.loads(run("today", "-p", ANNOTATED, "--json").output)
    assert today["coops"][0]["birds"] == 12
    assert today["rounds"][0]["round"] == "morning"
    assert today["rounds"][0]["jobs"][0] == {
        "id": "water",
        "subject": "walnut-house",
        "title": "Fill the drinkers and check the water",
        "minutes": 2,
        "why": (
            "A few hours without water cost eggs. Hens drink a quarter of their day's water in "
            "the last of the light."
        ),
        "urgent": False,
    }
    assert today["climate"] == "as given"
    week = json.loads(run("week", "-p", ANNOTATED, "--json").output)
    assert len(week["days"]) == 7
    assert week["days"][0] == today


def test_feed_writes_its_files_and_says_what_it_chose(tmp_path: Path) -> None:
    result = run("feed", "-p", ANNOTATED, "--out", "cal", "--data", "data")
    assert result.exit_code == 0
    assert sorted(path.name for path in Path("cal").iterdir()) == [
        "all.ics", "doors.ics", "jobs.ics", "lockup.ics", "seasons.ics",
    ]  # fmt: skip
    assert "2026-11-23 to 2027-03-07 (15 weeks)" in result.output
    assert stat.S_IMODE((tmp_path / "data").stat().st_mode) == 0o700
    before = {path.name: path.stat().st_mtime_ns for path in Path("cal").iterdir()}
    again = run("feed", "-p", ANNOTATED, "--out", "cal", "--data", "data")
    assert again.output.count("unchanged") == 5
    assert {path.name: path.stat().st_mtime_ns for path in Path("cal").iterdir()} == before


@unhurried
def test_feed_takes_away_the_calendar_of_a_house_that_is_gone() -> None:
    # Whoever subscribed to the folder would see its times for ever.
    house = '[site]\nname = "Orchard"\nlatitude = 51.5\nlongitude = -0.1\n'
    house += 'timezone = "Europe/London"\nregion = "UK"\n[climate]\n'
    house += 'coldest_month_low = "1 °C"\nwarmest_month_high = "23 °C"\n[[coop]]\nname = "Barn"\n'
    house += '[[flock]]\nname = "Girls"\ncoop = "barn"\nhens = 6\n'
    pen = '[[coop]]\nname = "Pen"\n[[flock]]\nname = "Few"\ncoop = "pen"\nhens = 3\n'
    Path("p.toml").write_text(house + pen, encoding="utf-8")
    run("feed", "-p", "p.toml", "--out", "cal", "--data", "data")
    houses = sorted(path.name for path in Path("cal").glob("house-*.ics"))
    assert houses == ["house-barn.ics", "house-pen.ics"]
    Path("cal/house-of-bees.ics").write_text("BEGIN:VCALENDAR")  # is somebody else's
    Path("p.toml").write_text(house, encoding="utf-8")
    told = run("feed", "-p", "p.toml", "--out", "cal", "--data", "data").output.splitlines()
    assert [line.split()[-1] for line in told[-2:]] == ["written", "removed"]
    left = sorted(path.name for path in Path("cal").glob("house-*.ics"))
    assert left == ["house-barn.ics", "house-of-bees.ics"], "whoever reads the barn's reads on"
    assert Path("cal/house-barn.ics").read_bytes() == Path("cal/lockup.ics").read_bytes()


def test_feed_obeys_days_and_warns() -> None:
    result = run(
        "feed", "-p", ANNOTATED, "--out", "cal", "--data", "data", "--days", "300", "--json"
    )
    assert "Note: lockup.ics has 900 events" in result.output
    facts = json.loads(result.stdout)
    assert {feed["feed"]: feed["events"] for feed in facts["feeds"]}["lockup"] == 900
    assert all(feed["last"] == "2027-10-16" for feed in facts["feeds"])


def test_feed_with_alarms() -> None:
    run("feed", "-p", ANNOTATED, "--out", "cal", "--data", "data", "--alarms")
    assert Path("cal/lockup.ics").read_bytes().count(b"BEGIN:VALARM") == 77


def test_a_file_where_the_folder_should_be_is_refused() -> None:
    Path("cal").write_text("a file stands where the folder should be")
    done = duskfold("feed", "-p", ANNOTATED, "--out", "cal", "--data", "data")
    assert done.returncode == 2
    assert 'found "cal"; accepted: a folder' in done.stderr


def test_feed_that_cannot_be_written_is_one_sentence_and_status_1() -> None:
    Path("cal").write_text("a file stands above the folder")
    done = duskfold("feed", "-p", ANNOTATED, "--out", "cal/new", "--data", "data")
    assert done.returncode == 1
    assert done.stderr == "duskfold: cal/new: Not a directory\n"


@unhurried
@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"this is not a database, whatever its name says" * 100, "It is not a Duskfold data file"),
        (None, "Another program is using it"),
    ],
)
def test_a_data_file_that_cannot_be_used_says_what_to_do(content: bytes | None, said: str) -> None:
    folder = Path("data")
    folder.mkdir()
    path = folder / "journal.sqlite3"
    if content is not None:
        path.write_bytes(content)
        done = duskfold("feed", "-p", ANNOTATED, "--out", "cal", "--data", "data")
    else:
        assert run("feed", "-p", ANNOTATED, "--out", "cal", "--data", "data").exit_code == 0
        with sqlite3.connect(path, isolation_level=None) as holder:
            holder.execute("BEGIN EXCLUSIVE")
            done = duskfold("today", "-p", ANNOTATED, DUSKFOLD_DATA="data")
        holder.close()
    assert done.returncode == 1
    assert said in done.stderr
    assert "Traceback" not in done.stderr


def test_no_profile_names_all_five_places_and_init() -> None:
    result = run("today")
    assert result.exit_code == 2
    for place in ("--profile", "DUSKFOLD_PROFILE", "./duskfold.toml", "duskfold init"):
        assert place in result.output
    assert len([line for line in result.output.splitlines() if line.startswith("  ")]) == 5


def test_profile_by_environment_then_folder_then_configuration(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    users = tmp_path / "home" / ".config" / "duskfold"
    users.mkdir(parents=True)
    text = ANNOTATED.read_text()
    (users / "duskfold.toml").write_text(text.replace("Quince Lane", "From config"))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "home" / ".config"))
    assert "From config" in run("today").output
    Path("duskfold.toml").write_text(text.replace("Quince Lane", "From here"))
    assert "From here" in run("today").output
    other = tmp_path / "other.toml"
    other.write_text(text.replace("Quince Lane", "From environment"))
    monkeypatch.setenv("DUSKFOLD_PROFILE", str(other))
    assert "From environment" in run("today").output
    assert "Quince Lane" in run("today", "-p", ANNOTATED).output


@unhurried
def test_data_by_option_then_environment_then_systemd(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def write(*more: str) -> None:
        assert run("feed", "-p", ANNOTATED, "--out", "cal", *more).exit_code == 0

    monkeypatch.setenv("STATE_DIRECTORY", f"{tmp_path / 'state'}:{tmp_path / 'second'}")
    write()
    assert (tmp_path / "state" / "journal.sqlite3").is_file()
    monkeypatch.setenv("DUSKFOLD_DATA", str(tmp_path / "named"))
    write()
    assert (tmp_path / "named" / "journal.sqlite3").is_file()
    write("--data", str(tmp_path / "given"))
    assert (tmp_path / "given" / "journal.sqlite3").is_file()


def test_a_profile_that_is_not_there_is_status_2() -> None:
    done = duskfold("today", "-p", "nowhere.toml")
    assert done.returncode == 2
    assert done.stderr == (
        "duskfold: nowhere.toml: No such file or directory. Write one with: duskfold init "
        "--profile nowhere.toml\n"
    )


@pytest.mark.parametrize("command", ["watch", "serve", "web"])
def test_what_runs_on_names_a_profile_that_is_not_there_as_the_others_do(
    command: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("logging.raiseExceptions", True)  # put back: it is the program's to set
    memory = resource.getrlimit(resource.RLIMIT_DATA)
    refused = run(command, "-p", "nowhere.toml", "--data", "data")
    assert refused.exit_code == 2
    assert refused.output.endswith("Write one with: duskfold init --profile nowhere.toml\n")
    assert resource.getrlimit(resource.RLIMIT_DATA) == memory, "bound only once it serves"


def test_a_coldest_month_alone_is_not_lost() -> None:
    given = ("--hens", "6", "--latitude", "46.1 -60.2", "--coldest-month-low", "-4 °C")
    refused = run("init", *given, "-p", "cold.toml")
    assert refused.exit_code == 2
    assert "--warmest-month-high" in refused.output
    assert "both or neither" in refused.output
    assert not Path("cold.toml").exists()


def test_problems_come_all_at_once_with_status_2_and_no_traceback() -> None:
    text = ANNOTATED.read_text()
    text = text.replace("latitude = 51.24", "latitude = 90.1").replace("hens = 12", "hens = 0")
    text = text.replace('cap = "22:30"', 'cap = "noon"').replace("mite-look", "mite-lok")
    Path("bad.toml").write_text(text)
    done = duskfold("check", "-p", "bad.toml")
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    lines = done.stderr.splitlines()
    assert [line.split(":")[2].strip() for line in lines[:-1]] == [
        "site.latitude", "lockup.cap", "flock[1].hens", "cares.mite-lok",
    ]  # fmt: skip
    assert "accepted: degrees from -90 to 90" in lines[0]
    assert 'Did you mean "mite-look"?' in lines[3]
    assert lines[-1] == "duskfold: 4 problems, so nothing was done."
    facts = json.loads(duskfold("check", "-p", "bad.toml", "--json").stdout)
    good = json.loads(run("check", "-p", ANNOTATED, "--json").output)
    assert facts.keys() == good.keys()
    assert facts["usable"] is False
    assert facts["problems"][0]["key"] == "site.latitude"


def test_every_room_tells_its_problems_together() -> None:
    text = ANNOTATED.read_text().replace('cap = "22:30"', 'cap = "03:00"\ncolour = "red"')
    Path("bad.toml").write_text(text.replace("sharpen-the-spade", "water"))
    keys = [
        problem["key"]
        for problem in json.loads(run("check", "-p", "bad.toml", "--json").output)["problems"]
    ]
    assert keys == ["lockup.cap", "lockup.colour", "care[1].id"]


def test_an_address_without_a_name_is_not_dropped() -> None:
    options = ("--latitude", "51", "--longitude", "7", "--hens", "3", "--mail", "a@example.org")
    result = run("init", *options)
    assert result.exit_code == 2
    assert "give --person" in result.output


@pytest.mark.parametrize(
    ("place", "told"),
    [
        (("--latitude", "51,5"), "Write decimals with a point."),
        (("--latitude", "51,5", "--longitude", "200"), 'found "200"; accepted: degrees from -180'),
        (("--latitude", "51,48 -2,6"), "Write decimals with a point."),
        (("--latitude", "51.5, -0.1", "--longitude", "3"), "The longitude is given as well"),
    ],
)
def test_a_decimal_comma_in_a_place_is_never_taken_for_another_place(
    place: tuple[str, ...], told: str
) -> None:
    result = run("init", "-p", "new.toml", *place, "--hens", "3")
    assert (result.exit_code, Path("new.toml").exists()) == (2, False)
    assert told in result.output
    assert "--latitude: found" in result.output


def test_check_names_what_leans_on_the_map_or_on_latitude() -> None:
    Path("p.toml").write_text(
        '[site]\nname = "A"\nlatitude = 51\nlongitude = 7\ntimezone = "Europe/Berlin"\n'
        '[[coop]]\nname = "C"\n[[flock]]\nname = "F"\nhens = 3\nothers = 2\n'
    )
    result = run("check", "-p", "p.toml")
    assert result.exit_code == 0
    assert "Temperatures from the climate map, ±1.5 °C." in result.output
    assert "Ducks and geese do not put themselves to bed" in result.output
    assert "from the climate map" in run("today", "-p", "p.toml").output
    at_sea = Path("p.toml").read_text().replace("51", "-40").replace("= 7", "= -110")
    Path("p.toml").write_text(at_sea.replace("Europe/Berlin", "Etc/GMT+7"))
    assert "Temperatures estimated from latitude." in run("today", "-p", "p.toml").output


def test_init_by_options_writes_what_check_accepts() -> None:
    result = run(
        "init", "--latitude", "40.03", "--longitude", "-86.1", "--hens", "9", "--roosters", "1",
        "--name", 'The "Old" Yard 🐔', "--coop", "Kip\\Haus", "--person", "Ana",
        "--mail", "ana@example.org", "--ranging", "ALL DAY", "--run", "secure",
    )  # fmt: skip
    assert result.exit_code == 0, result.output
    written = Path("duskfold.toml").read_text()
    assert 'timezone = "America/Indiana/Indianapolis"' in written
    assert 'units = "us"' in written
    checked = run("check")
    assert checked.exit_code == 0
    assert 'The "Old" Yard 🐔' in checked.output
    assert "9 hens, 1 rooster" in checked.output


@pytest.mark.parametrize(
    ("options", "written", "noted"),
    [
        ((), None, ""),  # nobody was asked
        (("--forecast", "no"), {"sources": []}, ""),
        (("--forecast", "yes"), {"sources": ["met-norway"]}, ""),
        (("--forecast", "yes", "--region", "US"), {"sources": ["met-norway"]}, ""),
        (("--forecast", "Met-Norway"), {"sources": ["met-norway"]}, ""),
        (("--forecast", "open-meteo"), {"sources": ["open-meteo"]}, "not earn money with it"),
        (("--forecast", "us-nws"), {"sources": ["us-nws"]}, "forecasts for the United States"),
    ],
)
def test_init_takes_the_answer_about_the_forecast_and_without_one_names_no_service(
    options: tuple[str, ...], written: dict[str, list[str]] | None, noted: str
) -> None:
    place = ("--latitude", "51", "--longitude", "7", "--hens", "3")
    result = run("init", *place, *options)
    assert result.exit_code == 0, result.output
    assert tomllib.loads(Path("duskfold.toml").read_text()).get("forecast") == written
    assert noted in result.output
    assert ("Is that" in result.output) is bool(noted)
    assert run("check").exit_code == 0


def test_init_in_the_us_names_their_own_service() -> None:
    place = ("--latitude", "40.03", "--longitude", "-86.1", "--hens", "3")
    assert run("init", *place, "--forecast", "yes").exit_code == 0
    assert tomllib.loads(Path("duskfold.toml").read_text())["forecast"] == {"sources": ["us-nws"]}


def test_init_never_replaces_a_profile_without_being_told() -> None:
    Path("duskfold.toml").write_text("# mine\n")
    options = ("--latitude", "51", "--longitude", "7", "--hens", "3")
    refused = run("init", *options)
    assert refused.exit_code == 2
    assert "was left alone" in refused.output
    assert Path("duskfold.toml").read_text() == "# mine\n"
    assert run("init", *options, "--force").exit_code == 0
    assert run("check").exit_code == 0


def test_init_without_a_terminal_names_what_is_missing() -> None:
    result = run("init", "--latitude", "51")
    assert result.exit_code == 2
    assert "give --longitude, --hens" in result.output
    assert not Path("duskfold.toml").exists()


def test_init_tells_everything_that_is_wrong_with_its_options_at_once() -> None:
    typed = {
        "--latitude": "abc", "--longitude": "-2,3", "--timezone": "Europe/Londn", "--units": "x",
        "--hens": "-3", "--coldest-month-low": "30", "--warmest-month-high": "99X", "--mail": "a",
    }  # fmt: skip
    result = run("init", *(text for pair in typed.items() for text in pair))
    assert result.exit_code == 2
    *lines, last = result.output.splitlines()
    assert last == "duskfold init: nothing was written."
    named = {line.split(": ")[1] for line in lines}
    assert named == {*typed} | {"--mail and --push belong to somebody, so give --person too."}
    assert not Path("duskfold.toml").exists()


def test_init_at_a_terminal_refuses_wrong_options_before_the_first_question(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("scheduler.cli.screens.init.is_terminal", lambda _: True)
    wrong = {
        "--units": "x", "--type": "tent", "--warmest-month-high": "99X", "--hens": "-3",
        "--mail": "a",
    }  # fmt: skip
    result = run("init", *(text for pair in wrong.items() for text in pair))
    assert result.exit_code == 2
    *lines, last = result.output.splitlines()
    assert last == "duskfold init: nothing was written."
    assert {line.split(": ")[1] for line in lines} == {*wrong}


@pytest.mark.parametrize(
    "options",
    [
        ("--warmest-month-high", "32 °C"),
        ("--coldest-month-low", "5 °C", "--latitude", "0, -30"),  # in the open sea
        ("--mail", "ana@example.org", "--run-floor", "3 m x 3 m"),
    ],
)
def test_init_at_a_terminal_asks_for_what_options_leave_out(
    monkeypatch: pytest.MonkeyPatch, options: tuple[str, ...]
) -> None:
    monkeypatch.setattr("scheduler.cli.screens.init.is_terminal", lambda _: True)
    assert "no more answers" in run("init", *options).output


@pytest.mark.parametrize("latitude", ["46.6", "52.2"])  # among mountains, in a plain
def test_init_writes_the_height_that_it_is_told_and_no_other(latitude: str) -> None:
    options = ("init", "--latitude", latitude, "--longitude", "8", "--hens", "3")
    for said in ((), ("--elevation", "320 m")):
        assert run(*options, *said, "--force").exit_code == 0
        written = tomllib.loads(Path("duskfold.toml").read_text("utf-8"))["site"]
        assert written.get("elevation") == (said[1] if said else None)


def test_init_blames_nothing_that_only_another_slip_makes_wrong() -> None:
    result = run(
        "init", "--latitude", "91", "--longitude", "103", "--timezone", "Asia/Singapore",
        "--hens", "3", "--coldest-month-low", "24", "--warmest-month-high", "32 °C",
    )  # fmt: skip
    refused = [line.split(": ")[1] for line in result.output.splitlines()[:-1]]
    assert refused == ["--latitude", "--coldest-month-low"]


def test_init_in_the_open_sea_asks_for_the_zone() -> None:
    options = ("init", "--latitude", "0", "--longitude", "-30", "--hens", "3")
    refused = run(*options)
    assert refused.exit_code == 2
    assert "--timezone: found nothing" in refused.output
    assert run(*options, "--timezone", "Atlantic/Azores").exit_code == 0


@pytest.mark.parametrize(
    ("option", "value", "said"),
    [
        ("--latitude", "91", "accepted: degrees from -90 to 90"),
        ("--timezone", "Europe/Pariss", 'Did you mean "Europe/Paris"?'),
        ("--timezone", "Asia/Tokyo", "away from longitude"),
        ("--region", "Texas", "accepted: US, UK, EU, AU, other"),
        ("--region", "GB", 'For the United Kingdom, write region = "UK".'),
        ("--units", "imperial", 'For British feet and gallons, write "uk"'),
        ("--elevation", "9000 m", "between -430 and 6000 m"),
        ("--kind", "heavyy", "Did you mean"),
        ("--hens", "0", "at least one bird"),
        ("--forecast", "maybe", "accepted: yes, no, met-norway, open-meteo, us-nws"),
        ("--forecast", "noaa", 'write "us-nws"'),
        ("--mail", "not-an-address", "one email address"),
        ("--name", "x" * 81, "at most 80 characters"),
    ],
)
def test_init_refuses_what_check_would_refuse(option: str, value: str, said: str) -> None:
    options = {"--latitude": "51", "--longitude": "7", "--hens": "3", "--person": "Ana"}
    options[option] = value
    result = run("init", *(text for pair in options.items() for text in pair))
    assert result.exit_code == 2
    assert said in result.output
    assert not Path("duskfold.toml").exists()


def test_version_shows_program_schema_and_zone_data() -> None:
    output = run("--version").output
    assert output.startswith(f"duskfold 0.1.0 (journal schema {VERSION}, tzdata 20")


@unhurried
def test_logs_go_to_standard_error_one_line_an_event_without_names() -> None:
    done = duskfold("--log-level", "info", "-p", ANNOTATED, "feed", "--out", "c", "--data", "d")
    assert "profile.opened coops=1 flocks=1" in done.stderr
    assert "feeds.published events=" in done.stderr
    for secret in ("Quince", "Robin", "example"):
        assert secret not in done.stderr
    wrong = run("--log-level", "loud", "today")
    assert wrong.exit_code == 2


def test_a_reader_that_leaves_early_hears_no_complaint() -> None:
    # More than a pipe holds, so that the program is still writing when `head` has gone.
    command = (
        f'"{sys.executable}" -m scheduler light -p "{ANNOTATED}" --from 2026-01-01 '
        "--to 2029-12-31 --json | head -1"
    )
    done = subprocess.run(
        ["bash", "-c", command],  # noqa: S607 - any bash will do
        capture_output=True,
        text=True,
        check=False,
    )
    assert json.loads(done.stdout)["date"] == "2026-01-01"
    assert done.stderr == ""


@unhurried
@pytest.mark.parametrize("zone", ["Pacific/Apia", "America/Nuuk", "Pacific/Easter", "UTC"])
def test_output_does_not_depend_on_the_zone_of_the_process(zone: str) -> None:
    arguments = ("light", "-p", ANNOTATED, "--from", "2026-03-27", "--to", "2026-03-31", "--json")
    here = run(*arguments).output
    assert duskfold(*arguments, TZ=zone).stdout == here


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_shell_completion_knows_the_commands(shell: str) -> None:
    done = duskfold(_DUSKFOLD_COMPLETE=f"source_{shell}")
    assert done.returncode == 0
    assert "_DUSKFOLD_COMPLETE" in done.stdout


def test_help_imports_no_heavy_library() -> None:
    code = (
        "import sys\n"
        "from scheduler.cli.app import app\n"
        "heavy = {'sqlalchemy', 'alembic', 'icalendar', 'tzfpy', 'astral', 'rich', 'tomlkit', "
        "'apscheduler'}\n"
        "print(sorted(heavy & {name.split('.')[0] for name in sys.modules}))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.strip() == "[]"


def test_today_imports_neither_database_nor_calendar_library() -> None:
    code = (
        "import sys\n"
        f"sys.argv = ['duskfold', 'today', '-p', {str(ANNOTATED)!r}]\n"
        "from scheduler.cli.app import app\n"
        "app(standalone_mode=False)\n"
        "heavy = {'sqlalchemy', 'alembic', 'icalendar', 'tzfpy', 'rich', 'tomlkit'}\n"
        "print(sorted(heavy & {name.split('.')[0] for name in sys.modules}))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.splitlines()[-1] == "[]"


@unhurried
def test_two_years_of_every_shipped_profile_without_a_gap() -> None:
    first, last = date(2026, 1, 1), date(2027, 12, 31)
    every = {(first + timedelta(days=n)).isoformat() for n in range((last - first).days + 1)}
    profiles = sorted((ROOT / "config").glob("*.toml"))
    assert len(profiles) >= 5
    for profile in profiles:
        output = run(
            "light", "-p", profile, "--from", str(first), "--to", str(last), "--json"
        ).output
        rows = [json.loads(line) for line in output.splitlines()]
        for coop in {row["coop"] for row in rows}:
            own = [row for row in rows if row["coop"] == coop]
            assert [row["date"] for row in own] == sorted(every)
            for row in own:
                assert row["lockup"] < row["latest"]
                assert (row["letout"] is None) is (row["letout_none"] == "nobody slept there")
            opened = [row for row in own if row["letout"]]
            assert opened == own[len(own) - len(opened) :], "each day, once its birds have come"
            for row, following in pairwise(opened):
                assert row["letout"] < row["lockup"] < row["latest"] < following["letout"]


WEATHER = ("--data", "data", "-p", ANNOTATED, "weather")
AT_HOME = ("--data", "data", "-p", ANNOTATED)


def test_what_was_ticked_is_listed_and_its_last_tick_can_be_taken_back() -> None:
    assert run(*AT_HOME, "jobs", "ticked").output == "No job has been ticked.\n"
    journal = open_journal(Path("data") / JOURNAL_NAME)
    with closing(journal), journal.writing() as writing:
        for hour, day in ((9, date(2026, 12, 20)), (8, date(2026, 12, 21))):
            at = datetime(2026, 12, 21, hour, tzinfo=UTC)
            keys = [TaskKey("heat-emergency", coop, day) for coop in ("a", "b")]
            keep_ticks(writing.connection, "quince-lane", keys, Done(who="Ana", at=at), at)
    assert run(*AT_HOME, "jobs", "ticked").output.count("heat-emergency") == 4
    refused = run(*AT_HOME, "jobs", "undo", "heat-emergancy")
    assert refused.exit_code == 2
    assert 'Did you mean "heat-emergency"?' in refused.output
    taken = run(*AT_HOME, "jobs", "undo", "heat-emergency").output.splitlines()
    what = "Taken back: Heat emergency: cool water, shade, moving air ({})"
    assert [line.startswith(what.format(at)) for line, at in zip(taken, "AB", strict=True)] == [
        True,
        True,
    ]
    assert "which Ana ticked for 2026-12-20 at 10:00 (Mon)." in taken[0]
    left = json.loads(run(*AT_HOME, "jobs", "ticked", "--json").output)["ticked"]
    assert {(one["date"], one["at"]) for one in left} == {("2026-12-21", "2026-12-21T08:00:00Z")}


def test_weather_changes_the_plan_at_once_and_can_be_taken_back() -> None:
    quiet = json.loads(run(*AT_HOME, "today", "--json").output)
    assert quiet["coops"][0]["range_none"] is None
    told = run(*WEATHER, "predator", "got-at")
    assert told.exit_code == 0
    assert (
        "Noted as 1: predator that got at the birds on Mon 21 Dec, until Sun 3 Jan." in told.output
    )
    after = json.loads(run(*AT_HOME, "today", "--json").output)
    assert after["coops"][0]["range_none"] == "predator"
    assert after["coops"][0]["lockup_basis"] == "predator"
    undone = run(*WEATHER, "undo", "1").output
    said = "predator that got at the birds on Mon 21 Dec, until Sun 3 Jan.\n"
    assert undone == f"Taken back: {said}If that was wrong: duskfold weather again 1\n"
    by = "because somebody at the terminal already took it back on Mon 21 Dec"
    assert run(*WEATHER, "undo", "1").output == f"Nothing was changed, {by}: {said}"
    assert json.loads(run(*WEATHER, "undo", "1", "--json").output)["done"] == "nothing was changed"
    assert json.loads(run(*AT_HOME, "today", "--json").output) == quiet
    put_back = run(*WEATHER, "again", "1").output
    assert put_back.startswith(f"As it was before: {said}")
    asked = put_back.splitlines()[1:]
    # Whoever puts it back is not rung for it, so it is said here, as it was when it was reported.
    assert asked
    assert set(asked) <= set(told.output.splitlines())
    assert json.loads(run(*AT_HOME, "today", "--json").output) == after


def test_heat_is_told_with_a_temperature_and_weekdays() -> None:
    result = run(*WEATHER, "heat", "36C", "--from", "sat", "--to", "mon")
    assert "heat of 36 °C from Sat 26 Dec to Mon 28 Dec" in result.output
    listed = json.loads(run(*WEATHER, "--json").output)["reports"]
    assert listed == [
        {
            "number": 1, "kind": "heat", "grade": None, "from": "2026-12-26", "to": "2026-12-28",
            "air_c": 36.0, "link": "", "who": "", "by": "somebody at the terminal",
            "confirmed_on": None,
        }
    ]  # fmt: skip
    jobs = json.loads(run(*AT_HOME, "today", "--date", "2026-12-27", "--json").output)["rounds"]
    ids = {job["id"] for walk in jobs for job in walk["jobs"]}
    assert {"heat-look", "heat-shade"} <= ids
    later = json.loads(run(*AT_HOME, "today", "--date", "2026-12-29", "--json").output)["rounds"]
    assert "heat-look" not in {job["id"] for walk in later for job in walk["jobs"]}


def test_an_order_lasts_until_it_is_ended() -> None:
    run(*WEATHER, "order", "--link", "https://example.org/order", "--who", "everybody")
    summer = ("today", "--date", "2027-06-01", "--json")
    assert json.loads(run(*AT_HOME, *summer).output)["coops"][0]["range_none"] == "housing order"
    assert "until further notice, applies to everybody" in run(*WEATHER).output
    assert run(*WEATHER, "end", "1", "--to", "2027-01-10").exit_code == 0
    assert json.loads(run(*AT_HOME, *summer).output)["coops"][0]["range_none"] is None


@pytest.mark.parametrize("until", [(), ("--to", "2026-12-21")])
def test_an_order_that_ends_today_is_said_to_hold_until_midnight(until: tuple[str, ...]) -> None:
    run(*WEATHER, "order", "--from", "2026-12-20", *until)
    assert "It stays in force until midnight tonight." in run(*WEATHER, "end", "1").output
    assert "midnight" not in run(*WEATHER, "over", "1").output


def test_ending_one_order_tells_of_another_that_still_holds() -> None:
    for who in ("everybody", "sellers of eggs"):
        run(*WEATHER, "order", "--who", who)
    ended = run(*WEATHER, "end", "1").output
    assert "Order 2 is still in force: housing order from Mon 21 Dec until further notice" in ended
    assert "still holds" not in run(*WEATHER, "end", "2").output


def test_an_order_of_a_fortnight_is_asked_about_where_reports_are_listed() -> None:
    run(*WEATHER, "order", "--from", "2026-12-08")
    assert "still in force?" not in run(*WEATHER).output
    run(*WEATHER, "order", "--from", "2026-12-07")
    asked = (
        "Is order 2 still in force? If so: duskfold weather confirm 2. "
        "If not: duskfold weather over 2."
    )
    assert asked in run(*WEATHER).output
    on_today = "A housing order began on 7 December. Is it still in force? Say so: duskfold weather"
    assert on_today in run(*AT_HOME, "today").output
    run(*WEATHER, "confirm", "2")
    assert "still in force?" not in run(*WEATHER).output
    assert on_today not in run(*AT_HOME, "today").output


def test_week_explains_once_what_is_due_in_two_houses() -> None:
    two = ROOT / "config" / "two-coops-three-flocks.toml"
    lines = run("week", "-p", two, "--date", "2026-11-03").output.splitlines()
    explained = [line for line in lines if "Weatherproof the house" in line]
    assert len(explained) == 1


def test_quarantine_and_an_empty_house_stand_on_today_and_week(tmp_path: Path) -> None:
    pen = (
        '[[coop]]\nname = "Pen"\n[[flock]]\nname = "Pullets"\ncoop = "pen"\nhens = 4\n'
        'raised_by = "bought"\narrived = 2026-12-2'
    )
    two = ROOT / "config" / "two-coops-three-flocks.toml"
    text = two.read_text(encoding="utf-8")
    for arrived, today, week in (
        ("0", "day 2 of 30", "2/30"),
        ("4", "Pullets come on 24", "no birds"),
    ):
        profile = tmp_path / "pen.toml"
        profile.write_text(f"{text}\n{pen}{arrived}\n", encoding="utf-8")
        assert today in " ".join(run("today", "-p", profile).output.split())
        assert week in " ".join(run("week", "-p", profile).output.split())


def test_heat_over_on_its_first_day_is_said_at_the_terminal_with_what_to_do_until_then() -> None:
    noted = run(*WEATHER, "heat", "38C").output.splitlines()
    assert noted[0] == "Noted as 1: heat of 38 °C on Mon 21 Dec."
    assert noted[1].startswith(
        "  Heat emergency: cool water, shade, moving air. Do it today at 12:31."
    )
    over = run(*WEATHER, "over", "1").output.splitlines()
    assert over[0] == "Over: heat of 38 °C on Mon 21 Dec, over the same day."
    assert "Heat emergency" not in run(*AT_HOME, "today").output
    run(*WEATHER, "again", "1")
    assert "Heat emergency" in run(*AT_HOME, "today").output


def test_a_house_that_was_said_to_be_empty_has_no_jobs() -> None:
    assert run(*AT_HOME, "elsewhere", "--count", "12").exit_code == 0
    today = run(*AT_HOME, "today", "--date", "2026-12-22").output
    assert "12 sleep elsewhere." in today
    assert "jobs," not in today
    week = run(*AT_HOME, "week", "--date", "2026-12-22").output
    assert week.count("no birds") == 7
    assert week.count("0 min") == 7
    jobs = json.loads(run(*AT_HOME, "jobs", "--json").output)["jobs"]
    assert {job["next_due"] for job in jobs if job["id"] == "litter-stirring"} == {None}


def test_an_order_is_kept_in_force_by_a_word() -> None:
    run(*WEATHER, "order")
    assert run(*WEATHER, "confirm", "1").output.startswith("Still in force: housing order from")
    (listed,) = json.loads(run(*WEATHER, "--json").output)["reports"]
    assert listed["confirmed_on"] == "2026-12-21"


@pytest.mark.parametrize(
    ("made", "arguments", "said"),
    [
        (("frost",), ("confirm", "1"), "This report ends by itself on 2026-12-21."),
        (
            ("order", "--from", "2026-12-01", "--to", "2026-12-10"),
            ("confirm", "1"),
            "found an order that ended on 2026-12-10",
        ),
        (("order",), ("end", "1", "--to", "2026-12-01"), "accepted: 2026-12-21 or a later day"),
        (("heat", "--from", "2026-12-19", "--to", "2026-12-20"), ("confirm", "1"), "It is over."),
        (("order",), ("again", "1"), "which has not changed since it was made"),
    ],
)
def test_what_cannot_be_said_of_a_report_is_refused(
    made: tuple[str, ...], arguments: tuple[str, ...], said: str
) -> None:
    run(*WEATHER, *made)
    before = run(*WEATHER, "--json").output
    result = run(*WEATHER, *arguments)
    assert result.exit_code == 2
    assert said in result.output
    assert run(*WEATHER, "--json").output == before


def test_every_change_of_a_report_is_taken_back_by_a_word() -> None:
    run(*WEATHER, "order", "--from", "2026-12-01")
    before = run(*WEATHER, "--json").output
    for what in ("confirm", "end", "undo"):
        assert "duskfold weather again 1" in run(*WEATHER, what, "1").output
        assert run(*WEATHER, "--json").output != before
        assert run(*WEATHER, "again", "1").exit_code == 0
        assert run(*WEATHER, "--json").output == before


def test_k11_the_answer_lists_what_changes_and_promises_nothing_else() -> None:
    mild = run(*WEATHER, "frost", "36F").output
    assert "Nothing changes in the plan: checks for ice begin at 0 °C." in mild
    made = json.loads(run(*WEATHER, "heat", "10C", "--yes", "--json").output)
    assert (made["number"], made["air_c"]) == (2, 10.0)
    assert made["changes"] == [
        "Nothing changes in the plan: shade and water for heat begin at 27\u00a0°C."
    ]


def test_of_two_who_reported_the_same_the_list_says_which_is_whose() -> None:
    for who in ("Robin", "Kim"):
        run(*WEATHER, "storm", "--by", who)
    rows = [line.split() for line in run(*WEATHER).output.splitlines()[:3]]
    assert rows[0] == ["no.", "reported", "by"]
    assert [(row[0], row[-1]) for row in rows[1:]] == [("1", "Robin"), ("2", "Kim")]


def test_a_sign_in_link_is_taken_back_at_the_terminal() -> None:
    made = run("links", "--sign-in", "Robin", *AT_HOME).output
    program = f"duskfold --profile {ANNOTATED} --data {Path('data').absolute()}"
    assert f"To cancel it: {program} links --take-back robin\n" in made
    back = ("links", "--take-back", "robin", *AT_HOME)
    assert run(*back).output == "Cancelled 1 sign-in link for Robin.\n"
    assert run(*back).output == "There was no sign-in link for Robin to cancel.\n"


def test_without_a_word_about_the_weather_no_weather_is_promised() -> None:
    said = run(*WEATHER).output
    assert "No weather, predator or order is reported." in said
    assert "Duskfold has no forecast" in said


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("heet", "36C"), 'Did you mean "heat"?'),
        (("heat", "warm"), "accepted: a temperature"),
        (("storm", "36C"), "accepted: no temperature here"),
        (("heat", "200F"), "accepted: heat between 32\u00a0°F and 140\u00a0°F"),
        (("frost", "80F"), "accepted: frost between"),
        (
            ("heat", "10C"),
            "10\u00a0°C is unusual for heat. Is it right? If so, run it again with --yes.",
        ),
        (("predator", "nearbye"), 'Did you mean "nearby"?'),
        (("storm", "--from", "someday"), "a weekday, yesterday, today, tomorrow"),
        (("storm", "--from", "2026-12-24", "--to", "2026-12-20"), "2026-12-24 or a later day"),
        (("end", "7"), "accepted: nothing, because no report is in force"),
        (("again", "7"), "accepted: nothing, because no report is in force"),
        (("storm", "--by", "Annn"), '--by: found "Annn"'),
        (("undo",), "the number of a report"),
    ],
)
def test_weather_that_cannot_be_understood_is_refused(
    arguments: tuple[str, ...], said: str
) -> None:
    result = run(*WEATHER, *arguments)
    assert result.exit_code == 2
    assert said in result.output
    assert "No weather, predator or order is reported." in run(*WEATHER).output


def test_year_is_one_screen_of_twelve_months() -> None:
    result = run("year", "-p", ANNOTATED)
    lines = result.output.splitlines()
    assert lines[0] == "Quince Lane, December 2026 to November 2027"
    assert len(lines) <= 24
    busy = r"2027 asks for \d\s+h \d+\s+min a week, more than the\s+usual 2\s+h"
    assert re.search(busy, result.output)
    told = json.loads(run("year", "-p", ANNOTATED, "--json").output)
    assert " ".join(told["too_much"][0].split()) in " ".join(result.output.split())
    months = told["months"]
    assert [month["month"] for month in months][:2] == ["2026-12", "2027-01"]
    assert all(month["lockup_earliest"] <= month["lockup_latest"] for month in months)


def test_why_explains_a_job_and_the_lock_up() -> None:
    stirring = run("why", "-p", ANNOTATED, "mite-look").output
    for word in ("Due by:", "Source:", "WSU PestSense", "To change:", "[cares.mite-look]"):
        assert word in stirring
    lock_up = run("why", "-p", ANNOTATED, "lock-up").output
    for word in ("Set by:", "angle", "Sunset:", "Civil dusk:", "Cap:", "22:30"):
        assert word in lock_up
    wrong = run("why", "-p", ANNOTATED, "mightlook")
    assert wrong.exit_code == 2
    assert 'Did you mean "mite-look"' in wrong.output


def test_why_of_every_job_of_the_catalogue_is_told() -> None:
    every = list(raw_catalogue()["care"])
    for care_id in every if UNHURRIED else every[::5]:
        result = run("why", "-p", ANNOTATED, care_id, "--json")
        assert result.exit_code == 0, care_id
        facts = {row["label"]: row["text"] for row in json.loads(result.output)["why"]}
        assert facts["Due by"]
        assert "{" not in facts["Job"] + facts["Why"], care_id


def test_why_tells_of_each_house() -> None:
    two = ROOT / "config" / "two-coops-three-flocks.toml"
    rows = json.loads(run("why", "-p", two, "lock-up", "--json").output)["why"]
    by_coop = {
        coop: {row["label"]: row["text"] for row in rows if row["coop"] == coop}
        for coop in ("stone-barn", "pear-tree-hut")
    }
    assert sum(map(len, by_coop.values())) == len(rows)
    assert all({"Why", "Set by", "Shut by", "Cap"} <= set(own) for own in by_coop.values())


def test_why_reckons_with_told_heat() -> None:
    asked = ("why", "-p", ANNOTATED, "drinker-look")
    assert "3.2 L a day" in run(*asked).output
    assert run("weather", "-p", ANNOTATED, "heat", "32C").exit_code == 0
    # Twelve medium hens at half a litre from 32 °C: common practice, no source.
    assert "6.0 L a day" in run(*asked).output


def test_figures_have_inputs_sources_and_say_what_is_unknown() -> None:
    facts = json.loads(run("figures", "-p", ANNOTATED, "--month", "1", "--json").output)
    figures = {figure["key"]: figure for figure in facts["coops"][0]["figures"]}
    assert figures["water"]["unit"] == "L"
    assert figures["water"]["value"] == pytest.approx(12 * 0.27, rel=0.01)
    assert all(figure["source"] and figure["mark"] in "SPQMCD" for figure in figures.values())
    assert [setting["season"] for setting in facts["coops"][0]["vents"]] == ["cold", "mild", "hot"]
    northern = run("figures", "-p", ROOT / "config" / "southern-ark.toml")
    assert "unknown: give [[coop.vent]]" in northern.output
    both = run("figures", "-p", ANNOTATED, "--month", "1", "--date", "2026-01-01")
    assert both.exit_code == 2


@pytest.mark.parametrize(("month", "date"), [("11", "2027-11-15"), ("12", "2026-12-15")])
def test_a_month_of_the_figures_is_one_that_is_not_over(month: str, date: str) -> None:
    facts = json.loads(run("figures", "-p", ANNOTATED, "--month", month, "--json").output)
    assert facts["date"] == date
