"""Between what was said and the text in which it is kept: the only place that knows both."""

import json
from functools import cache

from pydantic import TypeAdapter, ValidationError

from scheduler.cares.diary.bird_entries import BIRD_KINDS
from scheduler.cares.diary.door_entries import DOOR_KINDS
from scheduler.cares.diary.egg_entries import EGG_KINDS
from scheduler.cares.diary.entry import FromNewer, Said, TakenBack, Unreadable
from scheduler.cares.diary.job_entries import JOB_KINDS
from scheduler.cares.diary.profile_entries import PROFILE_KINDS
from scheduler.cares.diary.report_entries import REPORT_KINDS
from scheduler.cares.diary.search_entries import SEARCH_KINDS

KINDS: dict[str, type[Said]] = {
    one.KIND: one
    for one in (
        *DOOR_KINDS,
        *SEARCH_KINDS,
        *BIRD_KINDS,
        *EGG_KINDS,
        *JOB_KINDS,
        *REPORT_KINDS,
        *PROFILE_KINDS,
        TakenBack,
    )
}


def encode(what: Said) -> tuple[str, int, str]:
    """Its kind, its version and its values as JSON, without those that are as by default."""
    if isinstance(what, FromNewer):
        return what.kind, what.version, what.text
    text = _codec(what.KIND).dump_json(what, exclude_defaults=True).decode()
    return what.KIND, what.VERSION, text


def encoded(what: Said) -> tuple[str, int | None, object]:
    """Its kind, its version and its values, of what cannot be read the text that was kept."""
    if isinstance(what, Unreadable):
        return what.kind, None, what.text
    kind, version, text = encode(what)
    return kind, version, text if isinstance(what, FromNewer) else json.loads(text)


def decode(kind: str, version: int, text: str) -> Said:
    """What was said; of what cannot be read a value that says so."""
    known = KINDS.get(kind)
    if known is None or version > known.VERSION:
        return FromNewer(kind=kind, version=version, text=text)
    try:
        return _codec(kind).validate_json(text, strict=True)
    except ValidationError:
        return Unreadable(kind=kind, text=text)


@cache
def _codec(kind: str) -> TypeAdapter[Said]:
    return TypeAdapter(KINDS[kind])
