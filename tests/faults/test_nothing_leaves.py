"""Nothing leaves the server but to the servers that the profile names."""

import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.faults.house import House
from tests.unhurried import unhurried

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


def _asked(trace: Path) -> set[tuple[str, int]]:
    return {(address, int(port)) for port, address in _CONNECT.findall(trace.read_text())}
