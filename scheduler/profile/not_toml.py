"""What a text that is no TOML is told, in plain words: what is wrong and what to write instead."""

import re
from typing import NamedTuple


class Misread(NamedTuple):
    """What was found, what is accepted, and the next step."""

    found: str
    accepted: str
    hint: str


_PAIR = 'a key, an equals sign and a value, such as hens = 6 or name = "Old Barn"'
_QUOTES = 'text in quotes, such as "Old Barn"'
_HEADER = "a table's name in brackets, such as [site] or [[coop]]"
_NUMBER = re.compile(r"[-+]?\d[\d_]*([.,]\d*)?")
_MOST_SHOWN = 40


def told(message: str, line: str, column: int | None) -> Misread:
    """The message of the parser about that line (without its end) in a keeper's words."""
    said = message.lower()
    for words, answer in (
        (("expected '=' after a key", "expected '='"), _no_equals(line)),
        (("expected ']' at the end of", "expected ']]' at the end of"), _open_header(line)),
        (("cannot declare", "cannot mutate", "cannot redefine"), _twice_table(line)),
        (("cannot overwrite", "duplicate"), _twice(line)),
        (("unterminated", 'expected "\'"', "illegal character '\\n'"), _open_quote(line)),
        (("unclosed array", "unclosed inline", "expected ','"), _open_list()),
        (("escape", "unescaped"), _backslash()),
        (("expected newline or end of document",), _more_on_the_line(line, column)),
        (("invalid value",), _no_value(line, column)),
        (("invalid statement", "invalid initial character"), _no_statement(line)),
        (
            ("invalid date",),
            Misread("a day or time that is in no calendar", "a date such as 2026-04-01", ""),
        ),
    ):
        if any(word in said for word in words):
            return answer
    return Misread(f"{said[:1]}{message[1:]}", "TOML", "Text stands in quotes, one key a line.")


def _no_equals(line: str) -> Misread:
    if ":" in line:
        return Misread(
            "a colon where an equals sign belongs", _PAIR, "Write = in place of the colon."
        )
    return Misread("a line without an equals sign", _PAIR, "A remark begins with #.")


def _open_header(line: str) -> Misread:
    del line
    return Misread("a table's name whose bracket is not closed", _HEADER, "Close the brackets.")


def _twice_table(line: str) -> Misread:
    name = line.strip().strip("[]").strip()
    return Misread(
        f"the table {_shown(f'[{name}]')} a second time",
        "each table once",
        f"Put the keys of both together; several houses, flocks or people are [[{name[:20]}]] each."
        if name in {"coop", "flock", "person", "care"}
        else "Put the keys of both together.",
    )


def _twice(line: str) -> Misread:
    key = line.partition("=")[0].strip()
    return Misread(f"the key {_shown(key)} a second time", "each key once", "Keep one of them.")


def _open_quote(line: str) -> Misread:
    del line
    return Misread("a quotation mark that is not closed", _QUOTES, "Close it on the same line.")


def _open_list() -> Misread:
    return Misread(
        "a list or a brace that is not closed",
        'a list such as ["10 min", "25 min"]',
        "Close the bracket, with a comma between the items.",
    )


def _backslash() -> Misread:
    return Misread(
        "a backslash that means nothing here", _QUOTES, "Write it twice, or use single quotes."
    )


def _more_on_the_line(line: str, column: int | None) -> Misread:
    rest = line[(column or 1) - 1 :].strip()
    value = line.partition("=")[2].strip()
    if re.match(r"[-+]?\d+\s*,\s*\d", value):
        hint = "Write decimals with a point."
    elif re.match(r"\d{4}-\d|\d{1,2}[./-]\d{1,2}[./-]\d", value):
        hint = "A date is written 2026-04-01, year, month, day."
    elif re.match(r"0\d", value):
        hint = "Numbers do not start with a zero."
    elif re.match(r"[-+]?[\d.]+\s*[^\s\d#=]", value):
        hint = f'A number with its unit stands in quotes: "{value.split("#")[0].strip()[:30]}".'
    elif value.startswith(('"', "'")):
        hint = "Only a # comment may follow the closing quote."
    else:
        hint = "One key a line; a remark begins with #."
    return Misread(f"something more after the value: {_shown(rest)}", "one key a line", hint)


def _no_value(  # noqa: PLR0911 - each return is one slip
    line: str, column: int | None
) -> Misread:
    key, equals, value = line.partition("=")
    if column and column <= len(key):
        return _open_list()  # a list before it goes on until here
    value = value.split("#")[0].strip() if equals else line[(column or 1) - 1 :].strip()
    if not value:
        return Misread(
            f"nothing after {_shown(key.strip())} =",
            _PAIR,
            "Write its value, or take the line out.",
        )
    if value.casefold() in {"yes", "no", "on", "off", "true", "false"}:
        return Misread(_shown(value), "true or false", "In small letters, without quotes.")
    if value.startswith("["):
        return _open_list()
    if value[0] in "“”„‘’«":
        return Misread(f"curly quotes: {_shown(value)}", _QUOTES, 'Write straight quotes: ".')
    if value[0] in "\"'":
        return _open_quote(line)
    if _NUMBER.match(value):
        return Misread(
            f"{_shown(value)} without quotes",
            'a plain number, or one with its unit in quotes, "8 L"',
            "Decimals are written with a point.",
        )
    return Misread(
        f"{_shown(value)} without quotes", _QUOTES, f'Write {key.strip()[:30]} = "{value[:30]}".'
    )


def _no_statement(line: str) -> Misread:
    return Misread(
        f"a line that is no key and no table: {_shown(line.strip())}", _PAIR, f"Or {_HEADER}."
    )


def _shown(text: str) -> str:
    plain = "".join(c if c.isprintable() else "?" for c in text)
    return plain if len(plain) <= _MOST_SHOWN else f"{plain[: _MOST_SHOWN - 1]}…"
