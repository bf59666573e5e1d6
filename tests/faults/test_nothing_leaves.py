"""Nothing leaves the server but to the servers that the profile names."""

import os
import re
import shutil
import signal
import sys
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from urllib.error import HTTPError
from urllib.parse import urlsplit
from urllib.request import urlopen

import pytest

from tests.begun import begun
from tests.faults.house import House
from tests.unhurried import unhurried
from tests.web.front import free_port

pytestmark = pytest.mark.kernel

_CONNECT = re.compile(r"sin6?_port=htons\((\d+)\).*?\"([^\"]+)\"")


@unhurried
def test_an_evening_connects_to_the_servers_of_the_profile_and_to_nothing_else(
    build: Callable[..., House],
) -> None:
    if shutil.which("strace") is None:
        pytest.skip("no strace: apt-get install strace")
    house = build()
    trace = house.folder / "connections.txt"
    house.wrap = ["strace", "-D", "-f", "-qqq", "-e", "trace=connect,sendto", "-o", str(trace)]
    house.start()
    for clock in ("15:50", "16:19", "16:34", "16:45"):
        house.at(clock)
    house.say(count=12)
    house.at("16:50")
    house.stop()
    chosen = {("127.0.0.1", int(house.push.url.rpartition(":")[2])), ("127.0.0.1", house.smtp.port)}
    house.wait(lambda: chosen <= _asked(trace), "the tracer wrote nothing")
    assert _asked(trace) == chosen


@unhurried
def test_a_made_up_garden_connects_to_nothing_at_all(tmp_path: Path) -> None:
    if shutil.which("strace") is None:
        pytest.skip("no strace: apt-get install strace")
    trace, listen = tmp_path / "connections.txt", f"127.0.0.1:{free_port()}"
    tracing = ["strace", "-f", "-qqq", "-e", "trace=network", "-o", str(trace)]
    demo = [sys.executable, "-m", "scheduler", "demo", "--date", "2026-12-21", "--listen", listen]
    with begun([*tracing, *demo]) as process:
        assert process.stdout
        link = next(line.strip() for line in process.stdout if line.startswith("http"))
        for path in ("/", "/status", urlsplit(link).path):
            with suppress(HTTPError), urlopen(f"http://{listen}{path}", timeout=60) as answer:
                assert answer.read()
        traced = re.match(r"(\d+) ", trace.read_text())
        assert traced
        os.kill(int(traced[1]), signal.SIGTERM)
    calls = re.findall(r"\d+ +(\w+)\(", trace.read_text())
    assert {"bind", "listen"} <= set(calls)  # the trace is one
    assert not {"connect", "sendto", "sendmsg", "sendmmsg"} & set(calls)
    assert calls.count("bind") == 1


def _asked(trace: Path) -> set[tuple[str, int]]:
    return {(address, int(port)) for port, address in _CONNECT.findall(trace.read_text())}
