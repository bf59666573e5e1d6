"""Writes the page of profile keys from the models: `python tests/docs/reference.py` renews it."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

from pydantic import BaseModel
from pydantic_core import PydanticUndefined

from scheduler.profile.frozen_table import said_of
from scheduler.profile.values import Profile
from scheduler.wording.profile.job_keys import OwnJob

PAGE = Path(__file__).parents[2] / "config" / "REFERENCE.md"
_HEAD = """\
# Every key of a profile

This page is written from the program: `python tests/docs/reference.py` renews it.
Keys that must be there are marked **needed**. Quantities are written with their unit, in quotes:
`"1.2 m x 2.4 m"`, `"32 sq ft"`, `"2 US gal"`, `"-5 °C"`, `"40 min"`. Tables in double brackets may
be repeated.
"""


def model_in(annotation: object) -> type[BaseModel] | None:
    """The table that an annotation holds, through lists and optional tables."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for inner in get_args(annotation):
        if found := model_in(inner):
            return found
    return None


def tables(model: type[BaseModel], header: str, repeated: bool) -> Iterator[str]:
    """The section of a table, then those of the tables in it."""
    inner = []
    rows = []
    for name, field in model.model_fields.items():
        key = field.alias or name
        child = model_in(field.annotation)
        if child is not None:
            path = f"{header}.{key}" if header else key
            if key == "cares":
                path = "cares.JOB"
            inner.append((child, path, "tuple" in str(field.annotation), said_of(field)))
            continue
        rows.append(f"| `{key}` | {said_of(field)} | {_default(key, field)} |")
    title = f"[[{header}]]" if repeated else f"[{header}]"
    yield f"\n## {'Top of the file' if not header else f'`{title}`'}\n\n"
    yield f"{model.__doc__}\n\n| key | what it is | when left out |\n|---|---|---|\n"
    yield "\n".join(rows) + "\n"
    for child, path, many, _ in inner:
        yield from tables(child, path, many)


def _default(  # noqa: PLR0911 - one answer a kind of default
    key: str, field: Any
) -> str:
    if key == "id" or (key, field.annotation) == ("coop", str):
        return "from the name" if key == "id" else "the only coop"
    if key in {"timezone", "units"}:
        return "proposed"
    if field.default is PydanticUndefined:
        return "**needed**"
    if key == "why":
        return OwnJob.its_reason()
    if field.default in (None, (), {}):
        return ""
    if hasattr(field.default, "strftime"):
        return f"{field.default:%H:%M}"
    if isinstance(field.default, bool):
        return str(field.default).lower()
    return f"{field.default:g}" if isinstance(field.default, float) else f"{field.default}"


def page() -> str:
    """The whole page."""
    return _HEAD + "".join(tables(Profile, "", False))


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
