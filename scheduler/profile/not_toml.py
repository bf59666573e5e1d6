"""What a text that is no TOML is told, in plain words: what is wrong and what to write instead."""

import re
from collections.abc import Callable
from typing import NamedTuple

from scheduler.wording.profile.not_toml_words import TomlAccepted, TomlFound, TomlHints
from scheduler.wording.profile.quantities import QuantityHints
from scheduler.wording.profile.reading_words import Moments, Numbers


class Misread(NamedTuple):
    """What was found, what is accepted, and the next step."""

    found: str
    accepted: str
    hint: str


_NUMBER = re.compile(r"[-+]?\d[\d_]*([.,]\d*)?")
_MOST_SHOWN = 40


def told(message: str, line: str, column: int | None) -> Misread:
    """The message of the parser about that line (without its end) in a keeper's words."""
    said = message.lower()
    for words, answer in _SLIPS:
        if words.search(said):
            return answer(line, column)
    return Misread(f"{said[:1]}{message[1:]}", "TOML", TomlHints.quote_all())


def _open_header(_line: str, _column: int | None) -> Misread:
    return Misread(TomlFound.open_header(), TomlAccepted.header(), TomlHints.close_brackets())


def _open_quote(_line: str, _column: int | None) -> Misread:
    return Misread(TomlFound.open_quote(), TomlAccepted.quotes(), TomlHints.close_quote())


def _open_list(_line: str, _column: int | None) -> Misread:
    return Misread(TomlFound.open_list(), TomlAccepted.several(), TomlHints.close_list())


def _backslash(_line: str, _column: int | None) -> Misread:
    return Misread(TomlFound.backslash(), TomlAccepted.quotes(), TomlHints.backslash())


def _no_date(_line: str, _column: int | None) -> Misread:
    return Misread(TomlFound.no_date(), Moments.date(), "")


def _no_equals(line: str, _column: int | None) -> Misread:
    if ":" in line:
        return Misread(TomlFound.colon(), TomlAccepted.pair(), TomlHints.equals())
    return Misread(TomlFound.no_equals(), TomlAccepted.pair(), TomlHints.comment())


def _twice_table(line: str, _column: int | None) -> Misread:
    name = line.strip().strip("[]").strip()
    hint = TomlHints.together()
    if name in {"coop", "flock", "person", "care"}:
        hint = f"{hint} {TomlHints.double_brackets(table=name)}"
    found = TomlFound.table_twice(table=_shown(f"[{name}]"))
    return Misread(found, TomlAccepted.table_once(), hint)


def _twice(line: str, _column: int | None) -> Misread:
    found = TomlFound.key_twice(key=_shown(line.partition("=")[0].strip()))
    return Misread(found, TomlAccepted.key_once(), TomlHints.keep_one())


def _more_on_the_line(line: str, column: int | None) -> Misread:
    rest = line[(column or 1) - 1 :].strip()
    value = line.partition("=")[2].strip()
    if re.match(r"[-+]?\d+\s*,\s*\d", value):
        hint = QuantityHints.point()
    elif re.match(r"\d{4}-\d|\d{1,2}[./-]\d{1,2}[./-]\d", value):
        hint = TomlHints.date()
    elif re.match(r"0\d", value):
        hint = TomlHints.leading_zero()
    elif re.match(r"[-+]?[\d.]+\s*[^\s\d#=]", value):
        hint = TomlHints.unit(value=value.split("#")[0].strip()[:30])
    elif value.startswith(('"', "'")):
        hint = TomlHints.after_quote()
    else:
        hint = TomlHints.one_key()
    return Misread(TomlFound.more(rest=_shown(rest)), TomlAccepted.one_key(), hint)


def _no_value(  # noqa: PLR0911 - each return is one slip
    line: str, column: int | None
) -> Misread:
    key, equals, value = line.partition("=")
    if column and column <= len(key):
        return _open_list(line, column)  # a list before it goes on until here
    value = value.split("#")[0].strip() if equals else line[(column or 1) - 1 :].strip()
    if not value:
        found = TomlFound.no_value(key=_shown(key.strip()))
        return Misread(found, TomlAccepted.pair(), TomlHints.give_value())
    if value.casefold() in {"yes", "no", "on", "off", "true", "false"}:
        return Misread(_shown(value), Numbers.switch(), TomlHints.switch())
    if value.startswith("["):
        return _open_list(line, column)
    if value[0] in "“”„‘’«":
        found = TomlFound.curly_quotes(value=_shown(value))
        return Misread(found, TomlAccepted.quotes(), TomlHints.straight())
    if value[0] in "\"'":
        return _open_quote(line, column)
    found = TomlFound.no_quotes(value=_shown(value))
    if _NUMBER.match(value):
        return Misread(found, TomlAccepted.number(), QuantityHints.point())
    hint = TomlHints.quoted(key=key.strip()[:30], value=value[:30])
    return Misread(found, TomlAccepted.quotes(), hint)


def _no_statement(line: str, _column: int | None) -> Misread:
    found = TomlFound.no_statement(line=_shown(line.strip()))
    return Misread(found, TomlAccepted.pair(), TomlHints.or_header())


def _shown(text: str) -> str:
    plain = "".join(c if c.isprintable() else "?" for c in text)
    return plain if len(plain) <= _MOST_SHOWN else f"{plain[: _MOST_SHOWN - 1]}…"


# What tomllib says, in small letters, and who answers it.
_SLIPS: tuple[tuple[re.Pattern[str], Callable[[str, int | None], Misread]], ...] = (
    (re.compile("expected '='"), _no_equals),
    (re.compile("expected ']' at the end of|expected ']]' at the end of"), _open_header),
    (re.compile("cannot declare|cannot mutate|cannot redefine"), _twice_table),
    (re.compile("cannot overwrite|duplicate"), _twice),
    (re.compile(r"""unterminated|expected "'"|illegal character '\\n'"""), _open_quote),
    (re.compile("unclosed array|unclosed inline|expected ','"), _open_list),
    (re.compile("escape"), _backslash),
    (re.compile("expected newline or end of document"), _more_on_the_line),
    (re.compile("invalid value"), _no_value),
    (re.compile("invalid statement|invalid initial character"), _no_statement),
    (re.compile("invalid date"), _no_date),
)
