"""An independent reader (ZXing) reads the codes that the terminal and the pages show."""

import os
import pty
import re
import sys
from pathlib import Path
from typing import TypeAlias
from urllib.parse import urlsplit

import numpy as np
import numpy.typing as npt
import pytest

from scheduler.feeds.feed_names import FEEDS
from tests.faults.house import household
from tests.web.front import Front, free_port, front

pytestmark = pytest.mark.reference

DARK, LIGHT = 0, 255
PIXELS = 6  # a module
# Of a terminal with light letters on a dark ground: what a letter paints above and below.
BLOCKS = {" ": (DARK, DARK), "█": (LIGHT, LIGHT), "▀": (LIGHT, DARK), "▄": (DARK, LIGHT)}


Picture: TypeAlias = npt.NDArray[np.uint8]


def read(modules: Picture) -> list[str]:
    """Every code of the picture."""
    large = np.kron(modules, np.ones((PIXELS, PIXELS), dtype=np.uint8))
    quiet = np.pad(large, 4 * PIXELS, constant_values=LIGHT)
    zxingcpp = pytest.importorskip("zxingcpp", reason="zxing-cpp is not installed")
    return [one.text for one in zxingcpp.read_barcodes(quiet)]


def drawn(svg: str) -> Picture:
    """The picture's strokes, which are all level and one module high."""
    found = re.search(r'viewBox="0 0 (\d+) (\d+)".*? d="([^"]+)"', svg, re.DOTALL)
    assert found
    modules: Picture = np.full((int(found[2]), int(found[1])), LIGHT, dtype=np.uint8)
    x = y = 0.0
    for command, *numbers in re.findall(r"([Mmh])(-?[\d.]+)(?: ?(-?[\d.]+))?", found[3]):
        first, second = (float(one or 0) for one in numbers)
        if command == "h":
            modules[int(y), int(x) : int(x + first)] = DARK
            x += first
        else:
            x, y = (first, second) if command == "M" else (x + first, y + second)
    return modules


def on_terminal(arguments: list[str], environment: dict[str, str]) -> str:
    """What a program shows on a terminal."""
    pid, terminal = pty.fork()
    if pid == 0:
        command = [sys.executable, "-m", "scheduler", *arguments]
        os.execve(command[0], command, environment)  # noqa: S606 - ours, on a terminal of ours
    shown = b""
    try:
        while part := os.read(terminal, 65536):
            shown += part
    except OSError:  # the other side has gone
        pass
    assert os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) == 0, shown
    os.close(terminal)
    return shown.decode()


def test_the_codes_of_the_pages_lead_to_their_addresses(pages: Front) -> None:
    text = pages.get("/subscribe", who="ana").text
    codes = re.findall(r"<svg[^>]*\bqr\b[^>]*>.*?</svg>", text, re.DOTALL)
    addresses = re.findall(r'aria-label="Address of [^"]+" value="(http[^"]+\.ics)"', text)
    assert len(codes) == len(addresses) == len(FEEDS)
    for code, address in zip(codes, addresses, strict=True):
        [opened] = read(drawn(code))
        assert opened.startswith(pages.url)
        assert address in pages.get(urlsplit(opened).path).text
    people = pages.post("/people/invite", {"person": "kim"}, who="ana").text
    [code] = re.findall(r"<svg[^>]*\bqr\b[^>]*>.*?</svg>", people, re.DOTALL)
    [link] = read(drawn(code))
    assert "Sign in as <bdi>Kim</bdi>?" in pages.get(urlsplit(link).path).text


def test_the_code_on_a_terminal_signs_in(pages: Front, tmp_path: Path) -> None:
    given = ["--profile", str(pages.house.profile_path), "--data", str(pages.house.data)]
    environment = {
        "PATH": os.environ["PATH"],
        "HOME": str(tmp_path),
        "PYTHONPATH": str(Path(__file__).parents[2]),
        "PYTHONIOENCODING": "utf-8",
    }
    shown = on_terminal([*given, "links", "--sign-in", "ana"], environment)
    rows = [line.rstrip("\r") for line in shown.split("\n")]
    picture = [row for row in rows if row and set(row) <= set(BLOCKS) and "█" in row]
    width = max(map(len, picture))
    halves = [
        [BLOCKS[letter][half] for letter in row.ljust(width)] for row in picture for half in (0, 1)
    ]
    [link] = read(np.array(halves, dtype=np.uint8))
    assert link in shown
    assert urlsplit(link).path.startswith("/sign-in/")


def test_the_code_of_the_door_card_is_the_plain_address_of_tonights_form(tmp_path: Path) -> None:
    port = free_port()
    base = f"http://127.0.0.1:{port}"
    with (
        household(tmp_path) as house,
        front(house, published=False, base_url=base, port=port) as pages,
    ):
        text = pages.get("/card", who="ana").text
    [code] = re.findall(r'<svg(?! class="icon")[^>]*>.*?</svg>', text, re.DOTALL)
    assert read(drawn(code)) == [f"{base}/"]
