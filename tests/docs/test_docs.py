"""The documents say what the program does: every command, option, setting and status is in them."""

import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import typer

from scheduler.cli import faults
from scheduler.cli.app import app
from scheduler.feeds.feed_names import house_feed
from scheduler.service.calendars.calendar_files import MOST_BYTES, MOST_EVENTS
from scheduler.service.calendars.publish import LEAST_WEEKS, PAST_WEEKS, weeks_of
from scheduler.wording.sources.attribution import ClimateAttribution, PlacesAttribution

ROOT = Path(__file__).parents[2]
PROFILES_ARE_OF = date(2026, 11, 28)  # their young are as old as they say on this day
README = (ROOT / "README.md").read_text(encoding="utf-8")


def every_command(group: Any, before: str = "") -> Iterator[tuple[str, Any]]:
    """Each command with its name, those of a group as well."""
    for name, command in group.commands.items():
        if hasattr(command, "commands"):
            yield from every_command(command, f"{before}{name} ")
        else:
            yield before + name, command


def test_every_command_and_option_stands_in_the_readme() -> None:
    group = typer.main.get_command(app)
    commands = dict(every_command(group))
    assert {"today", "journal copy"} <= commands.keys()
    for name, command in commands.items():
        starts = (f"| `duskfold {name}`", f"| `duskfold {name} ")
        row = next(line for line in README.splitlines() if line.startswith(starts))
        general = README.split("## Commands")[1].split("\n\n")[1]
        for parameter in command.params:
            for option in (*parameter.opts, *parameter.secondary_opts):
                if not option.startswith("-"):
                    called = {option.upper(), parameter.metavar}  # an argument stands in capitals
                    is_said = any(f" {one}" in row for one in called)
                    assert is_said or called & {"WHAT", "DETAIL"}, f"{name} {option}"
                    continue
                assert f"`{option}" in row + general, f"{name} {option}"
    for parameter in group.params:
        for option in parameter.opts:
            assert option in README, option


def test_every_environment_variable_stands_in_the_readme() -> None:
    source = "".join(path.read_text() for path in (ROOT / "scheduler").rglob("*.py"))
    names = set(re.findall(r"\bDUSKFOLD_[A-Z_]+\b|\bSTATE_DIRECTORY\b", source))
    assert names >= {"DUSKFOLD_PROFILE", "DUSKFOLD_DATA", "STATE_DIRECTORY"}
    for name in names:
        assert f"`{name}`" in README, name


def test_every_exit_status_stands_in_the_readme() -> None:
    table = README.split("| exit status |")[1].split("\n\n")[0]
    for status in (0, faults.FAILED, faults.CANNOT_USE):
        assert f"\n| {status} |" in table


@pytest.mark.parametrize("name", ["reference", "sources"])
def test_a_page_that_is_written_from_the_program_is_as_it_writes_it(name: str) -> None:
    # When this fails: python tests/docs/reference.py, or python tests/docs/sources.py
    printed = subprocess.run(
        [sys.executable, "-c", f"import {name}; print({name}.page(), end='')"],
        capture_output=True,
        text=True,
        check=True,
        cwd=Path(__file__).parent,
        env={"PYTHONPATH": f"{ROOT}:{Path(__file__).parent}", "PYTHONIOENCODING": "utf-8"},
    )
    assert printed.stdout == (ROOT / f"config/{name.upper()}.md").read_text(encoding="utf-8")
    assert f"config/{name.upper()}.md" in README


def test_every_shipped_profile_is_named_in_the_readme() -> None:
    for profile in (ROOT / "config").glob("*.toml"):
        assert f"config/{profile.name}" in README


@pytest.mark.parametrize(
    "path", sorted((ROOT / "config").glob("*.toml")), ids=lambda path: path.stem
)
def test_c2_every_shipped_profile_has_its_ids_written(path: Path) -> None:
    profile = tomllib.loads(path.read_text("utf-8"))
    named = [profile["site"], *profile["coop"], *profile["flock"], *profile.get("person", ())]
    assert [one["name"] for one in named if "id" not in one] == []


