"""What a keeper types at the terminal is taken as meant: figures below zero, names, --json."""

import json
import os
import re
import shlex
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest
import typer
from freezegun import freeze_time
from typer.testing import CliRunner, Result

from scheduler.cli import completion, running
from scheduler.cli.app import app
from scheduler.cli.figures_typed import figures_told
from scheduler.profile.package_data import catalogue as raw_catalogue
from scheduler.service.jobs.usual_words import WORDS_FOR_JOBS
from tests.unhurried import unhurried

# Its models are made when it is first imported, which must not be on a frozen day.
assert running.__name__
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


@pytest.mark.parametrize(
    "line",
    ["today", "weather storm", "closed", "health", "links", "feed --out cal", "web", "watch"],
)
def test_k16_a_file_in_place_of_the_data_folder_is_refused_with_the_next_step(line: str) -> None:
    Path("taken").write_text("mine")
    command, *rest = line.split()
    result = typed(f"--data taken {command} {' '.join(rest)}")
    assert result.exit_code == 2
    assert 'found "taken", which is a file; accepted: a folder' in result.output
    assert Path("taken").read_text() == "mine"


def test_k16_a_folder_in_place_of_the_profile_is_refused_with_the_next_step() -> None:
    result = typed("today", Path())
    assert result.exit_code == 2
    assert "A profile is a file, such as duskfold.toml" in result.output


def changed(old: str, new: str) -> Path:
    text = ANNOTATED.read_text(encoding="utf-8")
    assert old in text
    Path("changed.toml").write_text(text.replace(old, new, 1), encoding="utf-8")
    return Path("changed.toml")


def test_k16_more_birds_than_a_small_flock_are_asked_about() -> None:
    asked = "300 birds: is that right?"
    assert asked in typed("check", changed("hens = 12", "hens = 300")).output
    assert "is that right" not in typed("check").output


def test_k18_what_feeders_hold_gives_the_days_between_fills() -> None:
    def lasts(profile: Path) -> dict[str, object]:
        coop = json.loads(typed("figures --json", profile).output)["coops"][0]
        figures = {figure["key"]: figure for figure in coop["figures"]}
        assert isinstance(figures["feeder-days"], dict)
        return figures["feeder-days"] | {"feed": figures["feed"]["value"]}

    known = lasts(ANNOTATED)
    # Six kilograms of feed, divided by what the birds eat in a day.
    assert known["value"] == pytest.approx(6 / float(str(known["feed"])), rel=0.01)
    assert lasts(changed('capacity = "6 kg"', "")) | {"note": ""} != known
    assert lasts(Path("changed.toml"))["value"] is None


@pytest.mark.parametrize(("lux", "said"), [(3, "dim"), (12, "is usual"), (80, "birds peck more")])
def test_k18_the_light_of_a_lamp_is_held_against_the_usual(lux: int, said: str) -> None:
    text = TWO.read_text(encoding="utf-8")
    assert "lux = 10\n" in text
    Path("changed.toml").write_text(text.replace("lux = 10\n", f"lux = {lux}\n"), encoding="utf-8")
    coops = json.loads(typed("figures --json", Path("changed.toml")).output)["coops"]
    [told] = [one for coop in coops for one in coop["figures"] if one["key"] == "lamp-lux"]
    assert told["value"] == lux
    assert said in told["note"]
    assert "from memory" in told["source"]


def test_k18_only_of_shavings_is_it_known_what_a_bale_gives() -> None:
    thin = 'material = "shavings"\ndepth = "10 cm"'
    shavings = typed("check", changed(thin, 'material = "shavings"\ndepth = "2 cm"')).output
    assert "bales of about 227 L" in shavings
    straw = typed("check", changed(thin, 'material = "straw"\ndepth = "2 cm"')).output
    assert "227 L" not in straw
    assert "straw: see the label" in straw


def test_k18_ducks_have_a_time() -> None:
    profile = changed("hens = 12", "hens = 12\nothers = 2")
    [line] = [
        line for line in typed("today", profile).output.splitlines() if line.strip()[:6] == "Others"
    ]
    sunset = json.loads(typed("light --json", profile).output)["sunset"]
    assert sunset.startswith("2026-12-21T15:27")
    assert line.split()[1] == "16:27"  # an hour ahead of UTC


