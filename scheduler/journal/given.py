"""Rows that a statement is given as one parameter: one text, however many rows there are.

A list of parameters would be another text for each length, which neither side could keep prepared.
"""

import json
from collections.abc import Iterable, Sequence
from typing import Any

from sqlalchemy import Boolean, ColumnElement, Integer, Text, bindparam, cast, literal_column
from sqlalchemy.ext.compiler import compiles
from sqlalchemy.sql.compiler import SQLCompiler
from sqlalchemy.sql.functions import FunctionElement
from sqlalchemy.types import TypeEngine


class _Rows(FunctionElement[Any]):
    """The rows of a JSON list."""

    name = "given_rows"
    inherit_cache = True


class _Value(FunctionElement[str]):
    """One value of such a row, by its place."""

    name = "given_value"
    type = Text()
    inherit_cache = True


class _Among(FunctionElement[bool]):
    """Whether a number is the first value of one of those rows."""

    name = "among_given"
    type = Boolean()
    inherit_cache = True


@compiles(_Rows, "sqlite")
def _rows_of_sqlite(rows: _Rows, compiler: SQLCompiler, **how: Any) -> str:  # noqa: ANN401 - SQLAlchemy's
    return f"json_each{compiler.process(rows.clause_expr, **how)}"


@compiles(_Rows, "postgresql")
def _rows_of_postgresql(rows: _Rows, compiler: SQLCompiler, **how: Any) -> str:  # noqa: ANN401 - as above
    return f"json_array_elements(CAST({compiler.process(rows.clauses, **how)} AS json))"


@compiles(_Value, "sqlite")
def _value_of_sqlite(value: _Value, compiler: SQLCompiler, **how: Any) -> str:  # noqa: ANN401 - as above
    row, place = (compiler.process(one, **how) for one in value.clauses)
    return f"json_extract({row}, '$[{place}]')"


@compiles(_Value, "postgresql")
def _value_of_postgresql(value: _Value, compiler: SQLCompiler, **how: Any) -> str:  # noqa: ANN401 - as above
    row, place = (compiler.process(one, **how) for one in value.clauses)
    return f"({row} ->> {place})"


@compiles(_Among, "sqlite")
def _among_of_sqlite(among: _Among, compiler: SQLCompiler, **how: Any) -> str:  # noqa: ANN401 - as above
    number, given = (compiler.process(one, **how) for one in among.clauses)
    return f"{number} IN (SELECT json_extract(value, '$[0]') FROM json_each({given}))"  # noqa: S608 - of SQLAlchemy's own pieces


@compiles(_Among, "postgresql")
def _among_of_postgresql(among: _Among, compiler: SQLCompiler, **how: Any) -> str:  # noqa: ANN401 - as above
    # As an array it is a handful to the planner, which looks each up; a subquery's rows it takes
    # for a hundred, and reads the whole table instead.
    number, given = (compiler.process(one, **how) for one in among.clauses)
    rows = f"json_array_elements(CAST({given} AS json))"
    return f"{number} = ANY(ARRAY(SELECT CAST(value ->> 0 AS INTEGER) FROM {rows}))"  # noqa: S608 - as above


def among_given(number: ColumnElement[int]) -> ColumnElement[bool]:
    """Whether the number is the first value of a row that the statement is given."""
    return _Among(number, bindparam("given", type_=Text()))


def columns_given(*kinds: TypeEngine[Any]) -> list[ColumnElement[Any]]:
    """The columns of the rows that the statement is given by `rows_given`: numbers and text."""
    row = _Rows(bindparam("given", type_=Text())).table_valued("value", name="given").c.value
    found = [_Value(row, literal_column(str(place))) for place in range(len(kinds))]
    return [
        cast(one, kind) if isinstance(kind, Integer) else one
        for one, kind in zip(found, kinds, strict=True)
    ]


def rows_given(rows: Iterable[Sequence[int | str | None]]) -> dict[str, str]:
    """The rows as the statement's parameter."""
    return {"given": json.dumps([*rows])}