@pytest.mark.parametrize(
    ("name", "flock", "least_weeks", "under_weeks"),
    [
        ("southern-ark", "spring-hatch", 6, 16),  # a young flock that joins the hens
        ("two-coops-three-flocks", "broody-and-chicks", 0, 6),  # chicks with their hen
        ("two-coops-three-flocks", "new-pullets", 12, 18),  # pullets, not yet of an age to lay
    ],
)
def test_the_young_of_the_shipped_profiles_are_as_old_as_their_comments_say(
    name: str, flock: str, least_weeks: int, under_weeks: int
) -> None:
    profile = tomllib.loads((ROOT / f"config/{name}.toml").read_text("utf-8"))
    (found,) = (one for one in profile["flock"] if one["id"] == flock)
    assert least_weeks <= (PROFILES_ARE_OF - found["hatched"]).days / 7 < under_weeks
    if found["raised_by"] == "bought":
        assert 0 <= (PROFILES_ARE_OF - found["arrived"]).days < 30  # in quarantine


def test_c9_the_readme_says_of_calendars_what_is_published() -> None:
    rows = README.split("| weeks ahead at most |\n|---|---|---|\n")[1].split("\n\n")[0].splitlines()
    said = {row.split("`")[1].partition(".ics")[0]: row.split("|")[3].strip() for row in rows}
    seasons = weeks_of("seasons")
    assert said == {
        "lockup": f"{weeks_of('lockup')}",
        "jobs": f"{weeks_of('jobs')}",
        "seasons": f"{seasons}",
        "all": f"{weeks_of('all')}, seasons {seasons}",
        "doors": f"{weeks_of('doors')}",
        "house-ID": f"{weeks_of(house_feed('ash'))}",
    }
    numbers = {3: "three", 4: "four"}
    assert f"({MOST_EVENTS} events and {MOST_BYTES // 1000} KB at most" in README
    assert f"for the last {numbers[PAST_WEEKS]} weeks stays" in README
    assert f"ahead down to {numbers[LEAST_WEEKS]}, then of the past" in README


def test_each_promise_of_the_readme_is_held_by_tests_that_are_there() -> None:
    promises = README.split("What it promises:\n\n")[1].split("\n\n")[0].splitlines()
    developers = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    rows = developers.split("| promise | held by |\n|---|---|\n")[1].split("\n\n")[0].splitlines()
    for row, promise in zip(rows, promises, strict=True):
        called, held_by = row.strip("| ").split(" | ")
        words = re.findall(r"\w+", called)
        assert set(words) <= set(re.findall(r"\w+", promise.casefold())), (called, promise)
        tests = re.findall(r"`(tests/[a-z_/]+\.py)::(test_\w+)`", held_by)
        assert tests, row
        for path, test in tests:
            source = (ROOT / path).read_text(encoding="utf-8")
            assert re.search(rf"^def {test}\(", source, re.MULTILINE), f"{path}::{test}"
        for path in re.findall(r"`(tests/[a-z_/]+\.py)`", held_by):
            assert (ROOT / path).is_file(), path


def test_the_readme_has_two_commands_to_try_it() -> None:
    tried = README.split("\n## Try it\n")[1].split("\n## ")[0]
    assert re.findall(r"```sh\n(.*?)\n```", tried, re.DOTALL) == [
        "python3 deploy/try.py",
        "python3 tests/run.py",
    ]


@pytest.mark.parametrize(
    "page", ["README.md", "DEVELOPERS.md", "deploy/README.md", "deploy/postgresql.md"]
)
def test_links_lead_somewhere(page: str) -> None:
    path = ROOT / page
    for target in re.findall(r"\]\(([^)#]+)(?:#[^)]*)?\)", path.read_text(encoding="utf-8")):
        assert target.startswith("http") or (path.parent / target).exists(), target


def test_each_dependency_has_its_line_in_developers() -> None:
    project = (ROOT / "pyproject.toml").read_text()
    lists = project.split("dependencies = [")[1].split("]")[0]
    lists += project.split("\ntest = [")[1].split("]")[0]
    lists += project.split("\nreference = [")[1].split("]")[0]
    names = re.findall(r'"([A-Za-z0-9-]+)(?:\[\w+\])?>=', lists)
    assert len(names) > 15
    developers = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    for name in names:
        assert re.search(rf"^\| {re.escape(name)} \|", developers, re.MULTILINE), name


