"""What listening shares with sending: one authority, and names that are never looked up."""

from collections.abc import Iterator

import pytest

from scheduler.sources.forecast_port import ForecastPort
from tests.channels.conftest import authority, hanging_names
from tests.sinks.authority import Authority
from tests.sources.forecast_rigs import WIRED, Rig, port_of

__all__ = ["authority", "hanging_names"]


@pytest.fixture(params=["fake", *WIRED])
def port(request: pytest.FixtureRequest, authority: Authority) -> Iterator[ForecastPort]:
    """Every source in turn."""
    with port_of(request.param, authority) as made:
        yield made


@pytest.fixture(params=WIRED)
def wired(request: pytest.FixtureRequest, authority: Authority) -> Iterator[Rig]:
    """Every source that asks a server, in turn."""
    with WIRED[request.param](authority) as made:
        yield made
