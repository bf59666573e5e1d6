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
_OPEN_HEADER = Misread("a table's name whose bracket is not closed", _HEADER, "Close the brackets.")
_OPEN_QUOTE = Misread("a quotation mark that is not closed", _QUOTES, "Close it on the same line.")
_OPEN_LIST = Misread(
    "a list or a brace that is not closed",
    'a list such as ["10 min", "25 min"]',
    "Close the bracket, with a comma between the items.",
)
_BACKSLASH = Misread(
    "a backslash that means nothing here", _QUOTES, "Write it twice, or use single quotes."
)
_NO_DATE = Misread("a date or time that does not exist", "a date such as 2026-04-01", "")


def told(message: str, line: str, column: int | None) -> Misread:
    """The message of the parser about that line (without its end) in a keeper's words."""
    said = message.lower()
    for words, answer in (
        (("expected '='",), _no_equals(line)),
        (("expected ']' at the end of", "expected ']]' at the end of"), _OPEN_HEADER),
        (("cannot declare", "cannot mutate", "cannot redefine"), _twice_table(line)),
        (("cannot overwrite", "duplicate"), _twice(line)),
        (("unterminated", 'expected "\'"', "illegal character '\\n'"), _OPEN_QUOTE),
        (("unclosed array", "unclosed inline", "expected ','"), _OPEN_LIST),
        (("escape",), _BACKSLASH),
        (("expected newline or end of document",), _more_on_the_line(line, column)),
        (("invalid value",), _no_value(line, column)),
        (("invalid statement", "invalid initial character"), _no_statement(line)),
        (("invalid date",), _NO_DATE),
    ):
        if any(word in said for word in words):
            return answer
    return Misread(
        f"{said[:1]}{message[1:]}", "TOML", "Put text in quotes, and one key on each line."
    )


def _no_equals(line: str) -> Misread:
    if ":" in line:
        hint = "Write = in place of the colon."
        return Misread("a colon where an equals sign belongs", _PAIR, hint)
    return Misread("a line without an equals sign", _PAIR, "A comment begins with #.")


def _twice_table(line: str) -> Misread:
    name = line.strip().strip("[]").strip()
    hint = "Put the keys of both together."
    if name in {"coop", "flock", "person", "care"}:
        hint += f" For several houses, flocks or people, write [[{name}]] above each."
    found = f"the table {_shown(f'[{name}]')} a second time"
    return Misread(found, "each table once", hint)


def _twice(line: str) -> Misread:
    key = line.partition("=")[0].strip()
    return Misread(f"the key {_shown(key)} a second time", "each key once", "Keep one of them.")


def _more_on_the_line(line: str, column: int | None) -> Misread:
    rest = line[(column or 1) - 1 :].strip()
    value = line.partition("=")[2].strip()
    if re.match(r"[-+]?\d+\s*,\s*\d", value):
        hint = "Write decimals with a point."
    elif re.match(r"\d{4}-\d|\d{1,2}[./-]\d{1,2}[./-]\d", value):
        hint = "Write a date as 2026-04-01: year, month, day."
    elif re.match(r"0\d", value):
        hint = "Numbers do not start with a zero."
    elif re.match(r"[-+]?[\d.]+\s*[^\s\d#=]", value):
        hint = f'Put a number with its unit in quotes: "{value.split("#")[0].strip()[:30]}".'
    elif value.startswith(('"', "'")):
        hint = "Only a # comment may follow the closing quote."
    else:
        hint = "Write one key on each line. A comment begins with #."
    return Misread(f"something more after the value: {_shown(rest)}", "one key on each line", hint)


def _no_value(  # noqa: PLR0911 - each return is one slip
    line: str, column: int | None
) -> Misread:
    key, equals, value = line.partition("=")
    if column and column <= len(key):
        return _OPEN_LIST  # a list before it goes on until here
    value = value.split("#")[0].strip() if equals else line[(column or 1) - 1 :].strip()
    if not value:
        hint = "Write its value, or delete the line."
        return Misread(f"nothing after {_shown(key.strip())} =", _PAIR, hint)
    if value.casefold() in {"yes", "no", "on", "off", "true", "false"}:
        return Misread(_shown(value), "true or false", "Write it in small letters, without quotes.")
    if value.startswith("["):
        return _OPEN_LIST
    if value[0] in "“”„‘’«":
        return Misread(f"curly quotes: {_shown(value)}", _QUOTES, 'Use straight quotes: ".')
    if value[0] in "\"'":
        return _OPEN_QUOTE
    if _NUMBER.match(value):
        return Misread(
            f"{_shown(value)} without quotes",
            'a plain number, or one with its unit in quotes, "8 L"',
            "Write decimals with a point.",
        )
    hint = f'Write {key.strip()[:30]} = "{value[:30]}".'
    return Misread(f"{_shown(value)} without quotes", _QUOTES, hint)


def _no_statement(line: str) -> Misread:
    found = f"a line that is neither a key nor a table: {_shown(line.strip())}"
    return Misread(found, _PAIR, f"Or {_HEADER}.")


def _shown(text: str) -> str:
    plain = "".join(c if c.isprintable() else "?" for c in text)
    return plain if len(plain) <= _MOST_SHOWN else f"{plain[: _MOST_SHOWN - 1]}…"
