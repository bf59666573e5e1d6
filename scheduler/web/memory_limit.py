"""How much memory the pages may take: what strangers ask of them must not cost the reminders."""

import os
from pathlib import Path

# Twice what the pages of a large household were measured to take with thirty visitors at once.
MOST_BYTES = 320 * 1024 * 1024
_FIRST_TO_GO = "500"  # of at most 1000: added to what the system counts against this process
_SCORE = Path("/proc/self/oom_score_adj")


def bound_memory() -> None:
    """Bounds this process; where memory runs out all the same, the system ends it first."""
    if os.name != "posix":
        return
    import resource  # noqa: PLC0415 - there is none on Windows

    _, most = resource.getrlimit(resource.RLIMIT_DATA)
    bound = MOST_BYTES if most == resource.RLIM_INFINITY else min(MOST_BYTES, most)
    try:
        resource.setrlimit(resource.RLIMIT_DATA, (bound, bound))
        _SCORE.write_text(_FIRST_TO_GO)
    except (OSError, ValueError):
        return  # a system without them serves as before
