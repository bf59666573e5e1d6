"""What takes long is run in CI, and by whoever asks for it."""

import os

import pytest

UNHURRIED = os.environ.get("DUSKFOLD_CI") == "1"
unhurried = pytest.mark.skipif(not UNHURRIED, reason="takes long: DUSKFOLD_CI=1 runs it")
