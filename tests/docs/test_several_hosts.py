"""deploy/postgresql.md and the files for containers: that what they name is there."""

import re
from pathlib import Path
from typing import Any

import pytest
import typer
import yaml

from scheduler.cli.app import app
from tests.sinks.postgres import Postgres

ROOT = Path(__file__).parents[2]
DEPLOY = ROOT / "deploy"
PAGE = (DEPLOY / "postgresql.md").read_text(encoding="utf-8")
IMAGE = (DEPLOY / "Dockerfile").read_text(encoding="utf-8")
PASSED_ON = re.compile(r"\bDUSKFOLD_[A-Z_]+(?==)")


@pytest.fixture(scope="module")
def compose() -> dict[str, Any]:
    """What stands in compose.postgresql.yaml."""
    text = (DEPLOY / "compose.postgresql.yaml").read_text(encoding="utf-8")
    found = yaml.safe_load(text)
    assert isinstance(found, dict)
    return found


def test_each_command_of_the_page_is_one_of_the_program() -> None:
    named = re.findall(r"\bhens ([a-z-]+)", PAGE)
    named += re.findall(r"\bduskfold ([a-z]+)$", PAGE, re.MULTILINE)
    commands = getattr(typer.main.get_command(app), "commands", {})
    assert set(named) - set(commands) == set()
    assert {"accept", "check", "health", "links"} <= set(named)


@pytest.mark.postgresql
def test_each_question_of_the_page_has_an_answer(postgres: Postgres, empty_journal: str) -> None:
    asked = re.findall(r"```sql\n(SELECT .*?)\n```", PAGE, re.DOTALL)
    asked += re.findall(r"`(SELECT [^`]+)`", PAGE)
    assert len(asked) == 3
    for question in asked:
        here = question.replace("'duskfold')", "current_database())")
        postgres.sql(here, empty_journal)


def test_each_service_has_only_what_the_file_declares(compose: dict[str, Any]) -> None:
    for name, service in compose["services"].items():
        assert set(service["secrets"]) <= set(compose["secrets"]), name
        kept = {one.partition(":")[0] for one in service["volumes"]}
        assert {one for one in kept if not one.startswith("./")} <= set(compose["volumes"]), name
        assert set(service.get("depends_on", ())) <= set(compose["services"]), name


def test_two_remind_each_by_a_name_and_a_folder_of_its_own(compose: dict[str, Any]) -> None:
    hosts = [one for one in compose["services"].values() if one["image"] == "duskfold"]
    assert len(hosts) == 2
    assert len({one["hostname"] for one in hosts}) == 2
    assert len({one["volumes"][-1] for one in hosts}) == 2
    assert all(one["command"] == ["serve"] for one in hosts)


def test_s1_no_secret_stands_in_the_files_and_none_can_be_committed(
    compose: dict[str, Any],
) -> None:
    ignored = (ROOT / ".gitignore").read_text(encoding="utf-8").splitlines()
    for secret in compose["secrets"].values():
        folder = Path(secret["file"]).parent
        assert f"/deploy/{folder}/" in ignored
    assert all("PASSWORD" not in name or name.endswith("_FILE") for name in _environment(compose))


def _environment(compose: dict[str, Any]) -> list[str]:
    return [name for one in compose["services"].values() for name in one.get("environment", ())]


def test_the_image_is_made_of_what_is_there_and_runs_as_nobody_much() -> None:
    copied = re.findall(r"^COPY (?!--)(.*) \S+$", IMAGE, re.MULTILINE)
    assert copied
    for name in " ".join(copied).split():
        assert (ROOT / name).exists(), name
    users = re.findall(r"^USER (.*)$", IMAGE, re.MULTILINE)
    assert users == ["duskfold"]
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    for variable in PASSED_ON.findall(IMAGE):
        assert f"`{variable.removesuffix('_FILE')}" in readme, variable


def test_s1_a_host_looks_for_its_secrets_where_compose_puts_them(
    compose: dict[str, Any],
) -> None:
    hosts = [one for one in compose["services"].values() if one["image"] == "duskfold"]
    for one in hosts:
        named = [path for path in one["environment"].values() if path.startswith("/run/secrets/")]
        assert {Path(path).name for path in named} == set(one["secrets"])


def test_what_the_page_changes_of_the_shipped_proxy_is_in_it() -> None:
    shipped = (DEPLOY / "nginx.conf").read_text(encoding="utf-8")
    (told,) = re.findall(r"for both `(proxy_pass [^`]+;)`", PAGE)
    assert shipped.count(told) == 2
    assert shipped.count("proxy_pass ") == 2
    assert shipped.count("proxy_read_timeout ") == 1
