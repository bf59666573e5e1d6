"""S1–S6 of the entry: who wants in, and what a stranger or somebody who has left can still do."""

import re
import select
import socket
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from scheduler.cli.serving import beside
from scheduler.web.memory import MOST_BYTES
from tests.faults.house import household
from tests.web.front import Front, front

MEGABYTE = 1_000_000
ASK = b"GET / HTTP/1.1\r\n\r\n"


@pytest.fixture
def watched(tmp_path: Path) -> Iterator[Front]:
    """The pages beside a watch, at four o'clock."""
    with household(tmp_path) as house:
        house.set_clock(house.local("16:00"))
        with front(house, watched=True) as pages:
            yield pages


# -- S1 -------------------------------------------------------------------------------------


def resident_bytes(pages: Front) -> int:
    """The memory that the process of the pages has had at most."""
    assert pages.process
    status = Path(f"/proc/{pages.process.pid}/status").read_text()
    found = re.search(r"VmHWM:\s+(\d+) kB", status)
    assert found
    return int(found[1]) * 1024


def pour(pages: Front, most_bytes: int, until: float) -> int:
    """Sends whole requests as fast as they are taken, reads what comes back; how much was sent."""
    sent = 0
    with (
        suppress(ConnectionError),
        socket.create_connection(("127.0.0.1", pages.port), timeout=5) as line,
    ):
        line.sendall(ASK * 1666)  # together less than one request may have
        assert line.recv(1)
        line.setblocking(False)
        rest = ASK * 1666
        while time.monotonic() < until:
            wanted = [line] if sent < most_bytes else []
            readable, writable, _ = select.select([line], wanted, [], 1.0)
            if (readable and not line.recv(1_000_000)) or not (readable or writable):
                break
            if writable:
                some = line.send(rest)
                sent, rest = sent + some, rest[some:] or ASK * 1666
    return sent


def test_s1_requests_sent_ahead_of_the_answers_take_no_memory(watched: Front) -> None:
    before = resident_bytes(watched)
    sent, until = 0, time.monotonic() + 15.0
    while sent < 8 * MEGABYTE and time.monotonic() < until:
        sent += pour(watched, 8 * MEGABYTE - sent, until)
    assert sent > MEGABYTE
    assert resident_bytes(watched) - before < 40 * MEGABYTE
    assert watched.get("/", who="ana").status == 200


def test_s1_of_many_requests_at_once_each_is_answered_in_its_turn(watched: Front) -> None:
    paths = ["/live", "/robots.txt", "/nowhere"] * 30
    asked = "".join(f"GET {path} HTTP/1.1\r\nHost: h\r\n\r\n" for path in paths[:-1])
    last = f"GET {paths[-1]} HTTP/1.1\r\nHost: h\r\nConnection: close\r\n\r\n"
    got = watched.raw((asked + last).encode())
    statuses = [int(one) for one in re.findall(rb"HTTP/1\.1 (\d{3}) ", got)]
    assert statuses[:2] == [200, 200]
    assert len(statuses) == len(paths)
    assert set(statuses[2::3]) <= {404, 429}
    assert set(statuses[0::3] + statuses[1::3]) == {200}


def test_s1_the_pages_may_take_only_so_much_memory_and_are_the_first_to_go(watched: Front) -> None:
    assert watched.process
    about = Path(f"/proc/{watched.process.pid}")
    [limit] = re.findall(r"Max data size\s+(\d+)", (about / "limits").read_text())
    assert int(limit) == MOST_BYTES
    assert int((about / "oom_score_adj").read_text()) >= 500


# -- S6 -------------------------------------------------------------------------------------

TRAP = """
from pathlib import Path
Path({marker!r}).touch()
"""


def test_s6_no_code_is_run_from_the_working_directory(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    here, marker = tmp_path / "here", tmp_path / "sprung"
    (here / "scheduler").mkdir(parents=True)
    for name in ("scheduler/__init__", "scheduler/__main__", "typer", "uvicorn", "sitecustomize"):
        (here / f"{name}.py").write_text(TRAP.format(marker=str(marker)))
    with household(tmp_path) as house, front(house) as pages:
        pages.stop()
        monkeypatch.chdir(here)
        kept = beside(house.profile_path, house.data)
        kept.start()
        try:
            house.wait(pages.answers, "the pages did not start")
        finally:
            kept.stop()
    assert not marker.exists()
