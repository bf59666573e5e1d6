"""What every part of the profile is: a frozen table of the file.

Field descriptions are the reference: a problem quotes them, and a test finds each key in the docs.
A TOML key is the attribute's name without its unit: `elevation = "85 m"` is `elevation_m`.
"""

from pydantic import AliasGenerator, BaseModel, ConfigDict
from pydantic_core import PydanticCustomError

from scheduler.profile.problem import Problem

_UNIT_SUFFIXES = ("_deg", "_m", "_m2", "_l", "_kg", "_c", "_percent", "_minutes")


def toml_key(attribute: str) -> str:
    """The key of an attribute in the file: its name without the unit."""
    for suffix in _UNIT_SUFFIXES:
        if attribute.endswith(suffix):
            return attribute.removesuffix(suffix)
    return attribute


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


def agree(problems: list[Problem]) -> None:
    if problems:
        raise PydanticCustomError("disagreement", "disagreement", {"problems": problems})