@pytest.mark.parametrize(
    ("another", "ours"),
    [
        (r"disease orders?\b", "housing order"),
        (r"\bas lost\b", "given up for lost"),
        (r"\bpredator (that )?got in\b|\bgot-in\b", "got at the birds"),
        (
            r"\b(is|are|were) away or\b|\b(should be|\d) elsewhere\b|\bbirds? away\b",
            "sleeps elsewhere",
        ),
    ],
)
def test_one_word_for_one_thing_in_what_people_read(another: str, ours: str) -> None:
    kinds = {".py", ".html", ".toml", ".js"}
    files = [path for path in (ROOT / "scheduler").rglob("*") if path.suffix in kinds]
    for path in [*files, ROOT / "README.md", ROOT / "CHANGELOG.md"]:
        text = re.sub(r"\s+", " ", path.read_text(encoding="utf-8"))
        found = re.search(another, text, re.IGNORECASE)
        assert not found, f"{path}: {found[0]}; we say {ours}"


def test_each_module_that_the_contributors_guide_names_is_there() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    rooms = {path.name for path in (ROOT / "scheduler").iterdir() if path.is_dir()}
    dotted = re.findall(r"`([a-z]+(?:\.[a-z_]+)+)(?:\.[A-Z]\w*)?`", text)
    named = [name.replace(".", "/") for name in dotted if name.split(".")[0] in rooms]
    named += [
        name.removesuffix(".py") for name in re.findall(r"`([a-z_/]+\.py)`", text) if "/" in name
    ]
    assert len(named) > 40
    missing = []
    for name in named:
        base = ROOT / name if name.startswith(("tests/", "deploy/")) else ROOT / "scheduler" / name
        # The last part may be what the module offers.
        if not any(
            path.exists()
            for path in (base.with_suffix(".py"), base, base.parent.with_suffix(".py"))
        ):
            missing.append(name)
    assert missing == []


def test_whose_data_the_climate_map_is_made_of_goes_with_it() -> None:
    terms = Path("scheduler/climate/LICENCE.md")
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert str(terms.as_posix()) in project["license-files"]
    assert ClimateAttribution.climate_map() in README
    assert f"({terms.as_posix()})" in README
    said = " ".join((ROOT / terms).read_text(encoding="utf-8").split())
    assert ClimateAttribution.climate_map() in said
    # The wording that Copernicus, Deutscher Wetterdienst and the makers of the heights ask for.
    for wanted in (
        "contains modified Copernicus Climate Change Service information",
        "Neither the European Commission nor ECMWF is responsible",
        "https://creativecommons.org/licenses/by/4.0/",
        "data basis Deutscher Wetterdienst",
        "(c) Commonwealth of Australia (Geoscience Australia) 2017",
        "Open Government Licence - Canada",
        "(c) Kartverket",
    ):
        assert wanted in said


def test_whose_data_the_places_are_goes_with_them() -> None:
    terms = Path("scheduler/places/LICENCE.md")
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert str(terms.as_posix()) in project["license-files"]
    said = " ".join((ROOT / terms).read_text(encoding="utf-8").split())
    for text in (README, said):
        assert PlacesAttribution.place_names() in text
    assert f"({terms.as_posix()})" in README
    for wanted in (
        "GeoNames (https://www.geonames.org/)",
        "https://creativecommons.org/licenses/by/4.0/",
        'provided "as is"',
        "Changes:",
    ):
        assert wanted in said


def test_two_small_pictures_follow_the_first_paragraph() -> None:
    paragraphs = README.split("\n\n")
    shown = re.findall(r'<img src="(deploy/pictures/[^"]+)"[^>]* alt="([^"]{20,})"', paragraphs[2])
    assert len(shown) == 2
    for path, _ in shown:
        assert (ROOT / path).stat().st_size <= 150_000
