"""What is said of a file that is no profile at all."""

from scheduler.wording.words import Words


class NoProfile:
    """What was found in the whole file or on one of its lines, what is accepted, what to do."""

    too_large = Words("a file of more than 1 MB")
    not_so_large = Words("a profile of at most 1 MB")
    empty = Words("nothing but blank lines and comments")
    not_empty = Words("a profile with [site], [[coop]] and [[flock]]")
    write_one = Words(
        "Write one with: duskfold init --force --profile {file} (or copy one from config/)."
    )
    nested = Words("brackets nested too deeply")
    less_nested = Words("at most {levels} levels")
    many_digits = Words("a number with thousands of digits")
    numbers = Words("numbers")
    many_keys = Words("{keys} of them")
    fewer_keys = Words("at most {keys} keys and tables")
    not_utf8 = Words("a byte that is not UTF-8 ({byte})")
    utf8 = Words("UTF-8 text")
    save_as_utf8 = Words("Save the file as UTF-8.")
    invisible = Words("the invisible character {character}")
    visible = Words("text without control and direction characters")


class TooFewBrackets:
    """What is said of a table with single brackets that may be there more than once."""

    found = Words("a table")
    accepted = Words("a list of tables")
    double = Words("Write {header} with double brackets.")


class NoTimeZone:
    """What is said where a zone is neither written nor known."""

    found = Words("no time zone, and none is known for this place (open sea?)")
    check = Words("Check latitude and longitude, or write the time zone you use.")
