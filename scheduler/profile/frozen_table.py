"""What every part of the profile is: a frozen table of the file.

What a field is said to be is the reference: a problem quotes it, and a test finds each key in the
docs. The field keeps the key of those words, because a language is spoken only when it is quoted.
A TOML key is the attribute's name without its unit: `elevation = "85 m"` is `elevation_m`.
"""

from collections.abc import Iterable
from typing import Any, TypeVar

from pydantic import AliasGenerator, BaseModel, ConfigDict, Field
from pydantic.fields import FieldInfo
from pydantic_core import PydanticCustomError

from scheduler.profile.problem import Problem
from scheduler.wording.words import Words

_Read = TypeVar("_Read")
_UNIT_SUFFIXES = ("_deg", "_m", "_m2", "_l", "_kg", "_c", "_percent", "_minutes")


def toml_key(attribute: str) -> str:
    """The key of an attribute in the file: its name without the unit."""
    suffix = next((unit for unit in _UNIT_SUFFIXES if attribute.endswith(unit)), "")
    return attribute.removesuffix(suffix)


class Value(BaseModel):
    """A frozen table of the profile; unknown keys are refused."""

    model_config = ConfigDict(
        alias_generator=AliasGenerator(alias=toml_key),
        arbitrary_types_allowed=True,
        extra="forbid",
        frozen=True,
        hide_input_in_errors=True,
        validate_by_name=True,
        validate_by_alias=True,
    )


def key(default: _Read, words: Words, *, alias: str | None = None) -> _Read:
    """A key that may be left out, with what it stands for then."""
    return Field(default=default, description=words.key, alias=alias)


def needed(words: Words, *, alias: str | None = None) -> Any:  # noqa: ANN401 # like Field
    """A key that may not be left out."""
    return Field(description=words.key, alias=alias)


def said_of(field: FieldInfo) -> str:
    """What the field is said to be, whose description is the key of those words."""
    return Words.all[field.description]() if field.description else ""


def agree(problems: Iterable[Problem]) -> None:
    if found := list(problems):
        raise PydanticCustomError("disagreement", "disagreement", {"problems": found})
