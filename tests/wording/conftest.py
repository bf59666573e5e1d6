"""A language whose texts have no letter of English, for whoever looks for words without a key."""

from collections.abc import Iterator

import pytest

from tests.wording.marked import in_other_letters, speaking


@pytest.fixture(scope="module")
def _in_other_letters() -> Iterator[None]:
    with speaking(in_other_letters()):
        yield
