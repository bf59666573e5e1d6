"""The house that fault tests live in."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest

from tests.faults.house import House, household


@pytest.fixture
def build(tmp_path: Path) -> Iterator[Callable[..., House]]:
    """Builds a house with the given settings; it is asked the oracle's questions at the end."""
    with ExitStack() as stack:
        yield lambda **settings: stack.enter_context(household(tmp_path, **settings))


@pytest.fixture
def house(build: Callable[..., House]) -> House:
    """The usual house: one coop of twelve, Ana by push, Kim by push and mail."""
    return build()