# Each in its place: what was reported, then what is said of it.
WITH_JSON = (
    "today", "week", "light", "year", "figures", "check", "check --rules eu", "why water",
    "weather", "weather measured -3.4C", "weather storm", "weather frost -5C", "weather end 1",
    "weather undo 2", "weather again 2", "health --agree-clock --yes",
    "closed --yes", "reopened", "closed --yes --count 3", "found", "reopened",
    "closed --yes --count 3", "not-found", "elsewhere --count 1", "elsewhere --back --count 1",
    "feed --out cal", "health", "links", "links Robin", "links --renew Robin --yes",
    "links --sign-in Robin", "links --take-back Robin", "links --screen Kitchen",
    "links --take-back Kitchen",
)  # fmt: skip


@unhurried
def test_k18_every_command_with_json_prints_json_and_nothing_else() -> None:
    for line in WITH_JSON:
        done = typed(f"{line} --json", at="2026-12-21T16:30:00Z")
        for printed in done.stdout.splitlines():
            assert isinstance(json.loads(printed), dict), line
        assert done.stdout.strip(), (line, done.output)


def test_k18_a_report_made_or_ended_is_told_in_json() -> None:
    made = json.loads(typed("weather storm --json").output)
    assert made["done"] == "noted"
    again = json.loads(typed("weather end 1 --json").output)
    assert again["done"] == "nothing was changed", "it ends today as it is"
    typed("weather undo 1")
    assert json.loads(typed("weather again 1 --json").output)["done"] == "as it was before"
    typed("weather undo 1")
    typed("weather storm --to tomorrow")
    assert made["number"] == 1
    assert json.loads(typed("weather end 2 --json").output)["done"] == "ended"
    assert json.loads(typed("weather undo 2 --json").output)["done"] == "taken back"


@pytest.mark.parametrize(
    ("said", "job"),
    [
        ("mites", "mite-look"),
        ("red mite", "mite-look"),
        ("eggs", "egg-collection"),
        ("worming", "quarantine-count"),
        ("let-out", "let-out"),
        ("let out", "let-out"),
        ("closing", "lock-up"),
        ("free range", "range"),
        ("smoke alarm", "electric-check"),
        ("Litter", "litter-stirring"),
        ("frostbite", "comb-look"),
        ("MITE-LOOK", "mite-look"),
        ("sharpen", "sharpen-the-spade"),
    ],
)
def test_k15_why_takes_what_a_keeper_types(said: str, job: str) -> None:
    result = typed(f"why {said} --json")
    assert result.exit_code == 0, result.output
    assert json.loads(result.output)["job"] == job


def test_k15_of_several_that_fit_the_nearest_few_are_offered() -> None:
    result = typed("why drinkers")
    assert result.exit_code == 2
    assert "Did you mean drinker-" in result.output
    assert "drinker-scrub (Scrub the drinkers)" in result.output
    assert typed("why 鸡").exit_code == 2
    assert typed('why ""').exit_code == 2


def test_k15_every_usual_word_leads_to_a_job_there_is() -> None:
    known = {job["id"] for job in json.loads(typed("jobs --json").output)["jobs"]}
    assert set(WORDS_FOR_JOBS) <= known
    said = [word for words in WORDS_FOR_JOBS.values() for word in words.split()]
    assert len(said) == len(set(said))


def test_k15_jobs_lists_every_job_on_or_off_with_its_next_day() -> None:
    jobs = {job["id"]: job for job in json.loads(typed("jobs --json").output)["jobs"]}
    assert set(raw_catalogue()["care"]) <= set(jobs)
    assert jobs["water"] == {
        "id": "water",
        "title": "Fill the drinkers and check the water",
        "on": True,
        "often": "every day",
        "next_due": "2026-12-21",
        "waits": "",
    }
    assert "sharpen-the-spade" in jobs
    off = next(job for job in jobs.values() if not job["on"])
    assert off["next_due"] is None
    shown = typed("jobs").output
    assert "In the plan" in shown
    assert all(job_id in shown for job_id in jobs)


