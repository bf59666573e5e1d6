"""What the tests of every way out share."""

import socket
import threading
import warnings
from collections.abc import Iterator
from typing import Any

import apprise
import pytest

from tests.channels.rigs import ALL, HANGS, WIRED, Rig
from tests.sinks.authority import Authority
from tests.sinks.waiting import Collected


@pytest.fixture(scope="session")
def authority() -> Authority:
    """One throw-away authority for all."""
    return Authority()


@pytest.fixture(scope="session", autouse=True)
def plugins() -> None:
    """Loads apprise's plug-ins once: one of them imports a module that Python will drop."""
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", "'imghdr' is deprecated", DeprecationWarning)
        assert apprise.Apprise.instantiate("json://127.0.0.1") is not None


@pytest.fixture
def hanging_names(monkeypatch: pytest.MonkeyPatch) -> Iterator[Collected[str]]:
    """A resolver that never answers for one name; what it was asked."""
    asked = Collected[str]()
    over = threading.Event()
    resolve = socket.getaddrinfo

    def look_up(host: str, *rest: Any, **more: Any) -> Any:
        if host == HANGS:
            asked.add(host)
            over.wait()
            raise socket.gaierror
        return resolve(host, *rest, **more)

    monkeypatch.setattr(socket, "getaddrinfo", look_up)
    yield asked
    over.set()


@pytest.fixture(params=ALL)
def rig(request: pytest.FixtureRequest, authority: Authority) -> Iterator[Rig]:
    """Every channel in turn."""
    with ALL[request.param](authority) as made:
        yield made


@pytest.fixture(params=WIRED)
def wired(request: pytest.FixtureRequest, authority: Authority) -> Iterator[Rig]:
    """Every channel that speaks to a server, in turn."""
    with WIRED[request.param](authority) as made:
        yield made
