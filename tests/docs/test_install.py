"""deploy/: the install script, and what stands before the pages of a container."""

import os
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
import yaml

from tests.unhurried import unhurried

ROOT = Path(__file__).parents[2]
DEPLOY = ROOT / "deploy"
SCRIPT = DEPLOY / "install.sh"
IN_CHROOT = ROOT / "tests" / "docs" / "install_in_chroot.sh"


def run(*words: str) -> "subprocess.CompletedProcess[str]":
    """The script with these arguments; they are read before anything is done."""
    return subprocess.run(
        ["/bin/sh", str(SCRIPT), *words], capture_output=True, text=True, check=False
    )


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["instal"], 'found "instal"; accepted: install, upgrade, rollback'),
        (["install", "remove"], "found both install and remove"),
        (["--from"], "--from needs a path behind it"),
        (["--from", "/nowhere"], "/nowhere is neither a checkout of Duskfold nor a wheel"),
        (["--wheels", "/nowhere"], "/nowhere is not a folder"),
        (["upgrade", "--purge"], "--purge goes with remove, not with upgrade"),
        (["install", "--with-data"], "--with-data goes with rollback"),
        (["rollback", "--from", str(ROOT)], "go with install and upgrade, not with rollback"),
    ],
    ids=lambda one: " ".join(one) if isinstance(one, list) else "",
)
def test_what_it_cannot_use_is_said_in_a_sentence_and_nothing_is_done(
    words: list[str], told: str
) -> None:
    done = run(*words)
    assert (done.returncode, done.stdout) == (2, "")
    assert told in done.stderr
    assert done.stderr.startswith("install.sh: ")


def test_its_help_names_every_command_and_option() -> None:
    done = run("--help")
    assert done.returncode == 0
    text = SCRIPT.read_text(encoding="utf-8")
    read = text.split("read_arguments() {")[1].split("\n    done\n")[0]
    options = set(re.findall(r"--[a-z-]+(?=[ )])", read)) - {"--help"}
    assert {"--from", "--purge"} <= options
    commands = re.findall(r"^    ([a-z]+)\) ", text.split("\nmend\n")[-1], re.MULTILINE)
    assert "rollback" in commands
    for word in (*options, *commands):
        assert word in done.stdout, word


def test_it_runs_nothing_that_comes_from_a_web_page() -> None:
    text = SCRIPT.read_text(encoding="utf-8")
    assert not re.search(r"\b(curl|wget|eval)\b", text)
    for line in re.findall(r".*\$pip .*", text):
        assert "--require-hashes" in line or "--no-deps" in line, line


@pytest.mark.debian
@pytest.mark.parametrize("script", [SCRIPT, IN_CHROOT], ids=lambda path: path.name)
def test_the_shell_scripts_have_no_known_traps(script: Path) -> None:
    program = shutil.which("shellcheck")
    if program is None:
        pytest.skip("shellcheck is not installed; apt-get install shellcheck")
    done = subprocess.run([program, str(script)], capture_output=True, text=True, check=False)
    assert done.stdout == ""


@unhurried
@pytest.mark.kernel
@pytest.mark.slow
def test_it_installs_upgrades_goes_back_and_removes_in_a_debian_of_its_own() -> None:
    if shutil.which("debootstrap") is None:
        pytest.skip("debootstrap is not installed; apt-get install debootstrap")
    unshare = shutil.which("unshare")
    may_mount = unshare and not subprocess.run([unshare, "-m", "true"], check=False).returncode
    if os.geteuid() != 0 or not may_mount:
        pytest.skip("only root may mount what a Debian of its own needs")
    tree = os.environ.get("DUSKFOLD_TEST_DEBIAN")  # a ready one saves two minutes
    done = subprocess.run(
        [str(IN_CHROOT), *([tree] if tree else [])],
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout


@pytest.mark.debian
@pytest.mark.parametrize("name", ["Caddyfile", "Caddyfile.home"])
def test_caddy_takes_the_file_and_writes_no_address_to_a_log(name: str) -> None:
    program = shutil.which("caddy")
    if program is None:
        pytest.skip("caddy is not installed; apt-get install caddy")
    done = subprocess.run(
        [program, "adapt", "--validate", "--adapter", "caddyfile", "--config", str(DEPLOY / name)],
        capture_output=True, text=True, check=False,
        env={**os.environ, "XDG_DATA_HOME": "/nonexistent"},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    made: dict[str, Any] = yaml.safe_load(done.stdout)  # JSON
    assert {"http.log.access", "http.log.error"} <= set(
        made["logging"]["logs"]["default"]["exclude"]
    )
    assert all("logs" not in server for server in made["apps"]["http"]["servers"].values())


def test_the_proxy_of_the_containers_is_the_only_way_in() -> None:
    services = yaml.safe_load((DEPLOY / "compose.yaml").read_text(encoding="utf-8"))
    assert set(services["services"]) == {"hens", "caddy"}
    hens = services["services"]["hens"]
    assert "ports" not in hens
    # Were there another network that both are in, Caddy might come from an address of that one.
    assert set(hens["networks"]) & set(services["services"]["caddy"]["networks"]) == {"inside"}
    assert hens["read_only"] is True
    assert hens["cap_drop"] == ["ALL"]
    assert [one.partition(":")[2] for one in hens["volumes"]] == ["/var/lib/duskfold"]
    subnet = services["networks"]["inside"]["ipam"]["config"][0]["subnet"]
    readme = (DEPLOY / "README.md").read_text(encoding="utf-8")
    assert f'trusted_proxies = ["{subnet}"]' in readme
    for name in ("Caddyfile", "Caddyfile.home"):
        assert "{$DUSKFOLD_PAGES:hens:8640}" in (DEPLOY / name).read_text(encoding="utf-8")
    home = yaml.safe_load((DEPLOY / "compose.home.yaml").read_text(encoding="utf-8"))
    assert home["services"]["caddy"]["volumes"] == ["./Caddyfile.home:/etc/caddy/Caddyfile:ro"]


def test_an_image_gets_only_what_the_recipe_copies() -> None:
    recipe = (DEPLOY / "Dockerfile").read_text(encoding="utf-8")
    let_in = {
        line[1:]
        for line in (ROOT / ".dockerignore").read_text(encoding="utf-8").splitlines()
        if line.startswith("!")
    }
    copied = re.findall(r"^COPY (?!--)(.*) \S+$", recipe, re.MULTILINE)
    assert set(" ".join(copied).split()) == let_in