@pytest.mark.parametrize(
    ("line", "offered"),
    [
        ("why mite", "mite-look"),
        ("why let", "let-out"),
        ("weather sto", "storm"),
        ("weather mea", "measured"),
        ("weather measured 3C --sensor ", "garden"),
        ("light --coop pear", "pear-tree-hut"),
        ("closed --by ", "lou"),
        ("links ", "lou"),
    ],
)
def test_k15_the_shell_offers_jobs_reports_houses_and_people(line: str, offered: str) -> None:
    words = f"duskfold -p {TWO} {line}"
    done = subprocess.run(
        [sys.executable, "-m", "scheduler"],
        capture_output=True,
        text=True,
        check=False,
        env={
            **os.environ,
            "_DUSKFOLD_COMPLETE": "complete_bash",
            "COMP_WORDS": words,
            "COMP_CWORD": str(len(words.split()) - (not words.endswith(" "))),
        },
    )
    assert offered in done.stdout.splitlines(), done.stderr


def test_k15_completion_keeps_quiet_about_a_broken_profile() -> None:
    Path("broken.toml").write_text("[site", encoding="utf-8")
    for path in ("broken.toml", "nowhere.toml"):
        context = SimpleNamespace(parent=None, params={"profile": Path(path)})
        assert completion.jobs(context, "") == []


@pytest.mark.parametrize(
    "line",
    [
        'closed --coop ""',
        'closed --by ""',
        'closed --at ""',
        "closed --count nan",
        "closed --count -1",
        "closed --count 99999999999999999999999",
        "figures --month 13",
        "feed --out cal --days 0",
        'feed --out ""',
        '--data "" today',
        'links ""',
        'links --renew ""',
        'links --screen ""',
        'test-alert ""',
        'weather ""',
        "weather heat NaNC",
        "weather end 99999999999999999999",
        "init -p new.toml --latitude nan --longitude 7 --hens 3",
        "init -p new.toml --latitude 51 --longitude 7 --hens 99999999999999999999",
        'init -p new.toml --latitude 51 --longitude 7 --hens 3 --name ""',
        "init -p . --latitude 51 --longitude 7 --hens 3 --force",
    ],
)
def test_odd_input_is_refused_with_what_is_accepted(line: str) -> None:
    before = sorted(Path().rglob("*.toml")) + sorted(Path().rglob("*.ics"))
    result = typed(line)
    assert result.exit_code == 2, (line, result.output)
    assert "accepted: " in result.output or "A profile is a file" in result.output
    assert sorted(Path().rglob("*.toml")) + sorted(Path().rglob("*.ics")) == before


@unhurried
@pytest.mark.parametrize("name", ["مزرعة الدجاج", "רות", "鸡舍 🐔", "W" * 80, "Q " * 39 + "Q"])
def test_any_name_fits_every_screen(name: str) -> None:
    profile = changed("Walnut House", name)
    for line in ("today", "week", "year", "light", "check", "figures", "jobs", "why let-out"):
        result = typed(line, profile)
        assert result.exception is None or isinstance(result.exception, SystemExit), line


@pytest.mark.parametrize("command", ["figures --json", "year", "jobs"])
@pytest.mark.parametrize("output", ["| head -1 >/dev/null", ">&-"])
@unhurried
def test_output_that_nobody_reads_ends_without_a_complaint(command: str, output: str) -> None:
    done = subprocess.run(
        ["bash", "-c", f'"{sys.executable}" -m scheduler -p "{ANNOTATED}" {command} {output}'],  # noqa: S607 - any bash will do
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stderr == ""


def test_k13_answers_that_cannot_be_written_are_not_lost() -> None:
    result = typed("init -p /proc/nowhere/p.toml --latitude 51 --longitude 7 --hens 3")
    assert result.exit_code == 1
    assert "hens = 3" in result.stdout
    assert "The profile is printed above." in result.output


def test_help_names_what_is_meant_and_no_type_of_the_language() -> None:
    commands = getattr(typer.main.get_command(app), "commands", {})
    assert commands
    for name in (*commands, "journal copy"):
        said = CliRunner().invoke(app, [*name.split(), "--help"])
        assert said.exit_code == 0, name
        assert not {"<", "INTEGER"} & {*re.findall(r"<|INTEGER", said.output)}, name
