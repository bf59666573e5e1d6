"""Pages over a house of the fault tests."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.faults.house import household
from tests.web.front import Front, front


@pytest.fixture
def pages(tmp_path: Path) -> Iterator[Front]:
    """The pages of the usual house, at 12:30, with neither watch nor calendars beside them."""
    with household(tmp_path) as house, front(house, published=False) as served:
        yield served


@pytest.fixture(scope="module")
def looked_at(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Front]:
    """As `pages`, once for all tests of a module that keep nothing and leave the clock alone."""
    folder = tmp_path_factory.mktemp("house")
    with household(folder) as house, front(house, published=False) as served:
        yield served


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Front]:
    """The pages and calendars of the usual house."""
    with household(tmp_path) as house, front(house) as pages:
        yield pages
