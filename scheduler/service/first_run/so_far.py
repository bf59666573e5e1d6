"""What was answered so far: the fields of each step as they were typed, in one private file."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import MappingProxyType
from typing import Any

from scheduler.machine.paths import write_whole

ANSWERS_FILE = "first-run.json"
# As long as a sign-in link: whoever kept the answers and never heard of it may ask again.
HEARD_WITHIN = timedelta(minutes=15)
Fields = Mapping[str, str]
_NOTHING: Mapping[str, Fields] = MappingProxyType({})


@dataclass(frozen=True, slots=True, kw_only=True)
class SoFar:
    """The fields of each step that was answered, and who answers: hashes of their cookies.

    `kept_at` is when the answers became a profile; `session_hash` the session that was begun then.
    """

    steps: Mapping[str, Fields] = field(default_factory=lambda: _NOTHING)
    cookie_hash: str = ""
    kept_at: datetime | None = None
    session_hash: str = ""

    def of(self, step: str) -> Fields:
        """The fields of the step; none where it was not answered."""
        return self.steps.get(step, MappingProxyType({}))

    def answered(self, step: str, fields: Fields) -> "SoFar":
        """With that step answered so."""
        return replace(self, steps={**self.steps, step: dict(fields)})

    def may_ask_again(self, now: datetime) -> bool:
        """Whether whoever kept the answers may still be signed in by their cookie."""
        return self.kept_at is not None and now - self.kept_at < HEARD_WITHIN


def read_so_far(folder: Path) -> SoFar:
    """What the folder's file holds; nothing where there is none, or it is none of ours."""
    try:
        raw = json.loads((folder / ANSWERS_FILE).read_bytes())
        kept_at = raw.get("kept_at")
        return SoFar(
            steps={str(step): _fields(fields) for step, fields in raw["steps"].items()},
            cookie_hash=str(raw["cookie"]),
            kept_at=datetime.fromtimestamp(kept_at, UTC) if kept_at else None,
            session_hash=str(raw.get("session", "")),
        )
    except (OSError, ValueError, KeyError, AttributeError, TypeError):
        return SoFar()


def write_so_far(folder: Path, so_far: SoFar) -> None:
    """Replaces the file by rename; only its owner may read it.

    Raises:
        OSError: it cannot be written; the old one is still there.
    """
    content = {
        "steps": {step: dict(fields) for step, fields in so_far.steps.items()},
        "cookie": so_far.cookie_hash,
        "kept_at": int(so_far.kept_at.timestamp()) if so_far.kept_at else None,
        "session": so_far.session_hash,
    }
    written = json.dumps(content, ensure_ascii=False, indent=1)
    write_whole(folder / ANSWERS_FILE, written.encode("utf-8", "replace"), private=True)


def forget(folder: Path) -> None:
    """The answers are a profile now, and whoever gave them is signed in."""
    (folder / ANSWERS_FILE).unlink(missing_ok=True)


def _fields(raw: Mapping[str, Any]) -> Fields:
    return {str(name): str(value) for name, value in raw.items()}
