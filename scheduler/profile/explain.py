"""Turns what pydantic says of a table into problems in a keeper's words."""

from dataclasses import replace
from typing import get_args

from pydantic import BaseModel
from pydantic_core import ErrorDetails

from scheduler.profile.hints import hint_for_key, hint_for_value
from scheduler.profile.problem import KeyPath, Problem, nearest, shown
from scheduler.profile.values import Profile

_COUNTS = ("hens", "roosters", "young", "others")


def explained(details: ErrorDetails) -> list[Problem]:
    """The problems that one error stands for."""
    key: KeyPath = tuple(details["loc"])
    if details["type"] == "disagreement":
        inner: list[Problem] = details["ctx"]["problems"]
        return [replace(problem, key=key + problem.key) for problem in inner]
    return [_problem(key, details)]


def is_known(key: KeyPath) -> bool:
    """Whether a profile can have such a key."""
    return bool(key) and key[-1] in _known_keys(key[:-1])


def counts_birds(key: KeyPath) -> bool:
    """Whether a flock's birds are counted under this key, or were meant to be."""
    if key[:1] != ("flock",):
        return False
    written = str(key[-1])
    hint = hint_for_key(key) or nearest(written, _known_keys(key[:-1]))
    return written in _COUNTS or any(f'"{count}"' in hint for count in _COUNTS)


def _problem(key: KeyPath, details: ErrorDetails) -> Problem:
    value = details["input"]
    context = details.get("ctx", {})
    match details["type"]:
        case "unreadable":
            accepted, hint = context["accepted"], context["hint"]
            told = hint if "Did you mean" in hint else hint_for_value(key, value) or hint
            return Problem(key=key, found=shown(value), accepted=accepted, hint=told)
        case "missing":
            return Problem(key=key, found="nothing", accepted=_description(key) or "a value")
        case "extra_forbidden":
            known = _known_keys(key[:-1])
            return Problem(
                key=key,
                found=f"the unknown key {shown(str(key[-1]))}",
                accepted=", ".join(known),
                hint=hint_for_key(key) or nearest(str(key[-1]), known),
            )
        case "tuple_type":
            return Problem(key=key, found=shown(value), accepted="a list")
        case "model_type" | "dict_type" | "model_attributes_type":
            return Problem(key=key, found=shown(value), accepted="a table")
        case _:
            return Problem(key=key, found=shown(value), accepted=details["msg"])


def _model_at(path: KeyPath) -> type[BaseModel] | None:
    """The table that a key path leads to, through lists and optional tables."""
    model: type[BaseModel] | None = Profile
    for part in path:
        if isinstance(part, int) or not model:
            continue
        fields = {field.alias or name: field for name, field in model.model_fields.items()}
        model = _model_in(fields[part].annotation) if part in fields else model
    return model


def _model_in(annotation: object) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for inner in get_args(annotation):
        if found := _model_in(inner):
            return found
    return None


def _known_keys(path: KeyPath) -> list[str]:
    model = _model_at(path)
    return [field.alias or name for name, field in model.model_fields.items()] if model else []


def _description(key: KeyPath) -> str:
    model = _model_at(key[:-1])
    for name, field in (model.model_fields if model else {}).items():
        if (field.alias or name) == key[-1]:
            return field.description or ""
    return ""
