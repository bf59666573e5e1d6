"""deploy/requirements.lock: every package of pyproject.toml, by hash, in a version it accepts."""

import re
import tomllib
from pathlib import Path

from packaging.requirements import Requirement

ROOT = Path(__file__).parents[2]
LOCKED = re.compile(
    r"^([a-z0-9-]+)==([^\s;\\]+)[^\n]*\\\n((?:    --hash=\S+(?: \\)?\n)+)", re.MULTILINE
)


def test_s16_the_locked_set_is_whole_and_fits_the_project() -> None:
    lock = (ROOT / "deploy" / "requirements.lock").read_text()
    found = {name: (version, hashes) for name, version, hashes in LOCKED.findall(lock)}
    assert len(found) == len(re.findall(r"(?m)^[a-z0-9-]+==", lock)), "a package without a hash"
    for _, hashes in found.values():
        assert re.fullmatch(r"(\s*--hash=sha256:[0-9a-f]{64}(?: \\)?\n)+", hashes)
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())
    wanted = [
        *project["project"]["dependencies"],
        *project["project"]["optional-dependencies"]["services"],
        *project["project"]["optional-dependencies"]["postgresql"],
        *project["build-system"]["requires"],
    ]
    for text in wanted:
        requirement = Requirement(re.sub(r"\[.*?\]", "", text))
        assert requirement.name in found, f"{requirement.name}: make deploy/requirements.lock anew"
        version, _ = found[requirement.name]
        assert requirement.specifier.contains(version), (text, version)


def test_what_comes_as_a_source_alone_is_built_by_a_tool_of_the_same_set() -> None:
    lock = (ROOT / "deploy" / "requirements.lock").read_text()
    assert re.search(r"(?m)^setuptools==", lock)
    for name in ("install.sh", "Dockerfile"):
        text = (ROOT / "deploy" / name).read_text()
        (left_out,) = re.findall(r"skip = /\^([a-z]+)==/", text)
        assert re.search(rf"(?m)^{left_out}==", lock), (name, left_out)
        assert "--no-build-isolation" in text
