"""Turns what pydantic says of a table into problems in a keeper's words."""

from dataclasses import replace
from typing import get_args

from pydantic import BaseModel
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from scheduler.profile.frozen_table import said_of
from scheduler.profile.hints import COUNTING, hint_for_key, hint_for_value, words_for_key
from scheduler.profile.problem import KeyPath, Problem, nearest, nearest_spelling, shown
from scheduler.profile.values import Profile
from scheduler.wording.profile.problem_words import Explained
from scheduler.wording.spoken import in_a_row

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
    return bool(key) and key[-1] in _keys_at(key[:-1])


def counts_birds(key: KeyPath) -> bool:
    """Whether a flock's birds are counted under this key, or were meant to be."""
    if key[:1] != ("flock",):
        return False
    written = str(key[-1])
    if hinted := words_for_key(key):
        return written in _COUNTS or hinted in COUNTING
    return nearest_spelling(written, map(str, _keys_at(key[:-1]))) in _COUNTS


def _problem(key: KeyPath, details: ErrorDetails) -> Problem:
    value = details["input"]
    context = details.get("ctx", {})
    match details["type"]:
        case "unreadable":
            hint = context["hint"] or hint_for_value(key, value)
            return Problem(key=key, found=shown(value), accepted=context["accepted"], hint=hint)
        case "missing":
            field = _keys_at(key[:-1]).get(key[-1])
            accepted = (field and said_of(field)) or Explained.some_value()
            return Problem(key=key, found=Explained.missing(), accepted=accepted)
        case "extra_forbidden":
            known = [str(one) for one in _keys_at(key[:-1])]
            return Problem(
                key=key,
                found=Explained.unknown_key(key=shown(str(key[-1]))),
                accepted=in_a_row(known),
                hint=hint_for_key(key) or nearest(str(key[-1]), known),
            )
        case "tuple_type":
            return Problem(key=key, found=shown(value), accepted=Explained.several_wanted())
        case "model_type" | "dict_type" | "model_attributes_type":
            return Problem(key=key, found=shown(value), accepted=Explained.table_wanted())
        case _:
            return Problem(key=key, found=shown(value), accepted=details["msg"])


def _keys_at(path: KeyPath) -> dict[str | int, FieldInfo]:
    """The keys of the table that a path leads to, through lists and optional tables."""
    keys = _keys_of(Profile)
    for part in path:
        if part in keys:
            keys = _keys_of(_model_in(keys[part].annotation))
    return keys


def _keys_of(model: type[BaseModel] | None) -> dict[str | int, FieldInfo]:
    fields = model.model_fields if model else {}
    return {field.alias or name: field for name, field in fields.items()}


def _model_in(annotation: object) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for inner in get_args(annotation):
        if found := _model_in(inner):
            return found
    return None
