"""The README's two pictures can be made again, and are small."""

from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.browser.pictures import MOST_BYTES, make
from tests.unhurried import unhurried

pytestmark = pytest.mark.browser


@unhurried
def test_the_pictures_are_made_by_this_browser_and_are_small(
    chromium: Browser, tmp_path: Path
) -> None:
    for path in make(chromium, tmp_path):
        assert 10_000 < path.stat().st_size <= MOST_BYTES
