"""The house that fault tests live in."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest

from tests.faults.driven import memory_folder
from tests.faults.house import House, household, household_of
from tests.faults.house_here import HouseHere

__all__ = ["memory_folder"]


@pytest.fixture
def build(tmp_path: Path) -> Iterator[Callable[..., House]]:
    """Builds a house with the given settings; it is asked the oracle's questions at the end."""
    with ExitStack() as stack:
        yield lambda **settings: stack.enter_context(household(tmp_path, **settings))


@pytest.fixture
def build_here(memory_folder: Path) -> Iterator[Callable[..., HouseHere]]:
    """Builds a house as `build` does, with its reminders in this process."""
    with ExitStack() as stack:
        yield lambda **settings: stack.enter_context(
            household_of(HouseHere, memory_folder, **settings)
        )


@pytest.fixture
def house(build: Callable[..., House]) -> House:
    """The usual house: one coop of twelve, Ana by push, Kim by push and mail."""
    return build()
