"""What a text that is no TOML is told: what stands there, what may stand there, what to do."""

from scheduler.wording.words import Words


class TomlFound:
    """What was found on the line."""

    open_header = Words("a table's name whose bracket is not closed")
    open_quote = Words("a quotation mark that is not closed")
    open_list = Words("a list or a brace that is not closed")
    backslash = Words("a backslash that means nothing here")
    no_date = Words("a date or time that does not exist")
    colon = Words("a colon where an equals sign belongs")
    no_equals = Words("a line without an equals sign")
    table_twice = Words("the table {table} a second time")
    key_twice = Words("the key {key} a second time")
    more = Words("something more after the value: {rest}")
    no_value = Words("nothing after {key} =")
    curly_quotes = Words("curly quotes: {value}")
    no_quotes = Words("{value} without quotes")
    no_statement = Words("a line that is neither a key nor a table: {line}")


class TomlAccepted:
    """What may stand there."""

    pair = Words('a key, an equals sign and a value, such as hens = 6 or name = "Old Barn"')
    quotes = Words('text in quotes, such as "Old Barn"')
    header = Words("a table's name in brackets, such as [site] or [[coop]]")
    several = Words('a list such as ["10 min", "25 min"]')
    table_once = Words("each table once")
    key_once = Words("each key once")
    one_key = Words("one key on each line")
    number = Words('a plain number, or one with its unit in quotes, "8 L"')


class TomlHints:
    """The next step."""

    close_brackets = Words("Close the brackets.")
    close_quote = Words("Close it on the same line.")
    close_list = Words("Close the bracket, with a comma between the items.")
    backslash = Words("Write it twice, or use single quotes.")
    quote_all = Words("Put text in quotes, and one key on each line.")
    equals = Words("Write = in place of the colon.")
    comment = Words("A comment begins with #.")
    together = Words("Put the keys of both together.")
    double_brackets = Words("For several houses, flocks or people, write [[{table}]] above each.")
    keep_one = Words("Keep one of them.")
    date = Words("Write a date as 2026-04-01: year, month, day.")
    leading_zero = Words("Numbers do not start with a zero.")
    unit = Words('Put a number with its unit in quotes: "{value}".')
    after_quote = Words("Only a # comment may follow the closing quote.")
    one_key = Words("Write one key on each line. A comment begins with #.")
    give_value = Words("Write its value, or delete the line.")
    switch = Words("Write it in small letters, without quotes.")
    straight = Words('Use straight quotes: ".')
    quoted = Words('Write {key} = "{value}".')
    or_header = Words("Or a table's name in brackets, such as [site] or [[coop]].")
